"""How deep a place is by 95 of 100 floors that fit the readings, not only by the expected one."""

from __future__ import annotations

from dataclasses import dataclass

from kit.base.runs import Floats

#: One-sided 95 % of a normal distribution lie within so many standard deviations (tables).
SURE_SDS = 1.645


@dataclass(frozen=True)
class Sure:
    """The end of a depth that 95 of 100 floors keep to, at the place where that is worst.

    Parameters
    ----------
    value_mm : float
        The depth there with its doubt [mm].
    doubt_mm : float
        What the doubt takes off or adds there [mm].
    at : int
        Which place it is.
    """

    value_mm: float
    doubt_mm: float
    at: int


def least_sure(depth_mm: Floats, sd_mm: Floats) -> Sure:
    """Find the least depth, with each place's doubt taken off it.

    Parameters
    ----------
    depth_mm, sd_mm : arrays of shape (places,)
        Expected depth and its standard deviation [mm].

    Returns
    -------
    Sure
        Each place by itself: depth - 1.645 sd (one-sided, normal).
    """
    sure = depth_mm - SURE_SDS * sd_mm
    at = int(sure.argmin())
    return Sure(float(sure[at]), SURE_SDS * float(sd_mm[at]), at)


def greatest_sure(depth_mm: Floats, sd_mm: Floats) -> Sure:
    """Find the greatest depth, with each place's doubt added to it; as `least_sure`."""
    sure = depth_mm + SURE_SDS * sd_mm
    at = int(sure.argmax())
    return Sure(float(sure[at]), SURE_SDS * float(sd_mm[at]), at)
