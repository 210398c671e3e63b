"""Hollow and hump of a floor that steps: each level by itself, and their sum."""

import math

import numpy as np
import pytest

from kit.flatness import datum_of_balance, volumes
from kit.flatness.volumes_by_level import together, volumes_by_level
from kit.height_grid import HeightGrid
from kit.job import FloorStep

STEP = FloorStep(name="kerb", from_mm=(450, 0), to_mm=(450, 300))


@pytest.fixture
def floor():
    """A rough floor, 120 mm higher beyond x 450 mm, with holes and unequal doubts."""
    draw = np.random.default_rng(14)
    height = draw.normal(0, 3, (7, 12)) + np.where(np.arange(12) > 4, 120.0, 0.0)
    height[2, 1] = height[5, 8] = height[0, 9] = np.nan
    sd = np.where(np.isfinite(height), draw.uniform(0.1, 0.9, height.shape), np.nan)
    known = np.isfinite(height).astype(int)
    return HeightGrid(100.0 * np.arange(12), 100.0 * np.arange(7), height, sd, known)


def cut(floor, columns):
    return HeightGrid(
        floor.x_mm[columns], floor.y_mm, floor.height_mm[:, columns], floor.sd_mm[:, columns],
        floor.count[:, columns],
    )  # fmt: skip


def same(one, other, abs_mm=1e-12):
    assert list(vars(one).values()) == pytest.approx(list(vars(other).values()), abs=abs_mm)


def test_each_level_is_the_floor_cut_off_there(floor):
    found = volumes_by_level(floor, None, [STEP])
    assert list(found) == ["before step 'kerb'", "beyond step 'kerb'", "whole floor"]
    for name, columns in (("before", slice(0, 5)), ("beyond", slice(5, 12))):
        part, told = cut(floor, columns), found[f"{name} step 'kerb'"]
        assert told.datum_mm == pytest.approx(datum_of_balance(part), abs=1e-11)
        by_hand = volumes(part, told.datum_mm)
        same(told.volumes.fill, by_hand.fill)
        same(told.volumes.cut, by_hand.cut)
        assert (told.volumes.area_m2, told.volumes.holes_m2) == pytest.approx(
            (by_hand.area_m2, by_hand.holes_m2)
        )
        # Against its own balance nothing is left over; litres to round-off.
        assert told.volumes.net_l == pytest.approx(0, abs=1e-10)
    assert found["whole floor"].volumes.holes_m2 == pytest.approx(0.03)
    assert math.isnan(found["whole floor"].datum_mm)


def test_the_whole_is_what_one_sum_over_both_says(floor):
    """The levels laid a column apart, each less its datum, are one floor without a step."""
    found = volumes_by_level(floor, None, [STEP])
    parts = [found[f"{name} step 'kerb'"] for name in ("before", "beyond")]
    apart = [
        np.insert(values, 5, np.nan, axis=1)
        for values in (
            floor.height_mm - np.where(np.arange(12) > 4, parts[1].datum_mm, parts[0].datum_mm),
            floor.sd_mm,
        )
    ]
    one = HeightGrid(100.0 * np.arange(13), floor.y_mm, *apart, np.insert(floor.count, 5, 0, 1))
    by_hand, whole = volumes(one, 0.0), found["whole floor"].volumes
    for mine, other in ((whole.fill, by_hand.fill), (whole.cut, by_hand.cut)):
        expected = dict(vars(other))
        expected["x_mm"] -= 100.0 if expected["x_mm"] > 450 else 0.0
        assert vars(mine) == pytest.approx(expected, rel=1e-9)
    assert whole.area_m2 == pytest.approx(by_hand.area_m2)


def test_a_datum_that_is_asked_for_holds_on_every_level(floor):
    found = volumes_by_level(floor, 60.0, [STEP])
    assert {one.datum_mm for one in found.values()} == {60.0}
    before, beyond, whole = (one.volumes for one in found.values())
    assert (before.cut.area_m2, beyond.fill.area_m2) == (0, 0)
    assert math.isnan(before.cut.mean_mm)
    assert whole.cut.litres == beyond.cut.litres > 1
    same(whole.fill, before.fill)
    assert whole.cut.greatest_mm == beyond.cut.greatest_mm


def test_a_floor_of_one_level_has_one_row(floor):
    (found,) = volumes_by_level(floor).items()
    assert found[0] == "whole floor"
    assert found[1].volumes == volumes(floor, datum_of_balance(floor))
    away = FloorStep(name="away", from_mm=(9000, 0), to_mm=(9000, 1))
    assert volumes_by_level(floor, 3.0, [away]) == {"whole floor": (volumes(floor, 3.0), 3.0)}


def test_parts_without_hollow_or_hump_have_no_mean(floor):
    level = HeightGrid(*(getattr(floor, n) for n in ("x_mm", "y_mm")), 0 * floor.height_mm,
                       floor.sd_mm, floor.count)  # fmt: skip
    none = together([volumes(level, 0.0), volumes(level, 0.0)])
    assert none.fill.litres == none.cut.litres == 0
    assert math.isnan(none.fill.mean_mm)
