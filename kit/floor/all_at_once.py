"""The weights of up to thousands of readings in the height anywhere, from all of them at once."""

from __future__ import annotations

import numpy as np
from scipy.linalg import lapack

from kit.floor.kernel import correlation
from kit.floor.likelihood import JITTER, Unevenness
from kit.floor.noise import Noise, rows_of
from kit.floor.places import Array
from kit.floor.plane import Frame

#: Readings whose covariances with the others are worked out at a time: they stay in the cache.
AT_ONCE = 64


def trend_and_weights(
    read: tuple[Array, Array, Array], noise: Noise, unevenness: Unevenness
) -> tuple[Array, Array]:
    """Return the trend's coefficients (3,) and the readings' weights (n,).

    Parameters
    ----------
    read : three (n,) arrays
        Places and heights of the readings [mm].
    noise : Noise
        Their covariance.
    unevenness : Unevenness
        Of the floor about its plane.

    Returns
    -------
    coefficients : (3,) array
        b in the readings' own frame.
    weights : (n,) array
        variance·C⁻¹(z - Xb): height = f·b + correlations with the readings · weights. With C, X,
        z and f as in `Conditioned`.

    Notes
    -----
    One triangle of C is filled and factored where it stands: 8·n² bytes, of 5,000 readings
    200 MB, and nothing besides.
    """
    x, y, z = read
    upper = _covariance(x, y, noise, unevenness).T
    upper, failed = lapack.dpotrf(upper, lower=0, clean=0, overwrite_a=1)
    if failed:
        raise np.linalg.LinAlgError("the readings' covariance is not positive definite")
    columns = np.column_stack([Frame.of(x, y).design(x, y), z])
    white = lapack.dtrtrs(upper, columns, lower=0, trans=1)[0]
    q, r = np.linalg.qr(white[:, :3])
    share = q.T @ white[:, 3]
    back = lapack.dtrtrs(upper, white[:, 3] - q @ share, lower=0)[0]
    return np.asarray(np.linalg.solve(r, share)), np.ravel(back) * unevenness.variance_mm2


def _covariance(x_mm: Array, y_mm: Array, noise: Noise, unevenness: Unevenness) -> Array:
    """Return variance·K + N in the lower triangle of an (n, n) array; the rest is undefined."""
    total = np.empty((len(x_mm), len(x_mm)))
    for first in range(0, len(x_mm), AT_ONCE):
        rows = slice(first, min(first + AT_ONCE, len(x_mm)))
        here = x_mm[rows], y_mm[rows]
        part = correlation(*here, x_mm[: rows.stop], y_mm[: rows.stop], unevenness.length_mm)
        own = np.arange(len(part))
        part[own, own + first] += JITTER
        part *= unevenness.variance_mm2
        part += rows_of(noise, rows)
        total[rows, : rows.stop] = part
    return total
