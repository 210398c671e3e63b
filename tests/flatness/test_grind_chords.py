"""Chords against a straight edge laid by hand, facet by facet."""

import numpy as np
import pytest

from kit.flatness.edge_map import straight_edge_map
from kit.flatness.grind_chords import beyond, both_ways, gaps_along_rows, worst_gap_mm


def by_loops(height, steps):
    """The highest chord over each cell of one line, by three loops."""
    best = np.full(len(height), -np.inf)
    for left in range(len(height)):
        for right in range(left + 2, min(left + steps, len(height) - 1) + 1):
            if np.isnan(height[left : right + 1]).any():
                continue
            for middle in range(left + 1, right):
                share = (right - middle) / (right - left)
                chord = share * height[left] + (1 - share) * height[right]
                best[middle] = max(best[middle], chord - height[middle])
    return best


@pytest.mark.parametrize("steps", [2, 3, 6, 40])
def test_the_highest_chord_over_each_cell_by_loops(steps):
    height = np.random.default_rng(steps).normal(0, 3, (3, 19))
    height[1, 7] = height[2, 0] = height[2, 12] = np.nan
    found = gaps_along_rows(height, steps)
    for row in range(3):
        # The same few operations; round-off of 3 mm.
        assert found.gap_mm[row] == pytest.approx(by_loops(height[row], steps), abs=1e-13)


@pytest.mark.parametrize("steps", [4, 5])
def test_no_edge_departs_by_more_than_a_chord_and_inside_one_does_so_by_as_much(steps, grid_of):
    """What the module proves, against the map of all placements of the edge."""
    generator = np.random.default_rng(11)
    seen = 0
    for _ in range(60):
        line = np.round(generator.normal(0, 3, (1, 40)), 1)
        grid = grid_of(line)
        departure = np.nanmax(straight_edge_map(grid, 100.0 * steps, "x").departure_mm)
        found = gaps_along_rows(line, steps)
        assert departure <= found.gap_mm.max() + 1e-9
        at = int(found.gap_mm.argmax())
        ends = at - found.before[0, at] + at + found.after[0, at]
        if steps <= ends <= 2 * 39 - steps:  # an edge has room to lie in the middle over it
            assert departure == pytest.approx(found.gap_mm.max(), abs=1e-9)
            seen += 1
    assert seen > 30


def test_at_the_end_of_a_line_a_chord_counts_that_no_edge_is_booked_over(grid_of):
    line = np.array([[4.0, 0.0, 10.0, 12.0, 13.0, 13.5, 13.7, 13.8, 13.8]])
    edge = straight_edge_map(grid_of(line), 800.0, "x").departure_mm
    assert np.nanmax(edge) == pytest.approx(0.0, abs=1e-9)  # the one edge lies on the rest of it
    assert worst_gap_mm(line, 8) == pytest.approx(7.0)  # from 4 to 10, over the 0 between


def test_chords_beyond_a_limit_are_true_chords_of_both_ways():
    height = np.random.default_rng(6).normal(0, 3, (6, 9))
    chords = beyond(both_ways(height, 4), 1.5)
    gap = chords.matrix(height.size) @ height.ravel()
    assert len(chords) > 20
    assert (gap > 1.5).all()
    apart = chords.cells[:, 2] - chords.cells[:, 0]
    assert {int(one) % 9 == 0 for one in apart} == {True, False}
    assert (chords.cells[:, 0] < chords.cells[:, 1]).all()
    both = chords + chords
    assert len(both) == len(chords)
    assert both.share.tolist() == chords.share.tolist()
