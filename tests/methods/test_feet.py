"""A base on screw feet in the demo reading room, from the job to the bill."""

import math
from collections.abc import Callable
from functools import cache
from pathlib import Path
from time import perf_counter
from typing import Any

import numpy as np
import pytest

import kit
from kit.answer import Answer
from kit.job import Base, Job, Refusal
from kit.methods import METHODS
from kit.methods.method import Lie, as_expected
from kit.results import write_results

DATA = Path(__file__).parents[2] / "data"
SHORT = {"low_mm": 40.0, "high_mm": 53.0, "bears_n": 1000.0, "price": 1.1, "set_within_mm": 0.3}
TALL = {"low_mm": 52.0, "high_mm": 70.0, "bears_n": 800.0, "price": 1.4, "plate_mm": 60.0}


def with_base(job: Job, **changes: Any) -> Job:
    base = {
        "name": "feet",
        "method": "feet",
        "height_mm": (45.0, 60.0),
        "back_mm": 20.0,
        "front_mm": 30.0,
        "feet": (SHORT, TALL),
        **changes,
    }
    return job.model_copy(update={"bases": (Base.model_validate(base),)})


@cache
def reading_room() -> Job:
    return kit.read_job(DATA / "reading-room")


@pytest.fixture(scope="module")
def answer() -> Answer:
    return kit.solve(with_base(reading_room()))


@pytest.fixture
def solved() -> Callable[..., Answer]:
    def make(**changes: Any) -> Answer:
        return kit.solve(with_base(reading_room(), **changes))

    return make


def test_every_side_and_division_has_its_own_foot_in_every_row_under_it(answer: Answer) -> None:
    counts = answer.supports.groupby("row").size().to_dict()
    # 3 + 3 + 4 + 3 panels; the deeper case has a further row
    assert counts == {"B": 13, "F": 13, "D": 4}
    # plates of 60, the largest, whole under the units: 20 + 30 from the back
    assert answer.layout.rows[0].y_mm == 50.0
    assert answer.layout.packer_size_mm == (60.0, 60.0)
    first = answer.supports["own_x_mm"].to_numpy()[:3]
    assert first.tolist() == [30.0, 500.0, 970.0]


def test_every_foot_is_set_to_its_height_within_its_travel(answer: Answer) -> None:
    feet, supports = answer.details["feet.csv"], answer.supports
    level = answer.datum.datum_mm - supports["floor_mm"]
    assert feet["set_mm"].to_numpy() == pytest.approx(level.to_numpy(), abs=1e-9)
    assert (feet["low_mm"] <= feet["set_mm"]).all()
    assert (feet["set_mm"] <= feet["high_mm"]).all()
    left = feet["high_mm"] - feet["set_mm"], feet["set_mm"] - feet["low_mm"]
    assert (feet["up_left_mm"] == left[0]).all()
    assert (feet["down_left_mm"] == left[1]).all()
    assert answer.traits.adjust_up_mm == left[0].min()
    assert answer.traits.adjust_down_mm == left[1].min()
    assert answer.stacks.empty
    assert answer.screws.empty


def test_the_level_costs_least_of_all_levels_on_a_grid(answer: Answer) -> None:
    floor = answer.supports["floor_mm"].to_numpy()
    low, high = answer.datum.window.low.datum_mm, answer.datum.window.high.datum_mm
    best: tuple[float, float] = (math.inf, 0.0)
    for datum in np.arange(low, high, 0.02):
        height = datum - floor
        short = np.minimum(height - 40.0, 53.0 - height)
        tall = np.minimum(height - 52.0, 70.0 - height)
        if (np.maximum(short, tall) < 0).any():
            continue
        cost = float(np.where(short >= 0, 1.1, 1.4).sum())
        best = min(best, (round(cost, 6), -float(np.where(short >= 0, short, tall).min())))
    got = answer.bill.cost
    assert got == pytest.approx(best[0])
    feet = answer.details["feet.csv"]
    left = float(feet[["up_left_mm", "down_left_mm"]].min().min())
    assert left >= -best[1] - 1e-9
    assert left == pytest.approx(-best[1], abs=0.02)  # the grid's step


