"""Shapes: each against its closed form, roughness against what it promises over all floors."""

import math

import numpy as np
import pytest

from kit.practice.draws import Draws
from kit.practice.shapes import (
    GROWTH,
    LONGEST_MM,
    SHORTEST_MM,
    Bump,
    Crown,
    Fall,
    Roughness,
    Step,
)

# Sums of a few doubles of size 10 mm: 1e-12 mm is round-off.
ROUND_OFF = 1e-12


def at(shape, x, y):
    return float(shape.heights_mm(np.array(float(x)), np.array(float(y))))


def test_a_fall_rises_by_its_two_slopes():
    fall = Fall(2.0, -0.7)
    assert at(fall, 0, 0) == 0
    assert at(fall, 1500, 0) == pytest.approx(3.0, abs=ROUND_OFF)
    assert at(fall, 1500, 400) == pytest.approx(3.0 - 0.28, abs=ROUND_OFF)


@pytest.mark.parametrize(
    ("x", "y", "height"),
    [
        (700, 300, 4.0),
        (700 + 250, 300, 2.0),  # cos² is a half at half its radius
        (700, 300 - 250, 2.0),
        (700 - 300, 300 + 400, 0.0),  # 3-4-5: at its radius
        (700 + 500 / 3, 300, 3.0),  # cos²(30°) is three quarters
        (2000, 300, 0.0),
    ],
)
def test_a_bump_is_a_bell_within_its_radius(x, y, height):
    assert at(Bump(700, 300, 4.0, 500), x, y) == pytest.approx(height, abs=ROUND_OFF)
    assert at(Bump(700, 300, -4.0, 500), x, y) == pytest.approx(-height, abs=ROUND_OFF)


def test_a_crown_is_a_parabola_along_the_wall():
    crown = Crown(2000, 1600, 3.2)
    assert at(crown, 2000, 900) == pytest.approx(3.2, abs=ROUND_OFF)
    assert at(crown, 1200, 0) == pytest.approx(2.4, abs=ROUND_OFF)
    assert at(crown, 3600, 70) == pytest.approx(0.0, abs=ROUND_OFF)
    assert at(crown, 4400, 70) == pytest.approx(-4.0, abs=ROUND_OFF)


def test_a_step_goes_up_over_its_slope():
    step = Step(1000, -3.0, 40)
    assert [at(step, x, 50) for x in (0, 980, 990, 1000, 1010, 1020, 4000)] == pytest.approx(
        [0, 0, -0.75, -1.5, -2.25, -3, -3], abs=ROUND_OFF
    )


def test_shapes_answer_in_the_shape_that_they_are_asked_in():
    x, y = np.linspace(0, 3000, 5)[:, None], np.array([100.0, 250.0, 900.0])[None, :]
    many = (
        Fall(1, 2), Bump(900, 300, 2, 700), Crown(1500, 1500, 2), Step(700, 2),
        Roughness(Draws("shape"), 1.0),
    )  # fmt: skip
    for shape in many:
        heights = shape.heights_mm(x, y)
        assert heights.shape == (5, 3)
        assert heights[3, 1] == pytest.approx(at(shape, 2250, 250), abs=ROUND_OFF)


def by_hand(name: str, bend_mm: float, x: float, y: float) -> float:
    """The sum of waves number by number with the math library, scaled by quadrature.

    The mean square of a wave's second difference over all directions t is
    2 a² · mean(1 - cos(600π cos t / l))², here by 720 even directions instead of 64.
    """
    draws, total, square = Draws(name), 0.0, 0.0
    turns, phases, steps = (draws.shares(key, 40) for key in ("direction", "phase", "length"))
    for k, (turn, phase, step) in enumerate(zip(turns, phases, steps, strict=True)):
        long = 500.0 * 8.0 ** ((k + step) / 40)
        high = (long / 4000.0) ** 0.75
        along = x * math.cos(2 * math.pi * turn) + y * math.sin(2 * math.pi * turn)
        total += high * math.cos(2 * math.pi * (along / long + phase))
        bends = [
            (1 - math.cos(600 * math.pi * math.cos(math.pi * j / 360) / long)) ** 2
            for j in range(720)
        ]
        square += 2 * high**2 * sum(bends) / len(bends)
    return bend_mm * total / math.sqrt(square)


def test_roughness_is_the_sum_of_its_waves():
    assert (SHORTEST_MM, LONGEST_MM, GROWTH) == (500.0, 4000.0, 0.75)
    for x, y in ((0, 0), (1234, 321), (4100, 2000)):
        found = at(Roughness(Draws("waves"), 1.7), x, y)
        # Both quadratures are of a smooth periodic function: exact to 1e-9.
        assert found == pytest.approx(by_hand("waves", 1.7, x, y), abs=1e-9)


@pytest.mark.parametrize("turn_deg", [0, 35, 90, 160])
def test_second_differences_of_roughness_are_as_promised_in_every_direction(turn_deg):
    s = np.arange(0.0, 3001.0, 300.0)
    x, y = s * math.cos(math.radians(turn_deg)), s * math.sin(math.radians(turn_deg))
    lines = np.array([Roughness(Draws(f"r{k}"), 1.3).heights_mm(x, y) for k in range(300)])
    bends = np.diff(lines, 2, axis=1)
    # 300 floors of about 5 independent differences each: the deviation is known to
    # 1/√(2 · 1500) = 1.8 %; three times that.
    assert float(np.sqrt(np.mean(bends**2))) == pytest.approx(1.3, rel=0.055)
    assert abs(float(np.mean(bends))) < 3 * 1.3 / math.sqrt(300)
