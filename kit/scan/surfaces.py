"""Continuous surfaces: layers of neighbouring cells that carry one another on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from kit.scan.cells import Cells, Whole
from kit.scan.peaks import Peaks

Array = NDArray[np.float64]

#: Steepest floor, rise over run: common practice, no source; ramps for people are 1 in 12.
STEEPEST = 0.1
#: Two layers carry one another on if they differ by no more than what the steepest floor rises
#: from cell to cell, and so many standard deviations of the difference of their means.
NOISE_SDS = 4.0


@dataclass(frozen=True, eq=False)
class Surfaces:
    """Which surface each layer belongs to.

    Parameters
    ----------
    label : (m,) array of int
        Number of the surface of each of the peaks, 0 to n - 1.
    cells : (n,) array of int
        How many cells each surface covers.
    """

    label: Whole
    cells: Whole


def reach_mm(cell_mm: float, scatter_mm: float, least: Whole | int) -> Array:
    """Return by how much layers of two neighbouring cells may differ [mm].

    Parameters
    ----------
    cell_mm : float
        From one cell's middle to the next [mm].
    scatter_mm : float
        Scatter of points [mm].
    least : array of int or int
        Points of the layer that has fewer; the other counts as having as few.
    """
    noise = NOISE_SDS * scatter_mm * np.sqrt(2.0 / np.asarray(least, dtype=float))
    return np.asarray(STEEPEST * cell_mm + noise, dtype=float)


def find_surfaces(peaks: Peaks, cells: Cells, cell_mm: float, scatter_mm: float) -> Surfaces:
    """Return the surfaces that layers of cells side by side make up.

    Two layers are joined where their cells share a side and their heights differ by no more than
    ``reach_mm``; what hangs together by such joints is a surface.
    """
    start = np.searchsorted(peaks.cell, np.arange(len(cells) + 1))
    ones, others = [], []
    for near in (_right_of(cells), _beside(cells)):
        one, other = _pairs(start, near)
        least = np.minimum(peaks.count[one], peaks.count[other])
        apart = np.abs(peaks.height_mm[one] - peaks.height_mm[other])
        joined = apart <= reach_mm(cell_mm, scatter_mm, least)
        ones.append(one[joined])
        others.append(other[joined])
    one, other = np.concatenate(ones), np.concatenate(others)
    graph = coo_array((np.ones(len(one), dtype=np.int8), (one, other)), shape=(len(peaks),) * 2)
    count, label = connected_components(graph, directed=False)
    return Surfaces(label.astype(np.int64), _cells_of_each(label, peaks.cell, count))


def _right_of(cells: Cells) -> Whole:
    """Return the cell to the right of each, -1 where there is none."""
    near = np.full(len(cells), -1, dtype=np.int64)
    next_to = (np.diff(cells.ix) == 1) & (np.diff(cells.iy) == 0)
    near[:-1][next_to] = np.flatnonzero(next_to) + 1
    return near


def _beside(cells: Cells) -> Whole:
    """Return the cell one row of cells further out along y, -1 where there is none."""
    wide = int(np.ptp(cells.ix)) + 2
    key = (cells.iy - cells.iy[0]) * wide + (cells.ix - cells.ix.min())
    at = np.minimum(np.searchsorted(key, key + wide), len(key) - 1)
    return np.where(key[at] == key + wide, at, -1)


def _pairs(start: Whole, near: Whole) -> tuple[Whole, Whole]:
    """Return each layer of a cell with each layer of the cell near it."""
    has = np.flatnonzero(near >= 0)
    mine = start[has + 1] - start[has]
    theirs = start[near[has] + 1] - start[near[has]]
    both = mine * theirs
    first = np.repeat(np.cumsum(both) - both, both)
    turn = np.arange(int(both.sum())) - first
    wide = np.repeat(theirs, both)
    one = np.repeat(start[has], both) + turn // np.maximum(wide, 1)
    return one, np.repeat(start[near[has]], both) + turn % np.maximum(wide, 1)


def _cells_of_each(label: NDArray[np.int32], cell: Whole, count: int) -> Whole:
    """Return how many cells each surface covers: one that lies twice in a cell counts it once."""
    wide = int(cell.max(initial=0)) + 1
    key = np.sort(label.astype(np.int64) * wide + cell)
    which = key[np.diff(key, prepend=-1) > 0] // wide
    return np.bincount(which, minlength=count).astype(np.int64)
