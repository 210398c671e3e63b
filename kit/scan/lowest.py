"""The floor in gathered layers: the lowest continuous surface."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from kit.height_grid import HeightGrid
from kit.job import refuse
from kit.scan.agree import borne_out
from kit.scan.cells import Cells, cells_of
from kit.scan.choose import Box, Chosen, choose_floor
from kit.scan.clutter import patches, sort_points, states
from kit.scan.found import ScanFloor
from kit.scan.heights import Heights, floor_heights
from kit.scan.layers import Layers
from kit.scan.peaks import Peaks, find_peaks, half_window, scatter_mm
from kit.scan.surfaces import STEEPEST, find_surfaces
from kit.scan.words import notes_of

Tell = Callable[[float], None]

#: Shares of the time that finding peaks, choosing, heights and sorting take.
_PARTS = (0.45, 0.6, 0.8, 1.0)


def find_floor(layers: Layers, *, tell: Tell | None = None) -> ScanFloor:
    """Return the floor in gathered layers.

    1. In every cell heights are found at which points crowd (``kit.scan.peaks``): at least 4
       points, three times as many as in as thick a band right above or below. Walls, legs, sacks
       and stray points make none.
    2. Such layers of cells side by side that differ by no more than a slope of 1 in 10 and the
       scatter of their points are one surface (``kit.scan.surfaces``).
    3. Floor is the lowest of the surfaces that cover a quarter of what the largest covers. With it
       go pieces behind shadows (up to 2 m off, falling no more than 20 mm/m), and levels: surfaces
       of 2 m² or more, 300 mm or less above or below the floor next to them, no more than 5 m off,
       without floor under or over them (``kit.scan.choose``).
    4. A cell's height is the mean of the points of its layer, cleaned of what stands on the floor
       (``kit.scan.heights``); where the cells around it do not bear it out it is doubtful
       (``kit.scan.agree``).

    So a table top is no floor, nor a shelf or a ceiling however large. What lies flat and thin (a
    mat, a sheet of board up to about a tenth of a cell high), and a closed block of 2 m² and no
    more than 300 mm high (a pallet) are taken for floor: levels are named in the notes so that a
    person can look. Of cells that show no floor fewer than 1 in 1,000 of all is called floor, and
    then lies within about a tenth of its side (made halls, ``tests/scan``); where the side of a
    ramp or a step of less than about 20 mm runs through a cell, its height is that of the lower
    part or between both. A stage higher than 300 mm without a ramp is left out, and named.

    Parameters
    ----------
    layers : Layers
        The gathered points; the order in which they came plays no part.
    tell : callable, optional
        Told the share done, 0 to 1.

    Raises
    ------
    Refusal
        Where there are no points, or none that look like a floor.
    """
    if not len(layers.ix):
        raise refuse("floor in the scan", "no points", "a scan of a floor")
    cells = cells_of(layers)
    scatter = scatter_mm(layers, cells)
    half = half_window(scatter, layers.cell_mm, layers.slab_mm, STEEPEST)
    peaks = find_peaks(layers, cells, half, _part(tell, 0))
    surfaces = find_surfaces(peaks, cells, layers.cell_mm, scatter)
    chosen = choose_floor(peaks, surfaces, cells, layers.cell_mm, scatter)
    if tell is not None:
        tell(_PARTS[1])
    heights = floor_heights(
        layers, cells, chosen.box, _start(peaks, chosen), scatter, _part(tell, 2)
    )
    sound = heights.only(
        borne_out(heights.height_mm, _fair_doubt(heights, scatter), layers.cell_mm)
    )
    if not np.any(sound.count):
        found = "no cell whose height the cells around it bear out"
        raise refuse("floor in the scan", found, "a floor; take larger cells or a denser scan")
    return _found(layers, cells, chosen, sound, _part(tell, 3))


def _start(peaks: Peaks, chosen: Chosen) -> NDArray[np.float64]:
    """Return the height of each cell's layer to begin with; none where two levels meet."""
    height = peaks.height_mm[np.maximum(chosen.peak, 0)]
    return np.where((chosen.peak >= 0) & ~chosen.two, height, np.nan)


def _fair_doubt(heights: Heights, scatter_mm: float) -> NDArray[np.float64]:
    """Return the doubt of each cell, no more than a fifth more than the scan's scatter makes.

    Points of a wall that look like a floor scatter widely: they shall not excuse themselves.
    """
    usual = 1.2 * scatter_mm / np.sqrt(np.maximum(heights.count, 1))
    return np.asarray(np.minimum(heights.sd_mm, usual), dtype=float)


def _found(
    layers: Layers, cells: Cells, chosen: Chosen, heights: Heights, tell: Tell | None
) -> ScanFloor:
    sorted_ = sort_points(layers, cells, chosen.box, heights, tell)
    grid = _grid(chosen.box, layers.cell_mm, heights)
    removed = patches(chosen.box, layers.cell_mm, sorted_)
    state = states(heights, sorted_, chosen.two)
    notes = notes_of(layers, chosen, heights, sorted_, removed, state)
    return ScanFloor(grid, state, removed, layers.points, notes)


def _grid(box: Box, cell_mm: float, heights: Heights) -> HeightGrid:
    x = np.asarray((box.left + np.arange(box.nx) + 0.5) * cell_mm, dtype=float)
    y = np.asarray((box.back + np.arange(box.ny) + 0.5) * cell_mm, dtype=float)
    return HeightGrid(x, y, heights.height_mm, heights.sd_mm, heights.count)


def _part(tell: Tell | None, part: int) -> Tell | None:
    """Return how a part of the work tells of its share in the whole."""
    if tell is None:
        return None
    begin = _PARTS[part - 1] if part else 0.0
    return lambda share: tell(begin + share * (_PARTS[part] - begin))
