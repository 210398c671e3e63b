"""Supports set by hand, and poured ones: how far units lean and wind, against random ones."""

from pathlib import Path

import numpy as np
import pytest

from kit.base.footing import Footing
from kit.base.layout import Layout, lay_out
from kit.base.runs import PlacedUnit
from kit.job import Job, Unit
from kit.strength.feet import Feet
from kit.strength.furniture import consequence
from kit.strength.joists import NoJoists
from kit.strength.unit_work import UnitStand, stand_on
from kit.strength.within import likely_within, on_one_surface

UNIT = PlacedUnit(
    "A",
    Unit.model_validate(
        {"name": "case", "width_mm": 900.0, "depth_mm": 340.0, "height_mm": 1150.0}
    ),
    0.0,
)


def feet(heights: np.ndarray) -> Feet:
    return Feet(*heights.tolist(), 67.5, 247.0, 9.0, 891.0)


def test_95_of_100_units_keep_within_what_is_told() -> None:
    """20,000 units on random feet, by the sums for known feet."""
    told = likely_within(UNIT, feet(np.zeros(4)), 0.4)
    off = np.random.default_rng(8).uniform(-0.4, 0.4, (20_000, 4))
    stands = [consequence(UNIT, feet(one)) for one in off]
    for name in ("lean_along_mm", "lean_out_mm", "wind_mm", "door_taper_mm"):
        sizes = np.abs([getattr(one, name) for one in stands])
        share = float((sizes <= getattr(told, name)).mean())
        # 1.96 for the 1.93 of four uniform errors makes 95.6 %; sampling is good to 0.3 %.
        assert 0.95 <= share <= 0.965, name


@pytest.mark.parametrize("within", [0.0, 0.7])
def test_what_is_told_grows_with_the_limit(within: float) -> None:
    told = likely_within(UNIT, feet(np.zeros(4)), within, lifted_lean_mm=-1.5)
    assert told.lean_out_mm == pytest.approx(1150 / 179.5 * 1.96 * within / 3**0.5)
    assert told.wind_mm == pytest.approx(2 * 1.96 * within / 3**0.5)
    assert told.lifted_lean_mm == -1.5


def on_pour(*units: tuple[float, float, float, float]) -> Layout:
    """Lay out units of so much width, depth, height, gap before, on compound."""
    told = [
        {"name": f"u{n}", "width_mm": w, "depth_mm": d, "height_mm": h, "gap_before_mm": gap}
        for n, (w, d, h, gap) in enumerate(units)
    ]
    job = Job.model_validate(
        {
            "schema": 1,
            "title": "market hall",
            "floor": {"kind": "solid"},
            "survey": ({"kind": "heights", "file": "h.csv"},),
            "run": ({"name": "A", "unit": tuple(told)},),
            "base": ({"name": "b", "height_mm": 60.0, "back_mm": 0.0, "front_mm": 0.0},),
            "stock": {"packers": ({"mm": 3.0},)},
            "folder": Path(),
        }
    )
    return lay_out(job, job.bases[0], Footing(18.0, (18.0, 18.0), joined=False, own_fronts=True))


def level_stand(layout: Layout, lift_mm: float = 0.0) -> tuple[UnitStand, ...]:
    return stand_on(layout, lambda *_: 0.0, NoJoists("none"), layout.supports, lift_mm)


def test_no_unit_leans_more_than_the_slope_of_one_surface_allows() -> None:
    """5,000 planes whose corners are each off by up to the limit, by the sums for known feet."""
    layout = on_pour((900.0, 340.0, 1150.0, 0.0), (610.0, 505.0, 1980.0, 14.0))
    surfaces, within = {"A": (1544.0, 525.0)}, 0.8
    told = on_one_surface(layout, level_stand(layout), within, surfaces)
    worst: dict[str, list[float]] = {"u0": [0.0, 0.0], "u1": [0.0, 0.0]}
    for left, right, out in np.random.default_rng(5).uniform(-within, within, (5000, 3)):
        along, across = (right - left) / 1544.0, (out - left) / 525.0
        for placed in layout.units:
            corner = [(9.0, 9.0), (9.0, 491.0), (placed.unit.width_mm - 9.0, 9.0)]
            heights = [left + along * (placed.left_mm + x) + across * y for x, y in corner]
            fourth = heights[1] + heights[2] - heights[0]
            wide = placed.unit.width_mm - 9.0
            on = Feet(heights[0], heights[2], heights[1], fourth, 9.0, 491.0, 9.0, wide)
            found = consequence(placed, on)
            # Four corners on one plane: round-off of heights of 1 mm.
            assert abs(found.wind_mm) < 1e-12
            sizes = abs(found.lean_along_mm), abs(found.lean_out_mm)
            worst[placed.unit.name] = [
                max(pair) for pair in zip(worst[placed.unit.name], sizes, strict=True)
            ]
    for one in told.units:
        # Of 5,000 slopes the steepest comes within 5 % of both ends off by all of it.
        assert 0.95 * one.lean_along_mm < worst[one.unit][0] <= one.lean_along_mm + 1e-9
        assert 0.95 * one.lean_out_mm < worst[one.unit][1] <= one.lean_out_mm + 1e-9
        assert (one.wind_mm, one.door_taper_mm) == (0.0, 0.0)


def test_neighbours_on_one_surface_lean_alike_and_their_gap_stays() -> None:
    layout = on_pour((900.0, 340.0, 1150.0, 0.0), (610.0, 505.0, 1980.0, 14.0))
    told = on_one_surface(layout, level_stand(layout), 0.8, {"A": (1524.0, 505.0)})
    (gap,) = told.gaps
    assert (gap.height_mm, gap.before_mm, gap.top_mm) == (1150.0, 14.0, 14.0)
    short, tall = told.units
    assert short.lean_out_mm / 1150.0 == pytest.approx(tall.lean_out_mm / 1980.0)  # round-off


def test_a_surface_counts_as_no_shorter_than_the_unit_on_it() -> None:
    layout = on_pour((900.0, 340.0, 1150.0, 0.0))
    (one,) = on_one_surface(layout, level_stand(layout), 0.8, {"A": (200.0, 600.0)}).units
    assert one.lean_along_mm == pytest.approx(1150.0 * 1.6 / 900.0)  # round-off
    assert one.lean_out_mm == pytest.approx(1150.0 * 1.6 / 600.0)  # round-off
