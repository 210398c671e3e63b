"""Instruments: what an eye reads of a known tilt, and what a turned level tells of itself."""

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.practice.draws import Draws
from kit.practice.instruments import (
    EYE_MM,
    GREATEST_OWN_ERROR,
    LEAST_OWN_ERROR,
    LEVEL_LENGTHS_MM,
    TRAVEL_MM,
    Level,
    pack_bag,
    to_step,
)


@pytest.mark.parametrize(
    ("rise", "own", "bubble"),
    [
        (0.0, 0.0, 0.0),
        (1.0, 0.0, 1.0),  # 1 mm/m moves it 1 mm, towards the end that is up
        (-2.6, 0.0, -2.6),
        (3.0, -0.7, 2.4),  # 2.3: half of 0.2 goes away from 0
        (-3.0, 0.71, -2.2),
        (0.09, 0.0, 0.0),
        (7.9, 0.0, 8.0),
        (7.5, 1.4, 8.0),  # at the end of the glass
        (-30.0, 1.0, -8.0),
    ],
)
def test_a_bubble_shows_tilt_and_own_error_to_what_an_eye_reads(rise, own, bubble):
    # 1e-9: decimal fractions as doubles.
    assert Level("any", 600, own).bubble_mm(rise) == pytest.approx(bubble, abs=1e-9)


def test_a_bubble_reads_as_its_bent_glass_makes_it():
    """It stands at the top of an arc of radius 1 m: its way is the radius times the tilt."""
    for rise in (0.4, 2.0, 6.6):
        way = 1000 * math.atan(rise / 1000)
        assert Level("any", 600, 0.0).bubble_mm(rise) == pytest.approx(way, abs=EYE_MM / 2)


@given(st.integers(-40_000, 40_000), st.sampled_from([0.2, 0.5, 50.0]))
def test_readings_are_the_nearest_step_with_halves_away_from_nought(thousandths, step):
    value = thousandths / 1000
    steps = Fraction(thousandths, 1000) / Fraction(str(step))
    whole = math.floor(abs(steps) + Fraction(1, 2)) * (1 if steps >= 0 else -1)
    assert to_step(value, step) == pytest.approx(float(whole * Fraction(str(step))), abs=1e-9)


@given(st.floats(-6, 6), st.floats(-1.9, 1.9))
def test_a_level_that_is_turned_tells_its_own_error_and_the_fall(rise, own):
    level = Level("any", 1800, own)
    one, other = level.bubble_mm(rise), level.bubble_mm(-rise)
    # Each is read to 0.2 mm: half the sum and half the difference are right to 0.1 mm.
    assert (one + other) / 2 == pytest.approx(own, abs=EYE_MM / 2 + 1e-9)
    assert (one - other) / 2 == pytest.approx(rise, abs=EYE_MM / 2 + 1e-9)
    assert max(abs(one), abs(other)) <= TRAVEL_MM


def test_a_bag_holds_levels_that_want_looking_at():
    bags = [pack_bag(Draws(f"bag {k}")) for k in range(400)]
    for bag in bags:
        assert {level.name: level.length_mm for level in bag.levels} == LEVEL_LENGTHS_MM
        assert bag.level("long") is bag.levels[1]
        for level in bag.levels:
            assert LEAST_OWN_ERROR <= abs(level.own_error_mm_per_m) <= GREATEST_OWN_ERROR
        assert len(set(bag.laser_mm)) == len(bag.laser_mm) == 12
        assert 900 <= min(bag.laser_mm) <= max(bag.laser_mm) <= 1300
    assert bags[3] == pack_bag(Draws("bag 3"))


def test_which_way_a_level_is_out_tells_nothing_of_how_far_nor_of_the_other_level():
    own = np.array(
        [[level.own_error_mm_per_m for level in pack_bag(Draws(f"bag {k}")).levels]
         for k in range(600)]
    )  # fmt: skip
    for name in (0, 1):
        # Correlations of 600 independent pairs: deviation 1/√600 = 0.041; four of them.
        assert abs(np.corrcoef(np.sign(own[:, name]), np.abs(own[:, name]))[0, 1]) < 0.165
        assert 0.42 < np.mean(own[:, name] > 0) < 0.58
    assert abs(np.corrcoef(own[:, 0], own[:, 1])[0, 1]) < 0.165
