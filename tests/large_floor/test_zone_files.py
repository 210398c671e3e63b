"""Zones and the order of the work as files."""

import pandas as pd
import pytest

from kit.large_floor.zone_files import start_of, zone_texts, zones_of_job
from kit.results import result_texts


@pytest.fixture(scope="module")
def done(hall, surveyed):
    return zones_of_job(hall, survey=surveyed)


def test_the_step_of_the_floor_parts_the_run(done):
    zones = done.zones.zones
    assert [(zone.from_unit, zone.to_unit) for zone in zones] == [
        ("locker 1", "locker 4"), ("locker 5", "locker 7"),
    ]  # fmt: skip
    step = zones[1].base_top_mm - zones[0].base_top_mm
    # The floor steps by 130 mm; each zone goes as low as its window and its packers let it.
    assert 110 < step < 150


def test_every_file_is_there_once_and_whole(done):
    texts = zone_texts(done)
    assert {"zones.csv", "zone-steps.csv", "zone-menu.csv", "walking-order.csv", "crates.csv",
            "packing-lists.csv", "pace.csv"} <= set(texts)  # fmt: skip
    for zone in done.zones.zones:
        own = {n.removeprefix(f"{zone.name}/"): t for n, t in texts.items()
               if n.startswith(f"{zone.name}/")}  # fmt: skip
        assert own == result_texts(zone.answer)


def test_the_work_takes_each_zones_stacks_in_turn(done):
    order = list(dict.fromkeys(done.order.steps["zone"]))
    assert order == [zone.name for zone in done.zones.zones]
    lists = done.order.packing_lists.groupby("zone")["count"].sum()
    for zone in done.zones.zones:
        assert lists[zone.name] == len(zone.answer.stacks)


def test_crates_start_at_the_door_or_where_they_are_said_to(hall, surveyed, done):
    assert done.start_mm == start_of(hall) == (0.0, 2000.0)
    bare = hall.model_copy(update={"doorways": ()})
    assert start_of(bare) == (200.0, 0.0)
    other = zones_of_job(hall, survey=surveyed, start_mm=(7000.0, 2000.0), zones=2)
    assert other.order.steps["walk_mm"].iloc[0] > done.order.steps["walk_mm"].iloc[0]


def test_progress_rises_to_the_end(hall, surveyed):
    told: list[float] = []
    zones_of_job(hall, survey=surveyed, tell=told.append)
    assert told == sorted(told)
    assert told[-1] == pytest.approx(1.0)


def test_same_job_same_bytes(hall, surveyed, done):
    assert zone_texts(zones_of_job(hall, survey=surveyed)) == zone_texts(done)
    assert isinstance(done.zones.tables()["zones.csv"], pd.DataFrame)
