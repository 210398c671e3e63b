"""The one path from a job to its answer; reads like the steps of the work on site."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from kit.base.cautions import base_cautions
from kit.base.checks import base_checks, check_table, strength_not_checked, survey_checks
from kit.base.clearance import clearance_table
from kit.base.cuts import BearerLine, CutPlan, cut_bearers
from kit.base.datum import Datum, choose_datum, front_lift_mm, height_window
from kit.base.layout import Layout, lay_out
from kit.base.runs import Floats
from kit.base.screws import StackAt, choose_screws, screw_cautions
from kit.base.supports import REASONS
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

#: Seed of the draws behind the high point's certainty: the same job gives the same answer.
SEED = 20


@dataclass(frozen=True)
class Answer:
    """Everything about one base on one floor, in the order in which it was worked out.

    Parameters
    ----------
    job, base : Job, Base
        What was asked.
    heights : Heights
        The readings adjusted into heights, each with its doubt.
    plane, robust_plane : Plane
        The floor's fall, ordinary and robust against gross errors.
    surface : Surface
        The floor between the readings.
    layout : Layout
        Bearers and supports in plan.
    under : DataFrame
        The floor under the base on a grid: bearer, own_x_mm, x_mm, y_mm, lift_share, height_mm,
        sd_mm, surveyed.
    high_point : HighPoint
        Where the floor under the base is highest, and how sure that is.
    supports : DataFrame
        support, run, row, bearer, own_x_mm, own_y_mm, x_mm, y_mm, reasons, load_N, lift_share,
        floor_mm, floor_sd_mm, target_mm.
    datum : Datum
        The level chosen, its window and the stacks as counts.
    stacks : DataFrame
        support, position (1 lies on the floor), thickness_mm, nominal_mm.
    screws : DataFrame
        support, step, length_mm, point_below_floor_mm, limit_mm, reason.
    cuts : CutPlan
        Pieces of bearer from stock lengths.
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
    heights: Heights
    plane: Plane
    robust_plane: Plane
    surface: Surface
    layout: Layout
    under: pd.DataFrame
    high_point: HighPoint
    supports: pd.DataFrame
    datum: Datum
    stacks: pd.DataFrame
    screws: pd.DataFrame
    cuts: CutPlan
    clearance: pd.DataFrame
    plinth: pd.DataFrame
    take_off: pd.DataFrame
    checks: pd.DataFrame
    cautions: tuple[str, ...]

    @property
    def pieces(self) -> int:
        """Number of packers in all stacks."""
        return self.datum.plan.pieces

    @property
    def worst_error_mm(self) -> float:
        """Largest absolute error of a stack [mm]."""
        return self.datum.plan.worst_error_mm


@dataclass(frozen=True)
class Survey:
    """The rooms of readings and floor: what does not change when the base does."""

    job: Job
    heights: Heights
    plane: Plane
    robust_plane: Plane
    surface: Surface


@dataclass(frozen=True)
class Ground:
    """The floor as it lies under one layout of supports."""

    layout: Layout
    under: pd.DataFrame
    high_point: HighPoint
    supports: pd.DataFrame
    plinth_places: pd.DataFrame
    plinth_floor_mm: Floats


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
        survey = Survey(job, before.heights, before.plane, before.robust_plane, before.surface)
    else:
        survey, before = survey_floor(job), None
    layout = lay_out(job, design)
    if before is not None and _same_plan(before, layout):
        ground = _ground_of(before, layout, design, survey)
    else:
        ground = look_under(survey, layout, design)
    return build(survey, ground, design)


def choose_base(job: Job, name: str | None) -> Base:
    """Return the base of that name, the first one where no name is given."""
    if name is None:
        return job.bases[0]
    for base in job.bases:
        if base.name == name:
            return base
    raise refuse("--base", repr(name), "one of " + ", ".join(repr(base.name) for base in job.bases))


