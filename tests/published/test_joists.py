"""Joists against worked examples from outside the project, through the whole path of the kit.

F: read in public text; M: from memory; C: recomputed independently of the kit. J1 and J3 are
those of the project's list of published values.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from kit.job import Joists
from kit.strength.beam import Beam, Loads
from kit.strength.joist_lines import JoistLines
from kit.strength.joist_stress import governing
from kit.strength.joists import JoistWork, Pressed, beam_of, joists_under
from kit.strength.line import held
from kit.strength.section import Rectangle, bending_ratio, bending_stress
from kit.strength.timber import KSYS, kmod, timber_class

SPAN_MM = 4500.0

# Benoit et al., Calcul de structures en bois, example 2.3.1 (F and C; values as reproduced in
# xcfem/xc, verif/tests/materials/ec5/timber_beam_test_01.py): C24, 75 x 200, 4.5 m, simply held.
EXAMPLE = Joists(
    along="y",
    width_mm=75.0,
    depth_mm=200.0,
    centres_mm=1000.0,
    first_mm=0.0,
    bearing_mm=(0.0, SPAN_MM),
    strength_class="C24",
    dead_kn_per_m2=0.25,
    imposed_kn_per_m2=0.75,
)
EVEN = Loads(patches=((0.0, SPAN_MM, 0.75),))
FLAT = [0.0, 0.0]


def test_j1_deflection_by_bending_and_by_shear() -> None:
    beam = beam_of(EXAMPLE)
    stiff = Beam(beam.supports_mm, 0.0, SPAN_MM, beam.ei_n_mm2)
    whole = -float(held(beam, EVEN, FLAT).height_mm(SPAN_MM / 2))
    bending = -float(held(stiff, EVEN, FLAT).height_mm(SPAN_MM / 2))
    # Printed to a nanometre.
    assert bending == pytest.approx(7.280939, abs=1e-6)
    assert whole - bending == pytest.approx(0.220109, abs=1e-6)


def test_j1_as_a_row_of_small_stacks_on_a_joist() -> None:
    stacks = 451  # odd, so that one stands in the middle
    each = SPAN_MM / stacks
    pressed = [
        Pressed(str(n), "M", 0.0, (n + 0.5) * each, 0.75 * each * 0.2, 0.75 * each * 0.8)
        for n in range(stacks)
    ]
    work = joists_under(EXAMPLE, "boarded", pressed, 1)
    assert isinstance(work, JoistWork)
    # An even load cut into n points misses by less than its part 2/n**2 in bending and shear.
    assert work.stacks["225"].inst_mm == pytest.approx(7.501048, rel=2e-5)


def test_j3_bending_of_the_example() -> None:
    timber, section = timber_class("C24"), Rectangle(75.0, 200.0)
    line = held(beam_of(EXAMPLE), Loads(patches=((0.0, SPAN_MM, 1.4625),)), FLAT)
    moment = line.greatest_moment_n_mm
    assert moment / 1e6 == pytest.approx(3.70195, abs=5e-6)  # printed so far
    assert bending_stress(moment, section) == pytest.approx(7.40391, abs=5e-6)
    ratio = bending_ratio(moment, section, timber, kmod(1, "medium"), ksys=KSYS)
    assert ratio == pytest.approx(0.455733, abs=5e-7)


def test_j3_as_a_joist_under_a_floor_and_its_use_alone() -> None:
    """1.35 x 0.25 + 1.5 x 0.75 = 1.4625 kN/m, under a stack that weighs nothing."""
    work = joists_under(EXAMPLE, "boarded", [Pressed("B1", "B", 0.0, 900.0, 0.0)], 1)
    assert isinstance(work, JoistWork)
    assert work.joists[0].bending.duration == "medium"
    assert work.joists[0].bending.ratio == pytest.approx(0.455733, abs=5e-7)  # printed so far


def test_one_load_off_centre() -> None:
    """AISC Manual, table 3-23, case 8 (M and C): where and how far a beam sags most, a > b."""
    a, b, load, ei = 2600.0, 1300.0, 1750.0, 3.1e11
    span = a + b
    lines = JoistLines(Beam((0.0, span), 0.0, span, ei), np.array([a]))
    (found,) = lines.deepest(np.array([[load]]))
    greatest = load * a * b * (a + 2 * b) * math.sqrt(3 * a * (a + 2 * b)) / (27 * ei * span)
    # Closed forms: round-off only.
    assert found.at_mm == pytest.approx(math.sqrt(a * (a + 2 * b) / 3), rel=1e-9)
    assert found.sag_mm == pytest.approx(greatest, rel=1e-9)
    at_load = lines.sag_mm(np.array([a]))[0, 0] * load
    assert at_load == pytest.approx(load * (a * b) ** 2 / (3 * ei * span), rel=1e-9)
    moment, shear = lines.greatest(np.array([[load]]), 0.0)
    assert (moment[0], shear[0]) == pytest.approx((load * a * b / span, load * a / span))


def test_two_spans_one_loaded_in_its_middle() -> None:
    """AISC Manual, table 3-23, case 29 (M and C): 13/32, 11/16, -3/32; 0.015 P l³/EI at 0.480 l."""
    span, load, ei = 3000.0, 900.0, 2.7e11
    beam = Beam((0.0, span, 2 * span), 0.0, 2 * span, ei)
    lines = JoistLines(beam, np.array([span / 2]))
    assert lines.reactions[:, 0] == pytest.approx([13 / 32, 11 / 16, -3 / 32], rel=1e-9)
    (found,) = lines.deepest(np.array([[load]]))
    assert found.sag_mm == pytest.approx(0.015 * load * span**3 / ei, rel=5e-3)  # two figures
    assert found.at_mm == pytest.approx(0.480 * span, abs=0.0005 * span)  # three figures
    moment, shear = lines.greatest(np.array([[load]]), 0.0)
    assert moment[0] == pytest.approx(13 / 64 * load * span, rel=1e-9)
    assert shear[0] == pytest.approx(19 / 32 * load, rel=1e-9)
    even = lines.greatest(np.array([[0.0]]), 2.0)
    # Two equal spans under an even load: 1/8 q l² and 5/8 q l over the middle.
    assert (even[0][0], even[1][0]) == pytest.approx((2.0 * span**2 / 8, 2.0 * span * 5 / 8))


def test_two_spans_an_even_load_on_one() -> None:
    """AISC Manual, table 3-23 (F and C): 49/512 q l², where the span is 9/128 with both loaded.

    The reactions of the same case, 7/16, 5/8 and -1/16 of q l, are among the beams' tests.
    """
    span, each = 3000.0, 1.3
    beam = Beam((0.0, span, 2 * span), 0.0, 2 * span, 2.7e11)
    lines = JoistLines(beam, np.array([7 / 16 * span]))
    assert lines.reactions[:, 1] / span == pytest.approx([7 / 16, 5 / 8, -1 / 16], rel=1e-9)
    nothing = np.zeros((1, 1))
    moment, shear = lines.greatest(nothing, [each, 0.0])
    assert moment[0] == pytest.approx(49 / 512 * each * span**2, rel=1e-9)
    assert round(moment[0] / (each * span**2), 3) == 0.096  # as printed
    assert shear[0] == pytest.approx(9 / 16 * each * span, rel=1e-9)


def test_three_spans_the_worst_of_the_arrangements() -> None:
    """Handbook factors of three equal spans (M and C): 0.101 in the ends, 0.117 over a bearing.

    An even load on the outer two, 81/800; on two neighbours, 7/60; on all three 0.080 and 0.100.
    """
    span = 2000.0
    bearings = (0.0, span, 2 * span, 3 * span)
    floor = EXAMPLE.model_copy(update={"bearing_mm": bearings, "dead_kn_per_m2": 0.0})
    # The handbook's beams are stiff in shear.
    lines = JoistLines(Beam(bearings, 0.0, 3 * span, 2.7e11), np.array([0.45 * span]))
    nothing = np.zeros((1, 1))
    outer, _ = lines.greatest(nothing, [1.0, 0.0, 1.0])
    assert outer[0] / span**2 == pytest.approx(81 / 800, rel=1e-9)
    neighbours, _ = lines.greatest(nothing, [1.0, 1.0, 0.0])
    assert neighbours[0] / span**2 == pytest.approx(7 / 60, rel=1e-9)
    ((bending, _),) = governing(floor, 1, lines, np.zeros((3, 1, 1)))
    timber, section = timber_class("C24"), Rectangle(75.0, 200.0)
    moment = 7 / 60 * 1.5 * 0.75 * span**2
    ratio = bending_ratio(moment, section, timber, kmod(1, "medium"), ksys=KSYS)
    assert bending.ratio == pytest.approx(ratio, rel=1e-9)
