"""The level of a base on screw feet against all levels of a fine grid and all ways to choose."""

import re
from itertools import product
from time import perf_counter
from typing import Any

import numpy as np
import pytest

from kit.base.feet_level import FeetLevel, choose_level
from kit.job import Base, Refusal

STEP = 0.5


def base_of(*feet: dict[str, Any]) -> Base:
    return Base.model_validate({"name": "b", "method": "feet", "height_mm": 60.0, "feet": feet})


def level(base: Base, rest: list[float], low: float, high: float) -> FeetLevel:
    names = [f"B{number}" for number in range(1, len(rest) + 1)]
    return choose_level(base, names, np.array(rest), low, high)


def left_mm(base: Base, rest: np.ndarray, found: tuple[int, ...], datum: float) -> float:
    heights = datum - rest
    return min(
        min(height - base.feet[kind].low_mm, base.feet[kind].high_mm - height)
        for kind, height in zip(found, heights.tolist(), strict=True)
    )


def cost_of(base: Base, kinds: tuple[int, ...]) -> tuple[Any, ...]:
    if all(foot.price is not None for foot in base.feet):
        return (round(sum(float(base.feet[kind].price or 0) for kind in kinds), 9),)
    used = tuple(sorted(set(kinds)))
    return len(used), used


def within_stock(base: Base, kinds: tuple[int, ...]) -> bool:
    return all(
        foot.count is None or kinds.count(number) <= foot.count
        for number, foot in enumerate(base.feet)
    )


def by_trying(base: Base, rest: np.ndarray, low: float, high: float) -> tuple[Any, ...] | None:
    """Try every way to choose at every level of the grid; all optima lie on it, see below."""
    found = []
    ways = list(product(range(len(base.feet)), repeat=len(rest)))
    ways = [way for way in ways if within_stock(base, way)]
    for datum in np.arange(low, high + STEP / 2, STEP).tolist():
        for way in ways:
            left = left_mm(base, rest, way, datum)
            if left >= -1e-9:
                found.append((cost_of(base, way), -round(left, 6), round(datum, 6)))
    return min(found, default=None)


def random_case(rng: np.random.Generator) -> tuple[Base, np.ndarray, float, float]:
    """Return whole millimetres throughout, so that ends and crossings lie on halves."""
    places, priced = int(rng.integers(2, 6)), rng.random() < 0.6
    feet = []
    for _ in range(int(rng.integers(1, 4))):
        low = float(rng.integers(20, 40))
        foot: dict[str, Any] = {"low_mm": low, "high_mm": low + float(rng.integers(4, 24))}
        if priced:
            foot["price"] = float(rng.choice([1.0, 1.5, 2.0, 2.5]))
        if rng.random() < 0.5:
            foot["count"] = int(rng.integers(0, places + 1))
        feet.append(foot)
    low = float(rng.integers(20, 30))
    rest = -rng.integers(0, 18, places).astype(float)
    return base_of(*feet), rest, low, low + float(rng.integers(0, 20))


def test_the_level_is_the_best_of_all_levels_and_all_ways() -> None:
    rng = np.random.default_rng(20)
    solved = refused = bound = 0
    for _ in range(160):
        base, rest, low, high = random_case(rng)
        expected = by_trying(base, rest, low, high)
        if expected is None:
            refused += 1
            with pytest.raises(Refusal):
                level(base, rest.tolist(), low, high)
            continue
        solved += 1
        got = level(base, rest.tolist(), low, high)
        assert within_stock(base, got.kinds)
        left = left_mm(base, rest, got.kinds, got.datum_mm)
        # rounded as the trials are: half millimetres apart, round-off is far below that
        assert (cost_of(base, got.kinds), -round(left, 6), round(got.datum_mm, 6)) == expected
        plenty = base.model_copy(
            update={"feet": tuple(f.model_copy(update={"count": None}) for f in base.feet)}
        )
        bound += by_trying(plenty, rest, low, high) != expected
    assert min(solved, refused) > 30
    assert bound > 5  # counts that change the answer are among them


def test_the_levels_that_serve_are_those_of_the_grid() -> None:
    rng = np.random.default_rng(4)
    several = 0
    for _ in range(60):
        base, rest, low, high = random_case(rng)
        try:
            intervals = level(base, rest.tolist(), low, high).feasible
        except Refusal:
            continue
        several += len(intervals) > 1
        for datum in np.arange(low, high + 0.1, 0.25).tolist():
            inside = any(a - 1e-9 <= datum <= b + 1e-9 for a, b in intervals)
            assert inside == (by_trying(base, rest, datum, datum) is not None), (datum, intervals)
    assert several > 0


