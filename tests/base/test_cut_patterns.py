"""Patterns of one bar, against all of them."""

from __future__ import annotations

import math
from itertools import combinations_with_replacement

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.base.cut_patterns import (
    Cutting,
    all_patterns,
    best_patterns,
    fewest_bars,
    first_fit,
    next_total_mm,
)

CUTTING = Cutting((1410.0, 980.0, 700.0, 455.5), (1200.0, 2400.0), 3.0)


def every_filling(cutting: Cutting, stock: float) -> list[tuple[int, ...]]:
    most = int((stock + cutting.kerf_mm) / (min(cutting.lengths_mm) + cutting.kerf_mm))
    kinds = range(len(cutting.lengths_mm))
    return [
        slots
        for n in range(1, most + 1)
        for slots in combinations_with_replacement(kinds, n)
        if cutting.used_mm(slots) <= stock + 1e-9
    ]


cuttings = st.builds(
    lambda lengths, kerf: Cutting(tuple(sorted(lengths, reverse=True)), (900.0, 1500.0), kerf),
    st.sets(st.sampled_from([210.0, 305.5, 333.3, 480.0, 620.0, 890.0]), min_size=1),
    st.sampled_from([0.0, 3.0]),
)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(cuttings)
def test_every_way_of_cutting_is_covered_by_a_listed_pattern(cutting):
    """Slot by slot at least as long, from a bar that is no longer."""
    listed = all_patterns(cutting, 1000)
    for stock in cutting.stock_mm:
        for slots in every_filling(cutting, stock):
            assert any(
                pattern.stock_mm <= stock
                and len(pattern.slots) >= len(slots)
                and all(a <= b for a, b in zip(pattern.slots, slots, strict=False))
                for pattern in listed
            )
    for pattern in listed:
        assert cutting.used_mm(pattern.slots) <= pattern.stock_mm + 1e-9


def test_too_many_patterns_are_not_listed():
    assert all_patterns(CUTTING, 3) == ()
    assert len(all_patterns(CUTTING, 100)) > 3


@settings(max_examples=40, deadline=None, derandomize=True)
@given(cuttings, st.lists(st.floats(1, 900), min_size=6, max_size=6))
def test_best_patterns_find_the_most_valuable(cutting, values):
    value = np.array(values[: len(cutting.lengths_mm)])
    found, ratio = best_patterns(cutting, value)
    best = {
        stock: max(value[list(slots)].sum() for slots in every_filling(cutting, stock))
        for stock in cutting.stock_mm
    }
    true = max(best[stock] / stock for stock in cutting.stock_mm)
    assert ratio >= true - 1e-12  # never below: sums of a few floats
    if all(float(2 * length).is_integer() for length in cutting.lengths_mm):
        assert ratio == pytest.approx(true, rel=1e-12)  # on the grid of 0.5 mm it is exact
        for stock in cutting.stock_mm:
            if best[stock] > stock * (1 + 1e-6):
                worth = [value[list(p.slots)].sum() for p in found if p.stock_mm == stock]
                assert max(worth) == pytest.approx(best[stock], rel=1e-12)
    for pattern in found:
        assert cutting.used_mm(pattern.slots) <= pattern.stock_mm + 1e-9


def test_shortest_bar_counts_the_cuts_and_is_closed():
    assert CUTTING.shortest_bar_mm([598.5, 598.5]) == 1200.0  # 598.5 + 3 + 598.5
    assert CUTTING.shortest_bar_mm([598.5, 598.6]) == 2400.0
    assert CUTTING.shortest_bar_mm([2400.1]) == math.inf


def test_fill_takes_as_many_as_the_longest_bar_holds():
    assert CUTTING.fill(2).slots == (2, 2, 2)
    assert CUTTING.fill(3).slots == (3,) * 5
    assert CUTTING.fill(0).stock_mm == 2400.0


def test_first_fit_places():
    """1410 + 980 = 2393 with the cut; 700 + 455.5 in 1200."""
    bars = first_fit(CUTTING, [3, 1, 0, 2])
    assert bars == ((2, 1), (3, 0)) or bars == ((2, 1), (3, 0))[::-1]


@pytest.mark.parametrize(
    ("stock", "least", "total", "bars"),
    [
        ((2400.0, 3600.0), 8000.0, 8400.0, 3),
        ((2400.0, 3600.0), 8400.0, 8400.0, 3),
        ((2400.0, 3600.0), 0.1, 2400.0, 1),
        ((2400.0, 3600.0), 7000.0, 7200.0, 2),  # two of 3600, not three of 2400
        ((2438.4, 3657.6), 5000.0, 6096.0, 2),  # 8 ft and 12 ft
        ((1500.5, 2000.0), 4000.1, 4501.5, 3),
    ],
)
def test_totals_of_whole_bars(stock, least, total, bars):
    assert next_total_mm(stock, least) == pytest.approx(total, abs=1e-6)  # rounding of the sum
    assert fewest_bars(stock, total) == bars


def test_totals_without_a_common_measure_are_bounds():
    assert next_total_mm((2400.0001, 3600.0), 1e6) == 1e6
    assert fewest_bars((2400.0001, 3600.0), 1e6) == 278
