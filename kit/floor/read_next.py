"""Which further readings take most doubt off places that matter."""

from __future__ import annotations

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike

from kit.floor.places import Array, columns
from kit.floor.surface import Surface

#: A reading that lowers the mean sd by less than this share is not worth the walk.
LEAST_GAIN = 0.01

#: Variance of a candidate, relative to the largest, under which reading it teaches nothing.
KNOWN = 1e-9


def read_next(
    surface: Surface,
    targets_mm: tuple[ArrayLike, ArrayLike],
    candidates_mm: tuple[ArrayLike, ArrayLike],
    reading_sd_mm: float,
    count: int = 6,
) -> pd.DataFrame:
    """Return the further readings that most lower the doubt of the floor at some places.

    Parameters
    ----------
    surface : Surface
        The floor between the readings so far.
    targets_mm : (m,) array_like x, y
        The places that matter, such as supports [mm].
    candidates_mm : (n,) array_like x, y
        Places that can be read [mm].
    reading_sd_mm : float
        Standard deviation of one further reading [mm]; the doubt of a new set-up is not in it.
    count : int
        Readings at most.

    Returns
    -------
    DataFrame
        In the order in which they should be taken: ``x_mm``, ``y_mm``, ``mean_before_mm``,
        ``mean_after_mm`` (mean sd over the targets), ``worst_before_mm``, ``worst_after_mm``
        (largest sd), ``helps`` (number of the target whose variance falls most). Fewer than
        ``count`` where the next would lower the mean sd by less than 1 %; empty where none is
        worth it.

    Notes
    -----
    Each reading is the one that lowers the sum of the targets' variances most (A-optimality [1]),
    given those before it. With C the joint covariance of targets t and candidates c,

        gain(c) = Σ_t C_tc² / (C_cc + s²),                                       (1)
        C' = C - C_·c C_c· / (C_cc + s²).                                        (2)

    References
    ----------
    .. [1] Pukelsheim, F., Optimal Design of Experiments, 1993, ch. 6 (from memory).
    """
    tx, ty = columns(x_mm=targets_mm[0], y_mm=targets_mm[1])
    cx, cy = columns(x_mm=candidates_mm[0], y_mm=candidates_mm[1])
    m = len(tx)
    covariance = surface.covariance(np.append(tx, cx), np.append(ty, cy))
    least = KNOWN * float(np.diag(covariance).max())
    rows = []
    for _ in range(min(count, len(cx))):
        spread = np.diag(covariance)[m:] + reading_sd_mm**2
        across = covariance[:m, m:]
        gain = np.where(np.diag(covariance)[m:] > least, np.sum(across**2, axis=0) / spread, 0.0)
        best = int(np.argmax(gain))  # Eq. (1)
        direction = covariance[:, m + best] / np.sqrt(spread[best])
        after = covariance - np.outer(direction, direction)  # Eq. (2)
        before_sd, after_sd = _sd(covariance, m), _sd(after, m)
        if after_sd.mean() > (1 - LEAST_GAIN) * before_sd.mean():
            break
        rows.append(
            (
                cx[best],
                cy[best],
                before_sd.mean(),
                after_sd.mean(),
                before_sd.max(),
                after_sd.max(),
                int(np.argmax(before_sd**2 - after_sd**2)),
            )
        )
        covariance = after
    names = ["x_mm", "y_mm", "mean_before_mm", "mean_after_mm"]
    return pd.DataFrame(rows, columns=[*names, "worst_before_mm", "worst_after_mm", "helps"])


def _sd(covariance: Array, count: int) -> Array:
    return np.asarray(np.sqrt(np.maximum(np.diag(covariance)[:count], 0.0)))
