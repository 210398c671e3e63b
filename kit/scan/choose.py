"""Which of the surfaces of a scan are floor: the lowest continuous one, and levels beside it."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt

from kit.job import refuse
from kit.scan.cells import Cells, Whole
from kit.scan.peaks import Peaks
from kit.scan.surfaces import Surfaces, reach_mm

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

#: The floor to begin with is the lowest of the surfaces that cover at least this share of what
#: the largest covers: a ceiling or a roof is often the largest, and reflections under the floor
#: make small ones.
MAIN_SHARE = 0.25
#: A surface that the floor does not reach is a level of its own if it is so large [m²],
LEVEL_M2 = 2.0
#: steps up or down by no more than this [mm],
STEP_MM = 300.0
#: and has floor no further off than this [mm]; shadows lie between.
LEVEL_GAP_MM = 5000.0
#: A smaller piece of floor behind a shadow goes on with the floor if that is no further off than
#: this [mm], at a fall of no more than ``GAP_FALL``.
GAP_MM, GAP_FALL = 2000.0, 0.02
#: Nothing is floor that has floor under or over it in more than this share of its cells.
OVER_FLOOR = 0.1
#: Rounds in which floor is found from floor; every one is needed only by a row of levels each
#: behind the last.
ROUNDS = 40
#: Cells that a grid may have.
MOST_CELLS = 50_000_000


@dataclass(frozen=True, eq=False)
class Box:
    """A rectangle of cells."""

    left: int
    back: int
    nx: int
    ny: int

    def places(self, cells: Cells, which: Whole) -> Whole:
        """Return places in the flattened (ny, nx) grid, -1 outside."""
        ix, iy = cells.ix[which] - self.left, cells.iy[which] - self.back
        inside = (ix >= 0) & (ix < self.nx) & (iy >= 0) & (iy < self.ny)
        return np.where(inside, iy * self.nx + ix, -1)


@dataclass(frozen=True, eq=False)
class Level:
    """A surface beside the floor that is not reached from it by a slope.

    Parameters
    ----------
    step_mm : float
        Its height over the floor next to it, the median along the rim [mm].
    area_m2 : float
        Of its cells [m²].
    is_floor : bool
        Whether it counts as floor.
    """

    step_mm: float
    area_m2: float
    is_floor: bool


@dataclass(frozen=True, eq=False)
class Chosen:
    """Which layers are floor.

    Parameters
    ----------
    box : Box
        The cells that the floor lies in.
    peak : (ny, nx) array of int
        Which of the peaks is the floor of each cell; -1 where there is none.
    two : (ny, nx) array of bool
        Where two levels of the floor meet in one cell.
    levels : tuple of Level
        Large surfaces that no slope joins to the floor, the largest first.
    """

    box: Box
    peak: Whole = field(repr=False)
    two: Flags = field(repr=False)
    levels: tuple[Level, ...] = ()


def choose_floor(
    peaks: Peaks, surfaces: Surfaces, cells: Cells, cell_mm: float, scatter_mm: float
) -> Chosen:
    """Return which layers are floor.

    Raises
    ------
    Refusal
        Where no surface covers four cells, or the floor's grid would be too large.
    """
    is_floor = np.zeros(len(surfaces.cells), dtype=bool)
    is_floor[_main(peaks, surfaces)] = True
    box = _box(cells, peaks.cell[surfaces.cells[surfaces.label] >= 4])
    place = box.places(cells, peaks.cell)
    levels: list[Level] = []
    for _ in range(ROUNDS):
        rim = _rims(peaks, surfaces, is_floor, place, (box.ny, box.nx))
        area = np.asarray(surfaces.cells[rim.label] * cell_mm**2 / 1e6, dtype=float)
        goes_on = rim.goes_on(cell_mm, scatter_mm)
        level = rim.is_level(cell_mm) & (area >= LEVEL_M2)
        levels += _levels(rim, area, level & ~goes_on, True)
        if not np.any(goes_on | level):
            levels += _levels(rim, area, (area >= LEVEL_M2) & (rim.shared <= OVER_FLOOR), False)
            break
        is_floor[rim.label[goes_on | level]] = True
    return _chosen(peaks, cells, is_floor[surfaces.label], tuple(levels))


@dataclass(frozen=True, eq=False)
class _Rims:
    """Of surfaces that are not floor yet: how they lie to the floor next to them."""

    label: Whole
    away: Array  # cells from the nearest of their cells to floor
    step_mm: Array  # median height over the nearest floor, along their nearest cells
    shared: Array  # share of their cells that have floor
    least: Whole  # points of the weakest layer along the rim

    def goes_on(self, cell_mm: float, scatter_mm: float) -> Flags:
        """Tell which carry the floor on behind a gap."""
        gap = (self.away - 1) * cell_mm
        reach = reach_mm(cell_mm, scatter_mm, self.least) + GAP_FALL * gap
        near = (gap <= GAP_MM) & (self.shared <= OVER_FLOOR)
        return np.asarray(near & (np.abs(self.step_mm) <= reach), dtype=bool)

    def is_level(self, cell_mm: float) -> Flags:
        """Tell which lie as a level beside the floor, if they are large enough."""
        near = ((self.away - 1) * cell_mm <= LEVEL_GAP_MM) & (self.shared <= OVER_FLOOR)
        return np.asarray(near & (np.abs(self.step_mm) <= STEP_MM), dtype=bool)


def _main(peaks: Peaks, surfaces: Surfaces) -> int:
    if not len(peaks) or surfaces.cells.max() < 4:
        found = f"{len(peaks)} layers that look level, none over four cells side by side"
        raise refuse("floor in the scan", found, "a floor; take larger cells or a denser scan")
    large = np.flatnonzero(surfaces.cells >= MAIN_SHARE * surfaces.cells.max())
    middles = [float(np.median(peaks.height_mm[surfaces.label == one])) for one in large]
    return int(large[int(np.argmin(middles))])


def _box(cells: Cells, which: Whole) -> Box:
    ix, iy = cells.ix[which], cells.iy[which]
    box = Box(int(ix.min()), int(iy.min()), int(np.ptp(ix)) + 1, int(np.ptp(iy)) + 1)
    if box.nx * box.ny > MOST_CELLS:
        found = f"{box.nx} by {box.ny} cells"
        raise refuse("grid of the scan", found, f"{MOST_CELLS:,} cells at most; take larger ones")
    return box


def _rims(
    peaks: Peaks,
    surfaces: Surfaces,
    is_floor: Flags,
    place: Whole,
    shape: tuple[int, int],
) -> _Rims:
    floor = np.full(shape[0] * shape[1], np.nan)
    mine = is_floor[surfaces.label]
    floor[place[mine][::-1]] = peaks.height_mm[mine][::-1]  # of two in a cell the lower stays
    away, near = distance_transform_edt(
        np.isnan(floor).reshape(shape), return_distances=True, return_indices=True
    )
    nearest = floor[(near[0] * shape[1] + near[1]).ravel()]
    open_ = np.flatnonzero(~mine & (place >= 0))
    label, far = surfaces.label[open_], away.ravel()[place[open_]]
    step = peaks.height_mm[open_] - nearest[place[open_]]
    there = np.bincount(label, minlength=len(surfaces.cells)) > 0
    own, which = np.flatnonzero(there), (np.cumsum(there) - 1)[label]
    closest = np.full(len(own), np.inf)
    np.minimum.at(closest, which, far)
    shared = np.bincount(which, weights=far == 0, minlength=len(own)) / np.bincount(which)
    rim = far <= closest[which] + 1.5
    return _Rims(own, closest, *_middles(which[rim], step[rim], shared, peaks.count[open_][rim]))


def _middles(which: Whole, step: Array, shared: Array, count: Whole) -> tuple[Array, Array, Whole]:
    """Return the median of the steps, the shares as given and the fewest points, group by group."""
    if not len(which):
        return np.empty(0), shared, np.empty(0, np.int64)
    order = np.lexsort((step, which))
    first = np.flatnonzero(np.diff(which[order], prepend=-1))
    size = np.diff(np.append(first, len(order)))
    low, high = step[order][first + (size - 1) // 2], step[order][first + size // 2]
    return (low + high) / 2, shared, np.minimum.reduceat(count[order], first)


def _levels(rim: _Rims, area: Array, which: Flags, is_floor: bool) -> list[Level]:
    picked = np.flatnonzero(which)
    picked = picked[np.lexsort((rim.label[picked], -area[picked]))]
    return [Level(float(rim.step_mm[k]), float(area[k]), is_floor) for k in picked]


def _chosen(peaks: Peaks, cells: Cells, mine: Flags, levels: tuple[Level, ...]) -> Chosen:
    picked = np.flatnonzero(mine)
    box = _box(cells, peaks.cell[picked])
    place = box.places(cells, peaks.cell[picked])
    peak = np.full(box.nx * box.ny, -1, dtype=np.int64)
    peak[place[::-1]] = picked[::-1]
    lowest = peak[place]
    # A floor that rises by a step inside a cell has two heights there, and its mean none.
    second = (lowest != picked) & (peaks.count[picked] * 5 >= peaks.count[lowest])
    two = np.zeros(len(peak), dtype=bool)
    two[place[second]] = True
    shape = (box.ny, box.nx)
    return Chosen(box, peak.reshape(shape), two.reshape(shape), levels)
