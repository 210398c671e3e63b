"""Beams: tables of handbooks and worked examples from outside the project.

F: read in public text; M: from memory; C: recomputed independently of the kit. Names U1, U3, ...
are those of the project's list of published values. Spans, loads and EI are the sources' where
they give any, and otherwise numbers that no symmetry helps.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from kit.strength.beam import Beam, Loads
from kit.strength.contact import rest
from kit.strength.line import Line, held

#: Of the beams whose source gives none: span [mm], load [N/mm], stiffness [N mm2].
SPAN, EACH, EI = 730.0, 1.7, 2.9e9
WL, WL2, WL4 = EACH * SPAN, EACH * SPAN**2, EACH * SPAN**4 / EI

#: Exact fractions: round-off alone.
EXACT = 1e-9


def equal_spans(spans: int, loaded: str = "") -> Line:
    """A beam over equal spans, an even load on those marked with 1."""
    marks = loaded or "1" * spans
    patches = tuple((n * SPAN, (n + 1) * SPAN, EACH) for n, mark in enumerate(marks) if mark == "1")
    places = tuple(n * SPAN for n in range(spans + 1))
    beam = Beam(places, 0.0, places[-1], EI)
    return held(beam, Loads(patches=patches), np.zeros(spans + 1))


def deepest(line: Line, span: int) -> tuple[float, float]:
    """Greatest sag within a span [mm] and its place, from the span's left end, as part of it."""

    def height(part: float) -> float:
        return float(line.height_mm((span + part) * SPAN))

    found = minimize_scalar(height, bounds=(0.05, 0.95), method="bounded", options={"xatol": 1e-9})
    return -float(found.fun), float(found.x)


# --- continuous beams, all spans loaded --------------------------------------------------------


@dataclass(frozen=True)
class Equal:
    """Reactions x wL from the left, moments over supports x wL², greatest sag x wL⁴/EI at x/L."""

    spans: int
    reactions: list[float]
    moments: list[float]
    sag: float
    at: float
    printed_sag: float


# Civil Engineering Formulas, table 2.1 (digilib.universitaspertamina.ac.id): reactions, moments F,
# all of it C; sags of AISC Manual, tables 3-22 and 3-23: M.
EQUAL = {
    "2": Equal(2, [3 / 8, 5 / 4], [1 / 8], 0.0054161, 0.42154, 0.0054),
    "3": Equal(3, [2 / 5, 11 / 10], [1 / 10], 0.0068842, 0.44604, 0.0069),
    "4": Equal(4, [11 / 28, 8 / 7, 13 / 14], [3 / 28, 1 / 14], 0.0064604, 0.43971, 0.0065),
}


@pytest.mark.parametrize("case", EQUAL.values(), ids=EQUAL.keys())
def test_equal_spans_all_loaded(case: Equal) -> None:
    line = equal_spans(case.spans)
    half = line.reactions_n[: len(case.reactions)] / WL
    assert half == pytest.approx(case.reactions, rel=EXACT)
    assert line.reactions_n == pytest.approx(line.reactions_n[::-1], rel=EXACT)
    over = line.moment_n_mm(SPAN * np.arange(1, 1 + len(case.moments))) / WL2
    assert over == pytest.approx([-one for one in case.moments], rel=EXACT)
    sag, at = deepest(line, 0)
    # Printed so far.
    assert sag / WL4 == pytest.approx(case.sag, abs=5e-8)
    assert at == pytest.approx(case.at, abs=5e-6)
    assert sag / WL4 == pytest.approx(case.printed_sag, abs=5e-5)


#: Shear left and right of each support up to the middle, over the last number: table 2.1, F and C.
SHEAR = {
    5: ([(0, 15), (23, 20), (18, 19)], 38),
    6: ([(0, 41), (63, 55), (49, 51), (53, 53)], 104),
    7: ([(0, 56), (86, 75), (67, 70), (72, 71)], 142),
}


