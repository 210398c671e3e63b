"""Effects: a rigid unit turns by what its base is out; places worked out by turning it."""

import math

import pytest

from kit.practice.effects import (
    UNIT_DEPTH_MM,
    UNIT_HEIGHT_MM,
    UNIT_WIDTH_MM,
    gap_between,
    lean_across,
    lean_along,
    rocks,
)


def top_x_mm(x_mm: float, width_mm: float, rise_mm: float) -> float:
    """Where the top of a corner at x comes to stand when the base rises by so much to the right.

    The unit turns about its left foot: the true rotation, not the small angle.
    """
    turn = math.asin(rise_mm / width_mm)
    return x_mm * math.cos(turn) - UNIT_HEIGHT_MM * math.sin(turn)


def test_the_unit_is_the_one_that_is_told():
    assert (UNIT_WIDTH_MM, UNIT_DEPTH_MM, UNIT_HEIGHT_MM) == (800, 350, 2000)


def test_a_base_that_falls_to_the_right_leans_to_the_right():
    effect = lean_along(1.2, 900.0)
    # Small angle: its error is of second order, under 0.01 mm here.
    assert effect.lean_mm == pytest.approx(-top_x_mm(0, 900, 1.2), abs=0.01)
    assert "2.7 mm" in effect.words


@pytest.mark.parametrize(
    ("out_mm", "lean_mm", "way"), [(1.4, -8.0, "backwards"), (-0.7, 4.0, "forwards")]
)
def test_a_high_front_leans_backwards(out_mm, lean_mm, way):
    effect = lean_across(out_mm)
    assert effect.lean_mm == pytest.approx(lean_mm, abs=1e-9)
    assert f"{abs(lean_mm):.1f} mm {way}" in effect.words


@pytest.mark.parametrize(("out_mm", "word"), [(0.9, "open"), (-1.6, "press together")])
def test_a_stack_between_two_units_that_is_out_moves_both_tops(out_mm, word):
    # The left unit rises by out at its right foot, the right one falls by out from its left foot.
    left = top_x_mm(800, 800, out_mm)
    right = 800 - top_x_mm(800, 800, out_mm) + 800  # its mirror image about the shared stack
    effect = gap_between(out_mm)
    assert effect.gap_mm == pytest.approx(right - left, abs=0.01)  # second order, as above
    assert f"{word} by {abs(effect.gap_mm):.1f} mm" in effect.words


def test_a_foot_that_hangs_rocks_by_as_much_either_sign():
    assert rocks(-0.8).rock_mm == rocks(0.8).rock_mm == 0.8
    assert "0.8 mm" in rocks(-0.8).words
