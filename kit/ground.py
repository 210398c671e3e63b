"""The floor under one layout: its heights, its high point, the floor at each support."""

from __future__ import annotations

import numpy as np
import pandas as pd

from kit.base.cuts import BearerLine, CutPlan, cut_bearers
from kit.base.layout import Layout, reasons_text
from kit.base.runs import Floats
from kit.base.takeoff import plinth_places
from kit.floor import Surface, find_high_point
from kit.job import Base, Job, PlacedProblem, Problem, Refusal
from kit.parts import Answer, Ground, Survey
from kit.strength.carry import press_on_joists
from kit.strength.pieces import bearer_pieces
from kit.threads import one_thread

#: Seed of the draws behind the high point's certainty: the same job gives the same answer.
SEED = 20


@one_thread
def look_under(
    job: Job, survey: Survey, layout: Layout, base: Base, *, before: Answer | None = None
) -> Ground:
    """Look at the floor under the bearers: its heights, its high point, each support's floor.

    Parameters
    ----------
    job, survey, layout, base : Job, Survey, Layout, Base
        What stands where, over which floor.
    before : Answer, optional
        An answer over the same survey. The floor under its bearers, its cuts and the floor along
        its plinth are taken over where bearers, stacks or plinth are the same.

    Raises
    ------
    Refusal
        Where a support stands outside the survey, by name.
    """
    if before is not None and _same_ground(before, job, layout, base):
        return before.ground
    surface = survey.surface
    _refuse_unsurveyed(surface, layout.supports)
    if before is not None and _same_bearers(before.layout, layout):
        old = before.ground
        under, known, high_point = old.under, old.known, old.high_point
    else:
        under = _floor_under(surface, layout)
        known = under[under["surveyed"]].reset_index(drop=True)
        high_point = find_high_point(
            surface, *_places(known), reading_sd_mm=_finest_sd_mm(job, survey), seed=SEED
        )
    cuts = _cuts(layout, base, before)
    at = surface.predict(*_places(layout.supports))
    supports = layout.supports.assign(
        reasons=_with_joints(layout.supports, cuts),
        floor_mm=at.height_mm,
        floor_sd_mm=at.sd_mm,
    )
    if before is not None and _same_plinth(before, layout, base):
        along = before.ground.plinth_places
    else:
        along = _floor_along(surface, plinth_places(base, layout))
    pieces = bearer_pieces(layout, cuts.cuts, base.bearer)
    joists = press_on_joists(job, pieces, supports)
    return Ground(layout, cuts, under, known, high_point, supports, along, pieces, joists)


def _floor_under(surface: Surface, layout: Layout) -> pd.DataFrame:
    under = layout.footprint()
    x, y = _places(under)
    predicted = surface.predict(x, y)
    return under.assign(
        height_mm=predicted.height_mm,
        sd_mm=predicted.sd_mm,
        surveyed=surface.surveyed(x, y),
    )


def _finest_sd_mm(job: Job, survey: Survey) -> float:
    """Return how exactly the next reading can be taken: as the finest so far [mm]."""
    return min(float(survey.heights.residuals["sd_mm"].min()), *(s.sd_mm for s in job.surveys))


def _cuts(layout: Layout, base: Base, before: Answer | None) -> CutPlan:
    lines, packer_mm = _bearer_lines(layout), layout.packer_size_mm[0]
    if before is not None and (
        (_bearer_lines(before.layout), before.base.bearer, before.layout.packer_size_mm[0])
        == (lines, base.bearer, packer_mm)
    ):
        return before.cuts
    return cut_bearers(lines, base.bearer, packer_mm)


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
    many = "supports" if len(names) > 1 else "support"
    return PlacedProblem(
        f"bearer {bearer}, support {listed}",
        f"{len(names)} {many} where the floor was not surveyed, the first at"
        f" x = {first['x_mm']:.0f}, y = {first['y_mm']:.0f} mm",
        "supports within or close to the readings: read the floor there too",
        (float(first["x_mm"]), float(first["y_mm"])),
        str(names[0]),
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


def _same_ground(before: Answer, job: Job, layout: Layout, base: Base) -> bool:
    """Tell whether units, bearers, packers, plinth and joists are what and where they were."""
    old, floor = before.layout, before.job.floor
    return (
        (floor.kind, floor.joists, before.job.room.service_class)
        == (job.floor.kind, job.floor.joists, job.room.service_class)
        and (old.rows, old.stands, old.frames, old.packer_size_mm)
        == (layout.rows, layout.stands, layout.frames, layout.packer_size_mm)
        and before.base.bearer == base.bearer
        and _same_plinth(before, layout, base)
    )


def _same_bearers(old: Layout, new: Layout) -> bool:
    """Tell whether bearers and packers cover the floor that they covered."""
    return _covered(old) == _covered(new)


def _covered(layout: Layout) -> tuple[object, ...]:
    rows = [(row.name, row.run, row.y_mm, row.start_mm, row.end_mm) for row in layout.rows]
    return rows, layout.frames, layout.packer_size_mm, layout.bearer_width_mm


def _same_plinth(before: Answer, layout: Layout, base: Base) -> bool:
    """Tell whether the plinth stands over the floor that it stood over."""
    return (
        (before.layout.units, before.layout.frames) == (layout.units, layout.frames)
        and _plinth_set_back(before.base) == _plinth_set_back(base)
        and "floor_mm" in before.ground.plinth_places
    )


def _plinth_set_back(base: Base) -> tuple[float, ...]:
    return (base.plinth.set_back_mm,) if base.plinth else ()


def _places(table: pd.DataFrame) -> tuple[Floats, Floats]:
    return table["x_mm"].to_numpy(dtype=float), table["y_mm"].to_numpy(dtype=float)
