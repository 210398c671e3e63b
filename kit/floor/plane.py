"""The plane that fits the floor best, and what is left over."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from kit.floor.moments import fit_plane_of_many
from kit.floor.places import Array, columns, require_plane
from kit.floor.tilt import Tilt, residuals

#: From this many points on, the centred moments are solved instead of a QR of the whole table:
#: one pass over it instead of a factor of its size.
MANY_POINTS = 100_000


class Extreme(NamedTuple):
    """A residual with its place: a hump where positive, a hollow where negative."""

    x_mm: float
    y_mm: float
    residual_mm: float


@dataclass(frozen=True, eq=False)
class Plane(Tilt):
    """A plane z = c + a·x + b·y through readings, with its standard errors and residuals.

    Parameters
    ----------
    x_mm, y_mm, given_mm : (n,) array
        The places of the readings and the heights read there.
    centre_x_mm, centre_y_mm, centre_height_mm : float
        A place in the middle of the readings and the plane's height there.
    rise_x_mm_per_m, rise_y_mm_per_m : float
        a and b: rise of the plane along x and y.
    centre_covariance : (3, 3) array
        Of (centre_height_mm, rise_x_mm_per_m, rise_y_mm_per_m); nan with exactly three points,
        which leave nothing over to judge the fit by.
    residual_mm : (n,) array
        Height - plane; positive = hump.
    scale_mm : float
        Standard deviation of one residual: sqrt(sum v²/(n-3)), or the robust scale.
    weight : (n,) array
        All 1, or the robust fit's weight of each reading, 0 to 1.
    notes : tuple of str
        What must be said along with the figures.
    """

    x_mm: Array = field(repr=False)
    y_mm: Array = field(repr=False)
    given_mm: Array = field(repr=False)
    centre_x_mm: float
    centre_y_mm: float
    centre_height_mm: float
    rise_x_mm_per_m: float
    rise_y_mm_per_m: float
    centre_covariance: Array = field(repr=False)
    residual_mm: Array = field(repr=False)
    scale_mm: float
    weight: Array = field(repr=False)
    notes: tuple[str, ...] = ()

    @property
    def rms_mm(self) -> float:
        """Root mean square of the residuals, sqrt(sum v²/n) [mm]."""
        return float(np.sqrt(np.mean(self.residual_mm**2)))

    @property
    def r2(self) -> float:
        """Share of the heights' variance that the plane explains; nan where all are equal."""
        total = float(np.sum((self.given_mm - self.given_mm.mean()) ** 2))
        left = float(self.residual_mm @ self.residual_mm)
        return 1 - left / total if total > 0 else math.nan  # Eq. (3) of [1] of fit_plane

    @property
    def highest(self) -> Extreme:
        """The largest hump above the plane, with its place."""
        return self._extreme(int(np.argmax(self.residual_mm)))

    @property
    def lowest(self) -> Extreme:
        """The deepest hollow below the plane, with its place."""
        return self._extreme(int(np.argmin(self.residual_mm)))

    @property
    def extremes(self) -> tuple[Extreme, Extreme]:
        """The largest hump and the deepest hollow, with their places."""
        return self.highest, self.lowest

    def _extreme(self, row: int) -> Extreme:
        return Extreme(float(self.x_mm[row]), float(self.y_mm[row]), float(self.residual_mm[row]))


