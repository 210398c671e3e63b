"""How a stiff body shares its weight among supports that all touch it and cannot pull."""

from __future__ import annotations

import numpy as np

from kit.base.runs import Floats

#: Steps in which the supports that carry are found; each lowers a convex sum.
_MOST_STEPS = 100


def spring_shares(about_mm: Floats) -> Floats:
    """Share a weight at the origin among equal springs under a stiff body; none of them pulls.

    Parameters
    ----------
    about_mm : array of shape (springs, 2)
        Where they are, about the weight and not all in line [mm].

    Returns
    -------
    array of shape (springs,)
        0 to 1 and 1 in all.

    Notes
    -----
    f_i = max(0, u + v x_i + w y_i), with u, v, w from the equilibrium (2) of
    `kit.strength.stiff.stand_stiff`: the least of the convex sum of f_i² / 2 - u, by Newton's
    steps, halved where they go too far.
    """
    size = max(float(np.abs(about_mm).max()), 1.0)
    place = np.column_stack([np.ones(len(about_mm)), about_mm / size])
    weight = np.array([1.0, 0.0, 0.0])
    found = np.linalg.lstsq(place.T @ place, weight, rcond=None)[0]
    for _ in range(_MOST_STEPS):
        force = np.maximum(place @ found, 0.0)
        off = place.T @ force - weight
        if np.abs(off).max() < 1e-12:
            break
        bears = place[force > 0]
        step = -np.linalg.lstsq(bears.T @ bears, off, rcond=1e-12)[0]
        found = found + _length(place, found, step) * step
    shares: Floats = np.maximum(place @ found, 0.0)
    return shares


def _length(place: Floats, found: Floats, step: Floats) -> float:
    """Return how much of a step lowers the sum: all of it, half, a quarter."""

    def total(at: Floats) -> float:
        force = np.maximum(place @ at, 0.0)
        return float(force @ force) / 2 - float(at[0])

    before, length = total(found), 1.0
    while length > 1e-6 and total(found + length * step) >= before:
        length /= 2
    return length
