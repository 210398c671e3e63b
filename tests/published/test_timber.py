"""Timber, its sections, bearing and screws against sources outside the project; one row a case.

F: read in public text; M: from memory; C: recomputed independently of the kit. Names B1, J1, S1
and the like are those of the project's list of published values.
"""

from __future__ import annotations

import math

import pytest

from kit.job import Refusal
from kit.strength.bearing import Contact, bearing_ratio, effective_length_mm
from kit.strength.section import Rectangle, bending_ratio, bending_stress, shear_stress
from kit.strength.timber import (
    GAMMA_G,
    GAMMA_Q,
    KSYS,
    TimberClass,
    design_strength,
    kdef,
    kh,
    kmod,
    psi2,
    timber_class,
)
from kit.strength.withdrawal import (
    Holds,
    Outside,
    screw_holds_N,
    withdrawal_resistance_N,
    withdrawal_strength,
)
from kit.strength.withdrawal_nds import (
    N_PER_POUND,
    nds_lb_per_in,
    nds_penetration,
    specific_gravity,
)

EXACT = 1e-12  # a table read off, or the same sum in another order: round-off only


@pytest.mark.parametrize(
    "row",
    [
        # EN 338:2016 table 1, F (columns fm,k fc,90,k fv,k E0,mean E0,05 Gmean rho_k rho_mean).
        # Trap: EN 338:2003 printed fv,k 1.8 and 2.5; such tables are still about (the open code
        # xcfem/xc, verif/tests/materials/ec5/test_EC5Wood_04.py, still has 2.5 for C24, F).
        ("C16", 16.0, 2.2, 3.2, 8000.0, 5400.0, 500.0, 310.0, 370.0),
        ("C24", 24.0, 2.5, 4.0, 11000.0, 7400.0, 690.0, 350.0, 420.0),
    ],
    ids=lambda row: row[0],
)
def test_strength_class(row):
    assert timber_class(row[0]) == TimberClass(*row)


@pytest.mark.parametrize(
    ("service_class", "values"),
    [
        # EN 1995-1-1 table 3.1, solid timber, F (what-when-how.com; ICE Manual T19.9).
        (1, (0.60, 0.70, 0.80, 0.90, 1.10)),
        (2, (0.60, 0.70, 0.80, 0.90, 1.10)),
        (3, (0.50, 0.55, 0.65, 0.70, 0.90)),
    ],
)
def test_kmod(service_class, values):
    durations = ("permanent", "long", "medium", "short", "instantaneous")
    assert tuple(kmod(service_class, duration) for duration in durations) == values


def test_kdef_and_psi2():
    """EN 1995-1-1 table 3.2, M; 0.8 for service class 2 F (scribd 795537988). EN 1990 A1.1, M."""
    assert [kdef(n) for n in (1, 2, 3)] == [0.60, 0.80, 2.00]
    assert (psi2("rooms"), psi2("stored")) == (0.3, 0.8)


@pytest.mark.parametrize(
    ("strength", "factor", "expected"),
    [
        # xcfem/xc verif/tests/materials/ec5, F and C; fc,90,k is that of C18 and C16 alike.
        ("fm_k of C24", kmod(1, "medium"), 14.769230769230768),  # test_EC5Wood_01.py
        ("fc90_k of C16", kmod(3, "permanent"), 0.8461538461538461),  # test_EC5Wood_03.py
    ],
)
def test_design_strength(strength, factor, expected):
    name, grade = strength.split(" of ")
    k = getattr(timber_class(grade), name)
    assert design_strength(k, factor) == pytest.approx(expected, rel=EXACT)


@pytest.mark.parametrize(
    ("width", "depth", "pieces", "area", "modulus", "second"),
    [
        # Calculations to BS EN 1995-1-1 that print their section properties, F and C:
        (150.0, 300.0, 1, 45000.0, 2250000.0, 337500000.0),  # scribd.com/document/367668675
        (250.0, 250.0, 2, 125000.0, 5208334.0, 651041700.0),  # scribd 367668418, seven figures
        (100.0, 200.0, 1, 20000.0, 666666.7, 66666666.7),  # C
    ],
)
def test_section_properties(width, depth, pieces, area, modulus, second):
    section = Rectangle(width, depth)
    assert section.area_mm2 * pieces == pytest.approx(area, rel=2e-7)  # seven printed figures
    assert section.section_modulus_mm3 * pieces == pytest.approx(modulus, rel=2e-7)
    assert section.second_moment_mm4 * pieces == pytest.approx(second, rel=2e-7)


