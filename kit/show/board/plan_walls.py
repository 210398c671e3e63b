"""Walls of the plan: the one along each run with its skirting, and those at its ends."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from kit.base.layout import Layout
from kit.base.runs import Floats
from kit.ink import paint
from kit.ink.svg import element, line, path
from kit.job import Job, Run
from kit.show.board.label_places import Box
from kit.show.board.plan_geometry import Outline, PlanFrame, clipped, clipped_line

#: How far a wall is drawn beyond a run's ends and in front of its units [mm].
BEYOND_MM = 250.0

#: Units of another run this near to an end stand where a wall would be drawn [mm].
_BESIDE_MM = 15.0

_WALL: dict[str, Any] = {"stroke": paint.INK, "stroke_width": 3.4, "stroke_linecap": "square"}


def behind_walls(
    job: Job, layout: Layout, frame: PlanFrame, read_mm: tuple[Floats, Floats]
) -> list[Outline]:
    """Return the parts of the picture that lie behind walls: no floor of this room is there.

    Parameters
    ----------
    job, layout, frame : Job, Layout, PlanFrame
        Runs with their walls, and the plan.
    read_mm : tuple of (n,) array
        Site x and y of the readings [mm]: where one was taken there is floor, and the wall that
        hides it is short.

    Returns
    -------
    list of list of (x, y)
        Outlines [px].
    """
    far = (frame.width_px + frame.height_px) / frame.px_per_mm
    found = []
    for run in job.runs:
        rectangles = [((-far, far), (-far, -run.skirting_mm))]
        if run.left_wall:
            rectangles.append(((-far, 0.0), (-far, far)))
        if run.right_wall:
            rectangles.append(((run.length_mm, far), (-far, far)))
        for x, y in rectangles:
            own = layout.frames[run.name]
            read = _holds(*own.to_own(*read_mm), x, y)
            if not read and not _other_units(run, layout, x, y):
                part = clipped(frame.rectangle(own, x, y), frame.box)
                found += [part] if part else []
    return found


def _other_units(run: Run, layout: Layout, x: tuple[float, float], y: tuple[float, float]) -> bool:
    """Tell whether a part of a run's own frame holds a corner of another run's units."""
    own = layout.frames[run.name]
    for placed in layout.units:
        if placed.run != run.name:
            ends, deep = [placed.left_mm, placed.right_mm], placed.unit.depth_mm
            site = layout.frames[placed.run].to_site(ends * 2, [0.0, 0.0, deep, deep])
            if _holds(*own.to_own(*site), x, y):
                return True
    return False


def _holds(at_x: Floats, at_y: Floats, x: tuple[float, float], y: tuple[float, float]) -> bool:
    """Tell whether any place lies in a rectangle; what touches its edge is in front of the wall."""
    near = 1.0
    inside = (at_x > x[0] + near) & (at_x < x[1] - near)
    inside &= (at_y > y[0] + near) & (at_y < y[1] - near)
    return bool(inside.any())


def wall_boxes(layout: Layout, frame: PlanFrame) -> list[Box]:
    """Return the room that the lines of the walls along the runs take [px]."""
    thick = 3.4 / frame.px_per_mm
    boxes = []
    for name, own in layout.frames.items():
        ends = [edge for p in layout.units if p.run == name for edge in (p.left_mm, p.right_mm)]
        back = -frame.skirting_mm[name]
        along = (min(ends) - BEYOND_MM, max(ends) + BEYOND_MM)
        boxes += frame.strip_boxes(own, along, (back - thick / 2, back + thick / 2))
    return boxes


def walls(job: Job, layout: Layout, frame: PlanFrame) -> Iterator[str]:
    """Yield the lines of all walls, and the skirtings in front of them."""
    for run in job.runs:
        own, back = layout.frames[run.name], -run.skirting_mm
        left = 0.0 if run.left_wall else -BEYOND_MM
        right = run.length_mm + (0.0 if run.right_wall else BEYOND_MM)
        if run.skirting_mm:
            strip = frame.rectangle(own, (left, right), (back, 0.0))
            look: dict[str, Any] = {
                "fill": paint.TIMBER,
                "stroke": paint.TIMBER_LINE,
                "stroke_width": 0.8,
            }
            yield element("path", d=path(clipped(strip, frame.box), closed=True), **look)
        yield _wall(frame, frame.own(own, (left, right), (back, back)))
        deep = max(unit.depth_mm for unit in run.units) + BEYOND_MM
        for at, there in ((left, run.left_wall), (right, run.right_wall)):
            if there:
                free = _free_depth(run, layout, at, deep)
                yield _wall(frame, frame.own(own, (at, at), (back, free)))


def _wall(frame: PlanFrame, ends: Outline) -> str:
    seen = clipped_line(ends[0], ends[1], frame.box)
    return line(*seen[0], *seen[1], **_WALL) if seen else ""


def _free_depth(run: Run, layout: Layout, at_mm: float, deep_mm: float) -> float:
    """Return how far a wall at a run's end reaches before another run's units stand there."""
    own = layout.frames[run.name]
    free = deep_mm
    for placed in layout.units:
        if placed.run != run.name:
            ends, deep = [placed.left_mm, placed.right_mm], placed.unit.depth_mm
            site = layout.frames[placed.run].to_site(ends * 2, [0.0, 0.0, deep, deep])
            x, y = own.to_own(*site)
            if x.min() - _BESIDE_MM < at_mm < x.max() + _BESIDE_MM and y.max() > 0:
                free = min(free, max(float(y.min()) - _BESIDE_MM, -run.skirting_mm))
    return free
