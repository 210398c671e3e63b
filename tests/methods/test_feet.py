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
SHORT = {"low_mm": 44.0, "high_mm": 57.0, "bears_n": 1000.0, "price": 1.1, "set_within_mm": 0.3}
TALL = {"low_mm": 52.0, "high_mm": 70.0, "bears_n": 800.0, "price": 1.4, "plate_mm": 60.0}
#: Travel that is kept either way where some level allows it [mm] (common practice, no source).
RESERVE_MM = 2.0
#: Between them no foot keeps that much travel: short to 51, tall from 54.
APART = ({**SHORT, "low_mm": 40.0, "high_mm": 53.0}, TALL)


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


Best = tuple[float, float, float]
STEP_MM = 0.02
NONE: Best = (math.inf, 0.0, 0.0)


def best_on_a_grid(answer: Answer, reserve_mm: float) -> Best:
    """Return cost, least travel left [mm] times -1 and level [mm] of the best of a grid.

    Only levels at which every foot has a kind that leaves so much travel either way.
    """
    floor, best = answer.supports["floor_mm"].tolist(), NONE
    window = answer.datum.window
    low, high = window.low.datum_mm, window.high.datum_mm
    for datum in [*np.arange(low, high, STEP_MM).tolist(), high]:
        # of each foot (price, -travel left) of the cheapest kind that serves
        taken = [
            min(
                (
                    (kind.price or 0.0, -min(datum - at - kind.low_mm, kind.high_mm - datum + at))
                    for kind in answer.base.feet
                    if kind.low_mm + reserve_mm <= datum - at <= kind.high_mm - reserve_mm
                ),
                default=(math.inf, 0.0),
            )
            for at in floor
        ]
        cost = round(sum(price for price, _ in taken), 6)
        if math.isfinite(cost):
            best = min(best, (cost, max(left for _, left in taken), datum))
    return best


def least_left_mm(answer: Answer) -> float:
    feet = answer.details["feet.csv"]
    up, down = feet["high_mm"] - feet["set_mm"], feet["set_mm"] - feet["low_mm"]
    return float(min(up.min(), down.min()))


def short_of_travel(answer: Answer) -> list[str]:
    return [text for text in answer.cautions if "of travel left" in text]


def is_best(answer: Answer, best: Best) -> None:
    """Assert that a level is the best of a grid, or lies between its steps and is better."""
    assert answer.bill.cost == pytest.approx(best[0])
    assert least_left_mm(answer) >= -best[1] - 1e-9
    # travel left and level: within the grid's step
    assert least_left_mm(answer) == pytest.approx(-best[1], abs=STEP_MM)
    assert answer.datum.datum_mm == pytest.approx(best[2], abs=STEP_MM)


def test_the_level_costs_least_of_all_levels_on_a_grid_that_keep_a_reserve(answer: Answer) -> None:
    is_best(answer, best_on_a_grid(answer, RESERVE_MM))
    assert least_left_mm(answer) >= RESERVE_MM


@pytest.mark.parametrize("height", [(45.0, 52.0), (47.0, 50.5)])
def test_where_no_level_keeps_a_reserve_all_levels_count(
    solved: Callable[..., Answer], height: tuple[float, float]
) -> None:
    found = solved(feet=APART, height_mm=height)
    assert best_on_a_grid(found, RESERVE_MM) == NONE
    is_best(found, best_on_a_grid(found, 0.0))
    assert least_left_mm(found) < RESERVE_MM


def test_a_reserve_is_kept_though_a_cheaper_choice_would_leave_less(answer: Answer) -> None:
    cost, left, _ = best_on_a_grid(answer, 0.0)
    assert cost == pytest.approx(30 * 1.1)  # the short kind alone
    assert -left < 1.0
    assert answer.bill.cost > cost
    assert least_left_mm(answer) >= RESERVE_MM
    assert short_of_travel(answer) == []
    rows = answer.checks[answer.checks["check"].str.startswith("travel left of a foot")]
    assert set(rows["verdict"]) == {"ok"}
    assert rows["value"].min() == pytest.approx(least_left_mm(answer))


def test_no_foot_takes_a_cheaper_kind_that_leaves_less_at_the_level(
    answer: Answer,
) -> None:
    feet = answer.details["feet.csv"]
    nearly_out = (feet["set_mm"] > 55.0) & (feet["set_mm"] < 57.0)
    assert nearly_out.any()  # the short kind would reach
    assert set(feet.loc[nearly_out, "kind"]) == {"52-70 mm"}
    assert set(feet.loc[feet["set_mm"] < 55.0, "kind"]) == {"44-57 mm"}