def test_the_bill_counts_feet_by_kind_and_their_work(answer: Answer) -> None:
    take_off = answer.take_off.set_index("item")
    feet = answer.details["feet.csv"]
    for kind, price, size in (("40-53 mm", 1.1, 53.0), ("52-70 mm", 1.4, 70.0)):
        count = int((feet["kind"] == kind).sum())
        assert 0 < count < 30
        row = take_off.loc[f"screw foot, {kind}"]
        assert (row["count"], row["size_mm"], row["price"]) == (count, size, price)
    work = answer.work.set_index("operation")
    assert work.loc["fit and set a foot", "count"] == 30
    assert work.loc["set and level a unit by itself", "count"] == 4
    assert len(work) == 2  # no support is marked out
    assert work["minutes"].sum() == 30 * 5 + 4 * 10


def test_traits_and_loads(answer: Answer) -> None:
    traits, bill, feet = answer.traits, answer.bill, answer.details["feet.csv"]
    assert traits.level_error_mm == 0.3  # the coarser of the two kinds that are used
    assert traits.room_under_mm == answer.clearance["least_mm"].min()
    assert (traits.floor_screws, traits.fixing_line_mm) == (0, 0.0)
    assert (bill.mass_kg, bill.wait_days) == (0.0, 0.0)
    units = [placed.unit for placed in answer.layout.units]
    weight = 9.81 * sum(unit.mass_kg + unit.contents_kg for unit in units)
    assert feet["load_N"].sum() == pytest.approx(weight)
    by_name = {one.support: one.full_n for one in answer.strength.stacks}
    assert feet.set_index("support")["load_N"].to_dict() == by_name
    assert set(feet["bears_N"]) == {1000.0, 800.0}


def test_a_front_lift_sets_the_front_feet_higher_and_enters_their_travel(
    solved: Callable[..., Answer], answer: Answer
) -> None:
    lifted = solved(front_lift_mm=3.0)
    feet, supports = lifted.details["feet.csv"], lifted.supports
    level = lifted.datum.datum_mm - supports["floor_mm"] + 3.0 * supports["lift_share"]
    assert feet["set_mm"].to_numpy() == pytest.approx(level.to_numpy(), abs=1e-9)
    assert set(supports["lift_share"].round(2)) >= {0.0, 1.0}
    assert lifted.datum.datum_mm != answer.datum.datum_mm


def test_cautions_say_what_feet_do_not_do(answer: Answer) -> None:
    said = " ".join(answer.cautions)
    for words in ("Fix every unit to the wall", "never stand or lift", "spreading pads",
                  "Set every foot to bear", "this base puts no screw into the floor"):  # fmt: skip
        assert words in said


def test_feet_over_their_load_are_said_with_what_to_do(solved: Callable[..., Answer]) -> None:
    weak = solved(feet=({**SHORT, "bears_n": 300.0}, TALL))
    assert any(
        "beyond their maker's figure though all of them bear" in text for text in weak.cautions
    )
    rows = weak.checks[weak.checks["check"] == "load on foot"]
    assert "refer" in set(rows["verdict"])


def test_a_floor_beyond_all_travel_is_refused_by_foot(solved: Callable[..., Answer]) -> None:
    with pytest.raises(Refusal, match=r"no foot for [BFD]\d+: .* mm beyond the nearest travel"):
        solved(feet=({"low_mm": 50.0, "high_mm": 56.0},))


@pytest.mark.parametrize("low", [61.7, 63.3, 71.1, 84.9])
def test_feet_that_are_too_tall_are_refused_at_any_height_of_the_window(
    solved: Callable[..., Answer], low: float
) -> None:
    for tallest in (51.0, 52.3, 53.9, 55.1):
        with pytest.raises(Refusal, match="mm beyond the nearest travel"):
            solved(feet=({"low_mm": low + 5, "high_mm": low + 35},), height_mm=(50.0, tallest))


def test_a_kind_that_is_not_in_stock_takes_no_room(solved: Callable[..., Answer]) -> None:
    wide = {"low_mm": 40.0, "high_mm": 70.0, "plate_mm": 110.0}
    found = solved(feet=(SHORT, TALL, {**wide, "count": 0}))
    assert found.layout.packer_size_mm == (60.0, 60.0)
    assert solved(feet=(SHORT, TALL, {**wide, "count": 1})).layout.packer_size_mm[0] == 110.0


def test_where_the_plate_is_the_cause_it_is_named(solved: Callable[..., Answer]) -> None:
    said = r"or feet of a smaller feet\.plate_mm than 190 mm, the largest in stock"
    with pytest.raises(Refusal, match=said) as refused:
        solved(feet=(SHORT, {**TALL, "plate_mm": 190.0}))
    assert "bearer" not in str(refused.value)
    with pytest.raises(Refusal) as refused:
        solved(back_mm=150.0, front_mm=230.0)  # rows that cross, whatever stands on them
    assert "plate_mm" not in str(refused.value)


