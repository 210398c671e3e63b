"""The lowest fill against a slow way to it, and against the linear programme."""

import numpy as np
import pytest

from kit.flatness.grind_chords import both_ways, worst_gap_mm
from kit.flatness.grind_fill import fill_up
from kit.flatness.grind_programme import Bounds, least_change


def rough(shape, seed=3):
    height = np.random.default_rng(seed).normal(0, 3, shape)
    height[1, 4] = np.nan
    return height


def test_it_is_where_raising_cell_by_cell_leads():
    height = rough((7, 10))
    slow = height.copy()
    for _ in range(1500):
        gap = np.maximum(*(one.gap_mm for one in both_ways(slow, 5)))
        slow = slow + np.maximum(gap - 1.5, 0.0)
    found = fill_up(height, 5, 1.5)
    # The slow way nears it from below, each round by a share; round-off of the solver 1e-12.
    assert found.height_mm == pytest.approx(slow, abs=1e-9, nan_ok=True)
    assert worst_gap_mm(found.height_mm, 5) <= 1.5 + 1e-9


def test_it_is_what_the_programme_finds_where_nothing_may_be_ground():
    height = rough((9, 7), 4)
    found = fill_up(height, 6, 1.0)
    size = height.size
    bounds = Bounds(np.full(size, np.inf), np.zeros(size), 1.0)
    least = least_change(height, 6, 1.0, bounds, 60, None)
    raised = np.nan_to_num(found.height_mm - height)
    # The programme keeps to 1e-6 mm.
    assert least.change_mm == pytest.approx(raised.ravel(), abs=1e-5)


def test_its_slope_is_the_difference_of_the_sums():
    height = rough((6, 8), 5)
    felt, step = fill_up(height, 5, 1.5).felt, 1e-6
    for at in [(0, 0), (2, 3), (5, 7), (3, 6)]:
        moved = np.zeros(height.shape)
        moved[at] = step
        high, low = (np.nansum(fill_up(height + s * moved, 5, 1.5).height_mm) for s in (1, -1))
        assert felt[at] == pytest.approx((high - low) / 2 / step, abs=1e-6)  # linear: round-off


def test_a_hollow_that_is_v_shaped_on_one_line():
    """Legs of slope s: an edge of 2 k steps bridges k·s in the middle, so s·k - c is filled."""
    line = 2.0 * np.abs(np.arange(21) - 10.0)[None, :]
    found = fill_up(line, 6, 4.0).height_mm
    assert found[0, 10] == pytest.approx(2.0 * 3 - 4.0, abs=1e-9)
    assert (found[0] - line[0] > 1e-9).sum() == 1  # one step beside it 4 mm are bridged: the limit