def survey_floor(job: Job) -> Survey:
    """Turn the job's readings into heights, a plane and a surface."""
    heights = adjust(read_readings(job), job.floor.benchmark, job.floor.benchmark_mm)
    x, y, z = (heights.points[c].to_numpy() for c in ("x_mm", "y_mm", "height_mm"))
    return Survey(
        job,
        heights,
        fit_plane(x, y, z),
        fit_plane_robust(x, y, z),
        fit_surface(x, y, z, heights.covariance()),
    )


def look_under(survey: Survey, layout: Layout, base: Base) -> Ground:
    """Look at the floor under the bearers: its heights, its high point, each support's target.

    Raises
    ------
    Refusal
        Where a support stands outside the survey, by name.
    """
    surface = survey.surface
    _refuse_unsurveyed(surface, layout.supports)
    under = layout.footprint()
    predicted = surface.predict(under["x_mm"].to_numpy(), under["y_mm"].to_numpy())
    under["height_mm"], under["sd_mm"] = predicted.height_mm, predicted.sd_mm
    under["surveyed"] = surface.surveyed(under["x_mm"].to_numpy(), under["y_mm"].to_numpy())
    known = under[under["surveyed"]]
    high_point = find_high_point(
        surface,
        known["x_mm"].to_numpy(),
        known["y_mm"].to_numpy(),
        reading_sd_mm=min(s.sd_mm for s in survey.job.surveys),
        seed=SEED,
    )
    at = surface.predict(
        layout.supports["x_mm"].to_numpy(), layout.supports["y_mm"].to_numpy()
    )
    supports = layout.supports.assign(floor_mm=at.height_mm, floor_sd_mm=at.sd_mm)
    places, floor_mm = _look_along_plinth(surface, layout, base)
    return Ground(layout, under, high_point, supports, places, floor_mm)


def _look_along_plinth(
    surface: Surface, layout: Layout, base: Base
) -> tuple[pd.DataFrame, Floats]:
    places = plinth_places(base, layout)
    if not len(places):
        return places, np.empty(0)
    x, y = places["x_mm"].to_numpy(), places["y_mm"].to_numpy()
    return places, np.where(surface.surveyed(x, y), surface.predict(x, y).height_mm, np.nan)


def _refuse_unsurveyed(surface: Surface, supports: pd.DataFrame) -> None:
    inside = surface.surveyed(supports["x_mm"].to_numpy(), supports["y_mm"].to_numpy())
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


def build(survey: Survey, ground: Ground, base: Base) -> Answer:
    """Choose datum, stacks, screws and cuts over a known floor, and check them."""
    job, layout = survey.job, ground.layout
    known = ground.under[ground.under["surveyed"]]
    window = height_window(job, base, known, ground.high_point.height_mm, layout.units)
    floor_mm = ground.supports["floor_mm"].to_numpy()
    datum = choose_datum(job, base, layout, floor_mm, window, ground.high_point.height_mm)
    cuts = cut_bearers(_bearer_lines(layout), base.bearer, layout.packer_size_mm[0])
    supports = _with_targets(ground.supports, datum, front_lift_mm(base), cuts)
    stacks = _stack_table(job, supports, datum)
    screws = _screw_table(job, base, supports, stacks)
    clearance = clearance_table(known, datum.datum_mm, front_lift_mm(base))
    plinth = plinth_lines(
        base, ground.plinth_places, ground.plinth_floor_mm, datum.base_top_mm, job.floor.finish_mm
    )
    high, heights = ground.high_point, survey.heights
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
        heights=heights,
        plane=survey.plane,
        robust_plane=survey.robust_plane,
        surface=survey.surface,
        layout=layout,
        under=ground.under,
        high_point=high,
        supports=supports,
        datum=datum,
        stacks=stacks,
        screws=screws,
        cuts=cuts,
        clearance=clearance,
        plinth=plinth,
        take_off=take_off(job.stock, datum.plan, screws, cuts.bought, plinth),
        checks=checks,
        cautions=tuple(_cautions(survey, ground, base, cuts, datum)),
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


