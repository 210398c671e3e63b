"""The patches of a floor that are ground off or filled."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.ndimage import label

from kit.height_grid import Array, HeightGrid

Bools = NDArray[np.bool_]

#: What is less is no work [mm]: the tolerance of the sums.
NO_WORK_MM = 1e-6


def patches(grid: HeightGrid, change_mm: Array, levels: Sequence[Bools] = ()) -> pd.DataFrame:
    """Return the connected patches of a change, the largest volume first.

    Parameters
    ----------
    grid : HeightGrid
    change_mm : (ny, nx) array
        Of each cell [mm], positive = fill.
    levels : sequence of (ny, nx) array of bool
        The cells of each level of a floor that steps: no patch lies on two.

    Returns
    -------
    DataFrame
        patch (number, from 1), work (``grind`` or ``fill``), area_m2, litres, deepest_mm, its
        place x_mm, y_mm, and the patch's extent from_x_mm, to_x_mm, from_y_mm, to_y_mm: the outer
        edges of its cells. Cells belong together that share a side.
    """
    rows = [
        _row(grid, np.abs(change_mm), cells, work)
        for work, where in (("grind", change_mm < -NO_WORK_MM), ("fill", change_mm > NO_WORK_MM))
        for level in (levels or (np.ones(where.shape, dtype=bool),))
        for cells in _connected(where & level)
    ]
    columns = ["work", "area_m2", "litres", "deepest_mm", "x_mm", "y_mm"]
    columns += ["from_x_mm", "to_x_mm", "from_y_mm", "to_y_mm"]
    table = pd.DataFrame(rows, columns=columns)
    table = table.sort_values(
        ["litres", "y_mm", "x_mm"], ascending=[False, True, True], ignore_index=True
    )
    table.insert(0, "patch", np.arange(1, len(table) + 1))
    return table


def _connected(where: np.ndarray) -> list[tuple[np.ndarray, np.ndarray]]:
    """Return rows and columns of the cells of each connected patch."""
    of, count = label(where)
    rows, columns = np.nonzero(of)
    order = np.argsort(of[rows, columns], kind="stable")
    cuts = np.cumsum(np.bincount(of[rows, columns], minlength=count + 1)[1:])[:-1]
    if not count:
        return []
    return list(zip(np.split(rows[order], cuts), np.split(columns[order], cuts), strict=True))


def _row(
    grid: HeightGrid, depth_mm: Array, cells: tuple[np.ndarray, np.ndarray], work: str
) -> tuple[object, ...]:
    depth, (rows, columns) = depth_mm[cells], cells
    deepest, half, cell_m2 = int(depth.argmax()), grid.cell_mm / 2, grid.cell_mm**2 / 1e6
    x, y = grid.x_mm[columns], grid.y_mm[rows]
    return (
        work,
        len(depth) * cell_m2,
        float(depth.sum()) * cell_m2,
        float(depth[deepest]),
        float(x[deepest]),
        float(y[deepest]),
        float(x.min()) - half,
        float(x.max()) + half,
        float(y.min()) - half,
        float(y.max()) + half,
    )
