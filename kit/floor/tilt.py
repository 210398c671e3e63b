"""What any fitted plane tells: its height anywhere, its fall, their standard errors."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from kit.floor.places import Array, columns

#: A fall below this [mm/m] is rounding; its direction means nothing.
NO_FALL_MM_PER_M = 1e-9
#: Points whose residuals are worked out at a time.
BLOCK = 65_536


class Tilt:
    """A plane z = c + a·x + b·y, given by its middle, its rises and their covariance.

    A plane with the residuals of all its readings, and one of millions of points that keeps
    none of them, tell the same of themselves.
    """

    centre_x_mm: float
    centre_y_mm: float
    centre_height_mm: float
    rise_x_mm_per_m: float
    rise_y_mm_per_m: float
    centre_covariance: Array

    @property
    def c_mm(self) -> float:
        """Height of the plane at x = y = 0 [mm]."""
        return float(self.height_mm(0.0, 0.0)[0])

    @property
    def covariance(self) -> Array:
        """Covariance (3, 3) of (c_mm, rise_x_mm_per_m, rise_y_mm_per_m)."""
        to_origin = np.eye(3)
        to_origin[0, 1:] = -self.centre_x_mm / 1000, -self.centre_y_mm / 1000
        return np.asarray(to_origin @ self.centre_covariance @ to_origin.T)

    @property
    def c_sd_mm(self) -> float:
        """Standard error of c_mm [mm]."""
        return math.sqrt(self.covariance[0, 0])

    @property
    def rise_x_sd_mm_per_m(self) -> float:
        """Standard error of the rise along x [mm/m]."""
        return math.sqrt(self.centre_covariance[1, 1])

    @property
    def rise_y_sd_mm_per_m(self) -> float:
        """Standard error of the rise along y [mm/m]."""
        return math.sqrt(self.centre_covariance[2, 2])

    @property
    def fall_mm_per_m(self) -> float:
        """Steepest fall sqrt(a² + b²) [mm/m]."""
        return math.hypot(self.rise_x_mm_per_m, self.rise_y_mm_per_m)

    @property
    def fall_towards_deg(self) -> float:
        """Plan direction in which the floor falls, from +x towards +y [0, 360); nan if level."""
        if self.fall_mm_per_m <= NO_FALL_MM_PER_M:
            return math.nan
        degrees = math.degrees(math.atan2(-self.rise_y_mm_per_m, -self.rise_x_mm_per_m)) % 360.0
        return 0.0 if degrees == 360.0 else degrees

    @property
    def fall_sd_mm_per_m(self) -> float:
        """Standard error of the fall, to first order [mm/m]; nan if level."""
        along = np.array([self.rise_x_mm_per_m, self.rise_y_mm_per_m])
        return self._slope_sd(along)

    @property
    def fall_towards_sd_deg(self) -> float:
        """Standard error of the fall's direction, to first order [degrees]; nan if level."""
        across = np.array([-self.rise_y_mm_per_m, self.rise_x_mm_per_m])
        if self.fall_mm_per_m <= NO_FALL_MM_PER_M:
            return math.nan
        return math.degrees(self._slope_sd(across) / self.fall_mm_per_m)

    def _slope_sd(self, direction: Array) -> float:
        if self.fall_mm_per_m <= NO_FALL_MM_PER_M:
            return math.nan
        unit = direction / self.fall_mm_per_m
        return math.sqrt(unit @ self.centre_covariance[1:, 1:] @ unit)

    def height_mm(self, x_mm: ArrayLike, y_mm: ArrayLike) -> Array:
        """Return the plane's height [mm] at places given in mm, (m,) each."""
        x, y = columns(x_mm=x_mm, y_mm=y_mm)
        return np.asarray(
            self.centre_height_mm
            + self.rise_x_mm_per_m * (x - self.centre_x_mm) / 1000
            + self.rise_y_mm_per_m * (y - self.centre_y_mm) / 1000
        )


def residuals(plane: Tilt, x_mm: Array, y_mm: Array, height_mm: Array) -> Array:
    """Return height - plane (n,) [mm], in blocks that stay in the processor's cache."""
    out = np.empty(len(x_mm))
    for first in range(0, len(x_mm), BLOCK):
        rows = slice(first, first + BLOCK)
        np.subtract(height_mm[rows], plane.centre_height_mm, out=out[rows])
        sides = (x_mm, plane.centre_x_mm, plane.rise_x_mm_per_m)
        for column, middle, rise in (sides, (y_mm, plane.centre_y_mm, plane.rise_y_mm_per_m)):
            along = column[rows] - middle
            along *= rise / 1000
            out[rows] -= along
    return out