def real_case(rng: np.random.Generator) -> tuple[Base, np.ndarray, float, float]:
    """Return lengths with all their digits, so that sums round off; some windows are one level."""
    feet: list[dict[str, Any]] = []
    for _ in range(int(rng.integers(1, 4))):
        low = float(rng.uniform(20, 62))
        feet.append({"low_mm": low, "high_mm": low + float(rng.uniform(3, 30))})
        if rng.random() < 0.3:
            feet[-1]["count"] = int(rng.integers(0, 4))
    if rng.random() < 0.6:
        feet = [foot | {"price": float(rng.uniform(1, 3))} for foot in feet]
    low = float(rng.uniform(20, 60))
    rest = -rng.uniform(0, 14, int(rng.integers(1, 5)))
    return base_of(*feet), rest, low, low + float(rng.choice([0.0, rng.uniform(0, 12)]))


def best_of_ways(base: Base, rest: np.ndarray, low: float, high: float) -> tuple[Any, float]:
    """Return the least cost and the most travel left with it, in closed form for every way.

    A way leaves min(d - a, b - d) at a level d: the most is midway from a to b, or at the end of
    the window next to that.
    """
    found = []
    for way in product(range(len(base.feet)), repeat=len(rest)):
        if not within_stock(base, way):
            continue
        a = max(r + base.feet[kind].low_mm for r, kind in zip(rest, way, strict=True))
        b = min(r + base.feet[kind].high_mm for r, kind in zip(rest, way, strict=True))
        datum = min(max((a + b) / 2, low), high)
        left = min(datum - a, b - datum)
        cost: Any = cost_of(base, way) if left >= 0 else (np.inf,)
        found.append((cost, -left))
    cost, left = min(found, default=((np.inf,), np.inf))
    return cost, -left


def test_lengths_that_round_off_give_the_best_level_or_a_plain_refusal() -> None:
    rng = np.random.default_rng(3)
    solved = missed = 0
    for _ in range(1500):
        base, rest, low, high = real_case(rng)
        cost, left = best_of_ways(base, rest, low, high)
        if np.isinf(cost[0]):
            with pytest.raises(Refusal) as refused:
                level(base, rest.tolist(), low, high)
            told = re.search(r", ([0-9.]+) mm beyond the nearest", str(refused.value))
            if told and all(foot.count is None for foot in base.feet):
                missed += 1
                assert float(told[1]) == pytest.approx(-left, abs=0.051)  # told to 0.1 mm
            continue
        solved += 1
        got = level(base, rest.tolist(), low, high)
        assert low <= got.datum_mm <= high
        assert cost_of(base, got.kinds) == cost
        # limits are closed to 1e-9
        assert left_mm(base, rest, got.kinds, got.datum_mm) == pytest.approx(left, abs=1e-8)
    assert min(solved, missed) > 200


def test_by_hand_one_kind_leaves_as_much_above_the_lowest_as_below_the_highest_foot() -> None:
    base = base_of({"low_mm": 40.0, "high_mm": 65.0})
    got = level(base, [-3.0, 4.5, 0.0], 30.0, 90.0)
    # heights from datum - 4.5 to datum + 3: middle of 40 + 4.5 and 65 - 3
    assert got.datum_mm == pytest.approx(53.25, abs=1e-8)  # limits are closed to 1e-9
    assert got.feasible == ((44.5, 62.0),)
    assert got.binding_low == "shortest setting of the foot at B2, 40.0 mm"
    assert got.binding_high == "longest setting of the foot at B1, 65.0 mm"


def test_the_window_cuts_the_travel_and_is_named() -> None:
    base = base_of({"low_mm": 40.0, "high_mm": 65.0})
    got = level(base, [-3.0, 4.5], 46.0, 50.0)
    assert got.datum_mm == pytest.approx(50.0, abs=1e-8)  # as near to 53.25 as it may
    assert (got.binding_low, got.binding_high) == ("window", "window")


