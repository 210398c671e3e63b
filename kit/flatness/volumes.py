"""How much hollow and hump a floor has against a datum."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.flatness.facets import NOTHING_MM, Facets, Slopes
from kit.height_grid import Array, HeightGrid
from kit.job import refuse

Bools = NDArray[np.bool_]

#: Cubic millimetres of a litre, square millimetres of a square metre.
MM3_PER_L, MM2_PER_M2 = 1e6, 1e6

#: Hump and hollow that differ by less than this share of their sum are balanced: round-off.
BALANCED = 1e-9

#: Two grids lie on the same places if these differ by less [mm].
SAME_PLACE_MM = 1e-3


class Sloping(Protocol):
    """A datum that falls, such as `kit.floor.Plane`."""

    def height_mm(self, x_mm: ArrayLike, y_mm: ArrayLike) -> Array:
        """Return its height [mm] at places (m,)."""
        ...


@dataclass(frozen=True)
class Fall:
    """A datum that falls: its height at x = y = 0 [mm], its rise along x and y [mm/m]."""

    c_mm: float
    rise_x_mm_per_m: float
    rise_y_mm_per_m: float

    def height_mm(self, x_mm: ArrayLike, y_mm: ArrayLike) -> Array:
        """Return its height [mm] at places given in mm, (m,) each."""
        x, y = np.asarray(x_mm, dtype=float), np.asarray(y_mm, dtype=float)
        return np.asarray(
            self.c_mm + (self.rise_x_mm_per_m * x + self.rise_y_mm_per_m * y) / 1000.0
        )


Datum = float | Sloping | HeightGrid


@dataclass(frozen=True)
class Side:
    """What lies on one side of a datum: hollows to be filled, or humps to be cut.

    Parameters
    ----------
    litres, area_m2, mean_mm, greatest_mm : float
        Volume [l], area [m²], mean and greatest depth [mm]. The depths are nan where the area
        is 0.
    litres_sd, area_sd_m2, mean_sd_mm, greatest_sd_mm : float
        Their standard deviations, to first order of the heights' doubts.
    x_mm, y_mm : float
        Where it is deepest [mm].
    """

    litres: float
    litres_sd: float
    area_m2: float
    area_sd_m2: float
    mean_mm: float
    mean_sd_mm: float
    greatest_mm: float
    greatest_sd_mm: float
    x_mm: float
    y_mm: float


@dataclass(frozen=True)
class Volumes:
    """Hollow and hump of a floor against a datum.

    Parameters
    ----------
    fill, cut : Side
        Hollows below the datum, humps above it.
    area_m2 : float
        Area that is told of [m²]: of cells that have a height.
    holes_m2 : float
        Area inside the grid, or zone, of cells without a height: not counted [m²].
    common_sd_mm : float
        Doubt of the datum itself, the same for every cell, that the standard deviations hold.
    """

    fill: Side
    cut: Side
    area_m2: float
    holes_m2: float
    common_sd_mm: float

    @property
    def net_l(self) -> float:
        """What is left over if the humps go into the hollows [l]; negative: what is missing."""
        net, both = self.cut.litres - self.fill.litres, self.cut.litres + self.fill.litres
        return 0.0 if abs(net) < BALANCED * both else net

    @property
    def notes(self) -> tuple[str, ...]:
        """What must be said along with the figures."""
        return tuple(self._notes())

    def _notes(self) -> Iterator[str]:
        if self.holes_m2 > 0:
            yield (
                f"{self.holes_m2:.2f} m² of {self.holes_m2 + self.area_m2:.2f} m² have no height:"
                " nothing there is counted as hollow or hump."
            )
        for name, side in (("hollows", self.fill), ("humps", self.cut)):
            if side.area_m2 > 0 and side.mean_mm < 2 * side.mean_sd_mm:
                yield (
                    f"The {name} are on the mean {side.mean_mm:.2f} mm deep, less than twice the"
                    f" doubt of that, {side.mean_sd_mm:.2f} mm: they may be none."
                )


def volumes(
    grid: HeightGrid,
    datum: Datum,
    *,
    common_sd_mm: float = 0.0,
    cells: Bools | None = None,
) -> Volumes:
    """Tell how much of a floor is hollow and how much hump against a datum.

    Parameters
    ----------
    grid : HeightGrid
        The floor.
    datum : float, Sloping or HeightGrid
        A height [mm], a plane (`kit.floor.Plane`, `Fall`), or another floor on the same places,
        whose doubts count as well.
    common_sd_mm : float
        Standard deviation of the datum, the same for every cell [mm]: how well its height is
        known on site against the readings.
    cells : (ny, nx) array of bool, optional
        Only these cells are told of; all without it.

    Returns
    -------
    Volumes

    Raises
    ------
    Refusal
        Where no cell has a height, the datum is not finite, another floor lies on other places,
        or a doubt is negative.

    Notes
    -----
    A cell is integrated over its own square: what is told of is `HeightGrid.area_m2`, half a cell
    beyond the outermost middles. `kit.flatness.facets` says how the surface lies; its triangles
    are cut exactly where they meet the datum. Fill less cut is the sum over the cells of
    (datum - height) times the area of a cell, exactly. Along the border the depth of the outermost
    middle is carried on: a plane that crosses the datum is told of exactly up to the outermost
    middles and, over n cells from end to end, to about 1/n² of its volume altogether. Where the
    floor is smooth the error goes down with the square of the cell.

    Doubts: the heights' own are taken as independent from cell to cell and go in by the exact
    derivative of each figure; a shift of the datum goes in by the area. To first order: where a
    floor keeps within about its doubt of the datum, chance itself makes hollows and humps, and
    both volumes are told too large.

    Examples
    --------
    >>> h = np.array([[2.0, 2.0], [-1.0, -1.0]])
    >>> place = np.array([0.0, 1000.0])
    >>> found = volumes(HeightGrid(place, place, h, 0 * h, np.ones((2, 2), int)), 0.0)
    >>> round(found.cut.litres, 3), round(found.fill.litres, 3), round(found.net_l, 3)
    (3.333, 1.333, 2.0)
    """
    if not (math.isfinite(common_sd_mm) and common_sd_mm >= 0):
        raise refuse("volumes, common_sd_mm", f"{common_sd_mm:g} mm", "0 mm or more")
    depth, sd = depths(grid, datum)
    chosen = np.ones(depth.shape, dtype=bool) if cells is None else cells
    if chosen.shape != depth.shape:
        raise refuse("volumes, cells", f"shape {chosen.shape}", f"{depth.shape}, as the grid")
    if not (chosen & np.isfinite(depth)).any():
        raise refuse("volumes", "no cell that has a height", "one or more")
    told = _Told(grid, Facets(depth), sd, chosen & np.isfinite(depth), common_sd_mm)
    holes = int(np.count_nonzero(chosen & ~np.isfinite(depth)))
    sides = told.side(-1), told.side(1)
    return Volumes(*sides, told.area_m2, holes * told.cell_m2, common_sd_mm)


def depths(grid: HeightGrid, datum: Datum) -> tuple[Array, Array]:
    """Return height less datum (ny, nx) [mm], positive = hump, and its standard deviation.

    Raises
    ------
    Refusal
        As for `volumes`.
    """
    if isinstance(datum, HeightGrid):
        places = ((grid.x_mm, datum.x_mm), (grid.y_mm, datum.y_mm))
        if any(a.shape != b.shape or np.abs(a - b).max() > SAME_PLACE_MM for a, b in places):
            raise refuse("datum", "a floor with cells elsewhere", "one on the same places")
        return grid.height_mm - datum.height_mm, np.hypot(grid.sd_mm, datum.sd_mm)
    if isinstance(datum, float | int | np.number):
        at: Array | float = float(datum)
    else:
        x, y = np.meshgrid(grid.x_mm, grid.y_mm)
        at = datum.height_mm(x.ravel(), y.ravel()).reshape(x.shape)
    if not np.isfinite(at).all():
        raise refuse("datum", "a height that is no number", "a height in mm")
    return grid.height_mm - at, grid.sd_mm


def datum_of_balance(grid: HeightGrid) -> float:
    """Return the level at which the humps just fill the hollows [mm].

    It is the mean height of the cells, exactly: see `volumes`. What is ground off is dust and
    fills nothing; as a starting level for a fill or a pour it is common practice, no source.

    Raises
    ------
    Refusal
        Where no cell has a height.
    """
    if not grid.known.any():
        raise refuse("datum of balance", "no cell that has a height", "one or more")
    return float(grid.height_mm[grid.known].mean())


@dataclass(frozen=True)
class _Told:
    """What both sides of a datum are told from."""

    grid: HeightGrid
    facets: Facets
    sd_mm: Array
    cells: Bools
    common_sd_mm: float

    @property
    def cell_m2(self) -> float:
        return self.grid.cell_mm**2 / MM2_PER_M2

    @property
    def area_m2(self) -> float:
        return float(np.count_nonzero(self.cells)) * self.cell_m2

    @cached_property
    def slopes(self) -> Slopes:
        return self.facets.slopes(self.cells)

    def side(self, sign: int) -> Side:
        """Return the humps (sign 1) or hollows (-1)."""
        facets, slopes = self.facets, self.slopes
        each = facets.above_mm if sign > 0 else facets.below_mm
        share = facets.share_above if sign > 0 else facets.share_below
        by_height = slopes.above if sign > 0 else -slopes.below
        volume, area = float(each[self.cells].sum()), float(share[self.cells].sum())
        # A litre is a millimetre on a square metre.
        litres, area_m2 = volume * self.cell_m2, area * self.cell_m2
        by_area = sign * slopes.area_above
        litres_sd = self._sd(by_height) * self.cell_m2
        area_sd = self._sd(by_area) * self.cell_m2
        if area <= 0:
            return Side(litres, litres_sd, area_m2, area_sd, *[math.nan] * 6)
        mean = volume / area
        mean_sd = self._sd((by_height - mean * by_area) / area)
        return Side(litres, litres_sd, area_m2, area_sd, mean, mean_sd, *self._deepest(sign))

    def _deepest(self, sign: int) -> tuple[float, float, float, float]:
        depth = np.where(self.cells, sign * self.facets.middle_mm, -np.inf)
        row, column = np.unravel_index(int(depth.argmax()), depth.shape)
        deepest = float(depth[row, column])
        sd = math.hypot(float(self.sd_mm[row, column]), self.common_sd_mm)
        if deepest <= NOTHING_MM:  # the deepest of it lies outside the cells that are told of
            return (math.nan,) * 4
        return deepest, sd, float(self.grid.x_mm[column]), float(self.grid.y_mm[row])

    def _sd(self, slope: Array) -> float:
        """Return the standard deviation of a sum with a slope (ny, nx) for each height."""
        known = self.facets.known
        own = float(np.sum((slope[known] * self.sd_mm[known]) ** 2))
        return math.hypot(math.sqrt(own), float(slope[known].sum()) * self.common_sd_mm)
