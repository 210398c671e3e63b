"""Names that lie still on the plan: units, no-go areas, services, joists, doorways."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from kit.base.layout import Layout
from kit.base.runs import PlacedUnit
from kit.ink.escape import cut_text
from kit.ink.lengths import length_with_unit, plan_length
from kit.ink.svg import letters_px
from kit.job import Job
from kit.show.board.label_places import TO_BASELINE_PX, Box, Taken
from kit.show.board.lettering import letters_in
from kit.show.board.plan_geometry import (
    PlanFrame,
    PlanText,
    Point,
    axes,
    bounds,
    clipped,
    clipped_line,
)

#: Room outside the rows that names of stacks need [px].
NAMES_PX = 31.0

#: Room that they need behind a wall near to a back row [px].
NAMES_BEHIND_WALL_PX = 17.0

#: A name with fewer letters than this left of it tells nothing.
_FEWEST_LETTERS = 6

#: Longest name of an area, a service or a doorway.
_MOST_LETTERS = 26

#: Letters between two rows need so much room [px].
_LINE_PX = 11.0


def ground_texts(
    job: Job, layout: Layout, frame: PlanFrame, below_px: float = 0.0
) -> tuple[PlanText, ...]:
    """Lay out the names that lie still, so that none lies on another or where stacks are named.

    Parameters
    ----------
    job, layout : Job, Layout
        What is named.
    frame : PlanFrame
        The scale, and the room there is.
    below_px : float
        How far below the picture letters may go; it is made taller then [px].

    Returns
    -------
    tuple of PlanText
        Units first.
    """
    within = frame.box._replace(bottom=frame.height_px + below_px)
    inside = {n: _inside(layout, unit, frame) for n, unit in enumerate(layout.units)}
    taken = _zones(layout, frame)
    for text in inside.values():
        if text is not None:
            taken.add(text.box)
    units = [
        inside[n] or _in_front(layout, unit, frame, taken, within)
        for n, unit in enumerate(layout.units)
    ]
    return (*units, *_captions(job, layout, frame, taken, within))


def _inside(layout: Layout, placed: PlacedUnit, frame: PlanFrame) -> PlanText | None:
    """Write a unit's name between its rows, where there is room."""
    rows = sorted(
        {row.y_mm for row in layout.rows if row.run == placed.run and placed in row.units}
    )
    back, front = max(pairwise(rows), key=lambda pair: pair[1] - pair[0])
    run = layout.frames[placed.run]
    (ux, uy), _ = axes(run)
    between = (front - back - layout.packer_size_mm[1]) * frame.px_per_mm
    along = placed.unit.width_mm * frame.px_per_mm
    level = abs(ux) >= abs(uy)
    wide, tall = (along, between) if level else (between, along)
    name = placed.unit.name
    letters, whole = letters_in(wide - 4), len(name) <= letters_in(wide - 4)
    # Over a row under a deeper unit the front row's stacks are named here too.
    needed = _LINE_PX if len(rows) < 3 else _LINE_PX + NAMES_PX / 2
    if tall < needed or not (whole or (level and letters >= _FEWEST_LETTERS)):
        return None
    middle = [(placed.left_mm + placed.right_mm) / 2]
    ((x, y),) = frame.own(run, middle, [(back + front) / 2])
    return PlanText("unit", shortened(name, letters), name, x, y + TO_BASELINE_PX, (x, y))


def shortened(name: str, letters: int) -> str:
    """Return a name of at most so many letters; a number at its end is kept, for it tells most."""
    head, _, last = name.rpartition(" ")
    room = letters - len(last) - 1
    if len(name) <= letters or not head or len(last) > 3 or room < 4:
        return cut_text(name, letters)
    return f"{cut_text(head + ' ', room)} {last}"


def _in_front(
    layout: Layout, placed: PlacedUnit, frame: PlanFrame, taken: Taken, within: Box
) -> PlanText:
    """Write a unit's name in front of it, beyond the names of its stacks."""
    run = layout.frames[placed.run]
    _, (ox, oy) = axes(run)
    middle = (placed.left_mm + placed.right_mm) / 2
    ((x, y),) = frame.own(run, [middle], [placed.unit.depth_mm])
    text = cut_text(placed.unit.name, _MOST_LETTERS)
    away = NAMES_PX + 8
    wanted = (x + ox * (away + letters_px(text) / 2), y + oy * away)
    at = taken.place(text, wanted, within)
    return PlanText("unit", text, placed.unit.name, *at, (x, y))


def _zones(layout: Layout, frame: PlanFrame) -> Taken:
    """Return where no caption may stand: on units, and outside the rows, where stacks are named."""
    taken = Taken()
    names = NAMES_PX / frame.px_per_mm
    for placed in layout.units:
        run, ends = layout.frames[placed.run], (placed.left_mm, placed.right_mm)
        for box in frame.strip_boxes(run, ends, (0.0, placed.unit.depth_mm)):
            taken.add(box)
    for row in layout.rows:
        at_wall = row.y_mm + frame.skirting_mm[row.run] + NAMES_BEHIND_WALL_PX / frame.px_per_mm
        behind, before = (max(names, at_wall), 0.0) if row.label == "B" else (0.0, names)
        across = (row.y_mm - behind, row.y_mm + before)
        for box in frame.strip_boxes(layout.frames[row.run], (row.start_mm, row.end_mm), across):
            taken.add(box)
    return taken


