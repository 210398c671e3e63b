"""Which reading, of all places, tells most about where the highest of some places is."""

from __future__ import annotations

import numpy as np
from scipy.special import ndtr

from kit.floor.next_reading import FAR, KNOWN, expected_maxima
from kit.floor.places import Array
from kit.floor.shared_doubt import Rows, SharedDoubt, slices

#: Width of the cells that bound a gain [standard deviations]. Narrower ones would leave fewer
#: places to follow exactly, and cost more for every place.
CELL = 0.75


def most_telling(
    doubt: SharedDoubt, rows: Rows, covariance: Array, reading_sd_mm: float
) -> tuple[int, float]:
    """Return the place whose reading raises the expected highest mean most, and by how much.

    Parameters
    ----------
    doubt : SharedDoubt
        Heights and doubt of the places (m,): each of them may be read.
    rows : (k,) array
        Those of them that can be the highest, from `candidates`.
    covariance : (m, k) array
        Of all places with those [mm²].
    reading_sd_mm : float
        Standard deviation of the reading [mm].

    Returns
    -------
    place : int
        Of places that teach the same the first one.
    gain_mm : float
        Expected fall of the regret [mm].

    Notes
    -----
    gain(c) = E[max_i (mu_i + s_i(c)·Z)] - max mu.                                  (1)
    A reading anywhere may tell most about the candidates, so c is any place; i need only be one
    that can be the highest. Once c is read, the mean height of i above the named place n has
    moved by (s_i(c) - s_n(c))·Z. The variance of a mean that a reading moves is never more than
    the variance before it (law of total variance), so |s_i(c) - s_n(c)| <= s_i, and since
    E[(a + s·Z)+] grows with s, the lines left out add at most Eq. (3) of `candidates` to any
    gain.

    The lines are followed exactly only for the places whose gain can be the greatest by `_bounds`:
    on a doubtful floor hundreds of lines take turns, for each place that is read.
    """
    variance, below = doubt.variance_mm2, doubt.height_mm[rows] - float(doubt.height_mm.max())
    known = variance <= KNOWN * float(variance.max())
    share = np.where(known, 0.0, 1 / np.sqrt(np.where(known, 1.0, variance + reading_sd_mm**2)))
    least, most = _bounds(below, covariance, share)
    hopeful = np.flatnonzero(most >= least.max() - _rounding(float(least.max())))
    every = (hopeful[part] for part in slices(len(hopeful)))
    gains = np.concatenate([expected_maxima(below, _slopes(covariance, share, c)) for c in every])
    # Of gains that differ by rounding the first one is taken.
    best = float(gains.max())
    place = int(np.argmax(gains >= best - 1e-9 * max(best, 1e-9)))
    return int(hopeful[place]), max(float(gains[place]), 0.0)


def _rounding(gain_mm: float) -> float:
    """Return by how much less than a gain still counts as no less [mm]."""
    return 1e-8 * max(gain_mm, 1e-9) + 1e-12


def _slopes(covariance: Array, share: Array, places: Rows | slice) -> Array:
    return np.asarray(covariance[places] * share[places, None])


def _bounds(below_mm: Array, covariance: Array, share: Array) -> tuple[Array, Array]:
    """Return the least and the greatest that each place's gain (m,) can be [mm].

    Parameters
    ----------
    below_mm : (k,) array
        Heights of the candidates from the highest down, 0 or less.
    covariance : (m, k) array
        Of all places with those [mm²].
    share : (m,) array
        Slopes = share·covariance.

    Notes
    -----
    M(Z) = max_i (a_i + b_i·Z) is convex. With Z standard normal, cut into cells of probability p_j
    and mean z_j, E[M] >= sum p_j·M(z_j) (Jensen in each cell);                     (1)
    with chords from one z_j to the next, and to -8 and 8, E[M] <= sum w_j·M(z_j).  (2)
    """
    least, most = [], []
    for part in slices(len(covariance)):
        slopes = _slopes(covariance, share, part)
        highest = np.column_stack([np.max(below_mm + slopes * z, axis=1) for z in KNOTS])
        least.append(highest[:, 1:-1] @ CELLS)  # Eq. (1)
        most.append(highest @ CHORDS)  # Eq. (2)
    return np.concatenate(least), np.concatenate(most)


def _knots() -> tuple[Array, Array, Array]:
    """Return z_j with -8 and 8 at the ends (j + 2,), p_j (j,) and w_j (j + 2,)."""
    edges = np.concatenate([[-np.inf], np.arange(-3.0, 3.1, CELL), [np.inf]])
    cells = np.diff(ndtr(edges))
    knots = np.concatenate([[-FAR], -np.diff(_phi(edges)) / cells, [FAR]])
    inside, moment, wide = np.diff(ndtr(knots)), -np.diff(_phi(knots)), np.diff(knots)
    chords = np.zeros(len(knots))
    chords[:-1] += (knots[1:] * inside - moment) / wide
    chords[1:] += (moment - knots[:-1] * inside) / wide
    return knots, cells, chords


def _phi(z: Array) -> Array:
    return np.asarray(np.exp(-(z**2) / 2) / np.sqrt(2 * np.pi))


KNOTS, CELLS, CHORDS = _knots()