# Y. Benoit, B. Legrand, V. Tastet, Calcul de structures en bois, 2nd printing 2008, example 2.3.1:
# C24, 75 x 200 at 500 mm, span 4.5 m, service class 1. Inputs and figures read in the open code
# xcfem/xc, verif/tests/materials/ec5/timber_beam_test_01.py (F), recomputed (C).
JOIST, SPAN_MM = Rectangle(75.0, 200.0), 4500.0


def deflection_mm(load: float, span_mm: float, section: Rectangle, timber: TimberClass):
    """Return the share of bending and of shear, 5 q L^4 / 384 E I and kappa q L^2 / 8 G A."""
    bending = 5 * load * span_mm**4 / (384 * timber.e0_mean * section.second_moment_mm4)
    return bending, 1.2 * load * span_mm**2 / (8 * timber.g_mean * section.area_mm2)


@pytest.mark.parametrize(
    ("load", "bending", "total"),
    [
        (0.75, 7.280939, 7.501047972907759),  # J1: variable load alone, 1.5 kN/m2
        (1.0, 9.707919, 10.001397297210477),  # permanent and variable, 2.0 kN/m2
        # Creep, kdef (g + psi2 q). Erratum: here g is 0.57 kN/m2 where the same file has 0.5 for
        # the other loads.
        (kdef(1) * (0.57 + psi2("rooms") * 1.5) * 0.5, 2.970623, 3.06042757294636),
    ],
    ids=["J1", "all", "creep"],
)
def test_deflection(load, bending, total):
    shares = deflection_mm(load, SPAN_MM, JOIST, timber_class("C24"))
    assert shares[0] == pytest.approx(bending, abs=5e-7)  # half of the last figure, C
    assert sum(shares) == pytest.approx(total, rel=1e-9)  # F: that code's own tolerance


def test_j3():
    """The same joist at the ultimate limit state, F and C."""
    load = 0.5 * (GAMMA_G * 0.5 + GAMMA_Q * 1.5)
    assert load == pytest.approx(1.4625, rel=EXACT)
    moment = load * SPAN_MM**2 / 8
    assert moment == pytest.approx(3.70195e6, abs=5.0)  # half of the last figure, kN m
    timber, factor = timber_class("C24"), kmod(1, "medium")
    assert bending_stress(moment, JOIST) == pytest.approx(7.40391, abs=5e-6)
    assert design_strength(timber.fm_k, factor, factor=kh(200.0) * KSYS) == pytest.approx(
        16.24615, abs=5e-6
    )
    ratio = bending_ratio(moment, JOIST, timber, factor, ksys=KSYS)
    assert ratio == pytest.approx(0.45573286576705063, rel=1e-9)  # that code's own tolerance


@pytest.mark.parametrize(("name", "older", "more"), [("C16", 1.8, 0.191), ("C24", 2.5, 0.072)])
def test_the_newer_shear_strength_goes_with_the_cracks(name, older, more):
    """Two thirds of the width at EN 338:2016 bear a little more than all of it at EN 338:2003.

    The older strengths F, that kcr came with A1 of EN 1995-1-1 M, the difference C.
    """
    cracked, whole = (shear_stress(1000.0, JOIST, **kcr) for kcr in ({}, {"kcr": 1.0}))
    gain = (whole / older) / (cracked / timber_class(name).fv_k) - 1
    assert gain == pytest.approx(more, abs=5e-4)  # half of the last figure


def test_b1():
    """EN 1995-1-1 6.1.5, F: end of a member, 90 wide, 45 long, continuous support."""
    assert effective_length_mm(45.0, 0.0, math.inf, math.inf, math.inf) == 75.0
    contact = Contact(45.0, 90.0, 200.0, left_end_mm=0.0, support="continuous")
    assert contact.effective_area_mm2 == 6750.0
    timber, factor = timber_class("C24"), kmod(1, "medium")
    assert design_strength(timber.fc90_k, factor) == pytest.approx(1.538462, abs=5e-7)
    assert 1 / bearing_ratio(1.0, contact, timber, factor) == pytest.approx(12980.769, abs=5e-4)
    assert bearing_ratio(10e3, contact, timber, factor) == pytest.approx(0.77037, abs=5e-6)


