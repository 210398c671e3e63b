"""The one path from a job to its answer; reads like the steps of the work on site."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache, wraps
from typing import ParamSpec, TypeVar

import numpy as np
import pandas as pd
from threadpoolctl import ThreadpoolController

from kit.base.cautions import base_cautions
from kit.base.checks import base_checks, check_table, strength_not_checked, survey_checks
from kit.base.clearance import clearance_table
from kit.base.cuts import BearerLine, CutPlan, cut_bearers
from kit.base.datum import Datum, choose_datum, front_lift_mm, height_window
from kit.base.layout import Layout, lay_out, reasons_text
from kit.base.runs import Floats
from kit.base.screws import StackAt, choose_screws, screw_cautions
from kit.base.takeoff import plinth_lines, plinth_places, take_off
from kit.floor import (
    HighPoint,
    Plane,
    Surface,
    find_high_point,
    fit_plane,
    fit_plane_robust,
    fit_surface,
)
from kit.job import Base, Job, Problem, Refusal, refuse
from kit.readings import Heights, adjust, read_readings

P = ParamSpec("P")
T = TypeVar("T")

#: Seed of the draws behind the high point's certainty: the same job gives the same answer.
SEED = 20


@dataclass(frozen=True)
class Survey:
    """What the readings say of the floor: nothing of it changes when the base does.

    Parameters
    ----------
    heights : Heights
        The readings adjusted into heights, each with its doubt.
    plane, robust_plane : Plane
        The floor's fall, ordinary and robust against gross errors.
    surface : Surface
        The floor between the readings.
    """

    heights: Heights
    plane: Plane
    robust_plane: Plane
    surface: Surface


@dataclass(frozen=True)
class Ground:
    """The floor as it lies under one layout of bearers and supports.

    Parameters
    ----------
    layout : Layout
        Bearers and supports in plan.
    cuts : CutPlan
        Pieces of bearer from stock lengths.
    under : DataFrame
        The floor under the base on a grid: bearer, own_x_mm, x_mm, y_mm, lift_share, height_mm,
        sd_mm, surveyed.
    known : DataFrame
        That part of ``under`` that was surveyed.
    high_point : HighPoint
        Where the floor under the base is highest, and how sure that is.
    supports : DataFrame
        ``layout.supports`` with floor_mm, floor_sd_mm, and the reason of a joint.
    plinth_places : DataFrame
        run, x_mm, y_mm, floor_mm along the plinth; nan where not surveyed.
    """

    layout: Layout
    cuts: CutPlan
    under: pd.DataFrame
    known: pd.DataFrame
    high_point: HighPoint
    supports: pd.DataFrame
    plinth_places: pd.DataFrame


@dataclass(frozen=True)
class Answer:
    """Everything about one base on one floor, in the order in which it was worked out.

    Parameters
    ----------
    job, base : Job, Base
        What was asked.
    survey : Survey
        Heights, plane and surface.
    ground : Ground
        Layout, cuts, and the floor under them.
    supports : DataFrame
        support, run, row, bearer, own_x_mm, own_y_mm, x_mm, y_mm, reasons, load_N, lift_share,
        floor_mm, floor_sd_mm, target_mm.
    datum : Datum
        The level chosen, its window and the stacks as counts.
    stacks : DataFrame
        support, position (1 lies on the floor), thickness_mm, nominal_mm.
    screws : DataFrame
        support, step, length_mm, point_below_floor_mm, limit_mm, reason.
    clearance : DataFrame
        bearer, least_mm, sd_mm, own_x_mm, x_mm, y_mm.
    plinth : DataFrame
        run, least_mm, greatest_mm, board_mm.
    take_off : DataFrame
        item, size_mm, count, in_stock, cost.
    checks : DataFrame
        check, subject, value, limit, unit, verdict, source.
    cautions : tuple of str
        One sentence each.
    """

    job: Job
    base: Base
    survey: Survey
    ground: Ground
    supports: pd.DataFrame
    datum: Datum
    stacks: pd.DataFrame
    screws: pd.DataFrame
    clearance: pd.DataFrame
    plinth: pd.DataFrame
    take_off: pd.DataFrame
    checks: pd.DataFrame
    cautions: tuple[str, ...]

    @property
    def heights(self) -> Heights:
        """The adjusted heights."""
        return self.survey.heights

    @property
    def plane(self) -> Plane:
        """The floor's fall by least squares."""
        return self.survey.plane

    @property
    def robust_plane(self) -> Plane:
        """The floor's fall, robust against gross errors."""
        return self.survey.robust_plane

    @property
    def surface(self) -> Surface:
        """The floor between the readings."""
        return self.survey.surface

    @property
    def layout(self) -> Layout:
        """Bearers and supports in plan."""
        return self.ground.layout

    @property
    def under(self) -> pd.DataFrame:
        """The floor under the base on a grid."""
        return self.ground.under

    @property
    def high_point(self) -> HighPoint:
        """Where the floor under the base is highest."""
        return self.ground.high_point

    @property
    def cuts(self) -> CutPlan:
        """Pieces of bearer from stock lengths."""
        return self.ground.cuts

    @property
    def pieces(self) -> int:
        """Number of packers in all stacks."""
        return self.datum.plan.pieces

    @property
    def worst_error_mm(self) -> float:
        """Largest absolute error of a stack [mm]."""
        return self.datum.plan.worst_error_mm


