"""Plans to scale: each run in its own frame with running dimensions; a key plan of the room."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from kit.answer import Answer
from kit.base.runs import Row
from kit.ink.lengths import run_length
from kit.job import refuse
from kit.paper.key_plan import key_plan
from kit.paper.marks import Drawing
from kit.paper.row_places import (
    row_words,
    rows_of,
    run_of,
    set_out_places,
    zone_places,
    zones_of,
)
from kit.paper.run_plan import Line, RunPlan
from kit.paper.run_sheets import SMALLEST, Sheets, sheets


def plan_drawings(answer: Answer, room_mm: tuple[float, float]) -> tuple[Drawing, ...]:
    """Draw the base in plan.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    room_mm : tuple of float
        How wide and tall a drawing may be [mm of paper].

    Returns
    -------
    tuple of Drawing
        A key plan of the whole room where a run is turned, cut, or not alone; then run by run
        its drawings from left to right, its wall at the top.

    Raises
    ------
    Refusal
        Where a run cannot be drawn in the room at any scale.
    """
    runs = answer.job.runs
    drawn = [drawing for run in runs for drawing in run_drawings(answer, run.name, room_mm)]
    whole = len(drawn) == 1 and runs[0].direction_deg % 360 == 0
    return tuple(drawn) if whole else (key_plan(answer, room_mm), *drawn)


def run_sheets(answer: Answer, run: str, room_mm: tuple[float, float]) -> Sheets:
    """Return at which scale a run is drawn, and where it is cut."""
    return _chosen(answer, run, room_mm)[0]


def run_drawings(answer: Answer, run: str, room_mm: tuple[float, float]) -> tuple[Drawing, ...]:
    """Draw one run in plan, in its own frame."""
    return _chosen(answer, run, room_mm)[1]


def _chosen(
    answer: Answer, run: str, room_mm: tuple[float, float]
) -> tuple[Sheets, tuple[Drawing, ...]]:
    """Return the first way of putting a run on sheets on which all can be read."""
    lines, units = _lines(answer, run), answer.job.units
    every = list(sheets(run_of(answer, run).length_mm, room_mm[0], units))
    good = [one for one in every if one.scale <= SMALLEST[units]]
    rest = [one for one in every if one.scale > SMALLEST[units]]
    # Rather a drawing for each row than one on which packers are dots.
    for some in (good, rest):
        for groups in ([lines], [[line] for line in lines]):
            found = _first(answer, run, some, groups, room_mm)
            if found:
                return found
    raise refuse(
        f"the plan of run {run} on paper",
        f"a room of {room_mm[0]:g} by {room_mm[1]:g} mm",
        "room enough for its rows, such as a page of A4",
    )


def _first(
    answer: Answer,
    run: str,
    ways: Sequence[Sheets],
    groups: Sequence[Sequence[Line]],
    room_mm: tuple[float, float],
) -> tuple[Sheets, tuple[Drawing, ...]] | None:
    """Return the first of some ways on whose sheets all rows of each group can be read."""
    too_large = 0.0
    for one in ways:
        made = [
            RunPlan(answer, run, one, window, tuple(group), room_mm[0])
            for window in one.windows
            for group in groups
        ]
        # What is too tall at some scale is so at any larger one: it need not be drawn.
        if one.scale <= too_large or not all(plan.reads for plan in made):
            continue
        drawings = []
        for plan in made:
            drawings.append(plan.drawing())
            if drawings[-1].height_mm > room_mm[1]:
                too_large = one.scale
                break
        else:
            return one, tuple(drawings)
    return None


def _lines(answer: Answer, run: str) -> list[Line]:
    """Return what is dimensioned of a run: the back row above, all others below."""
    found = []
    for _, parts in groupby(_from_front(rows_of(answer.layout, run)), lambda row: row.line):
        # Parts of a row are measured with the tape hooked once.
        row, *others = parts
        places = [place for one in (row, *others) for place in set_out_places(answer, one)]
        words = row_words(answer, row, *others)
        found.append(Line(words, tuple(places), row.y_mm, row.label == "B"))
    zones = zones_of(answer, run)
    if zones:
        front = max(zone.front_mm for zone in zones)
        units = answer.job.units
        fronts = sorted({zone.front_mm for zone in zones})
        out = " and ".join(run_length(mm, units) for mm in fronts)
        words = f"Pour: from the plane of the units' backs {out} {units} out"
        found.append(Line(words, zone_places(zones), front, above=False))
    return found


def _from_front(rows: Sequence[Row]) -> list[Row]:
    """Return the rows in the order in which their dimensions follow: back, front, others."""
    return sorted(rows, key=lambda row: "BFMD".index(row.label))
