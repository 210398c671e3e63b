"""Covariances: those that come with the readings, and draws from those that result."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.floor.places import Array
from kit.job.refusal import refuse

#: A covariance's smallest eigenvalue may lie so far below zero, relative to its largest
#: variance: rounding of an adjustment whose datum makes it singular.
ROUNDING = 1e-9
#: Above so many readings the eigenvalues are not looked at: that alone would take minutes.
CHECKED = 2000
#: Relative jitter of a covariance that is drawn from, about 1e-5 of the largest sd.
DRAW_JITTER = 1e-10


def checked_noise(noise: ArrayLike, count: int) -> Array:
    """Return the noise covariance (n, n), or variances (n,), if it can be one.

    Raises
    ------
    Refusal
        If the shape is wrong, a number is not finite, a variance is negative, or the matrix is
        not symmetric or not positive semidefinite.
    """
    array = np.asarray(noise, float)
    if array.shape not in ((count,), (count, count)):
        allowed = f"shape ({count}, {count}), or ({count},) for independent readings"
        raise refuse("floor, noise_covariance", f"shape {array.shape}", allowed)
    if not np.all(np.isfinite(array)):
        raise refuse("floor, noise_covariance", "a number that is not finite", "finite numbers")
    variance = array if array.ndim == 1 else np.diag(array)
    if np.any(variance < 0):
        row = int(np.argmin(variance))
        raise refuse(
            f"floor, noise_covariance, row {row + 1}", f"variance {variance[row]}", "0 or more"
        )
    if array.ndim == 2:
        _require_covariance(array, float(variance.max()))
    return array


def _require_covariance(array: Array, largest: float) -> None:
    if np.max(np.abs(array - array.T)) > ROUNDING * largest:
        raise refuse("floor, noise_covariance", "an unsymmetric matrix", "a covariance matrix")
    if len(array) > CHECKED or largest == 0:
        return
    try:
        np.linalg.cholesky(array + ROUNDING * largest * len(array) * np.eye(len(array)))
    except np.linalg.LinAlgError:
        raise refuse(
            "floor, noise_covariance", "a negative eigenvalue", "a positive semidefinite matrix"
        ) from None


def part_of(noise: Array, rows: NDArray[np.intp]) -> Array:
    """Return the covariance of some of the readings as a full matrix."""
    if noise.ndim == 1:
        return np.diag(noise[rows])
    if len(rows) == len(noise):
        return noise
    return noise[np.ix_(rows, rows)]


def deviations(covariance: Array, count: int, seed: int) -> Array:
    """Return seeded draws (count, m) of mean zero from a covariance (m, m)."""
    normal = np.random.default_rng(seed).standard_normal((count, len(covariance)))
    return np.asarray(normal @ root_of(covariance).T)


def quick_deviations(covariance: Array, count: int, seed: int) -> NDArray[np.float32]:
    """Return the same in single precision, in half the time: good to 1e-6 of the sd."""
    generator = np.random.default_rng(seed)
    normal = generator.standard_normal((count, len(covariance)), dtype=np.float32)
    return np.asarray(normal @ root_of(covariance).astype(np.float32).T)


def root_of(covariance: Array) -> Array:
    """Return a matrix whose product with its transpose is the covariance (m, m)."""
    largest = float(np.max(np.diag(covariance)))
    jitter = DRAW_JITTER * largest + np.finfo(float).tiny
    try:
        return np.asarray(np.linalg.cholesky(covariance + jitter * np.eye(len(covariance))))
    except np.linalg.LinAlgError:
        # Rounding of a nearly singular covariance: its eigenvectors always serve.
        values, vectors = np.linalg.eigh(covariance)
        return np.asarray(vectors * np.sqrt(np.maximum(values, 0.0)))