def _one_thread(step: Callable[P, T]) -> Callable[P, T]:
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
    if before is not None and _same_ground(before, layout, design):
        ground = before.ground
    else:
        ground = look_under(job, survey, layout, design)
    return build(job, survey, ground, design)


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


@_one_thread
def survey_floor(job: Job) -> Survey:
    """Turn the job's readings into heights, a plane and a surface."""
    heights = adjust(read_readings(job), job.floor.benchmark, job.floor.benchmark_mm)
    x, y, z = (heights.points[c].to_numpy() for c in ("x_mm", "y_mm", "height_mm"))
    return Survey(
        heights,
        fit_plane(x, y, z),
        fit_plane_robust(x, y, z),
        fit_surface(x, y, z, heights.covariance()),
    )


@_one_thread
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
    inside = surface.surveyed(*_places(supports))
    outside = supports[~inside]
    if len(outside):
        raise Refusal(
            *(
                Problem(
                    f"support {row['support']}",
                    f"it stands at x = {row['x_mm']:.0f}, y = {row['y_mm']:.0f} mm,"
                    " where the floor was not surveyed",
                    "supports within or close to the readings: read the floor there too",
                )
                for _, row in outside.iterrows()
            )
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


@_one_thread
def build(job: Job, survey: Survey, ground: Ground, base: Base) -> Answer:
    """Choose datum, stacks and screws over a known floor, and check them."""
    layout, high = ground.layout, ground.high_point
    window = height_window(job, base, ground.known, high.height_mm, layout.units)
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
            *base_checks(job, base, layout, datum, clearance, screws, plinth),
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
        cautions=tuple(_cautions(job, survey, ground, base, datum)),
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


def _cautions(job: Job, survey: Survey, ground: Ground, base: Base, datum: Datum) -> Iterator[str]:
    yield from base_cautions(job, base, ground.layout)
    yield from screw_cautions(job.floor, job.services)
    yield from _survey_cautions(survey, ground)
    if not ground.cuts.proven:
        yield f"The cutting list may waste up to {ground.cuts.gap_mm:.0f} mm more than needed."
    if not datum.plan.proven:
        yield (
            f"Time ran out before the stacks were proven best: up to {datum.plan.gap_pieces}"
            " packers fewer may be possible."
        )


def _survey_cautions(survey: Survey, ground: Ground) -> Iterator[str]:
    yield from survey.heights.suspects
    if not survey.heights.redundancy:
        yield "No reading is checked by another: one misread staff goes straight into a stack."
    high = ground.high_point
    if high.next_reading is not None:
        x, y = high.next_reading
        yield (
            f"The place of the high point is only {high.certainty:.0%} certain (the floor may be"
            f" {high.regret_mm:.2f} mm higher elsewhere, on average); the next reading at"
            f" x = {x:.0f}, y = {y:.0f} mm would tell most."
        )
    unknown = ground.under[~ground.under["surveyed"]]
    for bearer, of_bearer in unknown.groupby("bearer", sort=False):
        along = of_bearer["own_x_mm"]
        yield (
            f"The floor under bearer {bearer} was not surveyed at x = {along.min():.0f}"
            f" to {along.max():.0f} mm: check by hand that the bearer clears it."
        )


def _same_readings(one: Job, other: Job) -> bool:
    return (one.folder, one.surveys, one.floor.benchmark, one.floor.benchmark_mm) == (
        other.folder,
        other.surveys,
        other.floor.benchmark,
        other.floor.benchmark_mm,
    )


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