@pytest.mark.parametrize("spans", SHEAR)
def test_shear_at_each_support(spans: int) -> None:
    pairs, whole = SHEAR[spans]
    line = equal_spans(spans)
    places = SPAN * np.arange(len(pairs))
    assert -line.shear_n(places, left=True) / WL * whole == pytest.approx(
        [left for left, _ in pairs], abs=1e-9 * whole
    )
    assert line.shear_n(places) / WL * whole == pytest.approx(
        [right for _, right in pairs], rel=EXACT
    )


def test_greatest_moments_of_table_2_1() -> None:
    """In the first span and at which part of it: 0.0703 at 0.375, 0.080 at 0.400. F and C."""
    for spans, moment, at in ((2, 9 / 128, 3 / 8), (3, 0.08, 0.4)):
        line = equal_spans(spans)
        assert float(line.moment_n_mm(at * SPAN)) / WL2 == pytest.approx(moment, rel=EXACT)
        assert float(line.shear_n(at * SPAN)) / WL == pytest.approx(0, abs=1e-12)
    # Printed as 0.0703.
    assert round(9 / 128, 4) == 0.0703


# --- continuous beams, some spans loaded -------------------------------------------------------


@dataclass(frozen=True)
class Some:
    """Reactions x wL; moments x wL², as printed, at places in spans; greatest sag in a span."""

    loaded: str
    reactions: list[float]
    moments: dict[float, str]
    span: int
    sag: float
    at: float


# AISC Manual, table 3-23, as copied at piping-designer.com, pages 2404, 2405, 2407 and 2408: F and
# C, to the digits printed.
SOME = {
    "2404": Some(
        "110",
        [0.383, 1.200, 0.450, -0.033],
        {0.383: "0.0735", 1.0: "-0.1167", 1.583: "0.0534", 2.0: "-0.0333"},
        0,
        0.0059,
        0.430,
    ),
    "2405": Some(
        "101", [0.450, 0.550, 0.550, 0.450], {0.45: "0.1013", 1.5: "-0.05"}, 0, 0.0099, 0.479
    ),
    # The page prints 0.611 for the moment 0.0611 in the second span: an erratum.
    "2407": Some(
        "1101",
        [0.380, 1.223, 0.357, 0.598, 0.442],
        {
            0.38: "0.072",
            1.0: "-0.1205",
            1.603: "0.0611",
            2.0: "-0.0179",
            3.0: "-0.058",
            3.558: "0.0977",
        },
        3,
        0.0094,
        1 - 0.475,
    ),
    # Errata of the page: 0.805 for the moment 0.0805 in the third span, 0.0554 for the shear 0.554.
    "2408": Some(
        "1010",
        [0.446, 0.572, 0.464, 0.572, -0.054],
        {0.446: "0.0996", 1.0: "-0.0536", 2.0: "-0.0357", 2.482: "0.0805", 3.0: "-0.0536"},
        0,
        0.0097,
        0.477,
    ),
}


@pytest.mark.parametrize("case", SOME.values(), ids=SOME.keys())
def test_equal_spans_some_loaded(case: Some) -> None:
    line = equal_spans(len(case.loaded), case.loaded)
    assert line.reactions_n / WL == pytest.approx(
        case.reactions, abs=6e-4
    )  # printed, cut or rounded
    for part, printed in case.moments.items():
        last = 10.0 ** -len(printed.partition(".")[2])  # rounded, or cut off
        assert float(line.moment_n_mm(SPAN * part)) / WL2 == pytest.approx(float(printed), abs=last)
    sag, at = deepest(line, case.span)
    assert sag / WL4 == pytest.approx(case.sag, abs=6e-5)
    assert at == pytest.approx(case.at, abs=6e-4)


def test_errata_of_the_pages_are_errata() -> None:
    """Printed: 0.611, 0.805 and 0.0554."""
    three, two = equal_spans(4, "1101"), equal_spans(4, "1010")
    assert not 0.6 < float(three.moment_n_mm(1.603 * SPAN)) / WL2 < 0.7
    assert not 0.8 < float(two.moment_n_mm(2.482 * SPAN)) / WL2 < 0.9
    assert -float(two.shear_n(SPAN, left=True)) / WL == pytest.approx(0.554, abs=5e-4)


