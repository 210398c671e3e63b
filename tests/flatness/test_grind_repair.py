"""A floor nearly within the limit, brought within it."""

import numpy as np
import pytest

from kit.flatness.grind_chords import worst_gap_mm
from kit.flatness.grind_programme import CLOSE_MM, Bounds, least_change
from kit.flatness.grind_repair import repaired
from kit.job import Refusal


@pytest.mark.parametrize(("fill", "grind"), [(np.inf, np.inf), (0.0, np.inf), (3.0, 3.0)])
@pytest.mark.parametrize("rounds", [1, 3])
def test_a_search_cut_short_is_brought_within_limit_and_bounds(fill, grind, rounds):
    height = 0.4 * np.arange(13.0) + np.random.default_rng(5).normal(0, 1.2, (11, 13))
    height[4, 6] = np.nan
    bounds = Bounds(np.full(143, fill), np.full(143, grind), 1.0)
    cut = least_change(height, 7, 1.0, bounds, rounds, None)
    assert cut.worst_mm > 1.0 + CLOSE_MM
    change = repaired(height, cut.change_mm.reshape(height.shape), 7, 1.0, bounds)
    assert worst_gap_mm(height + change, 7) <= 1.0 + CLOSE_MM
    assert bounds.allow(change.ravel()).all()
    assert bounds.weigh(change.ravel()) >= cut.bound


def test_where_neither_way_keeps_the_bounds_it_is_refused():
    height = np.zeros((1, 9))
    height[0, 4] = 9.0
    bounds = Bounds(np.full(9, 0.5), np.full(9, 0.5), 1.0)
    with pytest.raises(Refusal, match="more rounds"):
        repaired(height, np.zeros((1, 9)), 4, 1.0, bounds)
