"""What lies still under the supports: walls, joists, services, no-go areas, bearers, units."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from kit.base.cuts import CutPlan
from kit.base.layout import Layout
from kit.base.runs import PlacedUnit, Row
from kit.ink import paint
from kit.ink.escape import html_text
from kit.ink.lengths import length_with_unit, plan_length
from kit.ink.svg import box, element, halo, line, path, words
from kit.ink.table import records
from kit.job import Job
from kit.show.board.label_places import Box
from kit.show.board.lettering import hatched
from kit.show.board.plan_geometry import (
    PlanFrame,
    PlanText,
    Point,
    bounds,
    clipped,
    clipped_line,
)
from kit.show.board.plan_joists import joist_shapes
from kit.show.board.plan_walls import walls
from kit.show.board.sag_mark import deepest_texts
from kit.strength.joists import JoistWork, NoJoists

Look = dict[str, Any]

#: Where nobody worked out what the joists do.
_NO_SAGS = NoJoists("not worked out")


def ground_layer(
    job: Job,
    layout: Layout,
    cuts: CutPlan,
    frame: PlanFrame,
    joists: JoistWork | NoJoists = _NO_SAGS,
) -> str:
    """Draw what lies still under the supports.

    Parameters
    ----------
    job : Job
        Joists, no-go areas, services, doorways, walls.
    layout : Layout
        Units and bearers.
    cuts : CutPlan
        Where the bearers are joined; bearers that it does not know are drawn whole.
    frame : PlanFrame
        The plan, with the names that lie still.
    joists : JoistWork or NoJoists
        What the joists do under the furniture, to shade them by; plain where it is not known.

    Returns
    -------
    str
        One ``<g>``.
    """
    parts = [
        *joist_shapes(job, frame, joists),
        *_services(job, frame),
        *(part for row in layout.rows for part in _bearer(row, layout, cuts, frame)),
        *(part for placed in layout.units for part in _unit(placed, layout, frame)),
        *_no_go(job, frame),
        *_movement_joints(job, frame),
        *walls(job, layout, frame),
        *_doorways(job, frame),
        *(_name(text) for text in frame.texts),
    ]
    return element("g", "".join(parts), class_="ufk-ground", pointer_events="none")


def title(text: str) -> str:
    """Return what is said of an element when it is pointed at, or read out."""
    return element("title", html_text(text))


def shape(points: Sequence[Point], said: str = "", **look: Any) -> str:
    """Return a closed outline, with what is said of it."""
    inner = title(said) if said else ""
    return element("path", inner, d=path(points, closed=True), **look)


def _unit(placed: PlacedUnit, layout: Layout, frame: PlanFrame) -> Iterator[str]:
    run, deep = layout.frames[placed.run], placed.unit.depth_mm
    corners = frame.rectangle(run, (placed.left_mm, placed.right_mm), (0.0, deep))
    yield shape(corners, placed.unit.name, fill="none", stroke=paint.INK, stroke_width=1.4)
    for panel in placed.panels:
        start, end = frame.own(run, (panel.x_mm, panel.x_mm), (0.0, deep))
        yield line(
            *start,
            *end,
            stroke=paint.UNIT_LINE,
            stroke_opacity=0.75,
            stroke_width=max(panel.thickness_mm * frame.px_per_mm, 2.5),
        )


def _bearer(row: Row, layout: Layout, cuts: CutPlan, frame: PlanFrame) -> Iterator[str]:
    half = layout.bearer_width_mm / 2
    across = (row.y_mm - half, row.y_mm + half)
    run = layout.frames[row.run]
    pieces = [one for one in records(cuts.cuts) if one["bearer"] == row.name]
    fits = pieces and pieces[0]["from_x_mm"] == row.start_mm
    fits = fits and pieces[-1]["to_x_mm"] == row.end_mm
    ends = [(one["from_x_mm"], one["to_x_mm"]) for one in pieces] if fits else []
    for number, piece in enumerate(ends or [(row.start_mm, row.end_mm)], start=1):
        said = f"bearer {row.name}" + f", piece {number} of {len(ends)}" * (len(ends) > 1)
        corners = frame.rectangle(run, piece, across)
        look = {"fill": paint.TIMBER, "fill_opacity": 0.6, "stroke": paint.TIMBER_LINE}
        yield shape(corners, said, stroke_width=1.1, **look)
    beyond = half + 5 / frame.px_per_mm
    for at, _ in ends[1:]:
        mark = frame.own(run, (at, at), (row.y_mm - beyond, row.y_mm + beyond))
        yield element(
            "path",
            title(f"joint of bearer {row.name}"),
            d=path(mark),
            stroke=paint.TIMBER_LINE,
            stroke_width=2.4,
            class_="ufk-joint",
        )


def bearer_boxes(layout: Layout, frame: PlanFrame) -> list[Box]:
    """Return the room that bearers take [px]."""
    half = layout.bearer_width_mm / 2
    return [
        one
        for row in layout.rows
        for one in frame.strip_boxes(
            layout.frames[row.run], (row.start_mm, row.end_mm), (row.y_mm - half, row.y_mm + half)
        )
    ]


def panel_boxes(layout: Layout, frame: PlanFrame) -> list[Box]:
    """Return the room that sides and divisions take [px]."""
    return [
        bounds(frame.own(layout.frames[p.run], (one.x_mm,) * 2, (0.0, p.unit.depth_mm)))
        for p in layout.units
        for one in p.panels
    ]


def no_go_boxes(job: Job, frame: PlanFrame) -> list[Box]:
    """Return the room that no-go areas take [px]."""
    boxes = []
    for area in job.no_go:
        (x, y), (wide, deep) = area.corner_mm, area.size_mm
        boxes.append(Box(*frame.to_px(x, y), *frame.to_px(x + wide, y + deep)))
    return boxes


def sag_texts(
    job: Job,
    layout: Layout,
    frame: PlanFrame,
    joists: JoistWork | NoJoists,
    besides: Iterable[Box] = (),
) -> list[PlanText]:
    """Return the words beside the deepest place of the worst joist; none where it is not shown.

    They keep off all that lies still on the plan, and off the boxes given [px].
    """
    keep_off = [
        *bearer_boxes(layout, frame),
        *panel_boxes(layout, frame),
        *no_go_boxes(job, frame),
        *besides,
    ]
    return deepest_texts(job, layout, frame, joists, keep_off)


def _services(job: Job, frame: PlanFrame) -> Iterator[str]:
    for service in job.services:
        start, end = frame.to_px(*service.from_mm), frame.to_px(*service.to_mm)
        seen = clipped_line(start, end, frame.box)
        if not seen:
            continue
        clear = f"screws keep {length_with_unit(service.clear_mm, job.units)} away"
        strip = clipped(_strip(start, end, service.clear_mm * frame.px_per_mm), frame.box)
        rim = {"stroke": paint.SERVICE, "stroke_width": 0.8, "stroke_dasharray": "2 3"}
        fill = {"fill": paint.SERVICE, "fill_opacity": 0.13}
        yield shape(strip, f"{service.name}: {clear}", **fill, **rim)
        yield line(*seen[0], *seen[1], stroke=paint.SERVICE, stroke_width=2.4)


def _strip(start: Point, end: Point, half: float) -> list[Point]:
    """Return the outline of a line made wide; longer by that at both ends."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    size = (dx * dx + dy * dy) ** 0.5
    ax, ay = (dx / size * half, dy / size * half) if size else (half, 0.0)
    (x0, y0), (x1, y1) = (start[0] - ax, start[1] - ay), (end[0] + ax, end[1] + ay)
    return [(x0 - ay, y0 + ax), (x1 - ay, y1 + ax), (x1 + ay, y1 - ax), (x0 + ay, y0 - ax)]


