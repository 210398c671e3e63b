"""Chords: two cells of a line, and one between them that lies below, as under a straight edge.

No straight edge of length L departs by more than c anywhere on a line if, for all cells
l < m < r of it with r - l at most L,

    (height of the chord from l to r at m) - (height at m) is at most c.                     (1)

**It suffices.** The edge is carried by the facet of the upper hull over its middle, between two
cells l and r that lie under it, so r - l is at most L: each gap under the edge is one of (1).

**It is necessary, where an edge has room.** Let m be where (1) fails, and (l, r) the chord that is
highest over m of all that are at most L long. Lay the edge with its middle in the middle between
l and r, or half a step beside where that is no place of it; both cells lie under it, since the
chord is then a step shorter than the edge. Over m the hull of what lies under it is made by a
chord at most L long, so it is no higher than (l, r), and being a hull it is no lower. A concave
line that lies nowhere below the chord and meets it inside is the chord from l to r: the chord lies
in the facet over the edge's middle, which carries the edge, and the gap at m is more than c.

**At the ends of a line**, within half an edge of a wall or a hole, no edge has its middle there.
There (1) asks for more than `straight_edge_map` books: chords count wherever they lie, also on a
piece of line that is shorter than the edge. This is the stricter side; an edge slid along until it
meets the wall, or a shorter one, finds these gaps.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from kit.height_grid import Array

Ints = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Gaps:
    """The highest chord over each cell (ny, nx), along x or along y.

    Parameters
    ----------
    gap_mm : (ny, nx) array
        How far the cell lies below it [mm], negative above; -inf where no chord is over it.
    before, after : (ny, nx) array of int
        How many cells before and after the cell it begins and ends.
    """

    gap_mm: Array
    before: Ints
    after: Ints


def gaps_along_rows(height_mm: Array, steps: int) -> Gaps:
    """Find the highest chord over each cell along the rows.

    Parameters
    ----------
    height_mm : (ny, nx) array
        Heights, nan in holes, which no chord crosses [mm].
    steps : int
        Length of the longest chord in cells' steps.

    Returns
    -------
    Gaps
        All chords are looked at, steps²/2 for each cell; of chords equally high one of the
        shortest before the cell.
    """
    gap = np.full(height_mm.shape, -np.inf)
    before, after = np.zeros(height_mm.shape, np.intp), np.zeros(height_mm.shape, np.intp)
    length = height_mm.shape[1]
    piece = _pieces(height_mm)
    for left in range(1, min(steps, length - 1)):
        for right in range(1, min(steps - left, length - 1 - left) + 1):
            ends = slice(0, length - left - right), slice(left + right, length)
            middle = slice(left, length - right)
            chord = height_mm[:, ends[0]] * right + height_mm[:, ends[1]] * left
            chord /= left + right
            chord -= height_mm[:, middle]
            better = chord > gap[:, middle]  # a hole is nan: never
            if piece is not None:
                better &= piece[:, ends[0]] == piece[:, ends[1]]
            gap[:, middle][better] = chord[better]
            before[:, middle][better], after[:, middle][better] = left, right
    return Gaps(gap, before, after)


def _pieces(height_mm: Array) -> NDArray[np.int64] | None:
    """Return numbers of the pieces between holes along each row; none where there is no hole."""
    holes = ~np.isfinite(height_mm)
    return np.cumsum(holes, axis=1) if holes.any() else None


@dataclass(frozen=True, eq=False)
class Chords:
    """Chords (n,) by the flat places of their cells in the grid.

    Parameters
    ----------
    cells : (n, 3) array of int
        Left end, the cell below, right end.
    share : (n,) array
        Share of the left end in the chord's height over the cell.
    """

    cells: Ints
    share: Array

    @classmethod
    def none(cls) -> Chords:
        """Return no chord."""
        return cls(np.zeros((0, 3), dtype=np.intp), np.zeros(0))

    def __len__(self) -> int:
        return len(self.share)

    def __add__(self, other: Chords) -> Chords:
        """Return both, each chord once."""
        cells = np.concatenate([self.cells, other.cells])
        _, first = np.unique(cells, axis=0, return_index=True)
        first.sort()
        return Chords(cells[first], np.concatenate([self.share, other.share])[first])

    def at(self, rows: Ints) -> Chords:
        """Return some of them."""
        return Chords(self.cells[rows], self.share[rows])

    def matrix(self, size: int) -> csr_array:
        """Return M (n, size): M @ heights is how far each cell lies below its chord [mm]."""
        row = np.repeat(np.arange(len(self)), 3)
        each = np.stack([self.share, -np.ones(len(self)), 1 - self.share], axis=1)
        return csr_array((each.ravel(), (row, self.cells.ravel())), shape=(len(self), size))


def both_ways(height_mm: Array, steps: int) -> tuple[Gaps, Gaps]:
    """Return the highest chords over each cell (ny, nx): along x, and along y."""
    along_y = gaps_along_rows(np.ascontiguousarray(height_mm.T), steps)
    turned = Gaps(along_y.gap_mm.T, along_y.before.T, along_y.after.T)
    return gaps_along_rows(height_mm, steps), turned


def worst_gap_mm(height_mm: Array, steps: int) -> float:
    """Return how far any cell lies below a chord [mm]; 0 where none does."""
    return max(0.0, *(float(one.gap_mm.max()) for one in both_ways(height_mm, steps)))


def beyond(gaps: tuple[Gaps, Gaps], limit_mm: float) -> Chords:
    """Return the highest chord over each cell that lies further below it than a limit."""
    parts = []
    for one, apart in zip(gaps, (1, gaps[0].gap_mm.shape[1]), strict=True):
        rows, columns = np.nonzero(one.gap_mm > limit_mm)
        middle = rows * one.gap_mm.shape[1] + columns
        before, after = one.before[rows, columns], one.after[rows, columns]
        cells = np.stack([middle - before * apart, middle, middle + after * apart], axis=1)
        parts.append(Chords(cells, after / (before + after)))
    return parts[0] + parts[1]
