"""What can be turned on a job to see where the other base wins: fall, load, span, prices.

Each turns both bases at once, and each position is a whole job over a whole survey.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from kit.answer import noise_of
from kit.floor import fit_plane, fit_plane_robust
from kit.floor.stepped import fit_stepped_surface, steps_of
from kit.job import Job, Run
from kit.parts import Answer, Survey
from kit.side_by_side.position import TIMES, Position, Setting
from kit.side_by_side.prices import prices_of
from kit.threads import one_thread

#: A floor that falls less than this is turned up to as much [mm/m].
LEAST_FALL_MM_PER_M = 2.5

#: Spans that bearers and frames are turned through [mm].
SPANS_MM = (250.0, 1200.0)


def settings_of(a: Answer, b: Answer) -> tuple[Setting, ...]:
    """Return everything that can be turned for two bases of one job.

    Parameters
    ----------
    a, b : Answer
        Over one survey; where their jobs differ, figures are those of the first.

    Returns
    -------
    tuple of Setting
        The floor's fall; the contents of all units; the longest span, where a bearer or a frame
        has spans; the price of every item that has one.
    """
    found = [_fall(a, b), _load(a, b)]
    if any(len(one.cuts.cuts) for one in (a, b)):
        found.append(_span(a, b))
    found += prices_of(a, b)
    return tuple(one for one in found if one.low < one.high)


def _fall(a: Answer, b: Answer) -> Setting:
    now = a.plane.fall_mm_per_m

    def at(value: float) -> Position:
        return Position((a.job, b.job), tilted(a.survey, value), (a.base, b.base))

    high = max(now * TIMES, LEAST_FALL_MM_PER_M)
    return Setting("fall", "fall of the floor", "mm/m", now, 0.0, high, _TAKES, at)


@one_thread
def tilted(survey: Survey, fall_mm_per_m: float) -> Survey:
    """Return the same floor with another fall.

    Parameters
    ----------
    survey : Survey
        Heights, plane and surface.
    fall_mm_per_m : float
        Of the plane, towards where it falls now; a level floor is made to fall along x [mm/m].

    Returns
    -------
    Survey
        Every reading point raised or lowered by the difference of the two planes, about their
        middle; planes and surface fitted anew, the doubt of each height as it was.
    """
    plane, points = survey.plane, survey.heights.points
    now = plane.fall_mm_per_m
    rise = np.array([plane.rise_x_mm_per_m, plane.rise_y_mm_per_m]) / 1000
    away = rise / (now / 1000) if now > 0 else np.array([-1.0, 0.0])
    extra = away * (fall_mm_per_m - now) / 1000
    x, y = points["x_mm"].to_numpy(), points["y_mm"].to_numpy()
    z = points["height_mm"].to_numpy() + extra[0] * (x - x.mean()) + extra[1] * (y - y.mean())
    heights = replace(survey.heights, points=points.assign(height_mm=z))
    surface = fit_stepped_surface(x, y, z, noise_of(heights), steps_of(survey.surface))
    return Survey(heights, fit_plane(x, y, z), fit_plane_robust(x, y, z), surface)


def _load(a: Answer, b: Answer) -> Setting:
    now = _contents_kg(a.job)

    def at(value: float) -> Position:
        times = value / now if now else 0.0
        jobs = _with_contents(a.job, times), _with_contents(b.job, times)
        return Position(jobs, a.survey, (a.base, b.base))

    words, high = "contents of all units", now * TIMES
    return Setting("load", words, "kg", now, 0.0, high, ("least_margin",), at)


def _contents_kg(job: Job) -> float:
    return sum(unit.contents_kg for run in job.runs for unit in run.units)


def _with_contents(job: Job, times: float) -> Job:
    return job.model_copy(update={"runs": tuple(_filled(run, times) for run in job.runs)})


def _filled(run: Run, times: float) -> Run:
    units = tuple(
        unit.model_copy(update={"contents_kg": unit.contents_kg * times}) for unit in run.units
    )
    return run.model_copy(update={"units": units})


def _span(a: Answer, b: Answer) -> Setting:
    """Turn the longest span; where the two have different ones, both in proportion."""
    now, other = a.base.max_span_mm, b.base.max_span_mm

    def at(value: float) -> Position:
        bases = (
            a.base.model_copy(update={"max_span_mm": value}),
            b.base.model_copy(update={"max_span_mm": other * value / now}),
        )
        return Position((a.job, b.job), a.survey, bases)

    low, high = min(SPANS_MM[0], now), max(SPANS_MM[1], now)
    words = "longest span" if now == other else "longest span, the other in proportion"
    return Setting("span", words, "mm", now, low, high, _TAKES, at)


#: What a base takes.
_TAKES = ("things", "hours", "cost", "cost_and_labour")
