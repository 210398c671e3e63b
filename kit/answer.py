"""The one path from a job to its answer; reads like the steps of the work on site."""

from __future__ import annotations

from kit.floor import fit_plane, fit_plane_robust, fit_surface
from kit.in_doubt import in_doubt, odd_readings
from kit.job import Base, Job, Refusal, refuse
from kit.methods import method_of
from kit.parts import Answer, Ground, Survey
from kit.readings import adjust, read_readings
from kit.threads import one_thread

__all__ = ["Answer", "Ground", "Survey", "choose_base", "solve", "solve_on", "survey_floor"]


def solve(job: Job, base: str | None = None, *, before: Answer | None = None) -> Answer:
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
        survey, before = survey_floor(job), None
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
def survey_floor(job: Job) -> Survey:
    """Turn the job's readings into heights, a plane and a surface."""
    heights = adjust(read_readings(job), job.floor.benchmark, job.floor.benchmark_mm)
    if job.floor.doubt == "scaled":
        heights = heights.scaled_if_rejected()
    x, y, z = (heights.points[c].to_numpy() for c in ("x_mm", "y_mm", "height_mm"))
    surface = fit_surface(x, y, z, heights.covariance())
    heights = heights.with_odd(odd_readings(heights, surface))
    return Survey(heights, fit_plane(x, y, z), fit_plane_robust(x, y, z), surface)


def _same_readings(one: Job, other: Job) -> bool:
    return _what_was_read(one) == _what_was_read(other)


def _what_was_read(job: Job) -> tuple[object, ...]:
    floor = job.floor
    return job.folder, job.surveys, floor.benchmark, floor.benchmark_mm, floor.doubt
