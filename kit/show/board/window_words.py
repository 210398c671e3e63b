"""What the picture of the heights says in words, and the numbers on its axis."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from kit.ink.lengths import Units, length, length_with_unit
from kit.ink.svg import letters_px
from kit.job.units import MM_PER_INCH, fraction_of_inches
from kit.show.window import Reach

#: Steps of the axis: in millimetres, and in inches.
_MM_STEPS = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0)
_INCH_STEPS = (1 / 8, 1 / 4, 1 / 2, 1.0, 2.0, 4.0, 8.0)

#: Room between two numbers of the axis [px].
_APART_PX = 9.0

#: Stretches of the curve nearer than this are one [mm].
_SAME_MM = 1e-6

#: So many stretches or holes are told one by one.
_TOLD = 3


@dataclass(frozen=True)
class Fewest:
    """The heights that take the fewest packers.

    Parameters
    ----------
    pieces : int
        How many.
    stretches : tuple of (float, float)
        From which height to which [mm], the lowest first.
    as_asked : bool
        Whether only heights that the job asks for were looked at.
    """

    pieces: int
    stretches: tuple[tuple[float, float], ...]
    as_asked: bool

    def words(self, units: Units) -> str:
        """Say how many packers at which heights."""
        # Two that the eye could not tell apart are told once.
        every = list(dict.fromkeys(_stretch(stretch, units) for stretch in self.stretches))
        told, more = every[:_TOLD], len(every[_TOLD:])
        told = [*told[:-1], f"{told[-1]} {units}", f"{more} more"] if more else told
        where = " and ".join([", ".join(told[:-1]), told[-1]] if len(told) > 1 else told)
        which = "fewest packers as asked" if self.as_asked else "fewest packers of all heights"
        unit = "" if more else f" {units}"
        return f"{which}: {self.pieces} at {where}{unit}, if the bag holds enough"


def _stretch(ends_mm: tuple[float, float], units: Units) -> str:
    low, high = (length(end, units) for end in ends_mm)
    return low if low == high else f"{low} to {high}"


def fewest(found: Reach) -> Fewest:
    """Find the heights that take the fewest packers.

    Parameters
    ----------
    found : Reach
        From `kit.show.window.reach`.

    Returns
    -------
    Fewest
        Within what the job asks for where that is a range that the packers can make part of;
        else of all heights.
    """
    start, end, pieces = (
        found.curve[name].to_numpy(dtype=float) for name in ("from_mm", "to_mm", "pieces")
    )
    low, high = found.asked_mm
    inside = (end >= low) & (start <= high)
    as_asked = low < high and bool(inside.any())
    if as_asked:
        start, end, pieces = start[inside], end[inside], pieces[inside]
        start, end = np.maximum(start, low), np.minimum(end, high)
    least = pieces.min()
    stretches: list[tuple[float, float]] = []
    at = pieces == least
    for a, b in zip(start[at].tolist(), end[at].tolist(), strict=True):
        if stretches and a - stretches[-1][1] <= _SAME_MM:
            a = stretches.pop()[0]  # noqa: PLW2901 - the stretch goes on
        stretches.append((a, b))
    return Fewest(round(float(least)), tuple(stretches), as_asked)


def window_words(found: Reach, best: Fewest, now_mm: float, pieces_now: int, units: Units) -> str:
    """Say everything that the picture of the heights shows.

    Parameters
    ----------
    found, best : Reach, Fewest
        What can be made, and with the fewest packers where.
    now_mm : float
        Base top above the high point [mm].
    pieces_now : int
        Packers at that height.
    units : {"mm", "in"}
        Of the numbers.

    Returns
    -------
    str
        Sentences.
    """
    low, high = found.asked_mm
    asked = length_with_unit(low, units)
    if high > low:
        asked = f"{length(low, units)} to {length_with_unit(high, units)}"
    reach = f"{length(found.low_mm, units)} to {length_with_unit(found.high_mm, units)}"
    return (
        f"Base height above the high point. These packers can make {reach}{_holes(found, units)}."
        f" Asked for: {asked}. Now {length_with_unit(now_mm, units)}: {pieces_now} packers."
        f" {best.words(units).capitalize()}. Lowest: {found.binding_low}."
        f" Highest: {found.binding_high}."
    )


def _holes(found: Reach, units: Units) -> str:
    ends = pairwise(found.feasible_mm)
    holes = [f"{length(end, units)} to {length(start, units)}" for (_, end), (start, _) in ends]
    if not holes:
        return ""
    more = f" and {len(holes) - _TOLD} more" if len(holes) > _TOLD else ""
    return f", but not between {', '.join(holes[:_TOLD])}{more}"


def tick_places(
    low_mm: float, high_mm: float, px_per_mm: float, units: Units
) -> Iterator[tuple[float, str]]:
    """Yield the heights that carry a number on the axis [mm], and the number.

    Parameters
    ----------
    low_mm, high_mm : float
        Ends of the axis [mm].
    px_per_mm : float
        Its scale: numbers stand so far apart that none touches another.
    units : {"mm", "in"}
        Of the numbers.
    """
    unit, steps = (1.0, _MM_STEPS) if units == "mm" else (MM_PER_INCH, _INCH_STEPS)
    low, high = low_mm / unit, high_mm / unit
    for step in steps:
        ticks = [step * n for n in range(math.ceil(low / step), math.floor(high / step) + 1)]
        texts = [f"{tick:g}" if units == "mm" else fraction_of_inches(tick) for tick in ticks]
        widest = max((letters_px(text) for text in texts), default=0.0)
        if step * unit * px_per_mm >= widest + _APART_PX or step == steps[-1]:
            yield from zip((tick * unit for tick in ticks), texts, strict=True)
            return
