"""Level-looking layers in one cell: heights at which its points crowd."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kit.scan.cells import Cells, Whole
from kit.scan.layers import PARTS_PER_MM, Layers

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

#: Fewest points that make a layer; fewer are stray.
LEAST_POINTS = 5
#: A layer has at least so many times the points of as thick a band right above it, and right
#: below: a wall, a leg or a sack has points at all heights alike, a floor has not.
CROWDED = 3.0
#: It also has so many standard deviations more than chance would put there if what these such
#: bands above it hold, or below it, went on through it; the fullest of them, which may be a layer
#: of its own, is left out.
CHANCE_SDS, _BANDS = 5.0, (1, 2, 3, 4)
#: Half a window in standard deviations of the points: 98 of 100 points of a normal scatter.
WINDOW_SDS = 2.25
#: Window with which the scatter is told first [mm to either side].
FIRST_WINDOW_MM = 16.0
#: Cells from which the scatter of a whole scan is told, evenly spread over it.
SCATTER_CELLS = 20_000
#: A layer tells of the scatter if it has so many points.
SCATTER_POINTS = 12


@dataclass(frozen=True, eq=False)
class Peaks:
    """Layers at which points crowd, sorted by cell, then height.

    Parameters
    ----------
    cell : (m,) array of int
        Which of the ``Cells``.
    height_mm, scatter_mm : (m,) array
        Mean height and standard deviation of the points of the layer [mm].
    count : (m,) array of int
        Points of the layer.
    """

    cell: Whole
    height_mm: Array
    scatter_mm: Array
    count: Whole

    def __len__(self) -> int:
        return len(self.cell)


@dataclass(frozen=True, eq=False)
class _Rows:
    """Rows of some cells with running sums, so that any window is two look-ups.

    All sums are whole numbers: a sum that runs over wraps round, and a difference of two is exact
    all the same.
    """

    key: Whole  # cell and slab in one ascending number
    sums: Whole  # (rows + 1, 5) running sums of n, n·u, n·u², parts, u·parts; u = slab of the piece
    slab_mm: float
    bottom: int  # slab from which u counts
    span: int  # how far apart the keys of neighbouring cells are

    def between(self, low: Whole, high: Whole) -> tuple[Whole, Whole]:
        """Return where keys from low to high lie: first row, last row + 1."""
        first = np.searchsorted(self.key, low, side="left")
        return first, np.searchsorted(self.key, high, side="right")

    def held(self, first: Whole, last: Whole) -> Whole:
        """Return the points of rows first to last - 1."""
        return np.asarray(self.sums[last, 0] - self.sums[first, 0], dtype=np.int64)

    def moments(self, first: Whole, last: Whole) -> tuple[Whole, Array, Array]:
        """Return count, mean and standard deviation [mm] of rows first to last - 1."""
        n, nu, nuu, parts, u_parts = (self.sums[last] - self.sums[first]).T
        share = self.slab_mm * PARTS_PER_MM
        mean = (nu + parts / share) / n
        # Within a slab whose points lie by d off its middle the variance is taken as 1/12 - d²,
        # that of a density that rises or falls evenly across it.
        square = (nuu + 2 * u_parts / share + parts / share) / n - 1 / 6
        spread = np.sqrt(np.maximum(square - mean**2, 0.0) * n / np.maximum(n - 1, 1))
        return n, (mean + self.bottom) * self.slab_mm, spread * self.slab_mm


def find_peaks(
    layers: Layers, cells: Cells, half: int, tell: Callable[[float], None] | None = None
) -> Peaks:
    """Return the layers of every cell at which its points crowd.

    Parameters
    ----------
    layers : Layers
        The gathered points.
    cells : Cells
        Their cells.
    half : int
        Slabs on either side of a layer's middle that belong to it.
    tell : callable, optional
        Told the share done, 0 to 1.
    """
    found = []
    for first, last in cells.pieces():
        found.append(_peaks_of(layers, cells, first, last, half))
        if tell is not None:
            tell(last / len(cells))
    return _joined(found)


def scatter_mm(layers: Layers, cells: Cells) -> float:
    """Return how far the points of one layer of one cell scatter in this scan [mm].

    The median, over the layers of up to ``SCATTER_CELLS`` cells evenly spread over the scan, of
    the standard deviation of their points; what a floor falls within a cell is part of it. Where
    no layer has enough points, layers of the fewest points are taken.
    """
    stride = max(len(cells) // SCATTER_CELLS, 1)
    half = round(FIRST_WINDOW_MM / layers.slab_mm)
    picked = np.arange(0, len(cells), stride)
    rows = np.concatenate([[0], np.cumsum(np.diff(cells.start)[picked])])
    places = np.repeat(cells.start[picked] - rows[:-1], np.diff(rows)) + np.arange(rows[-1])
    few = Cells(cells.ix[picked], cells.iy[picked], rows)
    found = _joined([_peaks_at(layers, few, places, a, b, half) for a, b in few.pieces()])
    enough = found.count >= SCATTER_POINTS
    if not np.any(enough):
        enough = found.count >= LEAST_POINTS
    return float(np.median(found.scatter_mm[enough])) if np.any(enough) else layers.slab_mm


def half_window(scatter_mm: float, cell_mm: float, slab_mm: float, bound: float) -> int:
    """Return how many slabs on either side of its middle a layer takes up.

    Parameters
    ----------
    scatter_mm : float
        Scatter of points [mm].
    cell_mm, slab_mm : float
        Side of a cell and thickness of a slab [mm].
    bound : float
        Steepest floor, rise over run: half of what that rises to either side of a cell's middle
        is taken in.
    """
    return int(np.ceil((WINDOW_SDS * scatter_mm + bound * cell_mm / 4) / slab_mm))


def _peaks_of(layers: Layers, cells: Cells, first: int, last: int, half: int) -> Peaks:
    places = slice(int(cells.start[first]), int(cells.start[last]))
    return _found(layers, cells, places, (first, last), half)


def _peaks_at(
    layers: Layers, cells: Cells, places: Whole, first: int, last: int, half: int
) -> Peaks:
    part = places[int(cells.start[first]) : int(cells.start[last])]
    return _found(layers, cells, part, (first, last), half)


def _found(
    layers: Layers, cells: Cells, places: slice | Whole, piece: tuple[int, int], half: int
) -> Peaks:
    cell = cells.of_rows(*piece)
    rows = _rows(layers, cell, places, 20 * half + 20)
    top = _tops(rows, half)
    first, last = rows.between(rows.key[top] - half, rows.key[top] + half)
    # Once more about the mean: the fullest window may sit to one side of its points.
    _, mean, _ = rows.moments(first, last)
    middle = _key_of(rows, cell[top], mean)
    first, last = rows.between(middle - half, middle + half)
    crowded = _crowded(rows, middle, half, first, last)
    n, mean, spread = rows.moments(first[crowded], last[crowded])
    return _once_each(Peaks(cell[top][crowded] + piece[0], mean, spread, n), half * layers.slab_mm)


def _rows(layers: Layers, cell: Whole, places: slice | Whole, margin: int) -> _Rows:
    iz, n, parts = layers.iz[places], layers.count[places], layers.sum_z[places]
    bottom = int(iz.min())
    u = iz - bottom
    span = int(u.max()) + margin
    sums = np.zeros((len(u) + 1, 5), dtype=np.int64)
    nu = n * u
    for place, each in enumerate((n, nu, nu * u, parts, u * parts)):
        np.cumsum(each, out=sums[1:, place])
    return _Rows(cell * span + u, sums, layers.slab_mm, bottom, span)


def _key_of(rows: _Rows, cell: Whole, height_mm: Array) -> Whole:
    slab = np.floor(height_mm / rows.slab_mm).astype(np.int64) - rows.bottom
    return np.asarray(cell * rows.span + slab, dtype=np.int64)


def _tops(rows: _Rows, half: int) -> Whole:
    """Return rows whose windows hold the most points of all around, the lowest of equals."""
    first, last = rows.between(rows.key - half, rows.key + half)
    held = rows.held(first, last)
    best = held >= LEAST_POINTS
    for away in range(1, half + 1):
        near = rows.key[away:] - rows.key[:-away] <= half
        lower, upper = held[:-away], held[away:]
        best[:-away] &= ~(near & (upper > lower))
        best[away:] &= ~(near & (lower >= upper))
    return np.flatnonzero(best)


def _crowded(rows: _Rows, middle: Whole, half: int, first: Whole, last: Whole) -> Flags:
    """Tell at which middles points crowd, rows first to last - 1 being theirs."""
    held = rows.held(first, last)
    wide = 2 * half + 1
    good = held >= LEAST_POINTS
    for side in (1, -1):
        bands = np.stack([_held_at(rows, middle + side * k * wide, half) for k in _BANDS])
        usual = (bands.sum(axis=0) - bands.max(axis=0)) / (len(_BANDS) - 1)
        good &= (held >= CROWDED * bands[0]) & (held >= _by_chance(usual))
    return np.asarray(good, dtype=bool)


def _held_at(rows: _Rows, middle: Whole, half: int) -> Whole:
    return rows.held(*rows.between(middle - half, middle + half))


def _by_chance(expected: Array) -> Array:
    """Return how many points chance may put where so many are expected."""
    return np.asarray(expected + CHANCE_SDS * np.sqrt(expected + 1.0), dtype=float)


def _once_each(peaks: Peaks, apart_mm: float) -> Peaks:
    """Return peaks without those that another one of the cell, as full or fuller, lies within."""
    same = (peaks.cell[1:] == peaks.cell[:-1]) & (np.diff(peaks.height_mm) <= apart_mm)
    fuller = peaks.count[1:] > peaks.count[:-1]
    keep = np.ones(len(peaks), dtype=bool)
    keep[:-1] &= ~(same & fuller)
    keep[1:] &= ~(same & ~fuller)
    return Peaks(peaks.cell[keep], peaks.height_mm[keep], peaks.scatter_mm[keep], peaks.count[keep])


def _joined(parts: list[Peaks]) -> Peaks:
    if not parts:
        return Peaks(np.empty(0, np.int64), np.empty(0), np.empty(0), np.empty(0, np.int64))
    return Peaks(
        np.concatenate([each.cell for each in parts]),
        np.concatenate([each.height_mm for each in parts]),
        np.concatenate([each.scatter_mm for each in parts]),
        np.concatenate([each.count for each in parts]),
    )
