"""How many supports will be off though they are built as listed: no floor is known exactly."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike


def share_off(error_mm: float, sd_mm: float, tolerance_mm: float) -> float:
    """Return how likely a support is further off than a tolerance, either way.

    Parameters
    ----------
    error_mm : float
        By how much its stack is planned high [mm].
    sd_mm : float
        Standard deviation of the floor's height under it, taken as normal [mm].
    tolerance_mm : float
        What it may be off [mm].

    Returns
    -------
    float
        P(abs(N(error, sd)) > tolerance).

    Examples
    --------
    >>> round(share_off(0.0, 0.5, 0.5), 4)
    0.3173
    """
    if sd_mm == 0:
        return float(abs(error_mm) > tolerance_mm)
    above, below = (tolerance_mm - error_mm) / sd_mm, (tolerance_mm + error_mm) / sd_mm
    return (math.erfc(above / math.sqrt(2)) + math.erfc(below / math.sqrt(2))) / 2


def expected_off(error_mm: ArrayLike, sd_mm: ArrayLike, tolerance_mm: float) -> float:
    """Return how many of some supports are further off than a tolerance, on average.

    Parameters
    ----------
    error_mm, sd_mm : array of shape (supports,)
        As for `share_off` [mm].
    tolerance_mm : float
        What each may be off [mm].

    Notes
    -----
    An average adds up whatever the floors under the supports have in common.
    """
    errors, doubts = np.broadcast_arrays(np.asarray(error_mm, float), np.asarray(sd_mm, float))
    pairs = zip(errors.ravel().tolist(), doubts.ravel().tolist(), strict=True)
    return math.fsum(share_off(error, sd, tolerance_mm) for error, sd in pairs)
