"""The median height of each cell of the plan, of points that are all in memory."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from kit.height_grid import HeightGrid
from kit.job import refuse
from kit.scan.medians import medians

Array = NDArray[np.float64]
Whole = NDArray[np.int64]

#: A standard deviation is 1/Φ⁻¹(3/4) times the median absolute deviation of normal errors
#: (Huber, Robust Statistics, 1981, section 5.1, from memory).
SD_PER_MAD = 1.4826
#: The median of many normal errors scatters √(π/2) times as wide as their mean does (Kendall and
#: Stuart, The Advanced Theory of Statistics 1, example 10.10 on the standard error of the median,
#: from memory).
MEDIAN_PER_MEAN = math.sqrt(math.pi / 2)
#: The scatter of fewer points than this tells nothing; they take what is usual in the others.
LEAST_POINTS = 5
#: More cells than this are a matter of cells that are too small.
MOST_CELLS = 50_000_000
#: Points that are worked on at once: what is made of them stays in a machine's cache.
_AT_ONCE = 1 << 16


def median_grid(x_mm: Array, y_mm: Array, z_mm: Array, cell_mm: float) -> HeightGrid:
    """Return the exact median height of each cell, its doubt, and its count.

    Parameters
    ----------
    x_mm, y_mm, z_mm : (n,) arrays
        Points in the plan [mm], all finite.
    cell_mm : float
        Side of the cells [mm]; cell i reaches from ``i * cell_mm`` up to ``(i + 1) * cell_mm``.

    Returns
    -------
    HeightGrid
        Over all cells from the lowest to the highest that hold points; ``sd_mm`` is that of the
        median as the points in the cell scatter,

            sd = √(π/2) · 1.4826 · MAD / √n,    Eq. (1)

        where errors that the points of a cell share are not in it. A cell of fewer than 5 points
        takes the median of the other cells' 1.4826 MAD; where there is no other, sd is nan.

    Raises
    ------
    Refusal
        Where there is no point, a coordinate is no number, all lie in one cell, or there are more
        than 50 million cells.
    """
    x, y, z = (np.asarray(values, dtype=np.float64) for values in (x_mm, y_mm, z_mm))
    _check(x, y, z, cell_mm)
    first_x, nx = _reach(x, cell_mm)
    first_y, ny = _reach(y, cell_mm)
    if nx * ny > MOST_CELLS:
        found = f"{nx} by {ny} cells of {cell_mm:g} mm"
        raise refuse("cell_mm", found, f"at most {MOST_CELLS:,} cells; a larger cell_mm")
    row = np.empty(len(x), dtype=np.int64)
    for i in range(0, len(x), _AT_ONCE):
        at = np.floor(y[i : i + _AT_ONCE] / cell_mm)
        at -= first_y
        at *= nx
        at += np.floor(x[i : i + _AT_ONCE] / cell_mm)
        at -= first_x
        row[i : i + _AT_ONCE] = at
    count = np.bincount(row, minlength=nx * ny)
    height = medians(row, z, nx * ny, count)
    off = np.take(height, row)
    np.subtract(z, off, out=off)
    np.abs(off, out=off)
    scatter = SD_PER_MAD * medians(row, off, nx * ny, count)
    sd, notes = _doubt(scatter, count)
    return HeightGrid(
        _centres(first_x, nx, cell_mm),
        _centres(first_y, ny, cell_mm),
        height.reshape(ny, nx),
        sd.reshape(ny, nx),
        count.reshape(ny, nx),
        notes,
    )


def _check(x: Array, y: Array, z: Array, cell_mm: float) -> None:
    if not cell_mm > 0 or not math.isfinite(cell_mm):
        raise refuse("cell_mm", f"{cell_mm:g} mm", "above 0 mm")
    if not x.shape == y.shape == z.shape or x.ndim != 1:
        raise refuse("points", f"shapes {x.shape}, {y.shape}, {z.shape}", "three columns alike")
    if not len(x):
        raise refuse("points", "none", "one point or more")
    for axis, values in zip("xyz", (x, y, z), strict=True):
        # A sum takes no memory beside the values; one that is no number shows in it.
        bad = 0 if np.isfinite(values.sum()) else int(np.count_nonzero(~np.isfinite(values)))
        if bad:
            raise refuse(f"points, {axis}", f"{bad} that are no number", "numbers")


def _reach(values: Array, cell_mm: float) -> tuple[int, int]:
    """Return the first cell along an axis, and how many there are up to the last.

    A place on the border of two cells falls as x / cell_mm rounds.
    """
    first, last = (math.floor(float(end) / cell_mm) for end in (values.min(), values.max()))
    return first, last - first + 1


def _centres(first: int, cells: int, cell_mm: float) -> Array:
    centres = np.arange(cells, dtype=np.float64)
    centres += first + 0.5
    centres *= cell_mm
    return centres


def _doubt(scatter: Array, count: Whole) -> tuple[Array, tuple[str, ...]]:
    many = count >= LEAST_POINTS
    usual = float(np.median(scatter[many])) if many.any() else math.nan
    few = (count > 0) & ~many
    one = np.where(many, scatter, np.where(few, usual, np.nan))
    sd = MEDIAN_PER_MEAN * one / np.sqrt(np.maximum(count, 1))  # Eq. (1)
    if not few.any():
        return sd, ()
    if not many.any():
        return sd, (f"No cell has {LEAST_POINTS} points: the doubt of the heights is not known.",)
    cells = int(np.count_nonzero(few))
    note = f"{cells} cells have fewer than {LEAST_POINTS} points: the others tell their doubt."
    return sd, (note,)
