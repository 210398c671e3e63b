"""Heights anywhere, given readings and the unevenness of the floor between them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy import linalg

from kit.floor.kernel import correlation
from kit.floor.likelihood import JITTER, Unevenness
from kit.floor.places import Array
from kit.floor.plane import Frame


@dataclass(frozen=True, eq=False)
class Conditioned:
    """Universal kriging from one set of readings.

    Parameters
    ----------
    x_mm, y_mm, height_mm : (n,) array
        Readings [mm].
    noise : (n, n) array
        Their covariance [mm²].
    unevenness : Unevenness
        Of the floor about its plane.

    Notes
    -----
    With C = variance·K + N, X the linear trend's design, k the covariances of a place with the
    readings and f its trend row:
    b = (XᵀC⁻¹X)⁻¹XᵀC⁻¹z,                                                          (1)
    height = f·b + kᵀC⁻¹(z - Xb),                                                  (2)
    covariance = K** - kᵀC⁻¹k + (f - XᵀC⁻¹k)ᵀ(XᵀC⁻¹X)⁻¹(f - XᵀC⁻¹k).              (3)

    References
    ----------
    .. [1] C. E. Rasmussen, C. K. I. Williams, Gaussian Processes for Machine Learning (2006),
       eq. 2.41-2.42 (from memory).
    """

    x_mm: Array
    y_mm: Array
    height_mm: Array
    noise: Array
    unevenness: Unevenness

    @cached_property
    def _frame(self) -> Frame:
        return Frame.of(self.x_mm, self.y_mm)

    @cached_property
    def _lower(self) -> Array:
        total = self._covariances(self.x_mm, self.y_mm)
        total[np.diag_indices_from(total)] += JITTER * self.unevenness.variance_mm2
        total += self.noise
        return np.asarray(np.linalg.cholesky(total))

    @cached_property
    def _trend(self) -> tuple[Array, Array]:
        """The Q and R factors of L⁻¹X."""
        q, r = np.linalg.qr(self._whiten(self._frame.design(self.x_mm, self.y_mm)))
        return q, r

    @cached_property
    def _value(self) -> Array:
        return self._whiten(self.height_mm)

    @cached_property
    def coefficients(self) -> Array:
        """Trend coefficients in the readings' own frame, Eq. (1)."""
        q, r = self._trend
        return np.asarray(np.linalg.solve(r, q.T @ self._value))

    def _whiten(self, columns: Array) -> Array:
        out = linalg.solve_triangular(self._lower, columns, lower=True, check_finite=False)
        return np.asarray(out)

    def _covariances(self, x_mm: Array, y_mm: Array) -> Array:
        """Return the covariances of the readings' places (rows) with places (columns) [mm²]."""
        alike = correlation(self.x_mm, self.y_mm, x_mm, y_mm, self.unevenness.length_mm)
        alike *= self.unevenness.variance_mm2
        return alike

    def _parts(self, x_mm: Array, y_mm: Array) -> tuple[Array, Array, Array]:
        """Return heights (m,), whitened covariances (n, m) and trend misfit (3, m)."""
        q, r = self._trend
        known = self._whiten(self._covariances(x_mm, y_mm))
        design = self._frame.design(x_mm, y_mm)
        left = self._value - q @ (q.T @ self._value)
        height = design @ self.coefficients + known.T @ left  # Eq. (2)
        misfit = np.linalg.solve(r.T, design.T) - q.T @ known
        return height, known, misfit

    def predict(self, x_mm: Array, y_mm: Array) -> tuple[Array, Array]:
        """Return heights [mm] and their standard deviations [mm] at places (m,)."""
        height, known, misfit = self._parts(x_mm, y_mm)
        variance = self.unevenness.variance_mm2 + np.sum(misfit**2, axis=0)
        variance -= np.sum(known**2, axis=0)  # the diagonal of Eq. (3)
        return height, np.sqrt(np.maximum(variance, 0.0))

    def joint(self, x_mm: Array, y_mm: Array) -> tuple[Array, Array]:
        """Return heights (m,) [mm] and their joint covariance (m, m) [mm²]."""
        height, known, misfit = self._parts(x_mm, y_mm)
        covariance = correlation(x_mm, y_mm, x_mm, y_mm, self.unevenness.length_mm)
        covariance *= self.unevenness.variance_mm2
        covariance += misfit.T @ misfit - known.T @ known  # Eq. (3)
        return height, (covariance + covariance.T) / 2

    def left_out(self) -> Array:
        """Return each reading's standardised error when predicted from all the others (n,).

        Notes
        -----
        e = (P z) / sqrt(diag P), P = C⁻¹ - C⁻¹X(XᵀC⁻¹X)⁻¹XᵀC⁻¹: exact, with correlated noise
        too, without refitting n times.
        """
        q, _ = self._trend
        inverse = self._whiten(np.eye(len(self.x_mm)))
        back = q.T @ inverse
        diagonal = np.sum(inverse**2, axis=0) - np.sum(back**2, axis=0)
        projected = inverse.T @ (self._value - q @ (q.T @ self._value))
        return np.asarray(projected / np.sqrt(diagonal))
