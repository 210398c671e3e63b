"""A grid of depths as facets, and how much of each cell lies above and below nothing.

Every cell is integrated over its own square. Between the middles of neighbouring cells the surface
is laid in triangles about the corner that four squares share, where it has the mean of the four;
half way between two middles it has the mean of the two. Beyond the outermost middles, and towards
a hole, a depth is carried on as it is. So the surface has no steps, is nowhere above its highest
or below its lowest middle, and **the integral over all cells is the sum of depth times area of a
cell, whatever the depths and wherever the holes**: each middle weighs its own square.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from kit.height_grid import Array

Bools = NDArray[np.bool_]

#: A depth below this is nothing [mm]: round-off, which would otherwise have an area.
NOTHING_MM = 1e-9

#: The triangles of a square: its middle, and the places in `Facets.around` of the middle of a
#: side and of a corner. Each has an eighth of the square.
_TRIANGLES = ((0, 4), (0, 6), (1, 5), (1, 7), (2, 4), (2, 5), (3, 6), (3, 7))


@dataclass(frozen=True, eq=False)
class Triangle:
    """What lies above nothing in triangles (n,) of unit area, and how that changes.

    Parameters
    ----------
    above_mm : (n,) array
        Volume above nothing per area of the triangle [mm].
    share : (n,) array
        Share of the triangle that lies above nothing.
    above_slope, share_slope : (3, n) array
        Their derivatives with respect to the three depths [1] and [1/mm].
    """

    above_mm: Array
    share: Array
    above_slope: Array
    share_slope: Array


def above_nothing(depth_mm: Array) -> Triangle:
    """Return the part above nothing of linear triangles, in closed form.

    Parameters
    ----------
    depth_mm : (3, n) array
        Depths at the corners of each triangle, positive above [mm].

    Returns
    -------
    Triangle

    Notes
    -----
    Where only corner 1 is above, a pyramid stands over the corner's own triangle: with
    s = r1² / ((r1 - r2)(r1 - r3)),                                                        (1)
    which is the share of the area, its volume per area is t = s·r1 / 3.                   (2)
    Where only corner 1 is below, the same lies below, and the rest of the mean depth above. From
    similar triangles and the volume of a pyramid; no source needed.

    Examples
    --------
    >>> part = above_nothing(np.array([[3.0], [-3.0], [-6.0]]))
    >>> round(float(part.share[0]), 6), round(float(part.above_mm[0]), 6)
    (0.166667, 0.166667)
    """
    above = depth_mm > 0
    count = above.sum(axis=0)
    odd = np.where(count == 1, above.argmax(axis=0), (~above).argmax(axis=0))
    turned = (odd + np.arange(3)[:, None]) % 3
    r1, r2, r3 = np.take_along_axis(depth_mm, turned, axis=0)
    mixed = (count == 1) | (count == 2)
    u, v = np.where(mixed, r1 - r2, 1.0), np.where(mixed, r1 - r3, 1.0)
    share = np.where(mixed, r1**2 / (u * v), 0.0)  # Eq. (1)
    part = share * r1 / 3  # Eq. (2)
    inverse = 1 / u + 1 / v
    part_slope = np.stack([share - part * inverse, part / u, part / v])
    lift = np.where(mixed, 2 * r1 / (u * v), 0.0)
    share_slope = np.stack([lift - share * inverse, share / u, share / v])
    for slope in (part_slope, share_slope):
        np.put_along_axis(slope, turned, slope.copy(), axis=0)
    most = count >= 2
    sign = np.where(most, -1.0, 1.0)
    return Triangle(
        np.where(most, depth_mm.mean(axis=0), 0.0) + sign * part,
        np.where(most, 1.0, 0.0) + sign * share,
        np.where(most, 1 / 3, 0.0) + sign * part_slope,
        sign * share_slope,
    )


@dataclass(frozen=True, eq=False)
class Slopes:
    """Derivatives of sums over cells with respect to each depth (ny, nx).

    Parameters
    ----------
    above, below : (ny, nx) array
        Of the volume above and below nothing, per area of a cell [1]: share of a cell's weight.
    area_above : (ny, nx) array
        Of the area above nothing, in cells [1/mm]; that of the area below is its negative.
    """

    above: Array
    below: Array
    area_above: Array


@dataclass(frozen=True, eq=False)
class Facets:
    """The surface over the cells of a grid.

    Parameters
    ----------
    depth_mm : (ny, nx) array
        Depth at the middle of each cell, positive above, nan in a hole [mm].
    """

    depth_mm: Array = field(repr=False)

    @cached_property
    def middle_mm(self) -> Array:
        """Depths (ny, nx) with what is nothing put to 0, and 0 in holes [mm]."""
        known = np.isfinite(self.depth_mm)
        return np.where(known & (np.abs(self.depth_mm) > NOTHING_MM), self.depth_mm, 0.0)

    @cached_property
    def known(self) -> Bools:
        """Which cells have a depth (ny, nx)."""
        return np.asarray(np.isfinite(self.depth_mm))

    @cached_property
    def _counts(self) -> tuple[Array, Array, Array]:
        """How many known cells meet at the sides along x and y and at the corners, 1 at least."""
        along_x, along_y, corner = _meet(self.known.astype(float))
        return np.maximum(along_x, 1), np.maximum(along_y, 1), np.maximum(corner, 1)

    @cached_property
    def around(self) -> tuple[Array, ...]:
        """Depths (ny, nx) at the middles of the four sides and at the four corners [mm].

        Sides towards -x, +x, -y, +y; corners (-x, -y), (+x, -y), (-x, +y), (+x, +y).
        """
        sums = _meet(self.middle_mm)
        return _eight(*(total / count for total, count in zip(sums, self._counts, strict=True)))

    @cached_property
    def _is_cut(self) -> Bools:
        """Which cells the line of nothing goes through (ny, nx)."""
        low, high = self._range
        return np.asarray(self.known & (low < 0) & (high > 0))

    @cached_property
    def _range(self) -> tuple[Array, Array]:
        low, high = self.middle_mm.copy(), self.middle_mm.copy()
        for one in self.around:
            np.minimum(low, one, out=low)
            np.maximum(high, one, out=high)
        return low, high

    @cached_property
    def mean_mm(self) -> Array:
        """Mean depth (ny, nx) over each cell's square, 0 in a hole [mm]."""
        around = np.sum(self.around, axis=0)
        return np.where(self.known, self.middle_mm / 3 + around / 12, 0.0)

    @cached_property
    def above_mm(self) -> Array:
        """Volume above nothing of each cell (ny, nx) per area of the cell [mm]."""
        out = np.maximum(self.mean_mm, 0.0)
        out[self._is_cut] = np.mean([one.above_mm for one in self._triangles], axis=0)
        return out

    @cached_property
    def below_mm(self) -> Array:
        """Volume below nothing of each cell (ny, nx), positive, per area of the cell [mm]."""
        return np.asarray(np.maximum(self.above_mm - self.mean_mm, 0.0))

    @cached_property
    def share_above(self) -> Array:
        """Share of each cell's square (ny, nx) that lies above nothing."""
        out = np.where(self.known & (self._range[1] > 0), 1.0, 0.0)
        out[self._is_cut] = np.mean([one.share for one in self._triangles], axis=0)
        return out

    @cached_property
    def share_below(self) -> Array:
        """Share of each cell's square (ny, nx) that lies below nothing."""
        return np.where(self.known & (self._range[0] < 0), 1.0 - self.share_above, 0.0)

    @cached_property
    def _triangles(self) -> list[Triangle]:
        cut = self._is_cut
        middle, around = self.middle_mm[cut], [one[cut] for one in self.around]
        return [above_nothing(np.stack([middle, around[m], around[c]])) for m, c in _TRIANGLES]

    def slopes(self, cells: Bools) -> Slopes:
        """Return how sums over some cells (ny, nx) change with every depth, to first order."""
        whole = np.where(cells & ~self._is_cut, 1.0, 0.0)
        up = whole * (self._range[1] > 0)
        down = whole * (self._range[0] < 0)
        inside = cells[self._is_cut]
        above = self._pull(up, [one.above_slope * inside for one in self._triangles])
        total = self._pull(up + down, [inside * np.full((3, 1), 1 / 3)] * 8)
        area = self._pull(0 * up, [one.share_slope * inside for one in self._triangles])
        return Slopes(above, total - above, area)

    def _pull(self, whole: Array, triangles: list[Array]) -> Array:
        """Return a sum's slopes by middle, given those by triangle: (ny, nx)."""
        middle = whole / 3
        around = [whole / 12 for _ in range(8)]
        for (side, corner), slope in zip(_TRIANGLES, triangles, strict=True):
            middle[self._is_cut] += slope[0] / 8
            around[side][self._is_cut] += slope[1] / 8
            around[corner][self._is_cut] += slope[2] / 8
        meet = (one / count for one, count in zip(_gather(around), self._counts, strict=True))
        return np.where(self.known, middle + np.sum(_eight(*meet), axis=0), 0.0)


