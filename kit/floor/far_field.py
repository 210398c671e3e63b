"""Sums of thousands of kernels at hundreds of places that lie close together."""

from __future__ import annotations

import numpy as np

from kit.floor.kernel import correlation
from kit.floor.places import Array

#: Places at which what comes from afar is worked out, a side: from there it is interpolated.
NODES = 6
#: Sources are far from this many sides of the square on: the interpolation's error then falls as
#: 5.8^-nodes, 3 + sqrt(8) being the nearest source's ellipse.
FAR = 1.0
#: A square is at least so broad [mm].
LEAST_MM = 1.0


def sum_of_kernels(
    sources: tuple[Array, Array], weights: Array, length_mm: float, x_mm: Array, y_mm: Array
) -> Array:
    """Return the sum of weight·correlation over all sources at places (m,).

    Parameters
    ----------
    sources : two (n,) arrays
        Their places [mm].
    weights : (n,) array
    length_mm : float
        Of the correlation [mm].
    x_mm, y_mm : (m,) array
        Places of one tile [mm].

    Notes
    -----
    The kernel is smooth away from its source. Sources near to the square that holds the places
    are summed at each place, far ones at 6 x 6 Chebyshev nodes of the square, between which
    the sum is interpolated by polynomials [1]_.

    References
    ----------
    .. [1] J.-P. Berrut, L. N. Trefethen, Barycentric Lagrange interpolation, SIAM Review 46
       (2004) 501-517 (from memory).
    """
    middle = (x_mm.min() + x_mm.max()) / 2, (y_mm.min() + y_mm.max()) / 2
    half = max(float(np.ptp(x_mm)), float(np.ptp(y_mm)), LEAST_MM) / 2
    apart = np.maximum(np.abs(sources[0] - middle[0]), np.abs(sources[1] - middle[1])) - half
    near = apart < FAR * 2 * half
    if len(x_mm) <= NODES**2:
        near[:] = True
    here = correlation(x_mm, y_mm, sources[0][near], sources[1][near], length_mm) @ weights[near]
    if np.all(near):
        return np.asarray(here)
    at = np.cos((np.arange(NODES) + 0.5) * np.pi / NODES)
    node_x, node_y = np.repeat(at, NODES) * half + middle[0], np.tile(at, NODES) * half + middle[1]
    far_x, far_y = sources[0][~near], sources[1][~near]
    there = correlation(node_x, node_y, far_x, far_y, length_mm) @ weights[~near]
    across = _shares((x_mm - middle[0]) / half) @ there.reshape(NODES, NODES)
    return np.asarray(here + np.sum(across * _shares((y_mm - middle[1]) / half), axis=1))


def _shares(t: Array) -> Array:
    """Return the weights (m, 6) of the nodes at places from -1 to 1.

    Notes
    -----
    (1 + 2·sum T_k(node)·T_k(t)) / 6, k from 1 to 5: discrete orthogonality of the Chebyshev
    polynomials at their roots.
    """
    order = np.arange(1, NODES)
    roots = (np.arange(NODES) + 0.5) * np.pi / NODES
    angle = np.arccos(np.clip(t, -1.0, 1.0))
    every = np.cos(angle[:, None] * order) @ np.cos(order[:, None] * roots)
    return np.asarray((1 + 2 * every) / NODES)