# US spans. Sizes in inches, dressed; strengths by the NDS: Fb times size factor CF times 1.15 for
# repetitive members; dead and live load in bending, live load alone in deflection, L/360.
# The size factor of Southern Pine is part of its Fb. Fb, E and CF are from memory (values of the
# 1990s, before the Southern Pine grades of 2013). Where memory offered two editions (Fb of Douglas
# fir 2, hem-fir 1, SPF south 1 and 2) the one that the rows bear out was taken, and Fb of SPF south
# 3 is drawn from its own rows: there only how the span goes with size, spacing and E is checked.
PSI = N_PER_POUND / 25.4**2  # N/mm2
PSF = PSI / 144
DEPTH = {"2x6": 5.5, "2x8": 7.25, "2x10": 9.25, "2x12": 11.25}
SIZE = {"2x6": 1.3, "2x8": 1.2, "2x10": 1.1, "2x12": 1.0}
PINE = {  # Southern Pine, psi, size factor in it
    "1": {"2x6": 1650.0, "2x8": 1500.0, "2x10": 1300.0, "2x12": 1250.0},
    "2": {"2x6": 1250.0, "2x8": 1200.0, "2x10": 1050.0, "2x12": 975.0},
    "3": {"2x6": 750.0, "2x8": 700.0, "2x10": 600.0, "2x12": 575.0},
}
PINE_E = {"1": 1.7e6, "2": 1.6e6, "3": 1.4e6}
OTHERS = {  # Fb before the size factor and E, psi
    "Douglas fir 1": (1000.0, 1.7e6),
    "Douglas fir 2": (875.0, 1.6e6),
    "Douglas fir 2, later": (900.0, 1.6e6),
    "hem-fir 1": (950.0, 1.5e6),
    "hem-fir 2": (850.0, 1.3e6),
    "SPF 2": (875.0, 1.4e6),
    "SPF south 1": (850.0, 1.2e6),
    "SPF south 2": (750.0, 1.1e6),
    "SPF south 3": (425.0, 1.0e6),
}


def strength_and_stiffness(grade: str, size: str) -> tuple[float, float]:
    """Return Fb with size factor and repetitive members, and E [psi]."""
    species, _, number = grade.rpartition(" ")
    if species == "pine":
        return PINE[number][size] * 1.15, PINE_E[number]
    strength, stiffness = OTHERS[grade]
    return strength * SIZE[size] * 1.15, stiffness


def spans(inches: float, grade: str, size: str, spacing_in: float, live_psf: float) -> bool:
    """Tell whether a joist of that span passes bending and live deflection."""
    section, span = Rectangle(1.5 * 25.4, DEPTH[size] * 25.4), inches * 25.4
    strength, stiffness = strength_and_stiffness(grade, size)
    live, dead = (psf * PSF * spacing_in * 25.4 for psf in (live_psf, 10.0))
    stress = bending_stress((live + dead) * span**2 / 8, section)
    sag = 5 * live * span**4 / (384 * stiffness * PSI * section.second_moment_mm4)
    return stress <= strength * PSI and sag <= span / 360


def inches_of(text: str) -> int:
    feet, inches = text.split("-")
    return 12 * int(feet) + int(inches)


def nearest_inch(grade: str, size: str, spacing: float, live: float, printed: str) -> bool:
    """Tell whether the printed span is the longest one, rounded to the nearest inch."""
    span = inches_of(printed)
    case = (grade, size, spacing, live)
    return spans(span - 0.5, *case) and not spans(span + 0.5, *case)


@pytest.mark.parametrize(
    ("grade", "size", "spacing", "live", "printed"),
    [
        # J5: coferadams.com/charts.htm, F and C.
        ("pine 2", "2x10", 12.0, 40.0, "18-0"),
        ("pine 2", "2x10", 16.0, 40.0, "16-1"),
        ("pine 3", "2x10", 12.0, 40.0, "14-0"),
        ("pine 3", "2x10", 16.0, 40.0, "12-2"),
        ("pine 2", "2x10", 12.0, 30.0, "19-10"),
        ("pine 3", "2x10", 16.0, 30.0, "13-7"),
        # J7: toolbase.org after the IRC 2003, F and C.
        ("SPF 2", "2x8", 16.0, 40.0, "12-3"),
    ],
)
def test_us_span(grade, size, spacing, live, printed):
    assert nearest_inch(grade, size, spacing, live, printed)


def test_two_spans_of_that_chart_stand_in_each_other_s_place():
    """Erratum in J5's source, 30 psf: it prints 15-8 for No. 2 at 16 in, 18-0 for No. 3 at 12 in.

    Read the other way round both are right, and No. 2 no longer spans less at 30 than at 40 psf.
    """
    second, third = ("pine 2", "2x10", 16.0, 30.0), ("pine 3", "2x10", 12.0, 30.0)
    assert not nearest_inch(*second, "15-8")
    assert not nearest_inch(*third, "18-0")
    assert nearest_inch(*second, "18-0")
    assert nearest_inch(*third, "15-8")


