"""Where the high point lies, as a fitter finds it: along a run from its left end, and out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kit.answer import Answer
from kit.ink.lengths import plan_length, rounding
from kit.paper.work_order import nearest


@dataclass(frozen=True)
class HighPlace:
    """The high point in the frame of the run that it lies under.

    Parameters
    ----------
    run : str
        Its run's name; empty where the job has only one.
    along_mm : float
        From the run's left end, looking at its wall [mm].
    out_mm : float
        Out from the plane that the units' backs touch [mm].
    support : str
        The support nearest to it.
    away_mm : float
        From that support's middle, in plan [mm].
    """

    run: str
    along_mm: float
    out_mm: float
    support: str
    away_mm: float


def high_place(answer: Answer) -> HighPlace:
    """Return where the high point lies.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    high, near = answer.high_point, nearest(answer)
    run, along, out = _own_place(answer, high.x_mm, high.y_mm)
    return HighPlace(run, along, out, near.name, near.away_mm)


def _own_place(answer: Answer, x_mm: float, y_mm: float) -> tuple[str, float, float]:
    """Return a place of the room in the frame of the run whose row is nearest to it.

    Its run's name, empty where there is only one, how far along and how far out it is [mm].
    """
    under, frames = answer.under, answer.layout.frames
    apart = np.hypot(under["x_mm"] - x_mm, under["y_mm"] - y_mm)
    near = str(under["bearer"].iloc[int(np.argmin(apart))])
    run = next((row.run for row in answer.layout.rows if row.name == near), next(iter(frames)))
    along, out = frames[run].to_own(x_mm, y_mm)
    return run if len(frames) > 1 else "", float(along), float(out)


def where_words(answer: Answer, x_mm: float, y_mm: float) -> str:
    """Return where a place of the room is, as a tape along the nearest run finds it.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    x_mm, y_mm : float
        In the room's axes [mm].
    """
    run, along, out = _own_place(answer, x_mm, y_mm)
    units = answer.job.units
    from_left, from_backs = plan_length(along, units), plan_length(out, units)
    of = f"run {run}'s" if run else "the run's"
    return f"{from_left} {units} from {of} left end, {from_backs} {units} out from the backs"


def place_words(answer: Answer, place: HighPlace) -> str:
    """Return the place in words, in the job's units."""
    units = answer.job.units
    run = f"run {place.run}, " if place.run else ""
    return (
        f"{run}{_measure(answer, place.along_mm)} {units} from the run's left end (looking at its"
        f" wall), {_measure(answer, place.out_mm)} {units} out from the units' backs; nearest"
        f" {place.support}, {plan_length(place.away_mm, units)} {units} away"
    )


def _measure(answer: Answer, mm: float) -> str:
    units = answer.job.units
    off = rounding(mm, units)
    return f"{plan_length(mm, units)}{f' ({off})' if off else ''}"
