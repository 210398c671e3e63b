"""Covariances: those that come with the readings, and draws from those that result."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.linalg.blas import strmm
from scipy.sparse import csr_array

from kit.floor.places import Array
from kit.floor.row_noise import RowNoise, SharedErrors
from kit.job.refusal import refuse

#: A full covariance (n, n), variances of independent readings (n,), or own and shared errors.
Noise = Array | RowNoise

#: A covariance's smallest eigenvalue may lie so far below zero, relative to its largest
#: variance: rounding of an adjustment whose datum makes it singular.
ROUNDING = 1e-9
#: Above so many readings the eigenvalues are not looked at: that alone would take minutes.
CHECKED = 2000
#: Relative jitter of a covariance that is drawn from, about 1e-5 of the largest sd.
DRAW_JITTER = 1e-10
#: Quick draws made at a time.
DRAWN_AT_ONCE = 250


def checked_noise(noise: ArrayLike | SharedErrors, count: int) -> Noise:
    """Return the noise covariance (n, n), or variances (n,), or own and shared errors.

    Raises
    ------
    Refusal
        If the shape is wrong, a number is not finite, a variance is negative, or the matrix is
        not symmetric or not positive semidefinite.
    """
    if isinstance(noise, SharedErrors):
        return _of_rows(noise, count)
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


def _of_rows(noise: SharedErrors, count: int) -> RowNoise:
    own = noise if isinstance(noise, RowNoise) else RowNoise(noise.diagonal, noise.factors)
    if len(own) != count:
        raise refuse("floor, noise_covariance", f"{len(own)} rows", f"a row a reading, {count}")
    return own


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


def part_of(noise: Noise, rows: NDArray[np.intp]) -> Array:
    """Return the covariance of some of the readings as a full matrix."""
    if isinstance(noise, RowNoise):
        return noise.part(rows)
    if noise.ndim == 1:
        return np.diag(noise[rows])
    if len(rows) == len(noise):
        return noise
    return noise[np.ix_(rows, rows)]


def rows_of(noise: Noise, rows: slice) -> Array:
    """Return the covariance (k, m) of some readings with all the m readings up to the last one."""
    if isinstance(noise, RowNoise):
        return noise.rows(rows)
    if noise.ndim == 2:
        return noise[rows, : rows.stop]
    own = np.arange(rows.stop - rows.start)
    out = np.zeros((len(own), rows.stop))
    out[own, own + rows.start] = noise[rows]
    return out


def kept(noise: Noise, rows: NDArray[np.intp]) -> Noise:
    """Return the noise of some of the readings, in the form in which it came."""
    if isinstance(noise, RowNoise):
        return noise.kept(rows)
    return noise[rows] if noise.ndim == 1 else noise[np.ix_(rows, rows)]


def averaged(noise: Noise, weights: csr_array) -> Noise:
    """Return the noise of weighted sums of the readings, in the form in which it came.

    Parameters
    ----------
    noise : Noise
        Of the readings (n,).
    weights : (m, n) sparse array
        A row for each sum. Of sums with a reading in common only one is asked for at a time.
    """
    if isinstance(noise, RowNoise):
        return noise.averaged(weights)
    if noise.ndim == 1:
        return np.asarray(weights.multiply(weights) @ noise)
    return np.asarray(weights @ np.ascontiguousarray((weights @ noise).T))


def with_extra(noise: Noise, extra: Array) -> Noise:
    """Return a noise with further variance (n,) of each reading's own [mm²]."""
    if isinstance(noise, RowNoise):
        return RowNoise(noise.diagonal + extra, noise.factors)
    if noise.ndim == 1:
        return noise + extra
    total = noise.copy()
    total[np.diag_indices_from(total)] += extra
    return total


def shared_most(noise: Noise) -> NDArray[np.intp]:
    """Return the shared error (n,) that each reading has most of; 0 where none is told."""
    if isinstance(noise, RowNoise):
        return noise.chief()
    return np.zeros(len(noise), np.intp)


def variances_of(noise: Noise) -> Array:
    """Return the variances (n,) of the readings [mm²]."""
    if isinstance(noise, RowNoise):
        return noise.variances()
    return noise if noise.ndim == 1 else np.diag(noise)


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