def test_the_later_strength_of_douglas_fir():
    """J7, M and C: No. 2 2x8 at 16 in is 12-9 with Fb 900 psi; with the older 875 psi 12-7."""
    assert nearest_inch("Douglas fir 2, later", "2x8", 16.0, 40.0, "12-9")
    assert nearest_inch("Douglas fir 2", "2x8", 16.0, 40.0, "12-7")


# Whole tables, live 40 psf; sizes 2x6, 2x8, 2x10, 2x12. F and C.
# paperzz.com/doc/9179374/span-tables: 12, 16, 24 in within each size. The page does not say what
# dead load it took (10 psf here), and calls plainly spruce-pine-fir what the other page, with the
# same spans, calls southern.
BY_SPACING = {
    "pine 1": "10-11 9-11 8-8 14-5 13-1 11-5 18-5 16-9 14-7 22-5 20-4 17-5",
    "pine 2": "10-9 9-9 8-6 14-2 12-10 11-0 18-0 16-1 13-2 21-9 18-10 15-4",
    "pine 3": "9-4 8-1 6-7 11-11 10-3 8-5 14-0 12-2 9-11 16-8 14-5 11-10",
    "SPF south 1": "9-9 8-10 7-9 12-10 11-8 10-2 16-5 14-11 12-5 19-11 17-7 14-4",
    "SPF south 2": "9-6 8-7 7-6 12-6 11-4 9-6 15-11 14-3 11-8 19-1 16-6 13-6",
    "SPF south 3": "8-0 6-11 5-8 10-2 8-9 7-2 12-5 10-9 8-9 14-4 12-5 10-2",
}
# askthebuilder.com/floor-joists-table, 16 in, 10 psf dead; the stored copy has lost the head of
# its columns, and the sizes are taken to be in order.
AT_SIXTEEN = {
    "pine 1": "9-11 13-1 16-9 20-4",
    "pine 2": "9-9 12-10 16-1 18-10",
    "Douglas fir 1": "9-11 13-1 16-5 19-1",
    "Douglas fir 2": "9-9 12-7 15-4 17-10",
    "hem-fir 1": "9-6 12-7 16-0 18-7",
    "hem-fir 2": "9-1 12-0 15-1 17-7",
    "SPF south 1": "8-10 11-8 14-10 17-7",
    "SPF south 2": "8-7 11-4 14-2 16-6",
}
SPANS = [
    (grade, size, spacing, 40.0, printed)
    for table, spacings in ((BY_SPACING, (12.0, 16.0, 24.0)), (AT_SIXTEEN, (16.0,)))
    for grade, row in table.items()
    for (size, spacing), printed in zip(
        ((size, spacing) for size in DEPTH for spacing in spacings), row.split(), strict=True
    )
]


@pytest.mark.parametrize("case", SPANS, ids=lambda case: " ".join(map(str, case)))
def test_us_span_table(case):
    """The printed span is within an inch: these tables round now to the nearest, now down."""
    *joist, printed = case
    assert spans(inches_of(printed) - 0.6, *joist)
    assert not spans(inches_of(printed) + 1.0, *joist)


def test_nearly_all_spans_are_the_nearest_inch():
    """Errata: of 104 printed spans 97 are; six are cut, one (157.47 in, 13-2) is rounded up."""
    off = [case for case in SPANS if not nearest_inch(*case)]
    assert len(SPANS) == 104
    assert len(off) == 7
    assert [case for case in off if not spans(inches_of(case[-1]), *case[:-1])] == [
        ("pine 2", "2x10", 24.0, 40.0, "13-2")
    ]


def test_s1():
    """NDS wood screw, 2850 G^2 D; engineeringtoolbox.com d_1815, F. Erratum: it cuts to 109."""
    assert nds_lb_per_in("wood", 0.45, 0.190) == pytest.approx(109.65, abs=0.005)
    assert math.floor(nds_lb_per_in("wood", 0.45, 0.190)) == 109


@pytest.mark.parametrize(
    ("screw", "gravity", "diameter", "printed"),
    [
        # NDS 2018 table 12.2B, wood screws No. 6, 8, 10, 12, 14, G 0.50, lb/in: M and C.
        ("wood", 0.50, 0.138, 98),
        ("wood", 0.50, 0.164, 117),
        ("wood", 0.50, 0.190, 135),
        ("wood", 0.50, 0.216, 154),
        ("wood", 0.50, 0.242, 172),
        # NDS 2018 table 12.2A, lag screws, G 0.50, lb/in: M and C.
        ("lag", 0.50, 0.25, 225),
        ("lag", 0.50, 0.375, 305),
        ("lag", 0.50, 0.50, 378),
        ("lag", 0.50, 0.625, 447),
        ("lag", 0.50, 0.75, 513),
    ],
)
def test_nds_reference_values(screw, gravity, diameter, printed):
    assert nds_lb_per_in(screw, gravity, diameter) == pytest.approx(printed, abs=0.5)  # whole lb


