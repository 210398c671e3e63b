"""Where to read a floor before anything of it is known: a list to carry.

Rules without a source are common practice.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import get_args

import numpy as np
import pandas as pd

from kit.base.layout import Layout, lay_out
from kit.base.plan_names import Spot, named
from kit.base.plan_set_ups import Again, set_ups
from kit.job import Base, Job, NoGo, refuse
from kit.job.model import LONGEST_MM

#: Farthest apart that a floor is read along a line, by its kind [mm] (common practice, no source):
#: boards bend between joists, a slab waves.
SPACING_MM = {"boarded": 400.0, "solid": 600.0}

#: Places nearer than this are one [mm]: the foot of a staff covers both.
ONE_PLACE_MM = 40.0

#: A sight longer than this needs a set-up of its own [mm].
FARTHEST_SIGHT_MM = 15_000.0

#: Readings closer along a line than this tell nothing more, and nobody's sight is shorter [mm].
LEAST_MM = 100.0


@dataclass(frozen=True, eq=False)
class ReadingPlan:
    """Where to read, and in which order.

    Parameters
    ----------
    points : DataFrame
        Each place once, in the order of walking: point, run, line (name of the bearer, plinth or
        doorway), along_mm (from the run's left end), out_mm (from the units' backs), x_mm, y_mm,
        why.
    readings : DataFrame
        What is read, set-up by set-up: setup, point, x_mm, y_mm, reading_mm (empty), line,
        along_mm, out_mm, why. A place that ties set-ups stands there once for each.
    spacing_mm : float
        Farthest apart along a line [mm].
    notes : tuple of str
        Sentences that go with it.
    layout : Layout
        The base that it is for.
    """

    points: pd.DataFrame
    readings: pd.DataFrame
    spacing_mm: float
    notes: tuple[str, ...]
    layout: Layout = field(repr=False)


def reading_plan(
    job: Job,
    base: Base,
    *,
    spacing_mm: float | None = None,
    farthest_sight_mm: float = FARTHEST_SIGHT_MM,
    again: Again = "ends",
    layout: Layout | None = None,
) -> ReadingPlan:
    """Plan the readings of a floor; none need be there yet.

    Parameters
    ----------
    job, base : Job, Base
        Runs, floor, doorways and the base that will stand there.
    spacing_mm : float, optional
        Farthest apart along a line; that of the floor's kind unless given: 600 mm on a solid
        floor, 400 mm on boards, or the joists' centres where they are closer [mm].
    farthest_sight_mm : float
        Longest sight of the instrument [mm].
    again : {"ends", "supports", "all"}
        What is read a second time from other set-ups. A slip shows only in what is read twice.
    layout : Layout, optional
        The base in plan; laid out as bearers on packers unless given.

    Returns
    -------
    ReadingPlan
        Every line of supports at its ends and under every stack, the plinth's line, both ends
        and the middle of each doorway, and enough between.

    Raises
    ------
    Refusal
        Where the base cannot be laid out, a length is none, or ``again`` is no such word.
    """
    for what, value in (("spacing_mm", spacing_mm), ("farthest_sight_mm", farthest_sight_mm)):
        if value is not None and not LEAST_MM <= value <= LONGEST_MM:
            raise refuse(what, f"{value:g} mm", f"{LEAST_MM:g} to {LONGEST_MM:g} mm")
    if again not in get_args(Again):
        raise refuse("again", repr(again), " or ".join(get_args(Again)))
    layout = layout or lay_out(job, base)
    apart = _spacing_mm(job) if spacing_mm is None else spacing_mm
    lines = [*_row_lines(layout, apart), *_plinth_lines(base, layout, apart), *_doorways(job)]
    spots, closed = _walk(lines, job.no_go)
    points = named(spots, layout)
    readings = _readings(points, set_ups(points, farthest_sight_mm, again))
    notes = tuple(_notes(points, readings, apart, closed))
    return ReadingPlan(points, readings, apart, notes, layout)


def _spacing_mm(job: Job) -> float:
    apart = SPACING_MM[job.floor.kind]
    joists = job.floor.joists
    return apart if joists is None else min(apart, joists.centres_mm)


def _row_lines(layout: Layout, apart: float) -> Iterator[list[Spot]]:
    for row in layout.rows:
        known = {float(x): "support" for x in layout.on_bearer(row.name)["own_x_mm"]}
        for end in (row.start_mm, row.end_mm):
            known.setdefault(end, "end of row")
        yield _line(layout, (row.run, row.name), row.y_mm, known, apart)


def _plinth_lines(base: Base, layout: Layout, apart: float) -> Iterator[list[Spot]]:
    if base.plinth is None:
        return
    for run in layout.frames:
        units = [placed for placed in layout.units if placed.run == run]
        out = min(placed.unit.depth_mm for placed in units) - base.plinth.set_back_mm
        known = dict.fromkeys((units[0].left_mm, units[-1].right_mm), "plinth")
        name = f"{run} plinth" if len(layout.frames) > 1 else "plinth"
        line = _line(layout, (run, name), out, known, apart)
        yield [replace(spot, reasons=frozenset({"plinth"})) for spot in line]


def _line(
    layout: Layout, name: tuple[str, str], out: float, known: dict[float, str], apart: float
) -> list[Spot]:
    """Return the known places of a line and as many between that none are too far apart."""
    run, line = name
    places = dict(known)
    for left, right in pairwise(sorted(known)):
        steps = math.ceil((right - left) / apart - 1e-9)
        places |= dict.fromkeys(np.linspace(left, right, steps + 1)[1:-1].tolist(), "between")
    along = np.array(sorted(places))
    x, y = layout.frames[run].to_site(along, np.full_like(along, out))
    return [
        Spot(run, line, *at, frozenset({places[at[0]]}))
        for at in zip(along.tolist(), [out] * len(along), x.tolist(), y.tolist(), strict=True)
    ]


def _doorways(job: Job) -> Iterator[list[Spot]]:
    for door in job.doorways:
        (x0, y0), (x1, y1) = door.from_mm, door.to_mm
        width = math.hypot(x1 - x0, y1 - y0)
        yield [
            Spot("", door.name, share * width, 0.0, x0 + share * (x1 - x0), y0 + share * (y1 - y0),
                 frozenset({"doorway"}))
            for share in (0.0, 0.5, 1.0)
        ]  # fmt: skip


def _walk(lines: Sequence[list[Spot]], no_go: Sequence[NoGo]) -> tuple[list[Spot], int]:
    """Return the places in the order of walking, and how many a no-go area takes away.

    Every second line is walked back, so that nobody returns with empty hands.
    """
    shut = [area for area in no_go if area.forbids == "supports"]
    kept: list[Spot] = []
    closed = 0
    for number, line in enumerate(lines):
        for spot in line if number % 2 == 0 else line[::-1]:
            if not spot.reasons & {"support"} and any(
                area.holds(spot.x_mm, spot.y_mm) for area in shut
            ):
                closed += 1
                continue
            _keep(kept, spot)
    return kept, closed


def _keep(kept: list[Spot], spot: Spot) -> None:
    """Add a place, or its reasons to the place that one foot of the staff covers with it."""
    for i, other in enumerate(kept):
        if math.hypot(other.x_mm - spot.x_mm, other.y_mm - spot.y_mm) < ONE_PLACE_MM:
            # Where a stack stands, there the height is wanted.
            at = spot if "support" in spot.reasons and "support" not in other.reasons else other
            kept[i] = replace(at, reasons=other.reasons | spot.reasons)
            return
    kept.append(spot)


def _readings(points: pd.DataFrame, setups: Sequence[Sequence[int]]) -> pd.DataFrame:
    parts = [
        points.iloc[list(numbers)].assign(setup=f"S{i}")
        for i, numbers in enumerate(setups, start=1)
    ]
    readings = pd.concat(parts, ignore_index=True).assign(reading_mm=math.nan)
    again = readings.duplicated("point")
    readings["why"] = readings["why"].where(~again, readings["why"] + " + read again")
    columns = ["setup", "point", "x_mm", "y_mm", "reading_mm", "line", "along_mm", "out_mm", "why"]
    return readings[columns]


def _notes(
    points: pd.DataFrame, readings: pd.DataFrame, apart: float, closed: int
) -> Iterator[str]:
    setups, twice = readings["setup"].nunique(), readings[readings.duplicated("point")]
    once = len(points) - twice["point"].nunique()
    yield f"{len(points)} places, {len(readings)} readings from {setups} set-ups."
    if once:
        yield (
            f"{once} places are read once: nothing checks them, and a slip there shows only if the"
            " floor looks odd."
        )
    yield f"Along a line no two places are more than {apart:g} mm apart (common practice)" + (
        f", but for {closed} places that a no-go area takes away." if closed else "."
    )
    yield "Load the floor and fix loose boards first; chalk each name, and tick it off when read."