def test_u1_one_of_two_spans_loaded() -> None:
    """U1: held both ways 7/16, 5/8, -1/16; weightless and lying only 1/2, 1/2, 0. C."""
    line = equal_spans(2, "10")
    assert line.reactions_n / WL == pytest.approx([7 / 16, 5 / 8, -1 / 16], rel=EXACT)
    lying = rest(line.beam, line.loads, np.zeros(3))
    assert lying.line.reactions_n / WL == pytest.approx([1 / 2, 1 / 2, 0], abs=EXACT)
    # The free span goes up as straight as the loaded one ends: w L³ / 24 EI.
    assert lying.gaps_mm == pytest.approx([0, 0, WL4 / 24], rel=EXACT, abs=1e-12)


@pytest.mark.parametrize("a", [190.0, 455.0])
def test_two_spans_one_load_anywhere(a: float) -> None:
    """AISC table 3-23, case 30; piping-designer.com 2401 (F and C; R3 points down)."""
    b, load = SPAN - a, 640.0
    line = held(Beam((0.0, SPAN, 2 * SPAN), 0.0, 2 * SPAN, EI), Loads(((a, load),)), [0, 0, 0])
    lift = load * a * b * (SPAN + a) / (4 * SPAN**3)
    left = load * b * (4 * SPAN**2 - a * (SPAN + a)) / (4 * SPAN**3)
    middle = load * a * (2 * SPAN**2 + b * (SPAN + a)) / (2 * SPAN**3)
    assert line.reactions_n == pytest.approx([left, middle, -lift], rel=EXACT)
    assert float(line.moment_n_mm(SPAN)) == pytest.approx(-lift * SPAN, rel=EXACT)
    assert line.greatest_moment_n_mm == pytest.approx(left * a, rel=EXACT)


# --- unequal spans -----------------------------------------------------------------------------


def test_u6_four_and_six_metres() -> None:
    """U6: M = w(a³ + b³)/8(a + b), piping-designer.com 2398 (formula F, numbers C)."""
    line = held(
        Beam((0.0, 4e3, 10e3), 0.0, 10e3, 5e12), Loads(patches=((0.0, 10e3, 10.0),)), [0] * 3
    )
    assert float(line.moment_n_mm(4e3)) / 1e6 == pytest.approx(-35, rel=EXACT)
    expected = [11.25, 64.583333, 24.166667]
    assert line.reactions_n / 1e3 == pytest.approx(expected, abs=5e-7)  # printed so far
    # Erratum: the page's R3 takes w a/2 for w b/2.
    assert float(line.reactions_n[2]) / 1e3 != pytest.approx(10 * 4 / 2 - 35 / 6, rel=0.1)
    assert float(line.reactions_n[2]) / 1e3 == pytest.approx(10 * 6 / 2 - 35 / 6, rel=EXACT)


def test_six_and_twelve_metres_with_a_load_on_each() -> None:
    """expertsmind.com, theorem of three moments: -37.5; 3.75, 29.375, 6.875 kN. F and C."""
    loads = Loads(((3e3, 20e3), (12e3, 20e3)))
    line = held(Beam((0.0, 6e3, 18e3), 0.0, 18e3, 7e12), loads, [0, 0, 0])
    assert float(line.moment_n_mm(6e3)) / 1e6 == pytest.approx(-37.5, rel=EXACT)
    assert line.reactions_n / 1e3 == pytest.approx([3.75, 29.375, 6.875], rel=EXACT)


def test_propped_and_overhanging() -> None:
    """holooly.com, question D.3: -97.5, -142.5, -90 k-ft. F and C.

    The beam is built in at A; a beam that goes on beyond A as its own mirror does not turn there.
    Feet and kips; C reaches 10 ft further under 1.8 k/ft, which is the -90 of the source.
    """
    loads = Loads(((10.0, 45.0), (-10.0, 45.0)), ((20.0, 60.0, 1.8), (-60.0, -20.0, 1.8)))
    beam = Beam((-50.0, -20.0, 0.0, 20.0, 50.0), -60.0, 60.0, 1e6)
    line = held(beam, loads, np.zeros(5))
    assert line.moment_n_mm([0, 20, 50]) == pytest.approx([-97.5, -142.5, -90], rel=EXACT)
    assert line.reactions_n[3:] == pytest.approx(
        [22.5 + 45 / 20 + 27 + 52.5 / 30, 27 - 52.5 / 30 + 18], rel=EXACT
    )


