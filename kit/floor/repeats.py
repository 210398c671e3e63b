"""Readings that repeat a place without any doubt of their own."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from kit.floor.extent import SAME_PLACE_MM
from kit.floor.noise import Noise, variances_of
from kit.floor.places import Array
from kit.floor.row_noise import RowNoise
from kit.job.refusal import refuse

#: Variance of a difference, relative to the largest variance, below which it is rounding.
NO_DOUBT = 1e-12
#: Heights that differ by less are the same [mm].
SAME_HEIGHT_MM = 1e-6


def rows_to_keep(x_mm: Array, y_mm: Array, height_mm: Array, noise: Noise) -> NDArray[np.intp]:
    """Return the rows without those that say for certain what an earlier row says.

    Parameters
    ----------
    x_mm, y_mm, height_mm : (n,) array
        Readings [mm].
    noise : (n, n) or (n,) array, or RowNoise
        Their covariance or variances [mm²].

    Raises
    ------
    Refusal
        If two readings of one place differ, though no doubt is left between them.
    """
    pairs = cKDTree(np.column_stack([x_mm, y_mm])).query_pairs(SAME_PLACE_MM, output_type="ndarray")
    first, second = pairs[:, 0], pairs[:, 1]
    variance = variances_of(noise)
    doubt = variance[first] + variance[second]
    if isinstance(noise, RowNoise):
        doubt = doubt - 2 * noise.pairs(first, second)
    elif noise.ndim == 2:
        doubt = doubt - 2 * noise[first, second]
    certain = doubt <= NO_DOUBT * float(variance.max(initial=0.0))
    apart = np.abs(height_mm[first] - height_mm[second])
    for i, j, gap in zip(first[certain], second[certain], apart[certain], strict=True):
        if gap > SAME_HEIGHT_MM:
            raise refuse(
                f"floor, rows {i + 1} and {j + 1}",
                f"heights {gap:.3g} mm apart at one place, with no doubt between them",
                "one height a place, or readings with a standard deviation",
            )
    return np.setdiff1d(np.arange(len(x_mm)), second[certain])
