"""Checks of the instrument itself: what is its own error, and whether one can work with it.

One convention for all: the own error e is in mm a metre, and a reading is too large by e times
the distance in metres. To put a reading right, subtract e·distance.

* Line of sight (two pegs): e is positive where the sight rises, so that staffs read too high.
* Laser on two walls: e is positive where the beam rises, so that marks stand too high.
* Spirit level (turned end for end): lifted with packers until the bubble is centred, it shows

      d = (h(to) - h(from)) + e·L as booked,  d = (h(to) - h(from)) - e·L turned end for end,

  d = + packer if ``from`` was lifted and - packer if ``to`` was, L its length [m]. So where e is
  positive and the level not turned, the bubble is centred while the end at ``to`` is really
  lower by e·L. This is the error of the adjustment and of ``own_error_mm_per_m`` in a job.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kit.job.refusal import refuse
from kit.readings.instrument_numbers import need_limits, need_numbers
from kit.readings.pegs import Pair, TwoPegTest, sights_beyond, two_peg_test
from kit.readings.verdict import OwnErrorFound, Use, Verdict

__all__ = [
    "OwnErrorFound",
    "ReversalTest",
    "TwoPegTest",
    "TwoWallTest",
    "Use",
    "Verdict",
    "reversal_test",
    "sights_beyond",
    "two_peg_test",
    "two_wall_test",
]

#: Own errors above which an instrument is put right by a workshop and no longer by sums [mm/m]
#: (common practice, no source).
SERVICE_LEVEL_MM_PER_M = 1.0
SERVICE_LASER_MM_PER_M = 0.5

#: Lengths that a spirit level may have [mm].
SHORTEST_LEVEL_MM, LONGEST_LEVEL_MM = 50.0, 10_000.0


@dataclass(frozen=True)
class ReversalTest(OwnErrorFound):
    """The own error of a spirit level.

    Parameters
    ----------
    difference_mm : tuple of float
        True h(to) - h(from) of each pair of readings [mm].
    scatter_mm_per_m : float
        Standard deviation of one pair's error, from the pairs; nan of a single pair [mm/m].
    """

    difference_mm: tuple[float, ...] = ()
    scatter_mm_per_m: float = math.nan

    def shift(self, by: str) -> str:
        """Return which way to shift a reading."""
        rises = self.error_mm_per_m > 0
        way, back = (f"take {by} off", "add it") if rises else (f"add {by} to", "take it off")
        return (
            f"as booked, {way} the height of 'to' above 'from' for every metre between them;"
            f" turned end for end, {back}; with the bubble centred the level's end at"
            f" '{'to' if rises else 'from'}' is really the lower"
        )


@dataclass(frozen=True)
class TwoWallTest(OwnErrorFound):
    """The own error of a laser line.

    Parameters
    ----------
    true_first_mm, true_second_mm : tuple of float
        Where the marks of the first and the second set-up, on wall A and on wall B, would stand
        without the error [mm].
    difference_mm : float
        By how much a level mark on wall B stands above one on wall A, in the heights in which
        the marks were given [mm].
    """

    true_first_mm: Pair = (math.nan, math.nan)
    true_second_mm: Pair = (math.nan, math.nan)
    difference_mm: float = math.nan

    def shift(self, by: str) -> str:
        """Return which way to shift a mark."""
        way = "lower" if self.error_mm_per_m > 0 else "higher"
        return f"set a mark {by} {way} for every metre between laser and mark"


def reversal_test(
    direct_mm: float | Sequence[float],
    reversed_mm: float | Sequence[float],
    length_mm: float,
    sd_mm: float = 0.2,
    *,
    service_mm_per_m: float = SERVICE_LEVEL_MM_PER_M,
) -> ReversalTest:
    """Return the own error of a spirit level from readings both ways round on one line.

    Parameters
    ----------
    direct_mm, reversed_mm : float or (n,) sequence of float
        Packers that centre the bubble, as booked and with the level turned end for end, both
        from the same end of the line: + where the end at ``from`` was lifted, - where the end at
        ``to`` was [mm]. Several lines: one entry a line.
    length_mm : float
        Length of the level, the distance of its two feet [mm].
    sd_mm : float
        Standard deviation of one packer height [mm].
    service_mm_per_m : float
        Above this the level is to be serviced or replaced [mm/m].

    Returns
    -------
    ReversalTest
        e = mean of (direct - reversed) / (2 L), Eq. (1): half the difference; true difference
        of height (direct + reversed) / 2, Eq. (2). Its sd is the larger of sd_mm/(L·sqrt(2 n)),
        Eq. (3), and, of several lines, scatter/sqrt(n), Eq. (4): a few lines that happen to agree
        do not make a packer height better than it is. Common practice, no source.

    Raises
    ------
    Refusal
        If a number cannot be, or there are not as many readings one way as the other.

    Examples
    --------
    >>> round(reversal_test(4.1, 2.9, 1200).error_mm_per_m, 2)
    0.5
    """
    direct, turned = np.atleast_1d(direct_mm).tolist(), np.atleast_1d(reversed_mm).tolist()
    need_numbers("direct readings", direct)
    need_numbers("reversed readings", turned)
    need_numbers("length of the level", (length_mm,), SHORTEST_LEVEL_MM, LONGEST_LEVEL_MM)
    need_limits(sd_mm, service_mm_per_m)
    if len(direct) != len(turned) or not direct:
        found = f"{len(direct)} direct and {len(turned)} reversed"
        raise refuse("readings of the spirit level", found, "as many one way as the other")
    one, other, metres = np.array(direct), np.array(turned), length_mm / 1000
    errors = (one - other) / (2 * metres)  # Eq. (1)
    count = len(errors)
    scatter = float(np.std(errors, ddof=1)) if count > 1 else math.nan
    stated = sd_mm / (metres * math.sqrt(2 * count))  # Eq. (3)
    sd = max(stated, scatter / math.sqrt(count)) if count > 1 else stated  # Eq. (4)
    true = tuple(((one + other) / 2).tolist())  # Eq. (2)
    return ReversalTest(float(errors.mean()), sd, service_mm_per_m, true, scatter)


def two_wall_test(
    first_mm: Pair,
    second_mm: Pair,
    apart_m: float,
    near_m: Pair,
    sd_mm: float = 0.5,
    *,
    service_mm_per_m: float = SERVICE_LASER_MM_PER_M,
) -> TwoWallTest:
    """Return the own error of a laser line from marks on two walls.

    Parameters
    ----------
    first_mm, second_mm : (2,) tuple
        Heights of the marks on wall A and on wall B, made from near A and then from near B with
        the same beam turned round; on each wall above anything that stays [mm].
    apart_m : float
        Distance of the walls d [m].
    near_m : (2,) tuple
        Distance s of the laser from wall A in the first set-up and from wall B in the second [m].
    sd_mm : float
        Standard deviation of one mark [mm].
    service_mm_per_m : float
        Above this the laser is to be serviced [mm/m].

    Returns
    -------
    TwoWallTest
        A mark is e·distance too high, so b1 - a1 = c + e (d - 2 s1) and b2 - a2 = c - e (d - 2 s2)
        with c that of two level marks, hence e = ((b1 - a1) - (b2 - a2)) / (2 (d - s1 - s2)),
        Eq. (1), sd sd_mm/(d - s1 - s2), Eq. (2). Common practice, no source.

    Raises
    ------
    Refusal
        If a number cannot be, or the laser did not stand nearer to either wall in turn.
    """
    need_numbers("marks of the first set-up", first_mm)
    need_numbers("marks of the second set-up", second_mm)
    need_numbers("distance of the walls", (apart_m,), low=0.0, unit="m")
    need_numbers("distances from the near wall", near_m, low=0.0, unit="m")
    need_limits(sd_mm, service_mm_per_m)
    if max(near_m) >= apart_m / 2:
        found = f"{near_m[0]:g} m and {near_m[1]:g} m"
        allowed = f"each below half the distance of the walls, {apart_m / 2:g} m"
        raise refuse("distances from the near wall", found, allowed)
    (a1, b1), (a2, b2), (s1, s2) = first_mm, second_mm, near_m
    arm = apart_m - s1 - s2
    error = ((b1 - a1) - (b2 - a2)) / (2 * arm)  # Eq. (1)
    first = (a1 - error * s1, b1 - error * (apart_m - s1))
    second = (a2 - error * (apart_m - s2), b2 - error * s2)
    sd = sd_mm / arm  # Eq. (2)
    return TwoWallTest(error, sd, service_mm_per_m, first, second, first[1] - first[0])
