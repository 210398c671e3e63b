"""Which single reading teaches most about where the high point is."""

from __future__ import annotations

import numpy as np
from scipy.special import ndtr

from kit.floor.places import Array

#: Slopes closer than this share of the largest are parallel lines.
PARALLEL = 1e-12
#: Standard deviations beyond which the normal distribution holds less than 1e-15.
FAR = 8.0
#: Variance of a place, relative to the largest, under which reading it teaches nothing.
KNOWN = 1e-9


def most_telling_place(
    height_mm: Array, covariance: Array, reading_sd_mm: float
) -> tuple[int, float]:
    """Return the place whose reading raises the expected highest mean most, and by how much.

    Parameters
    ----------
    height_mm : (m,) array
        Mean heights [mm].
    covariance : (m, m) array
        Their joint covariance [mm²].
    reading_sd_mm : float
        Standard deviation of the reading [mm].

    Returns
    -------
    place : int
    gain_mm : float
        Expected fall of the regret [mm].
    """
    gains = expected_gains(height_mm, covariance, reading_sd_mm)
    # Of places that teach the same to within rounding the first one given is named.
    best = float(gains.max())
    place = int(np.argmax(gains >= best - 1e-9 * max(best, 1e-9)))
    return place, float(gains[place])


def expected_gains(height_mm: Array, covariance: Array, reading_sd_mm: float) -> Array:
    """Return how much a reading at each place lowers the expected regret [mm] (m,).

    Notes
    -----
    gain(c) = E[max_i (mu_i + s_i(c)·Z)] - max mu.                                  (1)
    """
    variance = np.diag(covariance)
    known = variance <= KNOWN * float(variance.max())
    spread = np.sqrt(np.where(known, 1.0, variance + reading_sd_mm**2))
    slopes = np.where(known[:, None], 0.0, covariance.T / spread[:, None])
    return expected_maxima(height_mm, slopes) - float(height_mm.max())


def expected_maxima(intercept: Array, slopes: Array) -> Array:
    """Return E[max_i (a_i + b_i·Z)] for rows of slopes (k, m), Z standard normal.

    Notes
    -----
    The upper envelope of the lines is walked from Z = -infinity up, all rows at once; over a
    stretch from z1 to z2 on which line i is the highest,
    a_i·(Phi(z2) - Phi(z1)) + b_i·(phi(z1) - phi(z2)).                              (1)
    """
    row = np.arange(len(slopes))
    line = _leftmost(intercept, slopes)
    start = np.full(len(slopes), -np.inf)
    total = np.zeros(len(slopes))
    while len(row):
        a, b = intercept[line], slopes[row, line]
        end, following = _next_crossing(intercept, slopes[row], a, b)
        # Beyond FAR nothing of the distribution is left, so the last line counts to the end.
        end = np.where(end >= FAR, np.inf, np.maximum(end, start))
        total[row] += a * (ndtr(end) - ndtr(start)) + b * (_phi(start) - _phi(end))  # Eq. (1)
        more = np.isfinite(end)
        row, line, start = row[more], following[more], end[more]
    return total


def _leftmost(intercept: Array, slopes: Array) -> Array:
    """Return for each row the line that is highest at Z = -FAR."""
    return np.asarray(np.argmax(intercept[None, :] - FAR * slopes, axis=1))


def _next_crossing(intercept: Array, slopes: Array, a: Array, b: Array) -> tuple[Array, Array]:
    """Return where a steeper line first overtakes the present one (inf: never), and which."""
    steeper = slopes - b[:, None]
    tolerance = PARALLEL * np.max(np.abs(slopes), axis=1, keepdims=True)
    ahead = steeper > tolerance
    behind = a[:, None] - intercept[None, :]
    crossing = np.where(ahead, behind / np.where(ahead, steeper, 1.0), np.inf)
    first = crossing.min(axis=1)
    # Where several meet in one point the steepest goes on.
    meeting = crossing <= first[:, None] + 1e-12 * np.abs(first[:, None])
    following = np.argmax(np.where(ahead & meeting, steeper, -np.inf), axis=1)
    return first, following


def _phi(z: Array) -> Array:
    return np.asarray(np.exp(-(z**2) / 2) / np.sqrt(2 * np.pi))
