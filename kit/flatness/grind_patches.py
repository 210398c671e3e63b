"""The patches of a floor that are ground off or filled."""

from __future__ import annotations

from collections.abc import Hashable, Sequence

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.ndimage import label

from kit.height_grid import Array, HeightGrid

Bools = NDArray[np.bool_]

#: What is less is no work [mm]: the tolerance of the sums.
NO_WORK_MM = 1e-6
#: A patch that is nowhere as deep [mm], or has less [l], is small (common practice, no source).
SMALL_MM, SMALL_L = 0.5, 0.01
#: By which the small ones stand together.
SMALL = "small patches"


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


def gathered(table: pd.DataFrame) -> pd.DataFrame:
    """Return patches for a person: the small ones of each work in one row, after the others.

    Parameters
    ----------
    table : DataFrame
        As `patches` gives it.

    Returns
    -------
    DataFrame
        The same with ``count``, how many patches a row stands for. The small ones' row is named
        ``small patches``: its area and litres are their sums, its depth and place the deepest
        one's, its extent holds them all. Nothing is lost: litres add up as before.
    """
    small = (table["deepest_mm"] < SMALL_MM) | (table["litres"] < SMALL_L)
    rows = [{**one, "count": 1} for one in table[~small].to_dict("records")]
    rows += [
        _together(table[small & (table["work"] == work)])
        for work in ("grind", "fill")
        if (small & (table["work"] == work)).any()
    ]
    found = pd.DataFrame(rows, columns=[*table.columns, "count"])
    found.insert(1, "count", found.pop("count"))
    return found


def _together(small: pd.DataFrame) -> dict[Hashable, object]:
    deepest = small.sort_values("deepest_mm", ascending=False, kind="stable").iloc[0]
    return {
        **deepest.to_dict(),
        "patch": SMALL,
        "area_m2": float(small["area_m2"].sum()),
        "litres": float(small["litres"].sum()),
        "from_x_mm": float(small["from_x_mm"].min()),
        "to_x_mm": float(small["to_x_mm"].max()),
        "from_y_mm": float(small["from_y_mm"].min()),
        "to_y_mm": float(small["to_y_mm"].max()),
        "count": len(small),
    }
