"""The joists on the plan: each at its own width, shaded by its final sag under the furniture."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from kit.ink import paint
from kit.ink.escape import html_text
from kit.ink.lengths import Units, plan_length, small
from kit.ink.svg import box, element, line
from kit.job import Job, Joists
from kit.show.board.label_places import Box
from kit.show.board.lettering import hatched
from kit.show.board.plan_geometry import PlanFrame, Point
from kit.show.board.plan_texts import joist_lines
from kit.show.board.sag_bands import SagBands, sag_bands
from kit.show.strength_words import left_out_words
from kit.strength.joists import JoistSag, JoistWork, NoJoists

#: Between places at which a joist's sag is looked at [px].
_LOOK_PX = 2.0


@dataclass(frozen=True)
class Strip:
    """What the plan shows of one joist.

    Parameters
    ----------
    number : int
        The joist's, from 1, the one at ``first_mm``.
    middle_mm : float
        Place of its middle on the axis across the joists [mm].
    across_mm, along_mm : tuple of float
        Its edges across and its ends along, cut off where the picture ends [mm].
    upright : bool
        Whether it runs along y.
    """

    number: int
    middle_mm: float
    across_mm: tuple[float, float]
    along_mm: tuple[float, float]
    upright: bool

    def place(self, frame: PlanFrame, along_mm: float, across_mm: float) -> Point:
        """Return where a place of the joist is drawn [px]."""
        both = (across_mm, along_mm) if self.upright else (along_mm, across_mm)
        return frame.to_px(*both)

    def box(self, frame: PlanFrame, start_mm: float, end_mm: float) -> Box:
        """Return the rectangle of a part of it, from one place along it to another [px]."""
        low, high = self.across_mm
        return Box(*self.place(frame, start_mm, low), *self.place(frame, end_mm, high))


def joist_strips(joists: Joists, frame: PlanFrame) -> list[Strip]:
    """Return what a plan shows of the joists, from the first one on.

    Parameters
    ----------
    joists : Joists
        ``job.floor.joists``.
    frame : PlanFrame
        The plan.
    """
    upright = joists.along == "y"
    x, y = (
        (float(low), float(high))
        for low, high in frame.to_mm([0, frame.width_px], [0, frame.height_px])
    )
    (left, right), (top, bottom) = (x, y) if upright else (y, x)
    ends = max(joists.bearing_mm[0], top), min(joists.bearing_mm[-1], bottom)
    half, each = joists.width_mm / 2, joists.centres_mm
    first = max(0, math.ceil((left - half - joists.first_mm) / each))
    last = math.floor((right + half - joists.first_mm) / each)
    strips = []
    for number in range(first, last + 1):
        at = joists.first_mm + number * each
        edges = max(at - half, left), min(at + half, right)
        if edges[0] < edges[1] and ends[0] < ends[1]:
            strips.append(Strip(number + 1, at, edges, ends, upright))
    return strips


def joist_boxes(job: Job, frame: PlanFrame) -> list[Box]:
    """Return the room that joists take, shaded or not [px]."""
    joists = job.floor.joists
    shown = [] if joists is None else joist_strips(joists, frame)
    return [one.box(frame, *one.along_mm) for one in shown]


def shaded(job: Job, joists: JoistWork | NoJoists) -> JoistWork | NoJoists:
    """Return the work of the joists that a job has; where it is of others, that it is not known."""
    if isinstance(joists, NoJoists) or joists.given == job.floor.joists:
        return joists
    return NoJoists("worked out for other joists than these")


def joist_shapes(job: Job, frame: PlanFrame, joists: JoistWork | NoJoists) -> Iterator[str]:
    """Draw the joists.

    Parameters
    ----------
    job : Job
        Its joists; without any nothing is drawn.
    frame : PlanFrame
        The plan; nothing is drawn outside it.
    joists : JoistWork or NoJoists
        What they do under the furniture. Where that is not known, or is of other joists than the
        job's, they are drawn plain.

    Yields
    ------
    str
        One ``<g>`` a joist, with its title; of plain ones two lines each.
    """
    work = shaded(job, joists)
    if isinstance(work, NoJoists):
        yield from _plain(job, frame)
        return
    bands = sag_bands(work, job.units)
    for strip in joist_strips(work.given, frame):
        inner = element("title", html_text(joist_words(work, strip.number, job.units)))
        joist = joist_of(work, strip.number)
        if joist is not None and not joist.computed:
            drawn = _not_computed(strip, frame)
        else:
            drawn = "".join(_shades(work, joist, strip, bands, frame))
        yield element("g", inner + drawn, class_="ufk-joist")


def _plain(job: Job, frame: PlanFrame) -> Iterator[str]:
    joists = job.floor.joists
    if joists is None:
        return
    wide = joists.width_mm * frame.px_per_mm
    for start, end in joist_lines(job, frame):
        yield line(*start, *end, stroke=paint.TIMBER_LINE, stroke_width=wide, stroke_opacity=0.13)
        yield line(*start, *end, stroke=paint.TIMBER_LINE, stroke_dasharray="9 5", stroke_width=0.9)


def joist_of(work: JoistWork, number: int) -> JoistSag | None:
    """Return a joist that something stands on or beside; None for one further on."""
    return work.joists[number - 1] if number <= len(work.joists) else None


def joist_words(work: JoistWork, number: int, units: Units) -> str:
    """Return what is said of one joist.

    Parameters
    ----------
    work : JoistWork
    number : int
        The joist's, from 1.
    units : {"mm", "in"}
        The job's units.
    """
    at = plan_length(work.grid.across_mm(number), units)
    where, joist = f"joist at {work.grid.across} = {at} {units}", joist_of(work, number)
    if joist is None or not joist.carries:
        return f"{where}: carries nothing of the furniture"
    if not joist.computed:
        return f"{where}: not computed, {left_out_words(joist, units)}"
    sags = f"sags {small(joist.greatest_final_mm, units)} {units} at most"
    return f"{where}: {sags} (final, furniture alone)"


def _shades(
    work: JoistWork, joist: JoistSag | None, strip: Strip, bands: SagBands, frame: PlanFrame
) -> Iterator[str]:
    start, end = strip.along_mm
    count = max(2, math.ceil((end - start) * frame.px_per_mm / _LOOK_PX))
    edges = np.linspace(start, end, count + 1)
    middles = (edges[:-1] + edges[1:]) / 2
    sags = np.zeros(count) if joist is None else work.sag_final_mm(joist, middles)
    numbers = bands.number_of(sags)
    turns = (np.flatnonzero(np.diff(numbers)) + 1).tolist()
    for first, last in pairwise([0, *turns, count]):
        number = int(numbers[first])
        tone = bands.tones[number]
        part = strip.box(frame, float(edges[first]), float(edges[last]))
        look: dict[str, Any] = {"fill": tone, "class_": "ufk-sag", "data_band": number}
        yield _rectangle(part, **look)
    rim = {"fill": "none", "stroke": paint.TIMBER_LINE, "stroke_width": 0.9}
    yield _rectangle(strip.box(frame, *strip.along_mm), **rim)


def _not_computed(strip: Strip, frame: PlanFrame) -> str:
    whole = strip.box(frame, *strip.along_mm)
    size = (whole.left, whole.top, whole.right - whole.left, whole.bottom - whole.top)
    rim: dict[str, Any] = {"stroke": paint.TIMBER_LINE, "stroke_dasharray": "5 3"}
    return box(*size, fill=paint.PAPER, **rim) + hatched(
        *size, step_px=5, stroke=paint.TIMBER_LINE, stroke_width=1
    )


def _rectangle(part: Box, **look: Any) -> str:
    return box(part.left, part.top, part.right - part.left, part.bottom - part.top, **look)