@pytest.mark.parametrize(
    ("gravity", "squared"),
    # A handbook of formulas, chapter six, eq. (6.37) and table 6.2 (issuhub.com 4884, page 189),
    # F and C: p = 2850 G^2 D with G^2 to three decimals.
    [(0.51, 0.260), (0.59, 0.348), (0.44, 0.194), (0.43, 0.185), (0.47, 0.221), (0.41, 0.168)],
)
def test_nds_wood_screw_goes_with_the_square(gravity, squared):
    assert nds_lb_per_in("wood", gravity, 1.0) / 2850 == pytest.approx(squared, abs=5e-4)


def test_s2():
    """AWC, Structural Wood Design Solved Example Problems, E2.3, F and C.

    Read in xcfem/xc, verif/tests/materials/awc_nds/withdrawal_design_value_test.py: 1/2 in lag
    screw, 4 in long, side member 1.5 in, tip 5/16 in, Southern Pine. A pound there is 4.44822 N.
    """
    thread = nds_penetration("lag", 0.5, 4.0 - 1.5, 0.3125)
    assert thread == 2.1875
    per_inch = nds_lb_per_in("lag", 0.55, 0.5)
    assert per_inch == pytest.approx(436.560, abs=5e-4)
    assert per_inch * thread * N_PER_POUND == pytest.approx(4247.9398904, rel=4e-7)


def test_s4():
    """Least penetration, awc.org 2006/05, F: lag 4 D without the tip, wood screw 6 D with it."""
    assert nds_penetration("lag", 0.5, 2.3125, 0.3125) == 2.0
    assert nds_penetration("wood", 0.190, 1.14, 0.2) == 1.14
    with pytest.raises(Refusal):
        nds_penetration("lag", 0.5, 2.30, 0.3125)
    with pytest.raises(Refusal):
        nds_penetration("wood", 0.190, 1.13, 0.2)


def test_s5():
    """EN 1995-1-1 8.7.2(3), F (eurocode.us info-aey): thread of 6 d or more on the point side.

    The rest of S5, the effective diameter in shear, is not in the kit.
    """
    timber = timber_class("C24")
    assert isinstance(screw_holds_N(8.0, 48.0, timber), Holds)
    assert isinstance(screw_holds_N(8.0, 47.9, timber), Outside)


@pytest.mark.parametrize(
    ("diameter", "length", "rho_k", "expected"),
    [
        # EN 1995-1-1 8.7.2(4) with A1: formula F, values C.
        (6.0, 36.0, 350.0, 2606.555),  # S6
        (8.0, 80.0, 350.0, 8233.486),  # S7
        (6.0, 36.0, 310.0, 2365.385),  # S7
    ],
)
def test_s6_s7(diameter, length, rho_k, expected):
    found = withdrawal_resistance_N(diameter, length, rho_k)
    assert found == pytest.approx(expected, abs=5e-4)  # half of the last figure


def test_s6_strength_and_the_misprint():
    """S6, F: github.com paulevalentine/Python_Development prints rho^0.08, which gives 0.237.

    Its example takes a screw of 5 mm, below the 6 mm where the clause begins (M).
    """
    found = withdrawal_strength(6.0, 36.0, 350.0)
    assert found == pytest.approx(16.08985, abs=5e-6)
    misprint = 0.52 * 6.0**-0.5 * 36.0**-0.1 * 350.0**0.08
    assert misprint == pytest.approx(0.237, abs=5e-4)
    assert found / misprint == pytest.approx(350.0**0.72, rel=EXACT)
    with pytest.raises(Refusal):
        withdrawal_strength(5.0, 36.0, 350.0)


@pytest.mark.parametrize("gravity", [0.36, 0.42, 0.50, 0.55])
def test_density_and_specific_gravity(gravity):
    """engineeringtoolbox.com d_1616, F: rho = 62.4 G / (1 + 0.009 G m) (1 + m/100) lb/ft3.

    At m = 12, with the page's own 16.018 kg/m3 to the lb/ft3. 62.4 stands for 62.43: 5e-4.
    """
    rho = 62.4 * gravity / (1 + 0.009 * gravity * 12) * 1.12 * 16.018
    assert specific_gravity(rho) == pytest.approx(gravity, rel=6e-4)