def fit_plane(x_mm: ArrayLike, y_mm: ArrayLike, height_mm: ArrayLike) -> Plane:
    """Fit a plane to heights by least squares with equal weights.

    Parameters
    ----------
    x_mm, y_mm, height_mm : (n,) array_like
        Places and heights [mm], n at least 3 and not all on one line.

    Returns
    -------
    Plane
        With three points the plane goes through them and its standard errors are nan.

    Raises
    ------
    Refusal
        If there are fewer than 3 points, all lie on one line, or a number is not finite.

    Notes
    -----
    z = c + a·x + b·y minimising sum v²,                                          (1)
    covariance = sum v² / (n - 3) · (XᵀX)⁻¹,                                      (2)
    R² = 1 - sum v² / sum (z - mean z)².                                          (3)
    Solved by QR of the centred and scaled places; from 100,000 points on by their
    moments: see `kit.floor.moments`.

    References
    ----------
    .. [1] N. R. Draper, H. Smith, Applied Regression Analysis, 3rd ed., ch. 5 (from memory).

    Examples
    --------
    >>> plane = fit_plane([0, 3000, 0, 3000], [0, 0, 2000, 2000], [0, -6, 1, -5])
    >>> round(plane.rise_x_mm_per_m, 6), round(plane.rise_y_mm_per_m, 6)
    (-2.0, 0.5)
    """
    x, y, z = columns(x_mm=x_mm, y_mm=y_mm, height_mm=height_mm)
    require_plane(x, y)
    if len(x) >= MANY_POINTS:
        return _of_many(x, y, z)
    frame = Frame.of(x, y)
    design = frame.design(x, y)
    coefficients, cofactor, residual = _by_qr(design, z)  # Eq. (1) of [1]
    spare = len(x) - 3
    variance = float(residual @ residual) / spare if spare else math.nan
    notes = () if spare else ("3 points: the plane goes through them, nothing checks it.",)
    found = Solution(
        coefficients,
        variance * cofactor,  # Eq. (2) of [1]
        residual,
        math.sqrt(variance),
        np.ones_like(x),
        notes,
    )
    return frame.plane(x, y, z, found)


def _of_many(x_mm: Array, y_mm: Array, height_mm: Array) -> Plane:
    """Return the plane of a hundred thousand points and more, from their moments."""
    many = fit_plane_of_many(x_mm, y_mm, height_mm)
    return Plane(
        x_mm=x_mm,
        y_mm=y_mm,
        given_mm=height_mm,
        centre_x_mm=many.centre_x_mm,
        centre_y_mm=many.centre_y_mm,
        centre_height_mm=many.centre_height_mm,
        rise_x_mm_per_m=many.rise_x_mm_per_m,
        rise_y_mm_per_m=many.rise_y_mm_per_m,
        centre_covariance=many.centre_covariance,
        residual_mm=residuals(many, x_mm, y_mm, height_mm),
        scale_mm=many.scale_mm,
        weight=np.ones_like(x_mm),
    )


@dataclass(frozen=True, eq=False)
class Solution:
    """Coefficients in a frame's own units, with what else a fit found."""

    coefficients: Array
    covariance: Array
    residual_mm: Array
    scale_mm: float
    weight: Array
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Frame:
    """The middle and the size of a set of places, for sums that lose no figures."""

    x_mm: float
    y_mm: float
    size_mm: float

    @classmethod
    def of(cls, x_mm: Array, y_mm: Array) -> Frame:
        """Return the frame of places that are not all the same."""
        middle_x, middle_y = float(x_mm.mean()), float(y_mm.mean())
        size = max(float(np.ptp(x_mm)), float(np.ptp(y_mm)))
        return cls(middle_x, middle_y, size)

    def design(self, x_mm: Array, y_mm: Array) -> Array:
        """Return the design matrix (n, 3): 1 and the centred, scaled places."""
        out = np.empty((len(x_mm), 3))
        out[:, 0] = 1.0
        np.subtract(x_mm, self.x_mm, out=out[:, 1])
        np.subtract(y_mm, self.y_mm, out=out[:, 2])
        out[:, 1:] /= self.size_mm
        return out

    def plane(self, x_mm: Array, y_mm: Array, given_mm: Array, found: Solution) -> Plane:
        """Return the plane of a solution that belongs to this frame's design matrix."""
        per_metre = np.array([1.0, 1000 / self.size_mm, 1000 / self.size_mm])
        height, rise_x, rise_y = (float(value) for value in found.coefficients * per_metre)
        return Plane(
            x_mm=x_mm,
            y_mm=y_mm,
            given_mm=given_mm,
            centre_x_mm=self.x_mm,
            centre_y_mm=self.y_mm,
            centre_height_mm=height,
            rise_x_mm_per_m=rise_x,
            rise_y_mm_per_m=rise_y,
            centre_covariance=found.covariance * np.outer(per_metre, per_metre),
            residual_mm=found.residual_mm,
            scale_mm=found.scale_mm,
            weight=found.weight,
            notes=found.notes,
        )


def _by_qr(design: Array, z: Array) -> tuple[Array, Array, Array]:
    """Return coefficients, cofactor matrix (XᵀX)⁻¹ and residuals, by QR."""
    q, r = np.linalg.qr(design)
    coefficients = np.linalg.solve(r, q.T @ z)
    inverse = np.linalg.inv(r)
    return coefficients, inverse @ inverse.T, z - design @ coefficients
