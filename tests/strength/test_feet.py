"""What a unit stands on, of two rows and of more."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from kit.base.runs import Row, place_units
from kit.job import Run, Unit
from kit.strength.feet import feet_of, hanging

CASE = Unit(name="case", width_mm=900.0, depth_mm=700.0, height_mm=2000.0, side_mm=20.0,
            centre_of_gravity_mm=300.0)  # fmt: skip


def rows_at(*places):
    units = place_units(Run(unit=(CASE,)))
    labels = ("B", "M", "F")[: len(places)]
    return [
        Row(label, "A", label, y, 0.0, 900.0, units)
        for label, y in zip(labels, places, strict=True)
    ]


def tops(**heights):
    """Each bearer as high on its left as on its right."""
    return lambda bearer, place: heights[bearer] + (place > 450.0) * heights.get("right", 0.0)


def test_on_two_rows_it_stands_on_both():
    rows = rows_at(100.0, 500.0)
    feet = feet_of(rows[0].units[0], rows, tops(B=0.4, M=-0.3))
    assert (feet.back_left_mm, feet.front_right_mm) == (0.4, -0.3)
    assert hanging(rows[0].units[0], rows, tops(B=0.4, M=-0.3)) == ()


def test_a_low_middle_row_is_hung_over():
    rows = rows_at(100.0, 300.0, 600.0)
    at = tops(B=0.2, M=-0.5, F=0.7)
    feet = feet_of(rows[0].units[0], rows, at)
    assert (feet.back_left_mm, feet.front_left_mm) == (0.2, 0.7)
    ((bearer, gap),) = hanging(rows[0].units[0], rows, at)
    assert bearer == "M"
    assert gap == pytest.approx(0.2 + 0.5 * 200 / 500 + 0.5)


def test_a_high_middle_row_carries_with_the_one_beyond_the_centre_of_gravity():
    """Centre of gravity at 300 mm, middle row at 350: back and middle carry, the front hangs."""
    rows = rows_at(100.0, 350.0, 600.0)
    at = tops(B=0.0, M=0.5, F=0.0)
    feet = feet_of(rows[0].units[0], rows, at)
    assert feet.back_left_mm == 0.0
    assert feet.front_left_mm == pytest.approx(1.0)  # straight on from 0 and 0.5 mm
    assert hanging(rows[0].units[0], rows, at) == (("F", pytest.approx(1.0)),)
    assert (feet.back_y_mm, feet.front_y_mm) == (100.0, 600.0)


@pytest.mark.parametrize("gravity", [349.5, 350.0, 350.5])
def test_right_over_a_high_row_the_lean_to_fear_is_told(gravity):
    """It may rock either way; the front is lower than the back, so it leans more into the room."""
    rows = rows_at(100.0, 350.0, 600.0)
    case = CASE.model_copy(update={"centre_of_gravity_mm": gravity})
    placed = replace(rows[0].units[0], unit=case)
    feet = feet_of(placed, rows, tops(B=0.0, M=0.5, F=-0.4))
    assert feet.front_left_mm == pytest.approx(-0.4)
    assert feet.back_left_mm == pytest.approx(0.5 + 0.9)


def test_each_side_rests_for_itself():
    rows = rows_at(100.0, 350.0, 600.0)
    at = tops(B=0.0, M=0.5, F=0.0, right=-0.25)
    feet = feet_of(rows[0].units[0], rows, at)
    assert feet.front_right_mm == pytest.approx(0.75)
    assert feet.back_right_mm == -0.25


def test_an_unknown_height_makes_its_side_unknown():
    rows = rows_at(100.0, 350.0, 600.0)
    feet = feet_of(rows[0].units[0], rows, lambda bearer, _: math.nan if bearer == "F" else 0.0)
    assert math.isnan(feet.front_left_mm)
    assert math.isnan(feet.back_left_mm)
