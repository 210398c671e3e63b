"""Up to five readings: their plane, and what a plane can say about the doubt."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kit.floor.places import Array, distances
from kit.floor.plane import Frame


@dataclass(frozen=True, eq=False)
class PlaneOnly:
    """The least-squares plane of a few readings as a surface.

    Parameters
    ----------
    x_mm, y_mm, height_mm : (n,) array
        Readings [mm].
    noise : (n, n) array
        Their covariance [mm²].
    variance_mm2 : float
        Of the floor's roughness about its plane, alike at no two places.

    Notes
    -----
    With G = (XᵀX)⁻¹Xᵀ: height = f·Gz,                                             (1)
    covariance = f(G N Gᵀ + variance·(XᵀX)⁻¹)fᵀ + variance at one place.            (2)
    """

    x_mm: Array
    y_mm: Array
    height_mm: Array
    noise: Array
    variance_mm2: float

    @cached_property
    def _frame(self) -> Frame:
        return Frame.of(self.x_mm, self.y_mm)

    @cached_property
    def _solver(self) -> Array:
        return np.asarray(np.linalg.pinv(self._frame.design(self.x_mm, self.y_mm)))

    @cached_property
    def _trend_covariance(self) -> Array:
        noise = self.noise + self.variance_mm2 * np.eye(len(self.x_mm))
        return np.asarray(self._solver @ noise @ self._solver.T)

    def predict(self, x_mm: Array, y_mm: Array) -> tuple[Array, Array]:
        """Return heights [mm] and their standard deviations [mm] at places (m,)."""
        design = self._frame.design(x_mm, y_mm)
        variance = np.sum((design @ self._trend_covariance) * design, axis=1) + self.variance_mm2
        return design @ (self._solver @ self.height_mm), np.sqrt(variance)

    def joint(self, x_mm: Array, y_mm: Array) -> tuple[Array, Array]:
        """Return heights (m,) [mm] and their joint covariance (m, m) [mm²]."""
        design = self._frame.design(x_mm, y_mm)
        covariance = design @ self._trend_covariance @ design.T  # Eq. (2)
        covariance += self.variance_mm2 * (distances(x_mm, y_mm, x_mm, y_mm) == 0)
        return design @ (self._solver @ self.height_mm), covariance

    def left_out(self) -> Array:
        """Return each reading's standardised error when predicted from the others (n,).

        All nan with three readings: two others do not make a plane.
        """
        if len(self.x_mm) == 3:
            return np.full(3, np.nan)
        design = self._frame.design(self.x_mm, self.y_mm)
        noise = self.noise + self.variance_mm2 * np.eye(len(self.x_mm))
        hat = design @ self._solver
        share = 1 - np.diag(hat)
        # z - (prediction without it) is linear in z with these rows.
        rows = (np.eye(len(share)) - hat) / share[:, None]
        return np.asarray(rows @ self.height_mm / np.sqrt(np.diag(rows @ noise @ rows.T)))


def roughness_variance(design: Array, height_mm: Array, noise: Array) -> float:
    """Return the variance about the plane that the readings' noise does not explain [mm²].

    Notes
    -----
    (sum v² - trace(M N)) / (n - 3), M = I - X(XᵀX)⁻¹Xᵀ; 0 where negative or with 3 readings.
    """
    spare = len(height_mm) - 3
    if spare == 0:
        return 0.0
    left = np.eye(len(height_mm)) - design @ np.linalg.pinv(design)
    surplus = float(height_mm @ left @ height_mm) - float(np.trace(left @ noise))
    return max(surplus / spare, 0.0)
