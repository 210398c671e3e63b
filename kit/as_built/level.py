"""The one level that some heights fit best."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kit.base.checks import CLOSED_MM
from kit.base.runs import Floats
from kit.job import refuse


@dataclass(frozen=True)
class BestLevel:
    """The level that brings most heights within a tolerance, and the one that errs least.

    Parameters
    ----------
    level_mm : float
        Most heights lie within the tolerance of it; of such levels the one against which these
        err least at most, then the lowest [mm]. Those beyond do not draw it towards them.
    within : int
        How many do.
    greatest_mm : float
        Greatest error of these against it, either way [mm].
    minimax_mm, minimax_greatest_mm : float
        The level of the least greatest error, whatever lies within, and that error [mm].
    """

    level_mm: float
    within: int
    greatest_mm: float
    minimax_mm: float
    minimax_greatest_mm: float


def best_level(height_mm: Floats, tolerance_mm: float) -> BestLevel:
    """Find the level that some heights fit best.

    Parameters
    ----------
    height_mm : (n,) array
        Heights [mm], n at least 1, all finite.
    tolerance_mm : float
        How far off a height may be, closed [mm].

    Returns
    -------
    BestLevel

    Raises
    ------
    Refusal
        Where there is no height.

    Notes
    -----
    Height i is within the tolerance of the levels [h_i - t, h_i + t]. Most of these intervals
    meet where one of them begins, and from there to the first end of those that meet. In each
    such stretch their greatest error is least in the middle of the outermost two of them.
    """
    if not len(height_mm):
        raise refuse("[as_built]", "no support that was read", "readings on the supports")
    low, high = float(height_mm.min()), float(height_mm.max())
    middle = (low + high) / 2
    reach = tolerance_mm + CLOSED_MM
    starts = np.unique(height_mm - tolerance_mm)
    inside = np.abs(height_mm[None, :] - starts[:, None]) <= reach
    count = inside.sum(axis=1)
    best = np.flatnonzero(count == count.max())
    lowest = np.array([height_mm[inside[i]].min() for i in best])
    highest = np.array([height_mm[inside[i]].max() for i in best])
    levels, greatest = (lowest + highest) / 2, (highest - lowest) / 2
    chosen = int(np.flatnonzero(greatest <= greatest.min() + CLOSED_MM)[0])
    return BestLevel(
        float(levels[chosen]), int(count.max()), float(greatest[chosen]), middle, high - middle
    )