def test_a_cheaper_foot_outweighs_travel_left() -> None:
    dear = {"low_mm": 20.0, "high_mm": 80.0, "price": 4.0}
    cheap = {"low_mm": 30.0, "high_mm": 36.0, "price": 1.0}
    got = level(base_of(dear, cheap), [0.0, -5.0], 25.0, 70.0)
    assert got.kinds == (1, 1)
    assert got.datum_mm == pytest.approx(30.5, abs=1e-8)


def test_counts_at_an_outer_end_are_called_stock() -> None:
    short = {"low_mm": 20.0, "high_mm": 30.0}
    tall = {"low_mm": 28.0, "high_mm": 50.0, "count": 1}
    got = level(base_of(short, tall), [0.0, -4.0], 10.0, 60.0)
    # above 30 both want the tall one, of which there is one
    assert got.feasible == ((20.0, 30.0),)
    assert got.binding_high == "stock"


def test_a_refusal_names_the_foot_what_it_misses_and_what_would_serve() -> None:
    base = base_of({"low_mm": 27.0, "high_mm": 35.0}, {"low_mm": 36.0, "high_mm": 40.0})
    with pytest.raises(Refusal) as refused:
        level(base, [0.0, -17.0], 20.0, 60.0)
    # from 27 to 44 wanted, or 4 mm too much at one end: shared out it is 2 mm at both
    assert str(refused.value) == (
        "job.toml, base 'b', feet: found no foot for B1: at the level that comes nearest it is"
        " 25.0 mm high, 2.0 mm beyond the nearest travel, 27 to 35 mm; allowed: feet that are set"
        " from 25.0 to 42.0 mm there, one kind or several, or another height_mm"
    )


def test_a_gap_between_two_kinds_is_refused_too() -> None:
    base = base_of({"low_mm": 27.0, "high_mm": 30.0}, {"low_mm": 33.0, "high_mm": 36.0})
    # at 28.5 the second is half a millimetre too high, the third as much too low for the next
    with pytest.raises(Refusal, match=r"no foot for B2: .* 30\.5 mm high, 0\.5 mm beyond .* 27 to"):
        level(base, [0.0, -2.0, -4.0, -6.0, -7.5], 28.0, 28.5)


def test_counts_that_do_not_suffice_say_what_would() -> None:
    base = base_of(
        {"low_mm": 27.0, "high_mm": 40.0, "count": 1}, {"low_mm": 38.0, "high_mm": 60.0, "count": 1}
    )
    with pytest.raises(Refusal, match="1 of 27-40 mm, 1 of 38-60 mm for 3 feet, at no level") as no:
        level(base, [0.0, -3.0, -5.0], 20.0, 60.0)
    assert "for example 3 of 27-40 mm" in str(no.value)
    with pytest.raises(Refusal, match="none in stock"):
        level(base_of({"low_mm": 27.0, "high_mm": 40.0, "count": 0}), [0.0], 20.0, 60.0)


@pytest.mark.parametrize("count", [None, 90])
def test_two_hundred_feet_take_no_longer_than_a_blink(count: int | None) -> None:
    rng = np.random.default_rng(2)
    feet = [
        {"low_mm": 27.0 + 6 * n, "high_mm": 40.0 + 8 * n, "price": 1.0 + n, "count": count}
        for n in range(3)
    ]
    start = perf_counter()
    got = level(base_of(*feet), (-14 * rng.random(200)).tolist(), 20.0, 70.0)
    # 0.03 s without counts, 0.07 s with, on one core; the bound leaves room for a busy machine
    assert perf_counter() - start < 2.0
    assert len(got.kinds) == 200
    assert within_stock(base_of(*feet), got.kinds)


def test_a_kind_without_a_price_counts_only_where_it_is_there_and_reaches() -> None:
    dear = {"low_mm": 40.0, "high_mm": 90.0, "price": 50.0}
    cheap = {"low_mm": 40.0, "high_mm": 90.0, "plate_mm": 60.0, "price": 1.0}
    none_left = {"low_mm": 40.0, "high_mm": 70.0, "count": 0}
    too_tall = {"low_mm": 150.0, "high_mm": 190.0}
    for more in (none_left, too_tall):
        assert level(base_of(dear, cheap, more), [-3.25, 4.5], 46.0, 62.0).kinds == (1, 1)
    tall = {"low_mm": 60.0, "high_mm": 190.0}
    assert level(base_of(dear, cheap, tall), [-3.25, 4.5], 46.0, 62.0).kinds == (0, 0)