def _meet(values: Array) -> tuple[Array, Array, Array]:
    """Sum cells at the sides along x (ny, nx+1), along y (ny+1, nx), corners (ny+1, nx+1)."""
    wide = np.pad(values, ((0, 0), (1, 1)))
    along_x = wide[:, :-1] + wide[:, 1:]
    tall = np.pad(values, ((1, 1), (0, 0)))
    along_y = tall[:-1] + tall[1:]
    corner = np.pad(along_x, ((1, 1), (0, 0)))
    return along_x, along_y, corner[:-1] + corner[1:]


def _eight(along_x: Array, along_y: Array, corner: Array) -> tuple[Array, ...]:
    """Return what lies around each cell (ny, nx), in the order of `Facets.around`."""
    sides = (along_x[:, :-1], along_x[:, 1:], along_y[:-1], along_y[1:])
    return *sides, corner[:-1, :-1], corner[:-1, 1:], corner[1:, :-1], corner[1:, 1:]


def _gather(around: list[Array]) -> tuple[Array, Array, Array]:
    """Add up what cells hold at their sides and corners: the transpose of `_eight`."""
    ny, nx = around[0].shape
    along_x, along_y = np.zeros((ny, nx + 1)), np.zeros((ny + 1, nx))
    corner = np.zeros((ny + 1, nx + 1))
    for into, one in zip(_eight(along_x, along_y, corner), around, strict=True):
        np.add(into, one, out=into)
    return along_x, along_y, corner
