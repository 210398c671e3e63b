"""The floor under one layout: its heights, its high point, the floor at each support."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pandas as pd

from kit.base.cuts import CutPlan
from kit.base.layout import Layout, reasons_text
from kit.base.plinth import plinth_places
from kit.base.runs import Floats
from kit.floor import Surface, find_high_point
from kit.job import Base, Job, PlacedProblem, Problem, Refusal
from kit.job.ways import way_of
from kit.parts import Answer, Ground, Survey
from kit.strength.carry import press_on_joists
from kit.strength.pieces import Apart, Pieces
from kit.threads import one_thread

#: Seed of the draws behind the high point's certainty: the same job gives the same answer.
SEED = 20


@dataclass(frozen=True)
class Underside:
    """What of a base meets the floor: how the ground is looked at for one way of building.

    Parameters
    ----------
    footprint : callable
        Takes the layout, gives the places that the base lies on: bearer, own_x_mm, x_mm, y_mm,
        lift_share.
    cut : callable
        Takes layout, base and an earlier answer of the same method or None, gives the cutting
        list.
    pieces : callable
        Takes layout, cutting list and base, gives what carries the units.
    """

    footprint: Callable[[Layout], pd.DataFrame]
    cut: Callable[[Layout, Base, Answer | None], CutPlan]
    pieces: Callable[[Layout, CutPlan, Base], Pieces | Apart]


@one_thread
def look_under(
    job: Job,
    survey: Survey,
    layout: Layout,
    base: Base,
    underside: Underside,
    *,
    before: Answer | None = None,
) -> Ground:
    """Look at the floor under the bearers: its heights, its high point, each support's floor.

    Parameters
    ----------
    job, survey, layout, base : Job, Survey, Layout, Base
        What stands where, over which floor.
    underside : Underside
        How this way of building meets the floor.
    before : Answer, optional
        An answer over the same survey. The floor under its bearers, its cuts and the floor along
        its plinth are taken over where bearers, stacks or plinth are the same.

    Raises
    ------
    Refusal
        Where a support stands outside the survey, by name.
    """
    if before is not None and before.base.method != base.method:
        before = None
    if before is not None and _same_ground(before, job, layout, base):
        return before.ground
    surface = survey.surface
    _refuse_unsurveyed(surface, layout.supports, way_of(base).along)
    footprint = underside.footprint(layout)
    if before is not None and _same_places(before.under, footprint):
        old = before.ground
        under, known, high_point = old.under, old.known, old.high_point
    else:
        under = _floor_under(surface, footprint)
        known = under[under["surveyed"]].reset_index(drop=True)
        high_point = find_high_point(
            surface, *_places(known), reading_sd_mm=_finest_sd_mm(job, survey), seed=SEED
        )
    cuts = underside.cut(layout, base, before)
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
    pieces = underside.pieces(layout, cuts, base)
    joists = press_on_joists(job, pieces, supports)
    return Ground(layout, cuts, under, known, high_point, supports, along, pieces, joists)


def _floor_under(surface: Surface, under: pd.DataFrame) -> pd.DataFrame:
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


def _floor_along(surface: Surface, places: pd.DataFrame) -> pd.DataFrame:
    if not len(places):
        return places.assign(floor_mm=[])
    x, y = _places(places)
    floor_mm = np.where(surface.surveyed(x, y), surface.predict(x, y).height_mm, np.nan)
    return places.assign(floor_mm=floor_mm)


def _refuse_unsurveyed(surface: Surface, supports: pd.DataFrame, along: str) -> None:
    outside = supports[~surface.surveyed(*_places(supports))]
    if len(outside):
        by_row = outside.groupby("bearer", sort=False)
        raise Refusal(*(_unsurveyed(f"{along} {name}", rows) for name, rows in by_row))


def _unsurveyed(where: str, rows: pd.DataFrame) -> Problem:
    names = list(rows["support"])
    listed = ", ".join(names) if len(names) <= 6 else f"{names[0]} to {names[-1]}"
    first = rows.iloc[0]
    many = "supports" if len(names) > 1 else "support"
    return PlacedProblem(
        f"{where}, support {listed}",
        f"{len(names)} {many} where the floor was not surveyed, the first at"
        f" x = {first['x_mm']:.0f}, y = {first['y_mm']:.0f} mm",
        "supports within or close to the readings: read the floor there too",
        (float(first["x_mm"]), float(first["y_mm"])),
        str(names[0]),
    )


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
        and _made_of(before.base) == _made_of(base)
        and _same_plinth(before, layout, base)
    )


def _made_of(base: Base) -> tuple[object, ...]:
    return base.bearer, base.feet, base.ladder, base.compound


def _same_places(under: pd.DataFrame, footprint: pd.DataFrame) -> bool:
    """Tell whether the base lies on the floor that it lay on."""
    return under[list(footprint.columns)].equals(footprint)


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
