"""Where a floor's readings lie close enough for a figure, cell by cell, and what is excluded."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import label
from scipy.spatial import cKDTree

from kit.flatness.by_level import levels
from kit.flatness.plan_distance import HasCorner
from kit.floor import Surface
from kit.floor.stepped import levels_of, steps_of
from kit.height_grid import Array, HeightGrid
from kit.job import refuse

Bools = NDArray[np.bool_]

#: Round-off puts no reading too far away.
_SLACK = 1 + 1e-9


def readings_by_cell_mm(surface: Surface, grid: HeightGrid) -> Array:
    """Return how far apart readings lie at each cell (ny, nx) [mm]; nan in holes.

    √2 times the distance to the nearest reading, the larger of that from the cell's middle and
    those from its corners where four cells meet that have heights: the spacing itself at the
    furthest cells, where they are read on a square grid in whole cells. Where the floor steps,
    from readings of the cell's own level.
    """
    if not grid.known.any():
        raise refuse("grid of heights", "no cell with a height", "one or more")
    read = np.column_stack([surface.x_mm, surface.y_mm])
    steps = steps_of(surface)
    of_reading = levels_of(steps, *read.T)
    far = np.full(grid.height_mm.shape, np.nan)
    for one in levels(grid, steps):
        own = _far_mm(cKDTree(read[of_reading == one.number]), one.grid)
        far = np.fmax(far, own)
    return np.asarray(np.round(np.sqrt(2) * far, 6))  # round-off puts no reading too far away


def apart_by_cell(grid: HeightGrid, readings_mm: float | Array) -> Array:
    """Return how far apart readings lie by cell (ny, nx) [mm], one figure as that of all cells.

    Raises
    ------
    Refusal
        Where there is one for each cell, of another grid.
    """
    apart = np.asarray(readings_mm, dtype=float)
    if apart.ndim and apart.shape != grid.height_mm.shape:
        allowed = f"one figure, or {grid.height_mm.shape}, as the grid"
        raise refuse("readings_mm", f"shape {apart.shape}", allowed)
    return np.broadcast_to(apart, grid.height_mm.shape)


def near_enough(grid: HeightGrid, readings_mm: float | Array, needed_mm: float) -> HeightGrid:
    """Return a grid whose cells too far from readings for a figure are holes.

    Parameters
    ----------
    grid : HeightGrid
        The floor.
    readings_mm : float or (ny, nx) array
        How far apart readings lie [mm]; 0 for a scan.
    needed_mm : float
        How far they may for the figure [mm]: see `why_too_far`.

    Returns
    -------
    HeightGrid
        The grid itself where nothing of it is too far.
    """
    return without(grid, apart_by_cell(grid, readings_mm) > needed_mm * _SLACK)


def without_excluded(grid: HeightGrid, excluded: Sequence[HasCorner]) -> HeightGrid:
    """Return a grid whose cells are holes where their middles lie in an excluded area."""
    return without(grid, excluded_cells(grid, excluded))


def excluded_cells(grid: HeightGrid, excluded: Sequence[HasCorner]) -> Bools:
    """Tell which cells (ny, nx) have their middles in an area, its edges included."""
    cells = np.zeros(grid.height_mm.shape, dtype=bool)
    for one in excluded:
        (left, near), (wide, deep) = one.corner_mm, one.size_mm
        rows = (grid.y_mm >= near) & (grid.y_mm <= near + deep)
        cells |= rows[:, None] & (grid.x_mm >= left) & (grid.x_mm <= left + wide)
    return cells


def without(grid: HeightGrid, cells: Bools) -> HeightGrid:
    """Return a grid with more holes; the grid itself where those are holes already."""
    if not (cells & grid.known).any():
        return grid
    return replace(
        grid,
        height_mm=np.where(cells, np.nan, grid.height_mm),
        sd_mm=np.where(cells, np.nan, grid.sd_mm),
        count=np.where(cells, 0, grid.count),
    )


def said_of_excluded(grid: HeightGrid, excluded: Sequence[HasCorner]) -> tuple[str, ...]:
    """Return which areas are left out, and how much of the floor; nothing where none is."""
    if not excluded:
        return ()
    area = area_m2(grid, excluded_cells(grid, excluded) & grid.known)
    names = ", ".join(getattr(one, "name", "") or str(k) for k, one in enumerate(excluded, 1))
    return (f"Excluded: {names}, {area:.2f} m² of floor. No figure speaks of it.",)


def said_of_far(grid: HeightGrid, readings_mm: float | Array, needed_mm: float) -> str:
    """Return how much of a floor is too far from readings for a figure, and where; or nothing."""
    near = near_enough(grid, readings_mm, needed_mm)
    if near is grid:
        return ""
    lost = grid.known & ~near.known
    apart = float(apart_by_cell(grid, readings_mm)[lost].max())
    of, _ = label(lost)
    rows, columns = np.nonzero(of == 1 + int(np.bincount(of[lost])[1:].argmax()))
    half = grid.cell_mm / 2
    return (
        f"{area_m2(grid, lost):.1f} m² of {grid.area_m2:.1f} m² left out: readings lie up to"
        f" {apart:.0f} mm apart there; {needed_mm:g} mm at most are needed. The largest patch:"
        f" x {grid.x_mm[columns].min() - half:.0f} to {grid.x_mm[columns].max() + half:.0f},"
        f" y {grid.y_mm[rows].min() - half:.0f} to {grid.y_mm[rows].max() + half:.0f} mm"
    )


def area_m2(grid: HeightGrid, cells: Bools) -> float:
    """Return the area of some cells [m²]."""
    return float(np.count_nonzero(cells)) * grid.cell_mm**2 / 1e6


def _far_mm(read: cKDTree, grid: HeightGrid) -> Array:
    """Return each cell's largest distance to the nearest reading (ny, nx) [mm]."""
    known, half = grid.known, grid.cell_mm / 2
    rows, columns = np.nonzero(known)
    far = np.full(known.shape, np.nan)
    far[known] = read.query(np.column_stack([grid.x_mm[columns], grid.y_mm[rows]]))[0]
    low, left = np.nonzero(known[:-1, :-1] & known[:-1, 1:] & known[1:, :-1] & known[1:, 1:])
    if not low.size:
        return far
    corners = read.query(np.column_stack([grid.x_mm[left] + half, grid.y_mm[low] + half]))[0]
    for up in (0, 1):
        for over in (0, 1):
            at = (low + up, left + over)
            far[at] = np.maximum(far[at], corners)
    return far