@pytest.mark.parametrize(("alpha", "beta"), [(0.6, 1.3), (1.0, 1.0), (2.2, 0.35)])
def test_middle_of_three_spans_loaded(alpha: float, beta: float) -> None:
    """mathalino.com, problem 822: spans αL, L, βL, the middle one loaded. F."""
    places = np.cumsum([0, alpha * SPAN, SPAN, beta * SPAN])
    patch = (float(places[1]), float(places[2]), EACH)
    beam = Beam(tuple(places.tolist()), 0.0, float(places[-1]), EI)
    line = held(beam, Loads(patches=(patch,)), np.zeros(4))
    below = 4 * (1 + alpha) * (1 + beta) - 1
    expected = [-WL2 / 4 * (1 + 2 * beta) / below, -WL2 / 4 * (1 + 2 * alpha) / below]
    assert line.moment_n_mm(places[1:3]) == pytest.approx(expected, rel=EXACT)


def test_overhangs_that_make_all_reactions_alike() -> None:
    """mathalino.com, three-moment equation: 300 N/m, two spans of 3 m and overhangs of x.

    Of the answers offered, x = 1.319 m, 863.8 N and -207 N m belong together (F; which, C).
    """
    x = 1319.0
    beam = Beam((0.0, 3e3, 6e3), -x, 6e3 + x, 3e11)
    line = held(beam, Loads(patches=((-x, 6e3 + x, 0.3),)), [0, 0, 0])
    # x is printed to a millimetre.
    assert line.reactions_n == pytest.approx([863.8] * 3, abs=0.3)
    assert float(line.moment_n_mm(3e3)) / 1e3 == pytest.approx(-207, abs=0.5)


# --- one span and its overhang -----------------------------------------------------------------


def test_overhang_under_an_even_load() -> None:
    """AISC Manual, table 3-23, case 24: M and C."""
    span, arm = 810.0, 240.0
    line = held(
        Beam((0.0, span), 0.0, span + arm, EI), Loads(patches=((0.0, span + arm, EACH),)), [0, 0]
    )
    left, right = EACH * (span**2 - arm**2) / (2 * span), EACH * (span + arm) ** 2 / (2 * span)
    assert line.reactions_n == pytest.approx([left, right], rel=EXACT)
    at = span / 2 * (1 - arm**2 / span**2)
    between = EACH * (span + arm) ** 2 * (span - arm) ** 2 / (8 * span**2)
    assert float(line.moment_n_mm(at)) == pytest.approx(between, rel=EXACT)
    assert float(line.moment_n_mm(span)) == pytest.approx(-EACH * arm**2 / 2, rel=EXACT)
    tip = EACH * arm * (4 * arm**2 * span - span**3 + 3 * arm**3) / (24 * EI)
    assert float(line.height_mm(span + arm)) == pytest.approx(-tip, rel=EXACT)


def test_overhang_under_a_load_at_its_tip() -> None:
    """mechengcalculations.com, beam 12; AISC case 26: up F a l²/9√3 EI at l/√3, tip. F and C."""
    span, arm, load = 910.0, 210.0, 330.0
    line = held(Beam((0.0, span), 0.0, span + arm, EI), Loads(((span + arm, load),)), [0, 0])
    assert line.reactions_n == pytest.approx(
        [-load * arm / span, load * (1 + arm / span)], rel=EXACT
    )
    up = load * arm * span**2 / (9 * math.sqrt(3) * EI)
    assert float(line.height_mm(span / math.sqrt(3))) == pytest.approx(up, rel=EXACT)
    tip = load * arm**2 * (span + arm) / (3 * EI)
    assert float(line.height_mm(span + arm)) == pytest.approx(-tip, rel=EXACT)


