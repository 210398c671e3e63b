"""The one path from a job to its answer; reads like the steps of the work on site."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from kit.floor import fit_plane, fit_plane_robust
from kit.floor.stepped import StepLine, fit_stepped_surface
from kit.in_doubt import in_doubt, odd_readings
from kit.job import Base, Job, Refusal, refuse
from kit.methods import method_of
from kit.parts import Answer, Ground, Survey
from kit.readings import Heights, SharedDoubt, adjust, read_readings
from kit.threads import one_thread

#: Heights up to which their covariance is one matrix: 32 MB.
MOST_IN_A_MATRIX = 2000

__all__ = ["Answer", "Ground", "Survey", "choose_base", "solve", "solve_on", "survey_floor"]


def solve(
    job: Job,
    base: str | None = None,
    *,
    before: Answer | None = None,
    tell: Callable[[float], None] | None = None,
) -> Answer:
    """Work out one base of a job.

    Parameters
    ----------
    job : Job
        From `kit.read_job`.
    base : str, optional
        Name of the base; the first of the job unless given.
    before : Answer, optional
        An answer of the same job folder. What its rooms found is taken over where nothing that
        they depend on has changed, so that moving a height does not adjust the survey again.
        Tables of readings are taken as they were read then.
    tell : callable, optional
        Is told the share of the job's scans that is read, 0 to 1.

    Returns
    -------
    Answer

    Raises
    ------
    Refusal
        Where the job cannot be answered, with every reason.
    """
    design = choose_base(job, base)
    if before is not None and _same_readings(before.job, job):
        survey = before.survey
    else:
        survey, before = survey_floor(job, tell=tell), None
    return solve_on(job, survey, design, before=before)


def solve_on(job: Job, survey: Survey, base: Base, *, before: Answer | None = None) -> Answer:
    """Work out one base on a floor that is known already.

    Parameters
    ----------
    job, survey, base : Job, Survey, Base
        What is asked, the floor, and one way of building on it.
    before : Answer, optional
        An answer over the same survey, as for `solve`.

    Returns
    -------
    Answer

    Raises
    ------
    Refusal
        As `solve`; readings in doubt are named first.
    """
    method = method_of(base)
    layout = method.lay_out(job, base)
    try:
        ground = method.look_under(job, survey, layout, base, before=before)
        return method.build(job, survey, ground, base)
    except Refusal as refusal:
        raise Refusal(*in_doubt(survey.heights), *refusal.problems) from refusal


def choose_base(job: Job, name: str | None) -> Base:
    """Return the base of that name, the first one where no name is given.

    Raises
    ------
    Refusal
        Where the job has no base of that name.
    """
    if name is None:
        return job.bases[0]
    for base in job.bases:
        if base.name == name:
            return base
    raise refuse("--base", repr(name), "one of " + ", ".join(repr(base.name) for base in job.bases))


@one_thread
def survey_floor(job: Job, *, tell: Callable[[float], None] | None = None) -> Survey:
    """Turn the job's readings into heights, a plane and a surface.

    Parameters
    ----------
    job : Job
        Its folder holds the readings.
    tell : callable, optional
        Is told the share of its scans that is read, 0 to 1.

    Raises
    ------
    Refusal
        Where the readings cannot be read or adjusted, with every reason.
    """
    readings = read_readings(job, tell)
    heights = adjust(readings, job.floor.benchmark, job.floor.benchmark_mm)
    if job.floor.doubt == "scaled":
        heights = heights.scaled_if_rejected()
    x, y, z = (heights.points[c].to_numpy() for c in ("x_mm", "y_mm", "height_mm"))
    steps = [StepLine(step.name, step.from_mm, step.to_mm) for step in job.floor_steps]
    surface = fit_stepped_surface(x, y, z, noise_of(heights), steps)
    heights = heights.with_odd(odd_readings(heights, surface))
    return Survey(heights, fit_plane(x, y, z), fit_plane_robust(x, y, z), surface)


def noise_of(heights: Heights) -> NDArray[np.float64] | SharedDoubt:
    """Return the covariance of heights in the form that a surface of them is best fitted from.

    Up to 2,000 heights it is the matrix; of more, which would take gigabytes, each height's own
    doubt and what the heights share.
    """
    if len(heights.points) <= MOST_IN_A_MATRIX:
        return heights.covariance()
    return heights.shared_doubt()


def _same_readings(one: Job, other: Job) -> bool:
    return _what_was_read(one) == _what_was_read(other)


def _what_was_read(job: Job) -> tuple[object, ...]:
    floor = job.floor
    return (
        job.folder,
        job.surveys,
        job.floor_steps,
        floor.benchmark,
        floor.benchmark_mm,
        floor.doubt,
    )
