"""How alike the floor is at two places: the Matérn 3/2 correlation."""

from __future__ import annotations

import numpy as np

from kit.floor.places import Array, distances

ROOT_3 = 3.0**0.5


def matern(distance_mm: Array, length_mm: float) -> Array:
    """Return the Matérn 3/2 correlation of places at given distances.

    Parameters
    ----------
    distance_mm : array
        Distances [mm].
    length_mm : float
        Correlation length [mm].

    Notes
    -----
    k(d) = (1 + sqrt(3)·d/l)·exp(-sqrt(3)·d/l).                                    (1)

    References
    ----------
    .. [1] C. E. Rasmussen, C. K. I. Williams, Gaussian Processes for Machine Learning (2006),
       eq. 4.17 (from memory).
    """
    scaled = distance_mm * (ROOT_3 / length_mm)
    out = np.exp(-scaled)
    scaled += 1.0
    out *= scaled  # Eq. (1) of [1]
    return out


def matern_slope(distance_mm: Array, length_mm: float) -> Array:
    """Return the derivative of `matern` with respect to the logarithm of the length."""
    scaled = distance_mm * (ROOT_3 / length_mm)
    return np.asarray(scaled**2 * np.exp(-scaled))


def correlation(
    x_mm: Array, y_mm: Array, to_x_mm: Array, to_y_mm: Array, length_mm: float
) -> Array:
    """Return the correlations of places (rows) with other places (columns)."""
    return matern(distances(x_mm, y_mm, to_x_mm, to_y_mm), length_mm)