def _no_go(job: Job, frame: PlanFrame) -> Iterator[str]:
    for area in job.no_go:
        (x, y), (wide, deep) = area.corner_mm, area.size_mm
        (left, top), (right, bottom) = frame.to_px(x, y), frame.to_px(x + wide, y + deep)
        seen = clipped([(left, top), (right, top), (right, bottom), (left, bottom)], frame.box)
        if not seen:
            continue
        at: Box = bounds(seen)
        size = (at.left, at.top, at.right - at.left, at.bottom - at.top)
        said = (
            f"{area.name}: no {area.forbids}, {plan_length(wide, job.units)} by"
            f" {plan_length(deep, job.units)} {job.units}"
        )
        dash: Look = {"stroke_dasharray": "6 3"} if area.forbids == "screws" else {}
        yield element(
            "g",
            title(said)
            + hatched(*size, stroke=paint.NO_GO, stroke_width=1)
            + box(*size, fill="none", stroke=paint.NO_GO, stroke_width=1.8, **dash),
            class_="ufk-no-go",
        )


def _movement_joints(job: Job, frame: PlanFrame) -> Iterator[str]:
    for joint in job.movement_joints:
        start, end = frame.to_px(*joint.from_mm), frame.to_px(*joint.to_mm)
        seen = clipped_line(start, end, frame.box)
        if seen:
            clear = f"base keeps {length_with_unit(joint.clear_mm, job.units)} away"
            under: Look = {"stroke": paint.PAPER, "stroke_width": 5, "stroke_opacity": 0.8}
            yield line(*seen[0], *seen[1], **under)
            look = {"stroke": paint.JOINT, "stroke_width": 2.2, "stroke_dasharray": "12 4 2 4"}
            said = title(f"movement joint: {joint.name}: {clear}")
            yield element("path", said, d=path(seen), class_="ufk-movement-joint", **look)


def _doorways(job: Job, frame: PlanFrame) -> Iterator[str]:
    for door in job.doorways:
        seen = clipped_line(frame.to_px(*door.from_mm), frame.to_px(*door.to_mm), frame.box)
        if seen:
            start, end = seen
            yield line(*start, *end, stroke=paint.PAPER, stroke_width=7)
            look = {"stroke": paint.INK, "stroke_width": 2, "stroke_dasharray": "7 3"}
            yield element("path", title(f"doorway: {door.name}"), d=path(seen), **look)


def _name(text: PlanText) -> str:
    look = {"text_anchor": "middle", "fill": paint.INK}
    lead = leader(text.box, text.at, stroke=paint.FAINT_INK)
    written = words(text.x, text.y, text.text, **halo(**look))
    return element("g", title(text.full) + lead + written, class_=f"ufk-name-{text.kind}")


def leader(box_px: Box, at: Point, **look: Any) -> str:
    """Return a thin line from letters to the place that they speak of; none where they touch."""
    # Letters are mostly narrower than the room that is kept for them.
    narrower = 0.1 * (box_px.right - box_px.left)
    x = min(max(at[0], box_px.left + narrower), box_px.right - narrower)
    y = min(max(at[1], box_px.top), box_px.bottom)
    if (x - at[0]) ** 2 + (y - at[1]) ** 2 < 36:
        return ""
    return line(*at, x, y, **{"stroke_width": 1, **look})
