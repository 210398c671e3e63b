"""Heights at the middles of square cells, given one by one, put together as a grid."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from kit.height_grid import Array, HeightGrid
from kit.job import refuse

#: A place may lie so far off the middle of its cell [mm].
OFF_MM = 1e-3


def grid_of_lattice(
    x_mm: ArrayLike, y_mm: ArrayLike, height_mm: ArrayLike, sd_mm: ArrayLike, cell_mm: float
) -> HeightGrid:
    """Return the grid of heights that are given at middles of cells, in any order.

    Parameters
    ----------
    x_mm, y_mm, height_mm, sd_mm : (n,) array_like
        Places, heights and their standard deviations [mm].
    cell_mm : float
        Side of the cells [mm].

    Returns
    -------
    HeightGrid
        Cells that nothing is given of are holes; each other one counts as one reading.

    Raises
    ------
    Refusal
        Where there are fewer than two places, they do not lie in steps of the cell, or two lie
        in one cell.
    """
    x, y, height, sd = (np.asarray(v, dtype=float) for v in (x_mm, y_mm, height_mm, sd_mm))
    if len(x) < 2:
        raise refuse("grid of heights", f"{len(x)} places", "two or more")
    column, row = _steps(x, cell_mm, "x"), _steps(y, cell_mm, "y")
    shape = (int(row.max()) + 1, int(column.max()) + 1)
    count = np.zeros(shape, dtype=np.int64)
    np.add.at(count, (row, column), 1)
    if count.max() > 1:
        at_y, at_x = np.argwhere(count > 1)[0]
        found = f"{count.max()} heights at x {x.min() + at_x * cell_mm:g} mm,"
        raise refuse(
            "grid of heights", f"{found} y {y.min() + at_y * cell_mm:g} mm", "one in each cell"
        )
    heights, doubts = np.full(shape, np.nan), np.full(shape, np.nan)
    heights[row, column], doubts[row, column] = height, sd
    return HeightGrid(
        x.min() + cell_mm * np.arange(shape[1]),
        y.min() + cell_mm * np.arange(shape[0]),
        heights,
        doubts,
        count,
    )


def _steps(places: Array, cell_mm: float, axis: str) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """Return how many cells each place lies from the first one."""
    steps = (places - places.min()) / cell_mm
    whole = np.rint(steps)
    off = np.abs(steps - whole) * cell_mm
    if off.max() > OFF_MM:
        found = f"{axis} {places[np.argmax(off)]:g} mm"
        raise refuse("grid of heights", found, f"{places.min():g} mm and steps of {cell_mm:g} mm")
    return np.asarray(whole, dtype=np.int64)
