"""Heights anywhere, given readings and the unevenness of the floor between them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy import linalg

from kit.floor.kernel import correlation
from kit.floor.likelihood import JITTER, Unevenness
from kit.floor.places import Array
from kit.floor.plane import Frame

#: Up to so many readings the inverse of the factor is kept, and products with it are taken in
#: slices of at most so many multiplications. Larger ones wait for a second thread, which on a
#: busy machine costs a hundred times what it saves; nothing of the result depends on it.
SMALL = 120
ONE_THREAD = 2**18
#: Every reading.
ALL = slice(None)


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
    def frame(self) -> Frame:
        """The frame in which the trend is worked out."""
        return Frame.of(self.x_mm, self.y_mm)

    @cached_property
    def _lower(self) -> Array:
        total = correlation(self.x_mm, self.y_mm, self.x_mm, self.y_mm, self.unevenness.length_mm)
        total[np.diag_indices_from(total)] += JITTER
        total *= self.unevenness.variance_mm2
        total += self.noise
        return np.asarray(np.linalg.cholesky(total))

    @cached_property
    def _inverse(self) -> Array:
        return np.asarray(np.linalg.inv(self._lower))

    @cached_property
    def _trend(self) -> tuple[Array, Array]:
        """The Q and R factors of L⁻¹X."""
        q, r = np.linalg.qr(self._whiten(self.frame.design(self.x_mm, self.y_mm)))
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
        """Return L⁻¹ times columns (n, k)."""
        count = len(self.x_mm)
        if count <= SMALL and columns.ndim == 2 and columns.shape[1] > 3:
            width = max(ONE_THREAD // count**2, 32)
            slices = np.split(columns, range(width, columns.shape[1], width), axis=1)
            return np.concatenate([self._inverse @ one for one in slices], axis=1)
        if count <= SMALL:
            return np.asarray(self._inverse @ columns)
        out = linalg.solve_triangular(self._lower, columns, lower=True, check_finite=False)
        return np.asarray(out)

    def parts(self, alike: Array, design: Array) -> tuple[Array, Array, Array]:
        """Return heights (m,), whitened covariances (n, m) and trend misfit (3, m) at places.

        Parameters
        ----------
        alike : (n, m) array
            Correlations of the readings with the places.
        design : (m, 3) array
            The places' rows of the trend, in this frame.
        """
        q, r = self._trend
        known = self._whiten(alike) * self.unevenness.variance_mm2
        left = self._value - q @ (q.T @ self._value)
        height = design @ self.coefficients + known.T @ left  # Eq. (2)
        misfit = np.linalg.solve(r.T, design.T) - q.T @ known
        return height, known, misfit

    def predict(self, x_mm: Array, y_mm: Array) -> tuple[Array, Array]:
        """Return heights [mm] and their standard deviations [mm] at places (m,)."""
        height, known, misfit = self.parts(self._alike(x_mm, y_mm), self.frame.design(x_mm, y_mm))
        return height, np.sqrt(self.variances(known, misfit))

    def variances(self, known: Array, misfit: Array) -> Array:
        """Return the diagonal (m,) of Eq. (3) from what `parts` gave [mm²]."""
        total = self.unevenness.variance_mm2 + np.einsum("ij,ij->j", misfit, misfit)
        return np.asarray(np.maximum(total - np.einsum("ij,ij->j", known, known), 0.0))

    def joint(self, x_mm: Array, y_mm: Array) -> tuple[Array, Array]:
        """Return heights (m,) [mm] and their joint covariance (m, m) [mm²]."""
        height, known, misfit = self.parts(self._alike(x_mm, y_mm), self.frame.design(x_mm, y_mm))
        covariance = correlation(x_mm, y_mm, x_mm, y_mm, self.unevenness.length_mm)
        covariance *= self.unevenness.variance_mm2
        covariance += misfit.T @ misfit - known.T @ known  # Eq. (3)
        return height, (covariance + covariance.T) / 2

    def _alike(self, x_mm: Array, y_mm: Array) -> Array:
        return correlation(self.x_mm, self.y_mm, x_mm, y_mm, self.unevenness.length_mm)

    def left_out(self, rows: NDArray[np.intp] | slice = ALL) -> tuple[Array, Array]:
        """Return each reading's error [mm] when predicted from all the others, and its sd [mm].

        Parameters
        ----------
        rows : (k,) array
            The readings that are left out in turn; all of them where none are named.

        Notes
        -----
        e = (P z) / diag P, sd = 1 / sqrt(diag P), P = C⁻¹ - C⁻¹X(XᵀC⁻¹X)⁻¹XᵀC⁻¹: exact, with
        correlated noise too, without refitting n times.
        """
        q, _ = self._trend
        inverse = self._whiten(np.eye(len(self.x_mm))[:, rows])
        back = q.T @ inverse
        diagonal = np.sum(inverse**2, axis=0) - np.sum(back**2, axis=0)
        projected = inverse.T @ (self._value - q @ (q.T @ self._value))
        return projected / diagonal, 1 / np.sqrt(diagonal)