def test_a_floor_that_asks_for_all_travel_is_built_and_the_foot_is_named(
    solved: Callable[..., Answer],
) -> None:
    found = solved(feet=({**SHORT, "low_mm": 46.0, "high_mm": 59.0},), height_mm=(45.0, 46.0))
    height = found.datum.datum_mm - found.supports["floor_mm"]
    left = np.minimum(height - 46.0, 59.0 - height)
    left.index = found.supports["support"]
    assert 0 <= left.min() < 1
    count = int((left < RESERVE_MM).sum())
    assert 1 < count < 30
    (said,) = short_of_travel(found)
    assert said.startswith(
        f"{count} of 30 feet have less than 2 mm of travel left,"
        f" {left.idxmin()} only {left.min():.2f} mm:"
    )
    rows = found.checks[found.checks["check"].str.startswith("travel left of a foot")]
    assert "refer" in set(rows["verdict"])
    assert len(found.take_off) == 1
    assert found.take_off["count"].tolist() == [30]


def test_a_reserve_that_one_level_alone_allows_is_kept(solved: Callable[..., Answer]) -> None:
    def one_kind(travel_mm: float) -> Answer:
        return solved(feet=({**SHORT, "low_mm": 46.0, "high_mm": 46.0 + travel_mm},))

    floor = one_kind(20.0).supports["floor_mm"]
    least = float(floor.max() - floor.min()) + 2 * RESERVE_MM
    # 1e-9 above: round-off of heights of some 50 mm is far less
    for more, cautions in ((1e-9, 0), (-0.01, 1)):
        found = one_kind(least + more)
        # the middle of what is over, either way
        assert least_left_mm(found) == pytest.approx(RESERVE_MM + more / 2, abs=1e-8)
        assert len(short_of_travel(found)) == cautions


def test_the_heights_that_can_be_made_are_those_of_the_whole_travel(
    solved: Callable[..., Answer],
) -> None:
    found = solved(height_mm=(35.0, 75.0))  # a window that stops nothing
    floor = found.supports["floor_mm"] - found.datum.high_point_mm
    (low, high) = 44.0 + floor.max(), 70.0 + floor.min()
    ((from_mm, to_mm),) = found.datum.feasible_heights_mm
    assert (from_mm, to_mm) == pytest.approx((low, high), abs=1e-9)  # round-off
    assert found.datum.binding_low.startswith("shortest setting of the foot at B5, 44.0 mm")
    assert found.datum.binding_high.startswith("longest setting of the foot at D4, 70.0 mm")
    assert low + RESERVE_MM <= found.datum.base_height_mm <= high - RESERVE_MM
    # where none keeps a reserve too: the one kind reaches from end to end of what is over
    tight = solved(feet=({**SHORT, "low_mm": 46.0, "high_mm": 59.0},))
    floor = tight.supports["floor_mm"] - tight.datum.high_point_mm
    ((from_mm, to_mm),) = tight.datum.feasible_heights_mm
    assert (from_mm, to_mm) == pytest.approx((46.0 + floor.max(), 59.0 + floor.min()), abs=1e-9)
    assert to_mm - from_mm < 2 * RESERVE_MM


def test_the_bill_counts_feet_by_kind_and_their_work(answer: Answer) -> None:
    take_off = answer.take_off.set_index("item")
    feet = answer.details["feet.csv"]
    for kind, price, size in (("44-57 mm", 1.1, 57.0), ("52-70 mm", 1.4, 70.0)):
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


def test_a_kind_with_hardly_any_travel_keeps_no_reserve() -> None:
    """It is cheap and it would do: but nothing of it is left for a floor that lies otherwise."""
    feet = (
        {"low_mm": 50.0, "high_mm": 53.5, "price": 0.5},
        {"low_mm": 40.0, "high_mm": 70.0, "price": 2.0},
    )
    base = Base.model_validate(
        {"name": "feet", "method": "feet", "height_mm": (50.0, 52.0), "feet": feet}
    )
    job = reading_room().model_copy(update={"bases": (base,)})
    kinds = kit.solve(job).details["feet.csv"]["kind"]
    assert set(kinds) == {"40-70 mm"}
    short = base.model_copy(update={"feet": base.feet[:1]})
    with pytest.raises(Refusal, match="no foot for"):
        kit.solve(job.model_copy(update={"bases": (short,)}))
