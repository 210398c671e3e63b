"""Hold points: those of every base, and those that a job calls for."""

from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest
from scipy.stats import norm

import kit
from kit.paper.document import Signatures
from kit.paper.hold_points import hold_parts, hold_points
from kit.parts import Answer

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture(scope="module")
def market() -> Answer:
    """An old floor with one slip in its readings."""
    return kit.solve(kit.read_job(DATA / "market-counter"))


def _named(answer: Answer) -> dict[str, str]:
    return {point.name: point.true for point in hold_points(answer)}


def test_they_stand_in_the_order_of_the_work_with_places_to_sign(reading_room: Answer) -> None:
    points = hold_points(reading_room)
    assert [point.name for point in points] == [
        "Readings settled",
        "Open checks decided",
        "Datum agreed",
        "Services located",
        "Base accepted",
        "Units fixed",
    ]
    (signed,) = (part for part in hold_parts(reading_room) if isinstance(part, Signatures))
    assert len(signed.lines) == len(points)
    for number, (line, point) in enumerate(zip(signed.lines, points, strict=True), start=1):
        assert line.startswith(f"{number}. {point.name} ({point.when}): ")
        assert point.true in line


def test_what_is_to_be_read_is_an_order_to_tick(reading_room: Answer) -> None:
    said = _named(reading_room)["Readings settled"]
    assert said.startswith("☐ read the floor 1300 mm from the run's left end, 45 mm out")
    assert "lay a straight edge" in said
    assert "sign when nothing higher is found" in said


def test_the_base_is_accepted_by_the_tolerance_that_the_job_gives(
    reading_room: Answer, ways: dict[str, Answer]
) -> None:
    built = reading_room.job.as_built
    assert built is not None
    assert built.tolerance_mm == 1.0
    said = _named(reading_room)["Base accepted"]
    assert "within 1.00 mm of one level" in said
    # Screw feet were not built: their own tolerance holds, and they are turned until level.
    feet = _named(ways["feet"])["Base accepted"]
    assert "within 0.50 mm of one level" in feet
    assert "built exactly as listed" not in feet


def test_it_is_said_how_many_will_still_be_off(ways: dict[str, Answer]) -> None:
    stacks = ways["stacks"]
    sd, error = stacks.supports["floor_sd_mm"], stacks.datum.plan.error_mm
    wanted = norm.cdf((-0.5 - error) / sd) + norm.sf((0.5 - error) / sd)  # scipy's normal law
    said = _named(stacks)["Base accepted"]
    assert f"about {round(wanted.sum())} of {len(sd)} will still be off by more" in said
    sure = stacks.supports.assign(floor_sd_mm=0.0)
    assert "will still be off" not in _named(replace(stacks, supports=sure))["Base accepted"]


def test_a_settled_high_point_asks_for_no_reading(reading_room: Answer) -> None:
    ground = reading_room.ground
    sure = replace(ground.high_point, certainty=0.97, next_reading=None)
    settled = replace(reading_room, ground=replace(ground, high_point=sure))
    assert "Readings settled" in _named(reading_room)
    assert "Readings settled" not in _named(settled)


def test_the_next_reading_is_found_by_a_tape_along_its_run(boot_room: Answer) -> None:
    ground = boot_room.ground
    # Run B begins at 3600, 510 and goes along y: its own x is y - 510, its own y 3600 - x.
    asked = replace(ground.high_point, certainty=0.5, next_reading=(3540.0, 1730.0))
    told = replace(boot_room, ground=replace(ground, high_point=asked))
    said = _named(told)["Readings settled"]
    assert "1220 mm from run B's left end, 60 mm out from the backs" in said


def test_readings_in_doubt_are_settled_first(market: Answer) -> None:
    assert len(market.heights.suspects) == 1
    assert hold_points(market)[0].name == "Readings settled"
    assert "the reading in doubt (see cautions)" in hold_points(market)[0].true


@pytest.mark.parametrize(
    ("services", "said"),
    [
        ("unknown", "Nobody has said what runs under this floor."),
        ("no_fixings", "Nothing may enter this floor: no screw, no plug, no drill."),
        ("checked", "The job says that the floor was looked into"),
    ],
)
def test_services_are_told_as_far_as_known(reading_room: Answer, services: str, said: str) -> None:
    job = reading_room.job
    floor = job.floor.model_copy(update={"services": services})
    answer = replace(reading_room, job=job.model_copy(update={"floor": floor}))
    told = _named(answer)["Services located"]
    assert said in told
    assert "heating pipe at a depth of 40 mm" in told


def test_floor_that_nobody_read_is_checked_by_hand(reading_room: Answer) -> None:
    under = reading_room.ground.under.copy()
    unread = (under["bearer"] == "F") & under["own_x_mm"].between(700, 1300)
    under.loc[unread, "surveyed"] = False
    answer = replace(reading_room, ground=replace(reading_room.ground, under=under))
    ends = under.loc[unread, "own_x_mm"]
    said = _named(answer)["Floor that nobody read"]
    assert f"bearer F, {ends.min():.0f} to {ends.max():.0f} mm along the run" in said
    assert "Floor that nobody read" not in _named(reading_room)


def test_a_pour_waits_until_it_is_dry(ways: dict[str, Answer]) -> None:
    named = _named(ways["compound"])
    # 15.1 mm at its deepest: the job file lets up to 40 mm dry for 10 days.
    assert "10 days" in named["Compound dry"]
    order = [*named]
    assert order.index("Floor ready for the pour") < order.index("Compound dry")
    assert order.index("Compound dry") < order.index("Base accepted")
    assert "Compound dry" not in _named(ways["feet"])


def test_idle_stacks_and_missing_screws_are_part_of_accepting(
    boot_room: Answer, reading_room: Answer
) -> None:
    said = _named(boot_room)["Base accepted"]
    assert "idle stacks shimmed" in said
    assert "decided how each step that no screw serves is held" in said
    other = _named(reading_room)["Base accepted"]
    assert "idle" not in other
    assert "all screws driven" in other


def test_open_checks_are_counted(reading_room: Answer) -> None:
    verdicts = reading_room.checks["verdict"]
    count = int((verdicts == "refer").sum() + (verdicts == "fail").sum())
    assert _named(reading_room)["Open checks decided"].startswith(f"{count} checks fail or refer")
    fine: pd.DataFrame = reading_room.checks[verdicts == "ok"]
    assert "Open checks decided" not in _named(replace(reading_room, checks=fine))


def test_lengths_of_an_inch_job_are_told_in_inches(inch_room: Answer) -> None:
    named = _named(inch_room)
    assert "heating pipe at a depth of 40 mm (1 9/16 in)" in named["Services located"]
    assert "a base top 2 1/8 in above the high point" in named["Datum agreed"]
