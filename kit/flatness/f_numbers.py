"""Flatness and levelness of a line in the figures of ASTM E1155."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike

from kit.height_grid import Array
from kit.job import refuse

#: Stations of ASTM E1155 [mm] (12 inches: 304.8 mm), and how many a levelness is taken over.
STATION_MM, LEVELNESS_STATIONS = 300.0, 10

#: ASTM E1155's constants [inches], from memory, times the inch: no correction for 300 mm in place
#: of 12 inches.
FLATNESS_MM, LEVELNESS_MM = 4.57 * 25.4, 12.5 * 25.4

#: ACI 117-10, 4.8.5.1: least F_F and F_L of a floor by class, from the least upwards. No single
#: test section may come under three fifths of them.
ACI_117: Mapping[str, tuple[float, float]] = MappingProxyType(
    {
        "conventional": (20.0, 15.0),
        "moderately flat": (25.0, 20.0),
        "flat": (35.0, 25.0),
        "very flat": (45.0, 35.0),
        "super flat": (60.0, 40.0),
    }
)
LEAST_LOCAL = 0.6


@dataclass(frozen=True)
class FNumber:
    """A flatness or levelness with the number of readings that it comes from.

    Parameters
    ----------
    number : float
        F_F or F_L; infinite for a line without bend or fall.
    readings : int
        How many q or z it comes from.
    """

    number: float
    readings: int


def second_differences_mm(heights_mm: ArrayLike, apart: int = 1) -> Array:
    """Return h(i-k) - 2 h(i) + h(i+k) [mm] of heights at even stations, k stations apart.

    Parameters
    ----------
    heights_mm : (n,) array_like
        Heights at stations [mm].
    apart : int
        k, 1 or more.

    Raises
    ------
    Refusal
        Where there are too few stations for two of them.
    """
    h = _stations(heights_mm, 2 * apart + 2, f"second differences {apart} apart")
    return np.asarray(h[2 * apart :] - 2 * h[apart:-apart] + h[: -2 * apart], dtype=float)


def levelness_differences_mm(heights_mm: ArrayLike) -> Array:
    """Return z = h(i) - h(i-10) [mm] of heights (n,) at stations.

    Raises
    ------
    Refusal
        Where there are too few stations for two of them.
    """
    h = _stations(heights_mm, LEVELNESS_STATIONS + 2, "levelness")
    return np.asarray(h[LEVELNESS_STATIONS:] - h[:-LEVELNESS_STATIONS], dtype=float)


def flatness_number(heights_mm: ArrayLike, constant_mm: float = FLATNESS_MM) -> float:
    """Return F_F = 4.57 in / (3 S_q + |mean q|) of heights [mm] at 300 mm stations, S with n-1.

    ASTM E1155; the constant is from memory. Infinite for a line without any bend.
    """
    return f_number(second_differences_mm(heights_mm), constant_mm).number


def levelness_number(heights_mm: ArrayLike, constant_mm: float = LEVELNESS_MM) -> float:
    """Return F_L = 12.5 in / (3 S_z + |mean z|) of heights [mm], z over 10 stations of 300 mm.

    ASTM E1155; the constant is from memory. Infinite for a level line.
    """
    return f_number(levelness_differences_mm(heights_mm), constant_mm).number


def f_number(differences_mm: Array, constant_mm: float) -> FNumber:
    """Return constant / (3 S + |mean|) of differences (n,) [mm], S with n-1."""
    spread = 3 * float(np.std(differences_mm, ddof=1)) + abs(float(np.mean(differences_mm)))
    return FNumber(constant_mm / spread if spread else float("inf"), len(differences_mm))


def combine(numbers: Sequence[FNumber]) -> FNumber:
    """Combine F numbers of lines: 1/F² is the mean of theirs, weighted by readings.

    For two lines F = F1 F2 sqrt((r1 + r2) / (r2 F1² + r1 F2²)) (ASTM E1155, from memory), and so
    on with each further one, in any order.

    Raises
    ------
    Refusal
        Where there is no line.

    Examples
    --------
    >>> round(combine([FNumber(30, 10), FNumber(20, 10)]).number, 4)
    23.5339
    """
    readings = sum(one.readings for one in numbers)
    if not readings:
        raise refuse("F numbers to combine", "no readings", "one line or more")
    inverse = sum(one.readings / one.number**2 for one in numbers) / readings
    return FNumber(float(inverse**-0.5) if inverse else float("inf"), readings)


def aci_class(flatness: float, levelness: float, local: bool = False) -> str:
    """Return the highest class of ACI 117-10, 4.8.5.1 that a floor keeps; empty where none.

    Parameters
    ----------
    flatness, levelness : float
        F_F and F_L.
    local : bool
        Whether they are of one test section, which three fifths suffice for.

    Examples
    --------
    >>> aci_class(36.0, 21.0), aci_class(36.0, 21.0, local=True), aci_class(19.0, 60.0)
    ('moderately flat', 'very flat', '')
    """
    share = LEAST_LOCAL if local else 1.0
    kept = [
        name
        for name, (f_f, f_l) in ACI_117.items()
        if flatness >= share * f_f - 1e-9 and levelness >= share * f_l - 1e-9
    ]
    return kept[-1] if kept else ""


def _stations(heights_mm: ArrayLike, least: int, what: str) -> Array:
    h = np.asarray(heights_mm, dtype=float)
    if len(h) < least:
        raise refuse(what, f"{len(h)} stations", f"{least} or more")
    return h