def _captions(
    job: Job, layout: Layout, frame: PlanFrame, taken: Taken, within: Box
) -> Iterator[PlanText]:
    for service in job.services:
        places = frame.to_px(*service.from_mm), frame.to_px(*service.to_mm)
        ends = clipped_line(*places, within)
        if ends and min(abs(ends[0][0] - ends[1][0]), abs(ends[0][1] - ends[1][1])) < 1:
            taken.add(bounds(ends))
    for kind, text, full, at in (*_areas(job, frame), *_lines(job, frame)):
        # Beside a line, on the side where there is more of the picture, and not across it.
        aside = letters_px(text) / 2 + 5 if kind in _LINES else 0.0
        near = at[0] + (aside if at[0] < frame.width_px / 2 else -aside), at[1]
        yield PlanText(kind, text, full, *taken.place(text, near, within), at)
    if job.floor.joists is not None:
        text = f"joists, centres {plan_length(job.floor.joists.centres_mm, job.units)} {job.units}"
        at = _joist_place(job, layout, frame)
        yield PlanText("joists", text, text, *taken.place(text, at, within), at)


#: Kinds of names that are of a line.
_LINES = ("service", "doorway", "movement-joint")

Caption = tuple[str, str, str, Point]


def _areas(job: Job, frame: PlanFrame) -> Iterator[Caption]:
    for area in job.no_go:
        (x, y), (wide, deep) = area.corner_mm, area.size_mm
        corners = [(x, y), (x + wide, y), (x + wide, y + deep), (x, y + deep)]
        seen = clipped([frame.to_px(*corner) for corner in corners], frame.box)
        if seen:
            box = bounds(seen)
            middle = (box.left + box.right) / 2, (box.top + box.bottom) / 2
            forbids = f": no {area.forbids}"
            text = cut_text(area.name, _MOST_LETTERS) + forbids
            yield "no-go", text, area.name + forbids, middle


def _lines(job: Job, frame: PlanFrame) -> Iterator[Caption]:
    for service in job.services:
        ends = _seen(service.from_mm, service.to_mm, frame)
        if ends:
            deep = f", {length_with_unit(service.depth_mm, job.units)} deep"
            text = cut_text(service.name, _MOST_LETTERS) + deep
            full = (
                f"{service.name}, top {length_with_unit(service.depth_mm, job.units)} below the"
                f" floor; screws keep {length_with_unit(service.clear_mm, job.units)} away"
            )
            # Its end in the room: the other one is more often behind the units.
            x, y = max(ends, key=lambda end: end[1])
            yield "service", text, full, (x, y - 12.0)
    for door in job.doorways:
        ends = _seen(door.from_mm, door.to_mm, frame)
        if ends:
            middle = (ends[0][0] + ends[1][0]) / 2, (ends[0][1] + ends[1][1]) / 2
            yield "doorway", cut_text(door.name, _MOST_LETTERS), f"doorway: {door.name}", middle
    for joint in job.movement_joints:
        ends = _seen(joint.from_mm, joint.to_mm, frame)
        if ends:
            full = f"movement joint: {joint.name}"
            x, y = max(ends, key=lambda end: end[1])
            text = f"joint: {cut_text(joint.name, _MOST_LETTERS)}"
            yield "movement-joint", text, full, (x, y - 12.0)


def _seen(start: Point, end: Point, frame: PlanFrame) -> Sequence[Point]:
    return clipped_line(frame.to_px(*start), frame.to_px(*end), frame.box)


def _joist_place(job: Job, layout: Layout, frame: PlanFrame) -> Point:
    """Return a place on a joist, in front of the first unit."""
    placed = layout.units[0]
    run = layout.frames[placed.run]
    away = placed.unit.depth_mm + NAMES_PX / frame.px_per_mm
    ((x, y),) = frame.own(run, [(placed.left_mm + placed.right_mm) / 2], [away])
    lines = joist_lines(job, frame)
    at = 0 if lines and lines[0][0][0] == lines[0][1][0] else 1
    wanted = (x, y)[at]
    nearest = min((ends[0][at] for ends in lines), key=lambda v: abs(v - wanted), default=wanted)
    return (nearest, y + 10) if at == 0 else (x, nearest)


def joist_lines(job: Job, frame: PlanFrame) -> list[Sequence[Point]]:
    """Return the centre lines of the joists as far as the plan shows them [px]."""
    joists = job.floor.joists
    if joists is None:
        return []
    (left, right), (top, bottom) = (
        values.tolist() for values in frame.to_mm([0, frame.width_px], [0, frame.height_px])
    )
    low, high = (left, right) if joists.along == "y" else (top, bottom)
    first = int((low - joists.first_mm) // joists.centres_mm)
    last = int((high - joists.first_mm) // joists.centres_mm) + 1
    start, end = joists.bearing_mm[0], joists.bearing_mm[-1]
    lines = []
    for number in range(max(first, 0), last + 1):
        at = joists.first_mm + number * joists.centres_mm
        ends = ((at, start), (at, end)) if joists.along == "y" else ((start, at), (end, at))
        seen = _seen(*ends, frame)
        if seen:
            lines.append(seen)
    return lines
