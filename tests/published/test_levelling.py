"""Levelling: worked examples and rules from outside the project.

F: read in public text; M: from memory; C: recomputed independently of the kit. Names L1, L2, ...
are those of the project's list of published values.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from kit.readings import Readings, Table, adjust
from kit.readings.equations import assemble, difference_rows
from kit.readings.least_squares import solve
from kit.readings.slips import LIMIT


@dataclass(frozen=True)
class Net:
    """Observed differences of height between named points, and what the source prints."""

    fixed: dict[str, float]
    legs: str
    difference: list[float]
    sd: list[float]
    heights: dict[str, float]
    within: float
    s0: float
    s0_within: float
    sd_heights: dict[str, float]
    sd_within: float


#: Ghilani, Adjustment Computations, ch. 12, the level net of the unweighted and the weighted
#: example [ft]. Data and printed heights M, solution C.
GHILANI = "XA AY YC CX AB YB BC"
GHILANI_FEET = [5.10, 2.34, -1.25, -6.13, -0.68, -3.00, 1.70]
GHILANI_FIXED = {"X": 100.00, "Y": 107.50}

#: Mahun, J., Open Access Surveying Library, Least Squares Lite, chapters D (example, unit weights)
#: and E (example, weights 1/set-ups), jerrymahun.com [ft]. F. The benchmarks' heights are those
#: that the printed adjusted heights less the printed adjusted differences give. Errata: D prints
#: S0 0.028 and so 0.014 for R, but its own eight residuals have the square sum 0.005064, which
#: over 6 gives 0.0290 and 0.015; E's heights are rounded on the way (C: 815.4252, 802.9589).
MAHUN = "AQ BQ CQ DQ AR CR DR QR"
MAHUN_FEET = [8.91, -2.92, -4.67, -8.66, -3.56, -17.12, -21.10, -12.47]
MAHUN_FIXED = {"A": 806.52, "B": 818.32, "C": 820.12, "D": 824.04}
MAHUN_SETUPS = [3, 2, 1, 3, 3, 4, 2, 3]

NETS = {
    "L1": Net(
        GHILANI_FIXED, GHILANI, GHILANI_FEET, [1.0] * 7,
        {"A": 105.140952, "B": 104.482857, "C": 106.187619}, 1e-6,
        0.0501189, 1e-7, {}, 0,
    ),
    "L2": Net(
        GHILANI_FIXED, GHILANI, GHILANI_FEET,
        [(miles / 12) ** 0.5 for miles in (4, 3, 2, 3, 2, 2, 2)],
        {"A": 105.1504, "B": 104.4892, "C": 106.1972}, 5e-5,
        0.107219, 1e-6, {}, 0,
    ),
    # vrmapper.com/gama/1doutput.html, an adjustment printed in full; F and C. Heights [mm] here.
    "L4": Net(
        {"1": 1_000_000.0}, "14 43 32 21 12 23 34 41",
        [-1225, -848, 1342, 720, -724, -1335, 842, 1231], [5.0] * 8,
        {"4": 998_775.125, "3": 997_933.250, "2": 999_274.875}, 1e-6,
        5.42 / 5, 0.005 / 5, {"4": 3.1, "3": 3.5, "2": 3.1}, 0.05,
    ),
    "Mahun D": Net(
        MAHUN_FIXED, MAHUN, MAHUN_FEET, [1.0] * 8,
        {"Q": 815.418, "R": 802.962}, 5e-4,
        (0.005064 / 6) ** 0.5, 5e-5, {"Q": 0.013, "R": 0.015}, 5e-4,
    ),
    "Mahun E": Net(
        MAHUN_FIXED, MAHUN, MAHUN_FEET, [(setups / 12) ** 0.5 for setups in MAHUN_SETUPS],
        {"Q": 815.424, "R": 802.958}, 1.5e-3,
        0.067, 5e-4, {"Q": 0.012, "R": 0.016}, 5e-4,
    ),
}  # fmt: skip


@pytest.mark.parametrize("net", NETS.values(), ids=NETS.keys())
def test_nets_of_height_differences(net):
    # Tolerances are half of the last digit that the source prints (L1, L2: that C gives).
    legs = net.legs.split()
    block = difference_rows([a for a, _ in legs], [b for _, b in legs], net.difference, net.sd)
    solution = solve(assemble([block]), net.fixed)
    found = dict(zip(solution.model.names, solution.values, strict=True))
    for point, height in net.heights.items():
        assert found[point] == pytest.approx(height, abs=net.within)
    s0 = np.sqrt(solution.weighted_square_sum / solution.degrees_of_freedom)
    assert s0 == pytest.approx(net.s0, abs=net.s0_within)
    sd = dict(zip(solution.model.names, solution.height_sd_mm, strict=True))
    # L4 prints sd a priori, the others times S0.
    factor = 1.0 if net.legs.startswith("14") else s0
    for point, value in net.sd_heights.items():
        assert sd[point] * factor == pytest.approx(value, abs=net.sd_within)


def test_l1_square_sum_and_degrees_of_freedom():
    legs = GHILANI.split()
    block = difference_rows([a for a, _ in legs], [b for _, b in legs], GHILANI_FEET, 1.0)
    solution = solve(assemble([block]), GHILANI_FIXED)
    # Seven digits given by C.
    assert solution.weighted_square_sum == pytest.approx(0.0100476, abs=5e-8)
    assert solution.degrees_of_freedom == 4


def test_l2_weighted_square_sum():
    legs, net = GHILANI.split(), NETS["L2"]
    block = difference_rows([a for a, _ in legs], [b for _, b in legs], GHILANI_FEET, net.sd)
    assert solve(assemble([block]), GHILANI_FIXED).weighted_square_sum == pytest.approx(
        0.045984,
        abs=5e-7,  # six digits given by C
    )


def test_l4_square_sum_and_largest_standardised_residual():
    net = NETS["L4"]
    legs = net.legs.split()
    block = difference_rows([a for a, _ in legs], [b for _, b in legs], net.difference, net.sd)
    solution = solve(assemble([block]), net.fixed)
    assert solution.weighted_square_sum * 25 == pytest.approx(146.625, abs=1e-6)
    w = solution.residual_mm / (5 * np.sqrt(solution.redundancy_numbers))
    # The source prints: maximal normalized residual 1.68, at observation 6. F.
    assert abs(w).argmax() == 5
    assert abs(w).max() == pytest.approx(1.68, abs=0.005)


# --- staff readings ----------------------------------------------------------------------------


def booked(setups: list[list[tuple[str, float]]]) -> Readings:
    """Staff readings in metres, set-up by set-up; change points carry one name in two set-ups."""
    rows = [
        {"point": point, "observed_mm": metres * 1000, "setup": f"S{number}"}
        for number, setup in enumerate(setups, start=1)
        for point, metres in setup
    ]
    frame = pd.DataFrame(rows)
    place = {point: 1000.0 * i for i, point in enumerate(dict.fromkeys(frame["point"]))}
    frame = frame.assign(x_mm=frame["point"].map(place), y_mm=0.0, sd_mm=1.0)
    frame["row"] = np.arange(2, len(frame) + 2)
    return Readings((Table("book.csv", "staff", "", frame, pd.DataFrame(index=frame.index)),))


#: Height of collimation from 29.23 m to 29.66 m. F and C: civil.eng.usm.my, FYPGeomatik, JSSUAE1.
L6 = [
    [("BM", 1.717), ("1", 1.432), ("2", 1.716)],
    [("2", 2.918), ("3", 2.272), ("4", 0.953)],
    [("4", 0.816), ("5", 3.005)],
    [("5", 1.436), ("6", 1.391)],
    [("6", 1.246), ("7", 1.353), ("8", 1.462), ("END", 0.628)],
]
L6_REDUCED = [29.23, 29.515, 29.231, 29.877, 31.196, 29.007, 29.052, 28.945, 28.836, 29.670]


def test_l6_reduced_levels():
    heights = adjust(booked(L6), "BM", 29230.0)
    # Sums of readings to the millimetre: exact but for rounding.
    assert heights.points["height_mm"].tolist() == pytest.approx(
        [1000 * level for level in L6_REDUCED], abs=1e-8
    )
    assert heights.points["height_mm"].iloc[-1] - 29660 == pytest.approx(10, abs=1e-8)
    assert heights.redundancy == 0


def test_l6_misclosure_goes_equally_to_each_set_up():
    # The source takes 2 mm more off at each of five set-ups. Change points: 29.229, 31.192,
    # 29.001, 29.044, 29.660. (Its intermediate sights take their set-up's whole 2 mm; by least
    # squares they take 1 mm of it with the backsight: not compared.)
    changes = ["2", "4", "5", "6"]
    pairs = [(setup[0], setup[-1]) for setup in L6]
    block = difference_rows(
        [back[0] for back, _ in pairs],
        [fore[0] for _, fore in pairs],
        [1000 * (back[1] - fore[1]) for back, fore in pairs],
        2**0.5,
    )
    solution = solve(assemble([block]), {"BM": 29230.0, "END": 29660.0})
    found = dict(zip(solution.model.names, solution.values, strict=True))
    expected = [29229, 31192, 29001, 29044]
    assert [found[point] for point in changes] == pytest.approx(expected, abs=1e-8)
    assert solution.redundancy_numbers == pytest.approx([0.2] * 5)


def test_l10_the_right_levels_and_not_the_printed_slip():
    # civinnovate.com, levelling-explanation-75. F; it prints 100.415 for the last point, a rise
    # booked as a fall.
    book = [
        [("A", 1.855), ("B", 2.410), ("C", 1.280), ("D", 0.995)],
        [("D", 2.165), ("E", 1.720)],
    ]
    found = adjust(booked(book), "A", 100_000.0).points["height_mm"].tolist()
    assert found == pytest.approx([100_000, 99_445, 100_575, 100_860, 101_305], abs=1e-8)
    assert found[-1] != pytest.approx(100_415, abs=100)


# --- theory ------------------------------------------------------------------------------------


@pytest.mark.parametrize("setups", [1, 4, 9])
def test_error_of_a_line_of_levels(setups):
    """sd·sqrt(2 n) after n set-ups: Ghilani, Adjustment Computations, ch. 9, from memory."""
    book = [[(f"T{i}", 1.4), (f"T{i + 1}", 1.5)] for i in range(setups)] + [[("T0", 1.2), ("Z", 1)]]
    points = adjust(booked(book), "T0", 0.0).points.set_index("point")
    assert points.loc[f"T{setups}", "sd_mm"] == pytest.approx((2 * setups) ** 0.5, rel=1e-12)


@pytest.mark.parametrize("legs", [3, 7])
def test_redundancy_of_a_loop(legs):
    """Each leg of a loop of n equal ones: r = 1/n. Baarda 1968, Förstner 1987; from memory."""
    names = [f"T{i}" for i in range(legs)]
    block = difference_rows(names, names[1:] + names[:1], np.zeros(legs), 0.5)
    numbers = solve(assemble([block]), {"T0": 0.0}).redundancy_numbers
    assert numbers == pytest.approx([1 / legs] * legs, rel=1e-9)


@pytest.mark.parametrize(("legs", "at"), [(5, 2), (8, 3)])
def test_error_along_a_line_between_two_benchmarks(legs, at):
    """sd·sqrt(k (n - k) / n) after k of n legs, largest in the middle: textbooks, from memory."""
    names = [f"T{i}" for i in range(legs + 1)]
    block = difference_rows(names[:-1], names[1:], np.zeros(legs), 0.7)
    solution = solve(assemble([block]), {"T0": 0.0, names[-1]: 0.0})
    sd = dict(zip(solution.model.names, solution.height_sd_mm, strict=True))
    assert sd[f"T{at}"] == pytest.approx(0.7 * (at * (legs - at) / legs) ** 0.5, rel=1e-12)


def test_limit_of_data_snooping():
    """Baarda 1968: 3.29 for 0.1 %, and 4.13 with 80 % power; from memory (both rounded)."""
    assert stats.norm.isf(0.0005) == pytest.approx(LIMIT, abs=0.005)
    assert LIMIT + stats.norm.isf(0.2) == pytest.approx(4.13, abs=0.005)


def test_an_error_of_the_detectable_size_is_found_in_80_of_100():
    """Baarda 1968: an error of 4.13·sd/sqrt(r) passes |w| > 3.29 with 80 % power; from memory."""
    names = [f"T{i}" for i in range(4)]
    found = 0
    for seed in range(400):
        noise = np.random.default_rng(seed).normal(0, 0.5, 4)
        noise[2] += 4.13 * 0.5 / np.sqrt(1 / 4)
        block = difference_rows(names, names[1:] + names[:1], noise, 0.5)
        solution = solve(assemble([block]), {"T0": 0.0})
        found += abs(solution.residual_mm[2] / (0.5 * np.sqrt(1 / 4))) > LIMIT
    low, high = stats.binom.interval(0.999, 400, 0.8)
    assert low <= found <= high
