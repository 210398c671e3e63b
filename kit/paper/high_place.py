"""Where the high point lies, as a fitter finds it: along a run from its left end, and out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kit.answer import Answer
from kit.ink.lengths import plan_length, rounding
from kit.paper.work_order import Stand, nearest


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
    run = _run_of(answer, near)
    along, out = answer.layout.frames[run].to_own(high.x_mm, high.y_mm)
    named = run if len(answer.layout.frames) > 1 else ""
    return HighPlace(named, float(along), float(out), near.name, near.away_mm)


def _run_of(answer: Answer, near: Stand) -> str:
    """Return the run of the row that the high point lies under; else that of a near support."""
    high, under = answer.high_point, answer.under
    apart = np.hypot(under["x_mm"] - high.x_mm, under["y_mm"] - high.y_mm)
    along = str(under["bearer"].iloc[int(np.argmin(apart))])
    return next((row.run for row in answer.layout.rows if row.name == along), near.run)


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
