"""Feet that are set by hand: how far 95 of 100 units lean and wind, against random feet."""

import numpy as np
import pytest

from kit.base.runs import PlacedUnit
from kit.job import Unit
from kit.strength.feet import Feet
from kit.strength.furniture import consequence
from kit.strength.within import likely_within

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
