"""Which rows of gathered layers belong to one cell, and in what pieces to work them off."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kit.scan.layers import Layers

Whole = NDArray[np.int64]

#: Rows that are worked on at once: small enough to stay in a machine's cache, so that a scan of
#: any size takes little memory beyond itself.
ROWS_AT_ONCE = 400_000


@dataclass(frozen=True, eq=False)
class Cells:
    """The cells of the plan that hold points, row by row along y, and where their layers lie.

    Parameters
    ----------
    ix, iy : (n,) array of int
        Which cell of the plan, ascending by iy, then ix.
    start : (n + 1,) array of int
        Cell k has the rows ``start[k]`` to ``start[k + 1] - 1`` of the layers.
    """

    ix: Whole
    iy: Whole
    start: Whole

    def __len__(self) -> int:
        return len(self.ix)

    def pieces(self) -> Iterator[tuple[int, int]]:
        """Yield ranges of whole cells (first, last + 1) of about ``ROWS_AT_ONCE`` rows each."""
        first = 0
        while first < len(self):
            aim = int(self.start[first]) + ROWS_AT_ONCE
            last = max(int(np.searchsorted(self.start, aim, side="right")) - 1, first + 1)
            yield first, min(last, len(self))
            first = last

    def of_rows(self, first: int, last: int) -> Whole:
        """Return which cell, counted from ``first``, each row of cells first to last - 1 is of."""
        return np.repeat(np.arange(last - first), np.diff(self.start[first : last + 1]))


def cells_of(layers: Layers) -> Cells:
    """Return the cells of gathered layers; they come sorted by iy, ix, iz."""
    ix, iy = layers.ix, layers.iy
    fresh = np.ones(len(ix), dtype=bool)
    fresh[1:] = (ix[1:] != ix[:-1]) | (iy[1:] != iy[:-1])
    start = np.flatnonzero(fresh)
    return Cells(ix[start], iy[start], np.append(start, len(ix)).astype(np.int64))
