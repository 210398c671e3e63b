"""A rectangle in bending and shear, against stresses summed up over the section."""

from __future__ import annotations

import numpy as np
import pytest

from kit.job import Refusal
from kit.strength.section import (
    Rectangle,
    bending_ratio,
    bending_stress,
    shear_ratio,
    shear_stress,
)
from kit.strength.timber import C16, C24, KSYS

BEARER = Rectangle(47.0, 95.0)
STRIPS = 20000


def strips(section):
    """Return the middle heights and the depth of thin strips of the section."""
    edges = np.linspace(-section.depth_mm / 2, section.depth_mm / 2, STRIPS + 1)
    return (edges[1:] + edges[:-1]) / 2, section.depth_mm / STRIPS


def test_the_sums_over_strips_give_the_section_values():
    z, dz = strips(BEARER)
    # The middle rule of a square is off by 1 / STRIPS^2.
    assert BEARER.area_mm2 == pytest.approx(BEARER.width_mm * dz * STRIPS, rel=1e-9)
    second = float(np.sum(BEARER.width_mm * dz * z**2))
    assert BEARER.second_moment_mm4 == pytest.approx(second, rel=1e-8)
    assert BEARER.section_modulus_mm3 == pytest.approx(second / (95.0 / 2), rel=1e-8)


def test_the_bending_stress_balances_the_moment():
    z, dz = strips(BEARER)
    edge = bending_stress(-613000.0, BEARER)
    moment = float(np.sum(edge * z / (95.0 / 2) * z * BEARER.width_mm * dz))
    assert moment == pytest.approx(613000.0, rel=1e-8)  # the middle rule, as above


def test_the_shear_stress_balances_the_force():
    z, dz = strips(BEARER)
    middle = shear_stress(-2310.0, BEARER, kcr=1.0)
    parabola = middle * (1 - (2 * z / 95.0) ** 2)
    assert float(np.sum(parabola * BEARER.width_mm * dz)) == pytest.approx(2310.0, rel=1e-8)


def test_cracks_take_a_third_of_the_width():
    whole = shear_stress(2310.0, BEARER, kcr=1.0)
    assert shear_stress(2310.0, BEARER) == pytest.approx(whole / 0.67, rel=1e-12)
    assert shear_stress(2310.0, Rectangle(47.0 * 0.67, 95.0), kcr=1.0) == pytest.approx(
        shear_stress(2310.0, BEARER), rel=1e-12
    )  # round-off only, both times


@pytest.mark.parametrize(("section", "factor"), [(BEARER, 1.0956543), (Rectangle(47.0, 200.0), 1)])
def test_bending_ratio(section, factor):
    """Allowed moment by hand: W fm,k kh ksys kmod / 1.3; at it the ratio is 1."""
    w = section.width_mm * section.depth_mm**2 / 6
    allowed = w * 16.0 * factor * 0.7 * 1.1 / 1.3
    # The depth factor is written with eight figures.
    assert bending_ratio(allowed, section, C16, 0.7, ksys=KSYS) == pytest.approx(1.0, rel=1e-7)
    assert bending_ratio(-allowed, section, C16, 0.7) == pytest.approx(1.1, rel=1e-7)
    assert bending_ratio(allowed, section, C24, 0.7, ksys=KSYS) == pytest.approx(16 / 24, rel=1e-7)


def test_shear_ratio():
    """Allowed force by hand: 2/3 · 0.67 · 47 · 95 · 3.2 · 0.6 / 1.3 = 2945.526 N."""
    assert shear_ratio(2945.526, BEARER, C16, 0.6) == pytest.approx(1.0, rel=1e-6)  # seven figures
    assert shear_ratio(2945.526, BEARER, C16, 0.6, ksys=1.1) == pytest.approx(1 / 1.1, rel=1e-6)
    assert shear_ratio(-2945.526, BEARER, C24, 0.6) == pytest.approx(0.8, rel=1e-6)
    assert shear_ratio(0.0, BEARER, C16, 0.6) == 0.0


@pytest.mark.parametrize("sides", [(0.0, 95.0), (47.0, -95.0), (float("nan"), 95.0)])
def test_a_section_without_sides_is_refused(sides):
    with pytest.raises(Refusal, match="of the section"):
        Rectangle(*sides)


@pytest.mark.parametrize("kcr", [0.0, 1.01, -0.67])
def test_a_share_of_the_width_outside_nought_to_one_is_refused(kcr):
    with pytest.raises(Refusal, match="kcr"):
        shear_stress(100.0, BEARER, kcr=kcr)
