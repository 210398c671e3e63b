"""Millions of points as the few sums that their plane needs, piece by piece."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.floor.places import COLLINEAR_RATIO, Array, columns
from kit.floor.tilt import Tilt
from kit.job.refusal import refuse
from kit.threads import one_thread

#: Points summed at a time: their four columns stay in the processor's cache.
BLOCK = 65_536
#: Points that the plane is first guessed from, so that nothing large is summed.
GUESSED_FROM = 1000
#: Squares of the heights over those of what is left over, from which on a guess is taken off.
STEEP = 1e6

Column = NDArray[Any]


@dataclass(frozen=True, eq=False)
class Moments:
    """Count, means and products of points about a plane guessed beforehand; they add up.

    Parameters
    ----------
    count : int
        Points.
    slope : (2,) array
        Rises of the guessed plane along x and y [mm/mm].
    mean : (3,) array
        Means of x, y and height - slope·(x, y) [mm].
    products : (3, 3) array
        Sums of products of the three about their means [mm²].

    Notes
    -----
    Sums of pieces: S = S1 + S2 + d·dᵀ·n1·n2/(n1 + n2), d the difference of the means [1]_. (1)
    A guess leaves in the third column little more than the floor's roughness, so that neither a
    steep fall nor far coordinates cost figures of what is left over.

    References
    ----------
    .. [1] T. F. Chan, G. H. Golub, R. J. LeVeque, The American Statistician 37 (1983) 242-247
       (from memory).

    Examples
    --------
    >>> first = Moments.of([0.0, 3000.0], [0.0, 0.0], [0.0, -6.0])
    >>> second = Moments.of([0.0, 3000.0], [2000.0, 2000.0], [1.0, -5.0])
    >>> round((first + second).plane().rise_x_mm_per_m, 6)
    -2.0
    """

    count: int
    slope: Array
    mean: Array
    products: Array

    @classmethod
    def of(cls, x_mm: ArrayLike, y_mm: ArrayLike, height_mm: ArrayLike) -> Moments:
        """Return the moments of points (n,) [mm], n at least 1.

        Raises
        ------
        Refusal
            If there is no point, lengths differ or a number is not finite.
        """
        given = tuple(np.asarray(column) for column in (x_mm, y_mm, height_mm))
        if any(column.shape != (given[0].size,) for column in given) or given[0].size == 0:
            found = ", ".join(str(column.shape) for column in given)
            raise refuse("floor", f"shapes {found}", "one number a point, in columns of one length")
        middle, slope = _guess(given)
        count, total = given[0].size, _summed(given, middle, slope)
        if not np.all(np.isfinite(total)):
            columns(x_mm=given[0], y_mm=given[1], height_mm=given[2])
        shift, square = total[:3] / count, np.empty((3, 3))
        square[np.triu_indices(3)] = total[3:]
        square = np.triu(square) + np.triu(square, 1).T - count * np.outer(shift, shift)
        level = middle[2] - float(slope @ middle[:2])
        return cls(count, slope, np.array([middle[0], middle[1], level]) + shift, square)

    def __add__(self, other: Moments) -> Moments:
        """Return the moments of both pieces together, Eq. (1)."""
        turn = np.eye(3)
        turn[2, :2] = other.slope - self.slope
        count, apart = self.count + other.count, turn @ other.mean - self.mean
        share = other.count / count
        products = turn @ other.products @ turn.T + np.outer(apart, apart) * (self.count * share)
        return Moments(count, self.slope, self.mean + apart * share, self.products + products)

    def plane(self) -> PlaneOfMany:
        """Return the least-squares plane of the points.

        Raises
        ------
        Refusal
            If there are fewer than 3 points, or all lie on one line.
        """
        places = self.products[:2, :2]
        self._require_plane(places)
        size = np.sqrt(np.diag(places))
        inverse = np.linalg.inv(places / np.outer(size, size)) / np.outer(size, size)
        extra = inverse @ self.products[:2, 2]
        squares = max(float(self.products[2, 2] - extra @ self.products[:2, 2]), 0.0)
        spare = self.count - 3
        variance = squares / spare if spare else math.nan
        covariance = np.zeros((3, 3))
        covariance[0, 0], covariance[1:, 1:] = 1 / self.count, inverse * 1e6
        rise, steep = (self.slope + extra) * 1000, np.append(self.slope, 1.0)
        total = float(steep @ self.products @ steep)
        return PlaneOfMany(
            centre_x_mm=float(self.mean[0]),
            centre_y_mm=float(self.mean[1]),
            centre_height_mm=float(self.mean[2] + self.slope @ self.mean[:2]),
            rise_x_mm_per_m=float(rise[0]),
            rise_y_mm_per_m=float(rise[1]),
            centre_covariance=variance * covariance,
            count=self.count,
            rms_mm=math.sqrt(squares / self.count),
            scale_mm=math.sqrt(variance),
            r2=1 - squares / total if total > 0 else math.nan,
        )

    def _require_plane(self, places: Array) -> None:
        across, along = np.linalg.eigvalsh(places)
        if self.count >= 3 and across > COLLINEAR_RATIO**2 * along and along > 0:
            return
        found = f"{self.count} point(s)" + (" on one line" if self.count >= 3 else "")
        raise refuse("floor", found, "at least 3 points, not on one line")


@dataclass(frozen=True, eq=False)
class PlaneOfMany(Tilt):
    """A plane through so many points that none of them is kept.

    Parameters
    ----------
    centre_x_mm, centre_y_mm, centre_height_mm : float
        The middle of the points and the plane's height there.
    rise_x_mm_per_m, rise_y_mm_per_m : float
        Rise of the plane along x and y.
    centre_covariance : (3, 3) array
        Of (centre_height_mm, rise_x_mm_per_m, rise_y_mm_per_m); nan with exactly three points.
    count : int
        Points.
    rms_mm : float
        Root mean square of what is left over, sqrt(sum v²/n).
    scale_mm : float
        Standard deviation of one residual, sqrt(sum v²/(n-3)).
    r2 : float
        Share of the heights' variance that the plane explains; nan where all are equal.
    """

    centre_x_mm: float
    centre_y_mm: float
    centre_height_mm: float
    rise_x_mm_per_m: float
    rise_y_mm_per_m: float
    centre_covariance: Array
    count: int
    rms_mm: float
    scale_mm: float
    r2: float


def fit_plane_of_many(x_mm: ArrayLike, y_mm: ArrayLike, height_mm: ArrayLike) -> PlaneOfMany:
    """Fit a plane to millions of points by least squares with equal weights.

    Parameters
    ----------
    x_mm, y_mm, height_mm : (n,) array_like
        Places and heights [mm], n at least 3 and not all on one line. No copy is made.

    Returns
    -------
    PlaneOfMany
        The figures of `fit_plane` without residuals and weights. Points that do not fit in
        memory are summed in pieces: `Moments.of` each, added up, then `Moments.plane`.

    Raises
    ------
    Refusal
        If there are fewer than 3 points, all lie on one line, or a number is not finite.
    """
    return Moments.of(x_mm, y_mm, height_mm).plane()


def _guess(given: tuple[Column, ...]) -> tuple[Array, Array]:
    """Return a place in the middle of the points and the rises of a plane through some."""
    step = max(given[0].size // GUESSED_FROM, 1)
    x, y, z = columns(x_mm=given[0][::step], y_mm=given[1][::step], height_mm=given[2][::step])
    middle = np.array([x.mean(), y.mean(), z.mean()])
    design, high = np.column_stack([x, y]) - middle[:2], z - middle[2]
    slope = np.asarray(np.linalg.lstsq(design, high, rcond=None)[0])
    left = high - design @ slope
    # Two passes over all points are saved where rounding costs six figures of sixteen at most.
    return middle, slope if high @ high > STEEP * (left @ left) else np.zeros(2)


@one_thread
def _summed(given: tuple[Column, ...], middle: Array, slope: Array) -> Array:
    """Return the sums of x, y, v and of xx, xy, xv, yy, yv, vv over all points, centred."""
    count = given[0].size
    scratch, ones = np.empty((4, min(BLOCK, count))), np.ones(min(BLOCK, count))
    total = np.zeros(9)
    for first in range(0, count, BLOCK):
        size = min(BLOCK, count - first)
        one, (x, y, v, steep) = ones[:size], scratch[:, :size]
        for column, at, centred in zip(given, middle, (x, y, v), strict=True):
            np.subtract(column[first : first + size], at, out=centred)
        if np.any(slope):
            for column, rise in ((x, slope[0]), (y, slope[1])):
                v -= np.multiply(column, rise, out=steep)
        # Products with ones are sums too, and quicker than sums.
        total += (one @ x, one @ y, one @ v, x @ x, x @ y, x @ v, y @ y, y @ v, v @ v)
    return total
