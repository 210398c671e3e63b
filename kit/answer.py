"""The one path from a job to its answer; reads like the steps of the work on site."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache, wraps
from typing import ParamSpec, TypeVar

import numpy as np
import pandas as pd
from threadpoolctl import ThreadpoolController

from kit.base.cautions import base_cautions, standing_cautions, survey_cautions
from kit.base.checks import (
    base_checks,
    check_table,
    clearance_checks,
    load_check,
    strength_not_checked,
    survey_checks,
)
from kit.base.clearance import clearance_table
from kit.base.cuts import BearerLine, CutPlan, cut_bearers
from kit.base.datum import Datum, choose_datum, front_lift_mm, height_window
from kit.base.layout import Layout, lay_out, reasons_text
from kit.base.runs import Floats
from kit.base.screws import StackAt, choose_screws
from kit.base.takeoff import plinth_lines, plinth_places, take_off
from kit.floor import Surface, find_high_point, fit_plane, fit_plane_robust, fit_surface
from kit.in_doubt import in_doubt, odd_readings
from kit.job import Base, Job, Problem, Refusal, refuse
from kit.parts import Answer, Ground, Survey
from kit.readings import adjust, read_readings

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

P = ParamSpec("P")
T = TypeVar("T")

#: Seed of the draws behind the high point's certainty: the same job gives the same answer.
SEED = 20


def one_thread(step: Callable[P, T]) -> Callable[P, T]:
    """Keep linear algebra to one thread: on small matrices threads only wait for each other.

    With a browser busy beside it, a survey of 110 readings took 8.8 s on two threads of two cores
    and 0.15 s on one.
    """

    @wraps(step)
    def limited(*args: P.args, **keywords: P.kwargs) -> T:
        with _threads().limit(limits=1, user_api="blas"):
            return step(*args, **keywords)

    return limited


@cache
def _threads() -> ThreadpoolController:
    return ThreadpoolController()


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
        if before is not None and _same_ground(before, layout, design):
            ground = before.ground
        else:
            ground = look_under(job, survey, layout, design)
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
def look_under(job: Job, survey: Survey, layout: Layout, base: Base) -> Ground:
    """Look at the floor under the bearers: its heights, its high point, each support's floor.

    Raises
    ------
    Refusal
        Where a support stands outside the survey, by name.
    """
    surface = survey.surface
    _refuse_unsurveyed(surface, layout.supports)
    under = layout.footprint()
    x, y = _places(under)
    predicted = surface.predict(x, y)
    under = under.assign(
        height_mm=predicted.height_mm,
        sd_mm=predicted.sd_mm,
        surveyed=surface.surveyed(x, y),
    )
    known = under[under["surveyed"]].reset_index(drop=True)
    finest = min(float(survey.heights.residuals["sd_mm"].min()), *(s.sd_mm for s in job.surveys))
    high_point = find_high_point(surface, *_places(known), reading_sd_mm=finest, seed=SEED)
    cuts = cut_bearers(_bearer_lines(layout), base.bearer, layout.packer_size_mm[0])
    at = surface.predict(*_places(layout.supports))
    supports = layout.supports.assign(
        reasons=_with_joints(layout.supports, cuts),
        floor_mm=at.height_mm,
        floor_sd_mm=at.sd_mm,
    )
    along = _floor_along(surface, plinth_places(base, layout))
    return Ground(layout, cuts, under, known, high_point, supports, along)


def _places(table: pd.DataFrame) -> tuple[Floats, Floats]:
    return table["x_mm"].to_numpy(dtype=float), table["y_mm"].to_numpy(dtype=float)


def _floor_along(surface: Surface, places: pd.DataFrame) -> pd.DataFrame:
    if not len(places):
        return places.assign(floor_mm=[])
    x, y = _places(places)
    floor_mm = np.where(surface.surveyed(x, y), surface.predict(x, y).height_mm, np.nan)
    return places.assign(floor_mm=floor_mm)


def _refuse_unsurveyed(surface: Surface, supports: pd.DataFrame) -> None:
    outside = supports[~surface.surveyed(*_places(supports))]
    if len(outside):
        raise Refusal(*(_unsurveyed(b, rows) for b, rows in outside.groupby("bearer", sort=False)))


def _unsurveyed(bearer: object, rows: pd.DataFrame) -> Problem:
    names = list(rows["support"])
    listed = ", ".join(names) if len(names) <= 6 else f"{names[0]} to {names[-1]}"
    first = rows.iloc[0]
    return Problem(
        f"bearer {bearer}, support {listed}",
        f"{len(names)} where the floor was not surveyed, the first at x = {first['x_mm']:.0f},"
        f" y = {first['y_mm']:.0f} mm",
        "supports within or close to the readings: read the floor there too",
    )


def _bearer_lines(layout: Layout) -> list[BearerLine]:
    lines = []
    for row, stands in zip(layout.rows, layout.stands, strict=True):
        of_run = sorted((r for r in layout.rows if r.run == row.run), key=lambda r: r.y_mm)
        at = of_run.index(row)
        lines.append(
            BearerLine(
                name=row.name,
                run=row.run,
                row=row.label,
                start_mm=row.start_mm,
                end_mm=row.end_mm,
                supports_mm=tuple(stand.x_mm for stand in stands),
                support_names=tuple(layout.on_bearer(row.name)["support"]),
                neighbours=tuple(r.name for r in of_run[max(at - 1, 0) : at + 2] if r is not row),
            )
        )
    return lines


def _with_joints(supports: pd.DataFrame, cuts: CutPlan) -> list[str]:
    joints = {support for _, support in cuts.joints}
    return [
        reasons_text(frozenset(text.split("+")) | {"joint"}) if support in joints else text
        for support, text in zip(supports["support"], supports["reasons"], strict=True)
    ]


@one_thread
def build(job: Job, survey: Survey, ground: Ground, base: Base) -> Answer:
    """Choose datum, stacks and screws over a known floor, and check them."""
    layout, high = ground.layout, ground.high_point
    window = height_window(job, base, ground.known, high.height_mm, layout)
    floor_mm = ground.supports["floor_mm"].to_numpy()
    datum = choose_datum(job, base, layout, floor_mm, window, high.height_mm)
    lift = front_lift_mm(base)
    target = datum.datum_mm - floor_mm + lift * layout.supports["lift_share"].to_numpy()
    supports = ground.supports.assign(target_mm=target)
    screws = _screw_table(job, base, supports, datum)
    clearance = clearance_table(ground.known, datum.datum_mm, lift)
    plinth = plinth_lines(base, ground.plinth_places, datum.base_top_mm, job.floor.finish_mm)
    heights = survey.heights
    checks = check_table(
        [
            *survey_checks(high.certainty, high.sd_mm, heights.global_test_p, heights.redundancy),
            *base_checks(job, base, layout, datum, screws, plinth),
            *clearance_checks(base, clearance, ground.under),
            load_check(layout),
            *strength_not_checked(job, layout),
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
        take_off=take_off(job.stock, datum.plan, screws, ground.cuts.bought, plinth),
        checks=checks,
        cautions=tuple(_cautions(job, survey, ground, datum)),
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
            supports["support"], *_places(supports), datum.plan.stacks, strict=True
        )
    ]
    return choose_screws(
        job.floor, job.stock, base.bearer.thickness_mm, at, job.services, job.no_go
    )


def _cautions(job: Job, survey: Survey, ground: Ground, datum: Datum) -> Iterator[str]:
    heights = survey.heights
    yield from survey_cautions(heights.suspects, heights.cautions, ground.high_point, ground.under)
    yield from base_cautions(job, ground.layout, ground.cuts, datum)
    yield from standing_cautions(job.floor, known_services=bool(job.services))


def _same_readings(one: Job, other: Job) -> bool:
    return _what_was_read(one) == _what_was_read(other)


def _what_was_read(job: Job) -> tuple[object, ...]:
    floor = job.floor
    return job.folder, job.surveys, floor.benchmark, floor.benchmark_mm, floor.doubt


def _same_ground(before: Answer, layout: Layout, base: Base) -> bool:
    """Tell whether bearers, packers and plinth stand where they stood."""
    old = before.layout
    return (
        (old.rows, old.stands, old.frames, old.packer_size_mm)
        == (layout.rows, layout.stands, layout.frames, layout.packer_size_mm)
        and before.base.bearer == base.bearer
        and _plinth_set_back(before.base) == _plinth_set_back(base)
    )


def _plinth_set_back(base: Base) -> tuple[float, ...]:
    return (base.plinth.set_back_mm,) if base.plinth else ()
