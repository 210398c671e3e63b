"""A grid of heights from the surface between readings, for a floor that nobody scanned."""

from __future__ import annotations

import numpy as np

from kit.flatness.readings_near import readings_by_cell_mm
from kit.floor import Surface
from kit.height_grid import Array, HeightGrid
from kit.job import Refusal, refuse

#: More cells than this take minutes and gigabytes, and readings do not tell them apart.
MOST_CELLS = 2_000_000

#: What goes with every such grid.
SMOOTHS = (
    "The heights between readings are the likeliest ones: they are smoother than the floor. A"
    " straight edge, stations or a stichmass whose points lie closer than the readings are not"
    " checked by them."
)


def grid_of_surface(surface: Surface, cell_mm: float) -> HeightGrid:
    """Return a grid of heights from the surface between readings.

    Parameters
    ----------
    surface : Surface
        The floor as its readings tell it.
    cell_mm : float
        Side of the cells [mm].

    Returns
    -------
    HeightGrid
        Cells over the rectangle that holds the readings, in its middle; those that the survey does
        not speak for (`Surface.surveyed`) are holes. ``count`` is how many readings the surface
        rests on. The notes say that it smooths.

    Raises
    ------
    Refusal
        Where the cells are larger than the rectangle, or more than two million.
    """
    x, y = (_centres(each, cell_mm) for each in (surface.x_mm, surface.y_mm))
    if len(x) * len(y) > MOST_CELLS:
        raise _too_many(cell_mm, len(x) * len(y))
    across, out = (each.ravel() for each in np.meshgrid(x, y))
    known = surface.surveyed(across, out)
    height, sd = np.full(known.shape, np.nan), np.full(known.shape, np.nan)
    if known.any():
        height[known], sd[known] = surface.predict(across[known], out[known])
    shape = (len(y), len(x))
    count = np.where(known, len(surface.x_mm), 0).astype(np.int64)
    notes = (*surface.notes, SMOOTHS)
    return HeightGrid(x, y, height.reshape(shape), sd.reshape(shape), count.reshape(shape), notes)


def readings_apart_mm(surface: Surface, grid: HeightGrid) -> float:
    """Return how far apart readings lie where they are furthest apart [mm].

    The largest of `kit.flatness.readings_near.readings_by_cell_mm`.
    """
    return float(np.nanmax(readings_by_cell_mm(surface, grid)))


def why_too_far(readings_mm: float, needed_mm: float) -> str:
    """Return why readings so far apart do not allow a figure, or nothing where they do.

    Parameters
    ----------
    readings_mm : float
        How far apart the readings lie [mm].
    needed_mm : float
        How far they may: half the straight edge, half the measuring distance of a stichmass, the
        distance of the stations (common practice, no source) [mm].

    Examples
    --------
    >>> why_too_far(450, 300)
    'readings lie up to 450 mm apart; 300 mm at most are needed'
    """
    if readings_mm <= needed_mm * (1 + 1e-9):
        return ""
    return f"readings lie up to {readings_mm:.0f} mm apart; {needed_mm:g} mm at most are needed"


def _centres(along_mm: Array, cell_mm: float) -> Array:
    low, high = float(along_mm.min()), float(along_mm.max())
    if not (np.isfinite(cell_mm) and 0 < cell_mm <= high - low):
        raise refuse("cells of a grid", f"{cell_mm:g} mm", f"more than 0, up to {high - low:g} mm")
    steps = int((high - low) / cell_mm + 1e-9)
    if steps >= MOST_CELLS:
        raise _too_many(cell_mm, steps + 1)
    return low + (high - low - steps * cell_mm) / 2 + cell_mm * np.arange(steps + 1.0)


def _too_many(cell_mm: float, cells: int) -> Refusal:
    found = f"{cell_mm:g} mm, which gives {cells:,} cells"
    return refuse("cells of a grid", found, f"larger cells, {MOST_CELLS:,} of them at most")