def test_even_loads_at_both_ends_of_a_span() -> None:
    """AISC case 6; piping-designer.com 2356: R1 = [w1 a(2l - a) + w2 c²]/2l. F and C."""
    a, c, first, second = 260.0, 180.0, 3.1, 1.2
    loads = Loads(patches=((0.0, a, first), (SPAN - c, SPAN, second)))
    line = held(Beam((0.0, SPAN), 0.0, SPAN, EI), loads, [0, 0])
    left = (first * a * (2 * SPAN - a) + second * c**2) / (2 * SPAN)
    right = (second * c * (2 * SPAN - c) + first * a**2) / (2 * SPAN)
    assert line.reactions_n == pytest.approx([left, right], rel=EXACT)
    assert left < first * a
    assert line.greatest_moment_n_mm == pytest.approx(left**2 / (2 * first), rel=EXACT)
    assert line.greatest_shear_n == pytest.approx(left, rel=EXACT)


# --- a support below the line of the others ----------------------------------------------------

BOTH = Beam((0.0, SPAN, 2 * SPAN), 0.0, 2 * SPAN, EI)
ON_BOTH = Loads(patches=((0.0, 2 * SPAN, EACH),))


@pytest.mark.parametrize("part", [0.0, 0.013, 1 / 24, 0.1, 0.2, 5 / 24])
def test_u3_middle_support_below_the_line(part: float) -> None:
    """U3: R = 5/4 w L - 6 E I g / L³ as long as that is not negative. C. g = part x wL⁴/EI."""
    gap = part * WL4
    found = rest(BOTH, ON_BOTH, [0.0, -gap, 0.0])
    middle = 5 / 4 * WL - 6 * EI * gap / SPAN**3
    expected = [WL - middle / 2, middle, WL - middle / 2]
    assert found.line.reactions_n == pytest.approx(expected, abs=EXACT * WL)
    assert found.gaps_mm == pytest.approx([0, 0, 0], abs=1e-9)


def test_u3_as_much_too_low_as_spans_of_their_own_would_want() -> None:
    """U3: at g = wL⁴/24EI 1/2, 1, 1/2 and no moment over the middle. C."""
    found = rest(BOTH, ON_BOTH, [0.0, -WL4 / 24, 0.0])
    assert found.line.reactions_n / WL == pytest.approx([1 / 2, 1, 1 / 2], rel=EXACT)
    assert float(found.line.moment_n_mm(SPAN)) / WL2 == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize("more", [1.00001, 1.3, 6.0])
def test_u3_beyond_where_it_loses_contact(more: float) -> None:
    """U3: at g = 5wL⁴/24EI the middle support is free; the gap grows by what g is more. C."""
    free = 5 / 24 * WL4
    found = rest(BOTH, ON_BOTH, [0.0, -more * free, 0.0])
    assert found.line.reactions_n / WL == pytest.approx([1, 0, 1], abs=EXACT)
    assert found.gaps_mm == pytest.approx([0, (more - 1) * free, 0], abs=1e-9)


@pytest.mark.parametrize(
    "down", [[0.0, 1.1, 0.0, 0.0], [0.0, 0.0, 0.7, -0.2], [1.0, 0.4, -0.3, 0.8]]
)
def test_settlements_by_the_equation_of_three_moments(down: list[float]) -> None:
    """M₁l₁ + 2M₂(l₁ + l₂) + M₃l₂ = -w(l₁³ + l₂³)/4 + 6EI(kink of the supports' line). M.

    Timoshenko, Strength of Materials, part I, continuous beams; Clapeyron's equation.
    """
    a, b, c = 410.0, 890.0, 650.0
    heights = -np.array(down)
    slopes = np.diff(heights) / [a, b, c]
    pressed = -np.array([a**3 + b**3, b**3 + c**3]) * EACH / 4
    kinks = 6 * EI * np.diff(slopes)
    over = np.linalg.solve([[2 * (a + b), b], [b, 2 * (b + c)]], pressed + kinks)
    beam = Beam((0.0, a, a + b, a + b + c), 0.0, a + b + c, EI)
    line = held(beam, Loads(patches=((0.0, a + b + c, EACH),)), heights)
    assert line.moment_n_mm([a, a + b]) == pytest.approx(over, rel=EXACT)
    left = EACH * a / 2 + over[0] / a
    right = EACH * c / 2 + over[1] / c
    assert line.reactions_n[[0, 3]] == pytest.approx([left, right], rel=EXACT)
