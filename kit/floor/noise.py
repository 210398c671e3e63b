"""Covariances: those that come with the readings, and draws from those that result."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.linalg.blas import strmm

from kit.floor.places import Array
from kit.job.refusal import refuse

#: A covariance's smallest eigenvalue may lie so far below zero, relative to its largest
#: variance: rounding of an adjustment whose datum makes it singular.
ROUNDING = 1e-9
#: Above so many readings the eigenvalues are not looked at: that alone would take minutes.
CHECKED = 2000
#: Relative jitter of a covariance that is drawn from, about 1e-5 of the largest sd.
DRAW_JITTER = 1e-10
#: Quick draws made at a time.
DRAWN_AT_ONCE = 250


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
    return np.concatenate([block.copy() for block in quick_blocks(covariance, count, seed)])


def quick_blocks(covariance: Array, count: int, seed: int) -> Iterator[NDArray[np.float32]]:
    """Yield `quick_deviations` some at a time, each block in the place of the one before.

    Blocks of 250 stay in the processor's cache, and no memory is asked for that holds all draws:
    with 3,000 places that would be 48 MB. The draws are those of one stream, whatever the block.
    """
    # An eighth faster than numpy's usual generator, which is half of the time here.
    generator = np.random.Generator(np.random.SFC64(seed))
    root = np.asfortranarray(root_of(covariance), np.float32)
    drawn = np.empty((min(DRAWN_AT_ONCE, count), len(root)), np.float32)
    for first in range(0, count, DRAWN_AT_ONCE):
        block = drawn[: count - first]
        generator.standard_normal(dtype=np.float32, out=block)
        # Half of the root is zero; in the order of columns, the product is taken in place.
        yield strmm(1.0, root, block.T, lower=1, overwrite_b=1).T


def root_of(covariance: Array) -> Array:
    """Return a lower triangle whose product with its transpose is the covariance (m, m)."""
    largest = float(np.max(np.diag(covariance)))
    jitter = DRAW_JITTER * largest + np.finfo(float).tiny
    jittered = np.array(covariance)
    jittered[np.diag_indices_from(jittered)] += jitter
    try:
        return np.asarray(np.linalg.cholesky(jittered))
    except np.linalg.LinAlgError:
        # Rounding of a nearly singular covariance: its eigenvectors always serve.
        values, vectors = np.linalg.eigh(covariance)
        root = vectors * np.sqrt(np.maximum(values, 0.0))
        return np.asarray(np.linalg.qr(root.T).R.T)