def _with_targets(
    supports: pd.DataFrame, datum: Datum, lift_mm: float, cuts: CutPlan
) -> pd.DataFrame:
    joints = {support for _, support in cuts.joints}
    reasons = [
        _with_joint(text) if support in joints else text
        for support, text in zip(supports["support"], supports["reasons"], strict=True)
    ]
    target = datum.datum_mm - supports["floor_mm"] + lift_mm * supports["lift_share"]
    return supports.assign(reasons=reasons, target_mm=target)


def _with_joint(text: str) -> str:
    given = {*text.split("+"), "joint"}
    return "+".join(reason for reason in REASONS if reason in given)


def _stack_table(job: Job, supports: pd.DataFrame, datum: Datum) -> pd.DataFrame:
    packers = job.stock.packers
    rows = [
        (support, position, packers[kind].thickness_mm, packers[kind].mm)
        for support, stack in zip(supports["support"], datum.plan.stacks, strict=True)
        for position, kind in enumerate(stack, start=1)
    ]
    return pd.DataFrame(rows, columns=["support", "position", "thickness_mm", "nominal_mm"])


def _screw_table(
    job: Job, base: Base, supports: pd.DataFrame, stacks: pd.DataFrame
) -> pd.DataFrame:
    heights: dict[str, tuple[float, ...]] = {
        str(support): tuple(of_one) for support, of_one in stacks.groupby("support")["thickness_mm"]
    }
    at = [
        StackAt(support, float(x), float(y), heights[support])
        for support, x, y in zip(
            supports["support"], supports["x_mm"], supports["y_mm"], strict=True
        )
    ]
    return choose_screws(
        job.floor, job.stock, base.bearer.thickness_mm, at, job.services, job.no_go
    )


def _cautions(
    survey: Survey, ground: Ground, base: Base, cuts: CutPlan, datum: Datum
) -> Iterator[str]:
    job = survey.job
    yield from base_cautions(job, base, ground.layout)
    yield from screw_cautions(job.floor)
    yield from survey.heights.suspects
    if not survey.heights.redundancy:
        yield "No reading is checked by another: one misread staff goes straight into a stack."
    high = ground.high_point
    if high.next_reading is not None:
        x, y = high.next_reading
        yield (
            f"The place of the high point is only {high.certainty:.0%} certain;"
            f" the next reading at x = {x:.0f}, y = {y:.0f} mm would tell most."
        )
    unknown = ground.under[~ground.under["surveyed"]]
    for bearer, of_bearer in unknown.groupby("bearer", sort=False):
        along = of_bearer["own_x_mm"]
        yield (
            f"The floor under bearer {bearer} was not surveyed at x = {along.min():.0f}"
            f" to {along.max():.0f} mm: check by hand that the bearer clears it."
        )
    if not cuts.proven:
        yield f"The cutting list may waste up to {cuts.gap_mm:.0f} mm more than needed."
    if not datum.plan.proven:
        yield (
            f"Time ran out before the stacks were proven best: up to {datum.plan.gap_pieces}"
            " packers fewer may be possible."
        )


def _same_readings(one: Job, other: Job) -> bool:
    return (one.folder, one.surveys, one.floor.benchmark, one.floor.benchmark_mm) == (
        other.folder,
        other.surveys,
        other.floor.benchmark,
        other.floor.benchmark_mm,
    )


def _same_plan(before: Answer, layout: Layout) -> bool:
    """Tell whether bearers and packers stand where they stood."""
    return (
        before.layout.rows == layout.rows
        and before.layout.stands == layout.stands
        and before.layout.frames == layout.frames
        and before.layout.packer_size_mm == layout.packer_size_mm
        and before.layout.bearer_width_mm == layout.bearer_width_mm
    )


def _ground_of(before: Answer, layout: Layout, base: Base, survey: Survey) -> Ground:
    places, floor_mm = _look_along_plinth(survey.surface, layout, base)
    supports = layout.supports.assign(
        floor_mm=before.supports["floor_mm"], floor_sd_mm=before.supports["floor_sd_mm"]
    )
    return Ground(layout, before.under, before.high_point, supports, places, floor_mm)


__all__ = ["Answer", "build", "choose_base", "look_under", "solve", "survey_floor"]
