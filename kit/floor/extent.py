"""How far the readings reach: their spacing, their hull, what counts as surveyed."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike
from scipy.spatial import cKDTree

from kit.floor.places import Array, columns

#: A place nearer than this to a reading counts as surveyed however close the readings lie [mm].
ALWAYS_NEAR_MM = 600.0
#: Readings nearer than this are at one place [mm].
SAME_PLACE_MM = 1e-3


@dataclass(frozen=True, eq=False)
class Extent:
    """The places of a survey, and which other places it speaks for.

    Parameters
    ----------
    x_mm, y_mm : (n,) array
        The readings' places [mm].
    """

    x_mm: Array = field(repr=False)
    y_mm: Array = field(repr=False)

    @cached_property
    def places(self) -> Array:
        """The distinct places (k, 2) [mm], in the readings' order."""
        every = np.column_stack([self.x_mm, self.y_mm])
        cells = np.round(every / SAME_PLACE_MM)
        _, first = np.unique(cells, axis=0, return_index=True)
        return np.asarray(every[np.sort(first)])

    @cached_property
    def _tree(self) -> cKDTree:
        return cKDTree(self.places)

    @cached_property
    def median_spacing_mm(self) -> float:
        """Median distance of a reading's place to the nearest other one [mm]."""
        apart = np.asarray(self._tree.query(self.places, k=[2])[0])
        return float(np.median(apart))

    @property
    def size_mm(self) -> float:
        """Diagonal of the rectangle that holds every reading [mm]."""
        return float(np.hypot(np.ptp(self.x_mm), np.ptp(self.y_mm)))

    @cached_property
    def hull_mm(self) -> Array:
        """Corners (k, 2) of the convex hull of the readings, anticlockwise with y up [mm]."""
        return convex_hull(self.places)

    def surveyed(
        self, x_mm: ArrayLike, y_mm: ArrayLike
    ) -> np.ndarray[tuple[int], np.dtype[np.bool]]:
        """Return which places the survey speaks for.

        A place is not surveyed if it lies more than half the median spacing outside the hull of
        the readings, or further than twice the median spacing (at least 600 mm) from every
        reading, so that an unread corner of an L-shaped room is not invented.

        Parameters
        ----------
        x_mm, y_mm : (m,) array_like
            Places [mm].

        Returns
        -------
        (m,) array of bool

        Notes
        -----
        Common practice, no source.
        """
        x, y = columns(x_mm=x_mm, y_mm=y_mm)
        near = self._tree.query(np.column_stack([x, y]))[0]
        reach = max(2 * self.median_spacing_mm, ALWAYS_NEAR_MM)
        outside = distance_outside(self.hull_mm, x, y)
        # A billionth of slack keeps a place on the very limit inside whatever the rounding.
        slack = 1 + 1e-9
        return np.asarray((outside <= self.median_spacing_mm / 2 * slack) & (near <= reach * slack))


def convex_hull(places: Array) -> Array:
    """Return the corners of the convex hull of places (n, 2), by the monotone chain.

    References
    ----------
    .. [1] A. M. Andrew, Information Processing Letters 9 (1979) 216-219 (from memory).
    """
    ordered = [tuple(place) for place in places[np.lexsort((places[:, 1], places[:, 0]))].tolist()]
    lower, upper = _chain(ordered), _chain(ordered[::-1])
    return np.array(lower[:-1] + upper[:-1])


def _chain(ordered: list[tuple[float, ...]]) -> list[tuple[float, ...]]:
    chain: list[tuple[float, ...]] = []
    for place in ordered:
        while len(chain) >= 2 and _turn(chain[-2], chain[-1], place) <= 0:
            chain.pop()
        chain.append(place)
    return chain


def _turn(a: tuple[float, ...], b: tuple[float, ...], c: tuple[float, ...]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def distance_outside(hull: Array, x_mm: Array, y_mm: Array) -> Array:
    """Return how far places lie outside a convex hull [mm]; 0 inside."""
    out = np.full(len(x_mm), np.inf)
    inside = np.ones(len(x_mm), dtype=bool)
    for (ax, ay), (bx, by) in zip(hull, np.roll(hull, -1, axis=0), strict=True):
        ex, ey = bx - ax, by - ay
        px, py = x_mm - ax, y_mm - ay
        along = np.clip((px * ex + py * ey) / (ex * ex + ey * ey), 0, 1)
        out = np.minimum(out, np.hypot(px - along * ex, py - along * ey))
        inside &= ex * py - ey * px >= 0
    return np.where(inside, 0.0, out)
