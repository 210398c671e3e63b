"""The one path from a job to its answer; reads like the steps of the work on site."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from kit.base.cautions import base_cautions, standing_cautions, survey_cautions
from kit.base.checks import (
    base_checks,
    check_table,
    clearance_checks,
    load_checks,
    no_approval,
    survey_checks,
)
from kit.base.clearance import clearance_table
from kit.base.datum import Datum, choose_datum, height_window
from kit.base.layout import lay_out, massless
from kit.base.screws import StackAt, choose_screws
from kit.base.takeoff import plinth_lines, take_off
from kit.floor import fit_plane, fit_plane_robust, fit_surface
from kit.ground import look_under
from kit.in_doubt import in_doubt, odd_readings
from kit.job import Base, Job, Refusal, refuse
from kit.parts import Answer, Ground, Survey
from kit.readings import adjust, read_readings
from kit.strength.carry import Strength, carry, front_lift_mm
from kit.threads import one_thread

__all__ = [
    "Answer",
    "Ground",
    "Survey",
    "build",
    "choose_base",
    "look_under",
    "solve",
    "survey_floor",
]


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
    layout = lay_out(job, design)
    try:
        ground = look_under(job, survey, layout, design, before=before)
        return build(job, survey, ground, design)
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


@one_thread
def build(job: Job, survey: Survey, ground: Ground, base: Base) -> Answer:
    """Choose datum, stacks and screws over a known floor, and check them."""
    layout, high = ground.layout, ground.high_point
    unknown = massless(layout.units, several_runs=len(layout.frames) > 1)
    lift = front_lift_mm(base, ground.joists, unknown)
    window = height_window(job, base, ground.known, high.height_mm, layout, lift)
    floor_mm = ground.supports["floor_mm"].to_numpy()
    datum = choose_datum(job, base, layout, floor_mm, window, high.height_mm, lift)
    target = datum.datum_mm - floor_mm + lift * layout.supports["lift_share"].to_numpy()
    supports = ground.supports.assign(target_mm=target)
    screws = _screw_table(job, base, supports, datum)
    clearance = clearance_table(ground.known, datum.datum_mm, lift)
    plinth = plinth_lines(base, ground.plinth_places, datum.base_top_mm, job.floor.finish_mm)
    strength = carry(job, layout, ground.pieces, ground.joists, supports, datum, screws)
    heights = survey.heights
    checks = check_table(
        [
            *survey_checks(high.certainty, high.sd_mm, heights.global_test_p, heights.redundancy),
            *base_checks(job, base, layout, datum, screws, plinth),
            *clearance_checks(base, clearance, ground.under),
            *load_checks(layout),
            *strength.checks,
            no_approval(),
        ]
    )
    return Answer(
        job=job,
        base=base,
        survey=survey,
        ground=ground,
        supports=supports,
        datum=datum,
        stacks=_stack_table(job, supports, datum),
        screws=screws,
        clearance=clearance,
        plinth=plinth,
        strength=strength,
        take_off=take_off(job.stock, datum.plan, screws, ground.cuts.bought, plinth),
        checks=checks,
        cautions=tuple(_cautions(job, survey, ground, datum, strength)),
    )


def _stack_table(job: Job, supports: pd.DataFrame, datum: Datum) -> pd.DataFrame:
    packers = job.stock.packers
    rows = [
        (support, position, packers[kind].thickness_mm, packers[kind].mm)
        for support, stack in zip(supports["support"], datum.plan.stacks, strict=True)
        for position, kind in enumerate(stack, start=1)
    ]
    return pd.DataFrame(rows, columns=["support", "position", "thickness_mm", "nominal_mm"])


def _screw_table(job: Job, base: Base, supports: pd.DataFrame, datum: Datum) -> pd.DataFrame:
    packers = job.stock.packers
    at = [
        StackAt(support, float(x), float(y), tuple(packers[kind].thickness_mm for kind in stack))
        for support, x, y, stack in zip(
            supports["support"],
            supports["x_mm"],
            supports["y_mm"],
            datum.plan.stacks,
            strict=True,
        )
    ]
    return choose_screws(
        job.floor, job.stock, base.bearer.thickness_mm, at, job.services, job.no_go
    )


def _cautions(
    job: Job, survey: Survey, ground: Ground, datum: Datum, strength: Strength
) -> Iterator[str]:
    heights = survey.heights
    yield from survey_cautions(heights.suspects, heights.cautions, ground.high_point, ground.under)
    yield from base_cautions(job, ground.layout, ground.cuts, datum)
    yield from strength.cautions
    yield from standing_cautions(job.floor, known_services=bool(job.services))


def _same_readings(one: Job, other: Job) -> bool:
    return _what_was_read(one) == _what_was_read(other)


def _what_was_read(job: Job) -> tuple[object, ...]:
    floor = job.floor
    return job.folder, job.surveys, floor.benchmark, floor.benchmark_mm, floor.doubt
