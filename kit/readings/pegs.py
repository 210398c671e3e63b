"""The two-peg test: whether a level's line of sight rises or falls.

The own error is positive where the sight rises, so that staffs read too high. The Earth's curve
and refraction are left out: 0.17 mm at 50 m (0.0675 m for a sight of 1 km, by the square of the
length; from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from kit.job.refusal import refuse
from kit.readings.instrument_numbers import need_limits, need_millimetres, need_numbers
from kit.readings.verdict import OwnErrorFound

#: Own error above which a level goes to the workshop [mm/m] (common practice, no source).
SERVICE_SIGHT_MM_PER_M = 0.2

#: Sights that differ by less show no error that can be read (common practice, no source) [m].
LEAST_UNEQUAL_M = 1.0

Pair = tuple[float, float]


@dataclass(frozen=True)
class TwoPegTest(OwnErrorFound):
    """The own error of a line of sight.

    Parameters
    ----------
    true_mm : tuple of float
        What the two staffs of the second set-up would read without the error [mm].
    difference_mm : float
        By how much the second peg is above the first [mm], free of the error.
    """

    true_mm: Pair = (math.nan, math.nan)
    difference_mm: float = math.nan

    def shift(self, by: str) -> str:
        """Return which way to shift a reading."""
        way = f"take {by} off" if self.error_mm_per_m > 0 else f"add {by} to"
        return f"{way} a staff reading for every metre of its sight"


def two_peg_test(
    midway_mm: Pair,
    second_mm: Pair,
    distances_m: Pair,
    sd_mm: float = 0.5,
    *,
    service_mm_per_m: float = SERVICE_SIGHT_MM_PER_M,
) -> TwoPegTest:
    """Return the own error of a level's line of sight from staffs on two pegs.

    Parameters
    ----------
    midway_mm : (2,) tuple
        Readings at both pegs from midway between them, where the error cancels [mm].
    second_mm : (2,) tuple
        Readings at the same pegs from near one of them [mm].
    distances_m : (2,) tuple
        Length of those two sights [m]; see `sights_beyond`.
    sd_mm : float
        Standard deviation of one reading [mm].
    service_mm_per_m : float
        Above this the level is to be serviced [mm/m].

    Returns
    -------
    TwoPegTest
        e = ((a2 - b2) - (a1 - b1)) / (Da - Db), Eq. (1), sd 2·sd/abs(Da - Db), Eq. (2); true
        readings a2 - e·Da and b2 - e·Db, Eq. (3). Common practice, no source.

    Raises
    ------
    Refusal
        If a reading or a distance cannot be, or both sights are nearly equally long.

    Examples
    --------
    >>> round(two_peg_test((1391.0, 1504.0), (1480.0, 1597.0), (3.0, 33.0)).error_mm_per_m, 3)
    0.133
    """
    need_numbers("midway readings", midway_mm, low=0.0)
    need_numbers("readings of the second set-up", second_mm, low=0.0)
    need_numbers("sights of the second set-up", distances_m, low=0.0, unit="m")
    need_millimetres("staff readings", (*midway_mm, *second_mm))
    need_limits(sd_mm, service_mm_per_m)
    (a1, b1), (a2, b2), (to_a, to_b) = midway_mm, second_mm, distances_m
    if abs(to_a - to_b) < LEAST_UNEQUAL_M:
        found = f"{to_a:g} m and {to_b:g} m"
        allowed = f"two that differ by {LEAST_UNEQUAL_M:g} m or more, to show the error"
        raise refuse("sights of the second set-up", found, allowed)
    error = ((a2 - b2) - (a1 - b1)) / (to_a - to_b)  # Eq. (1)
    sd = 2 * sd_mm / abs(to_a - to_b)  # Eq. (2)
    true = (a2 - error * to_a, b2 - error * to_b)  # Eq. (3)
    return TwoPegTest(error, sd, service_mm_per_m, true, float(a1 - b1))


def sights_beyond(apart_m: float, beyond_m: float) -> Pair:
    """Return the two sights from a stand in line with two pegs, on the side of the second.

    Parameters
    ----------
    apart_m : float
        Distance of the pegs [m].
    beyond_m : float
        How far beyond the second peg the level stands [m]; negative where it stands between
        the pegs, that far short of the second.

    Returns
    -------
    tuple of float
        Distances to the first and to the second peg [m].

    Raises
    ------
    Refusal
        If the distances cannot be, or the level would stand nearer the first peg.
    """
    need_numbers("distance of the pegs", (apart_m,), low=0.0, unit="m")
    if not beyond_m >= -apart_m / 2:
        allowed = f"{-apart_m / 2:g} m (midway) or more; beyond the first peg, name the pegs anew"
        raise refuse("distance beyond the second peg", f"{beyond_m:g} m", allowed)
    return apart_m + beyond_m, abs(beyond_m)