def test_a_foot_set_more_coarsely_than_the_tolerance_is_referred(
    solved: Callable[..., Answer], answer: Answer
) -> None:
    def row(of: Answer) -> list[Any]:
        (found,) = of.checks[of.checks["check"] == "level set by hand"].to_dict("records")
        return [found[key] for key in ("subject", "value", "limit", "verdict")]

    assert row(answer) == ["feet", 0.3, 0.5, "ok"]
    assert row(solved(tolerance_mm=0.25)) == ["feet", 0.3, 0.25, "refer"]
    assert row(solved(tolerance_mm=0.3))[3] == "ok"


def test_a_kind_that_would_serve_and_has_no_price_is_named(
    solved: Callable[..., Answer], answer: Answer
) -> None:
    other = {"low_mm": 41.0, "high_mm": 71.0, "plate_mm": 60.0}
    kinds = ({**SHORT, "low_mm": 38.0, "high_mm": 72.0}, other)
    found = solved(feet=kinds)
    said = "no price is given of 41-71 mm, which would serve too"
    assert any(said in text for text in found.cautions)
    assert found.bill.unpriced == ("screw foot, 41-71 mm",)
    assert math.isnan(found.bill.cost)
    assert set(found.details["feet.csv"]["kind"]) == {"38-72 mm"}
    for out in ({**other, "count": 0}, {**other, "low_mm": 141.0, "high_mm": 171.0}):
        priced = solved(feet=(SHORT, TALL, out))
        assert priced.bill.unpriced == ()
        assert priced.bill.cost == answer.bill.cost
        assert not any("no price" in text for text in priced.cautions)


def test_a_level_of_another_floor_is_a_defect_and_no_refusal(answer: Answer) -> None:
    lie = as_expected(answer.ground)
    lower = Lie.drawn(lie.supports_mm - 40.0, lie.under_mm - 40.0)
    with pytest.raises(RuntimeError, match="no feet for all places at a level of"):
        METHODS["feet"].bill(
            answer.job, answer.base, answer.ground, lower, answer.datum, answer.screws
        )


def test_the_level_follows_a_floor_that_was_drawn_and_nothing_else(answer: Answer) -> None:
    method, ground = METHODS["feet"], answer.ground
    lie = as_expected(ground)
    higher = Lie(lie.supports_mm + 2.5, lie.under_mm + 2.5, lie.high_point_mm + 2.5)
    datum = method.set_level(answer.job, answer.base, ground, higher)
    assert datum.datum_mm == pytest.approx(answer.datum.datum_mm + 2.5, abs=1e-6)
    bill = method.bill(answer.job, answer.base, ground, higher, datum, answer.screws)
    assert bill == answer.bill.__class__(answer.bill.items, answer.bill.work)
    times = []
    for _ in range(20):
        start = perf_counter()
        datum = method.set_level(answer.job, answer.base, ground, higher)
        method.bill(answer.job, answer.base, ground, higher, datum, answer.screws)
        times.append(perf_counter() - start)
    assert min(times) < 0.02  # 1.5 ms on one core; the bound leaves room for a busy machine


def test_its_files_are_written(answer: Answer, tmp_path: Path) -> None:
    write_results(answer, tmp_path / "out")
    lines = (tmp_path / "out" / "feet.csv").read_text().splitlines()
    assert lines[0] == ("support,kind,low_mm,high_mm,set_mm,up_left_mm,down_left_mm,load_N,bears_N")
    assert len(lines) == 31


def test_two_runs_and_no_price_and_no_makers_figure() -> None:
    job = kit.read_job(DATA / "market-counter")
    kinds = ({"low_mm": 40.0, "high_mm": 65.0}, {"low_mm": 60.0, "high_mm": 90.0})
    found = kit.solve(with_base(job, height_mm=(30.0, 110.0), feet=kinds))
    assert found.details["feet.csv"]["bears_N"].isna().all()
    assert set(found.details["feet.csv"]["kind"]) == {"40-65 mm"}
    assert math.isnan(found.bill.cost)
    verdicts = found.checks[found.checks["check"].str.startswith("load on foot")]["verdict"]
    assert set(verdicts) == {"not_checked"}
