"""Height and doubt of the floor in each cell, from the points of its layer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import convolve1d

from kit.scan.cells import Cells, Whole
from kit.scan.choose import Box
from kit.scan.layers import PARTS_PER_MM, Layers
from kit.scan.peaks import LEAST_POINTS

Array = NDArray[np.float64]

#: Points within so many standard deviations of the floor's height are its points.
WITHIN_SDS = 3.5
#: Rounds in which window and height are found from each other; the third moves a height by less
#: than a hundredth of its doubt.
ROUNDS = 3
#: The scatter of a cell counts as if this many points with the scatter of the cells around it
#: had been added: of a few points alone it would often come out far too small.
LENT_POINTS = 10.0
#: Cells to either side that lend.
LENDING = 2
#: Mean square of the place of a strange point in half a window of depth 1 against the floor's
#: height, and what its number, told from bands of twice the depth, adds.
_STRANGE = 1 / 3 + 1 / 8
#: Points of what stands on the floor may make up this share of its layer.
MIXED = 0.25


@dataclass(frozen=True, eq=False)
class Heights:
    """The floor cell by cell, all (ny, nx); nan and 0 where there is none.

    Parameters
    ----------
    height_mm, sd_mm : array
        Mean height of the floor over the cell and its standard deviation [mm].
    scatter_mm : array
        Standard deviation of one of its points [mm].
    count : array of int
        Points of the floor.
    """

    height_mm: Array = field(repr=False)
    sd_mm: Array = field(repr=False)
    scatter_mm: Array = field(repr=False)
    count: Whole = field(repr=False)

    def only(self, which: NDArray[np.bool_]) -> Heights:
        """Return the same where ``which`` (ny, nx) is true, holes elsewhere."""
        height, sd, scatter = (
            np.where(which, each, np.nan) for each in (self.height_mm, self.sd_mm, self.scatter_mm)
        )
        return Heights(height, sd, scatter, np.where(which, self.count, 0))


@dataclass(frozen=True, eq=False)
class _Near:
    """The slabs near the floor: heights and sums against the middle that the cell began with."""

    place: Whole
    middle_mm: Array  # middle of the slab
    mean_mm: Array  # mean of its points
    square: Array  # estimate of the mean of their squares
    count: Array
    start_mm: Array  # height that each cell began with, 0 where there is no floor
    slab_mm: float

    @property
    def cells(self) -> int:
        """How many cells."""
        return len(self.start_mm)

    def end(self, reach: Array, side: int) -> Array:
        """Return by cell where the last slab ends whose middle lies no further than a reach."""
        slab = np.floor(side * (reach + self.start_mm) / self.slab_mm - 0.5) + 1
        return np.asarray(side * slab * self.slab_mm - self.start_mm, dtype=float)

    def sum(self, which: NDArray[np.bool_], values: Array) -> Array:
        """Return sums by cell."""
        sums = np.bincount(self.place[which], weights=values[which], minlength=self.cells)
        return np.asarray(sums, dtype=float)


def floor_heights(
    layers: Layers,
    cells: Cells,
    box: Box,
    start_mm: Array,
    scatter_mm: float,
    tell: Callable[[float], None] | None = None,
) -> Heights:
    """Return height and doubt of the floor in each cell.

    Of a cell's points those within ``WITHIN_SDS`` standard deviations of its height are taken
    (window and height found from each other), their mean is the height. What stands on the floor
    has points in the window too; as many are taken off, evenly spread over its upper half, as the
    band above it holds on the same depth (and so below, for points under the floor):

        h = (Σz - n_a·(c + t_a/2) - n_b·(c - t_b/2)) / (n - n_a - n_b)
        s² = (Σ(z - h)² + 10·s₀²) / (n - n_a - n_b - 1 + 10)
        sd² = s²/m + (n_a + n_b)·(1/3 + 1/8)·t²/m²,   m = n - n_a - n_b

    with t half the window about c, t_a and t_b what whole slabs make of it above and below, n_a
    and n_b the points that t_a and t_b hold at the density of the bands from t to 3t beyond, s₀
    the scatter of the 5 by 5 cells around; Σ(z - h)² is cleaned likewise. The second term of
    sd² is the chance in how many strange points there are in the window and where, and in their
    number as it was told from the bands. What the floor falls within the cell is part of s: sd
    is right for points that are spread evenly by chance; a cell seen in part is off by what the
    floor falls from the middle of that part to the cell's.

    Parameters
    ----------
    layers, cells : Layers, Cells
        The gathered points.
    box : Box
        The grid's cells.
    start_mm : (ny, nx) array
        Height to begin with [mm]; nan where there is no floor.
    scatter_mm : float
        Scatter of points in the whole scan [mm].
    tell : callable, optional
        Told the share done, 0 to 1.
    """
    near = _near(layers, cells, box, start_mm.ravel(), 12 * scatter_mm + 8 * layers.slab_mm, tell)
    shape = start_mm.shape
    middle = np.zeros(near.cells)
    scatter = np.full(near.cells, scatter_mm)
    for _ in range(ROUNDS):
        # A slab whose middle is half a slab further out still holds points that are within.
        half = WITHIN_SDS * scatter + layers.slab_mm / 2
        middle, squares, held, strange = _centre(near, middle, half)
        lent = _around(squares.reshape(shape), np.maximum(held - 1, 0).reshape(shape), scatter_mm)
        of_all = np.maximum(held - 1, 0) + LENT_POINTS
        scatter = np.sqrt((squares + LENT_POINTS * lent.ravel()) / of_all)
    good = ((held > 0) & np.isfinite(start_mm.ravel())).reshape(shape)
    held = np.maximum(held, 1)
    doubt = np.sqrt(scatter**2 / held + strange * _STRANGE * (half / held) ** 2)
    all_ = Heights(
        start_mm + middle.reshape(shape),
        doubt.reshape(shape),
        scatter.reshape(shape),
        np.rint(held).reshape(shape).astype(np.int64),
    )
    return all_.only(good)


def _near(
    layers: Layers,
    cells: Cells,
    box: Box,
    start_mm: Array,
    band_mm: float,
    tell: Callable[[float], None] | None,
) -> _Near:
    """Return the slabs within a band about the floor, piece by piece: walls cost nothing."""
    kept: list[tuple[Whole, Array, Array, Array, Array]] = []
    for first, last in cells.pieces():
        rows = slice(int(cells.start[first]), int(cells.start[last]))
        place = box.places(cells, np.arange(first, last))[cells.of_rows(first, last)]
        start = np.where(place >= 0, start_mm[place], np.nan)
        middle = (layers.iz[rows] + 0.5) * layers.slab_mm - start
        held = np.flatnonzero(np.abs(middle) <= band_mm)
        count = layers.count[rows][held].astype(float)
        off = layers.sum_z[rows][held] / PARTS_PER_MM / count - layers.slab_mm / 2
        mean = middle[held] + off
        square = np.asarray(mean**2 - off**2 + layers.slab_mm**2 / 12, dtype=float)
        kept.append((place[held], _floats(middle[held]), _floats(mean), square, _floats(count)))
        if tell is not None:
            tell(last / len(cells))
    place = np.concatenate([each[0] for each in kept])
    middle, mean, square, count = (
        _floats(np.concatenate([each[k] for each in kept])) for k in (1, 2, 3, 4)
    )
    begun = _floats(np.nan_to_num(start_mm))
    return _Near(place, middle, mean, square, count, begun, layers.slab_mm)


def _floats(values: NDArray[np.floating]) -> Array:
    return np.asarray(values, dtype=float)


def _centre(near: _Near, middle: Array, half: Array) -> tuple[Array, Array, Array, Array]:
    """Return the centre, the squares about it, and how many points are the floor's and strange.

    Where there are too few points, or too many strange ones, it has none.
    """
    at, wide = middle[near.place], half[near.place]
    away = near.middle_mm - at
    inside = np.abs(away) <= wide
    points = near.sum(inside, near.count)
    total, square = (near.sum(inside, near.count * each) for each in (near.mean_mm, near.square))
    strange = np.zeros(near.cells)
    for side in (1, -1):
        end, far = (near.end(middle + side * reach * half, side) for reach in (1, 3))
        beyond = near.sum(~inside & (side * away > 0) & (side * away <= 3 * wide), near.count)
        long = end - middle
        few = beyond * long / (far - end)
        strange += few
        total -= few * (middle + long / 2)
        # Evenly spread points have the mean square of their middle and a twelfth of their length's.
        square -= few * ((middle + long / 2) ** 2 + long**2 / 12)
    held = points - strange
    sound = (held >= LEAST_POINTS) & (strange <= MIXED * points)
    fresh = np.where(sound, total / np.where(sound, held, 1.0), middle)
    squares = np.where(sound, np.maximum(square - held * fresh**2, 0.0), 0.0)
    return fresh, squares, np.where(sound, held, 0.0), strange


def _around(squares: Array, freedom: Array, scatter_mm: float) -> Array:
    """Return the variance of a point in the cells around each, the whole scan's where none is."""
    ones = np.ones(2 * LENDING + 1)
    sums = [
        convolve1d(convolve1d(each, ones, axis=0, mode="constant"), ones, axis=1, mode="constant")
        for each in (squares, freedom)
    ]
    of_all = sums[1] + LENT_POINTS
    return np.asarray((sums[0] + LENT_POINTS * scatter_mm**2) / of_all, dtype=float)
