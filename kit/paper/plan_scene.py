"""What a plan shows of a room: joists, services, bearers, supports, units, walls, areas."""

from __future__ import annotations

import math
from collections.abc import Iterator

from kit.answer import Answer
from kit.base.runs import Frame, Row
from kit.ink.table import records
from kit.job import Run
from kit.methods.ladder import frame_of
from kit.paper.marks import LINE, THIN, Area, Disc, Letters, Mark, Pen, Place, Stroke
from kit.paper.plan_view import SITE, Places, View, hatched, outline, rim, stroke
from kit.paper.row_places import pieces_of, zones_of

JOIST = Pen(0.13, 0.35, (6.0, 1.2, 1.2, 1.2))
SERVICE = Pen(0.5, 0.0, (3.0, 1.4))
UNIT = Pen(0.35)
BEARER = Pen(0.18)
WALL = Pen(0.8)
MOVEMENT_JOINT = Pen(0.7, 0.0, (5.0, 1.2, 0.8, 1.2))
MATCH = Pen(0.4, 0.0, (7.0, 1.5, 1.5, 1.5))
_ROW = Pen(0.13, 0.2, (2.0, 1.0))
_ZONE = Pen(0.5, 0.0, (1.0, 0.8))

BEARER_GREY, SUPPORT_GREY, SKIRTING_GREY, POUR_GREY = 0.88, 0.55, 0.8, 0.93

#: Steps in which walls are looked at [mm]: units of another run may stand where one would be.
_WALL_STEP_MM, _BESIDE_MM = 25.0, 15.0


def scene(answer: Answer, view: View) -> Iterator[Mark]:
    """Draw all of a room that a view shows, without its names.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    view : View
        Where it lies on paper.

    Yields
    ------
    Mark
        What lies lower first.
    """
    yield from _pours(answer, view)
    yield from _joists(answer, view)
    yield from _readings(answer, view)
    yield from _areas(answer, view)
    for row in answer.layout.rows:
        yield from row_marks(answer, row, view)
    yield from _rungs(answer, view)
    for placed in answer.layout.units:
        of = answer.layout.frames[placed.run]
        x = placed.left_mm, placed.right_mm
        yield from rim(view.rectangle(of, x, (0.0, placed.unit.depth_mm)), UNIT)
    yield from supports(answer, view)
    for service in answer.job.services:
        yield from stroke(view.line(SITE, service.from_mm, service.to_mm), SERVICE)
    for joint in answer.job.movement_joints:
        ends = view.line(SITE, joint.from_mm, joint.to_mm)
        yield from stroke(ends, Pen(1.6, 1.0))
        yield from stroke(ends, MOVEMENT_JOINT)
    yield from _doorways(answer, view)
    for run in answer.job.runs:
        yield from _walls(answer, run, view)
    yield from high_point(answer, view)


def _pours(answer: Answer, view: View) -> Iterator[Mark]:
    for run in answer.job.runs:
        for zone in zones_of(answer, run.name):
            corners = view.rectangle(
                zone.frame, (zone.left_mm, zone.right_mm), (0.0, zone.front_mm)
            )
            yield from outline(corners, POUR_GREY, _ZONE)


def _joists(answer: Answer, view: View) -> Iterator[Mark]:
    joists = answer.job.floor.joists
    if joists is None:
        return
    low, high = joists.bearing_mm[0], joists.bearing_mm[-1]
    across = 0 if joists.along == "y" else 1
    edge = view.edge
    corners = [(edge.left, edge.top), (edge.right, edge.bottom), (edge.left, edge.bottom)]
    corners.append((edge.right, edge.top))
    seen = [_site_of(view, corner)[across] for corner in corners]
    first, each = joists.first_mm, joists.centres_mm
    start = max(0, math.ceil((min(seen) - first) / each))
    for number in range(start, math.floor((max(seen) - first) / each) + 1):
        at = first + number * each
        ends = ((at, low), (at, high)) if across == 0 else ((low, at), (high, at))
        yield from stroke(view.line(SITE, *ends), JOIST)


def _site_of(view: View, place: Place) -> Place:
    """Return the site place [mm] of a place on the paper."""
    own = [
        at + (mm - zero) * view.scale
        for at, mm, zero in zip(view.own_mm, place, view.paper_mm, strict=True)
    ]
    x, y = view.frame.to_site(own[0], own[1])
    return float(x), float(y)


def _readings(answer: Answer, view: View) -> Iterator[Mark]:
    points = answer.heights.points
    for at in view.places(SITE, points["x_mm"].tolist(), points["y_mm"].tolist()):
        if view.shows(at):
            yield Disc(at, 0.35, 0.4, Pen(0.05, 0.4))


def _areas(answer: Answer, view: View) -> Iterator[Mark]:
    for area in answer.job.no_go:
        (x, y), (wide, deep) = area.corner_mm, area.size_mm
        corners = view.rectangle(SITE, (x, x + wide), (y, y + deep))
        if corners:
            close = area.forbids == "supports"
            yield from hatched(corners, 1.5 if close else 3.5, Pen(0.13, 0.25))
            yield from rim(corners, LINE if close else Pen(0.25, 0.0, (2.0, 1.0)))


def row_marks(answer: Answer, row: Row, view: View) -> Iterator[Mark]:
    """Draw what runs along a row and its joints; its middle where nothing does."""
    of, half = answer.layout.frames[row.run], answer.layout.bearer_width_mm / 2
    pieces = pieces_of(answer, row)
    for ends in pieces:
        corners = view.rectangle(of, ends, (row.y_mm - half, row.y_mm + half))
        yield from outline(corners, BEARER_GREY, BEARER)
    beyond = half + 0.8 * view.scale
    for _, at in pieces[:-1]:
        over, under = (at, row.y_mm - beyond), (at, row.y_mm + beyond)
        yield from stroke(view.line(of, over, under), Pen(0.6))
    if not pieces:
        yield from stroke(view.line(of, (row.start_mm, row.y_mm), (row.end_mm, row.y_mm)), _ROW)


def _rungs(answer: Answer, view: View) -> Iterator[Mark]:
    """Draw the rungs of a ladder frame."""
    if answer.base.ladder is None or answer.base.method != "ladder":
        return
    half = answer.base.ladder.thickness_mm / 2
    for one in frame_of(answer.job, answer.layout, answer.base).rungs:
        across = one.across_mm - half, one.across_mm + half
        corners = view.rectangle(one.frame, (one.start_mm, one.end_mm), across)
        yield from outline(corners, BEARER_GREY, BEARER)


def supports(answer: Answer, view: View) -> Iterator[Mark]:
    """Draw all supports to scale: packers and crossings as they lie, feet by their plates."""
    layout, round_ones = answer.layout, answer.base.method == "feet"
    along, across = (size / 2 for size in layout.packer_size_mm)
    for one in records(layout.supports):
        x, y, of = float(one["own_x_mm"]), float(one["own_y_mm"]), layout.frames[one["run"]]
        if round_ones:
            middle = view.places(of, [x], [y])[0]
            if view.shows(middle):
                yield Disc(middle, along / view.scale, SUPPORT_GREY, BEARER)
            continue
        corners = view.rectangle(of, (x - along, x + along), (y - across, y + across))
        yield from outline(corners, SUPPORT_GREY, BEARER)


def _doorways(answer: Answer, view: View) -> Iterator[Mark]:
    for door in answer.job.doorways:
        yield from stroke(view.line(SITE, door.from_mm, door.to_mm), Pen(1.0, 0.55))
        yield from stroke(view.line(SITE, door.from_mm, door.to_mm), THIN)


def _walls(answer: Answer, run: Run, view: View) -> Iterator[Mark]:
    """Draw the wall along a run with its skirting, and those at its ends."""
    of, back = answer.layout.frames[run.name], -run.skirting_mm
    beyond = 4.0 * view.scale
    left = 0.0 if run.left_wall else -beyond
    right = run.length_mm + (0.0 if run.right_wall else beyond)
    if run.skirting_mm:
        yield from outline(view.rectangle(of, (left, right), (back, 0.0)), SKIRTING_GREY, THIN)
    yield from _wall(answer, run.name, view, (left, back), (right, back))
    ends = (0.0, run.left_wall, run.units[0]), (run.length_mm, run.right_wall, run.units[-1])
    for at, there, unit in ends:
        if there:
            yield from _wall(answer, run.name, view, (at, back), (at, unit.depth_mm + beyond))


def _wall(answer: Answer, run: str, view: View, start: Place, end: Place) -> Iterator[Mark]:
    """Draw a wall's line wherever no other run's unit stands there."""
    of = answer.layout.frames[run]
    count = max(1, math.ceil(math.dist(start, end) / _WALL_STEP_MM))
    stretch: list[Place] = []
    for n in range(count + 1):
        share = n / count
        at = start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])
        if _in_units(answer, run, of, at):
            yield from _stretch(of, stretch, view)
            stretch = []
        else:
            stretch.append(at)
    yield from _stretch(of, stretch, view)


def _stretch(of: Frame, places: list[Place], view: View) -> Iterator[Mark]:
    if len(places) > 1:
        yield from stroke(view.line(of, places[0], places[-1]), WALL)


def _in_units(answer: Answer, run: str, of: Frame, at: Place) -> bool:
    """Tell whether a unit of another run stands at a place of a run's own frame, or beside it."""
    x, y = of.to_site(at[0], at[1])
    for placed in answer.layout.units:
        if placed.run != run:
            own_x, own_y = answer.layout.frames[placed.run].to_own(x, y)
            along = placed.left_mm - _BESIDE_MM < own_x < placed.right_mm + _BESIDE_MM
            if along and _BESIDE_MM < own_y < placed.unit.depth_mm + _BESIDE_MM:
                return True
    return False


def high_point(answer: Answer, view: View) -> Iterator[Mark]:
    """Draw a star at the high point."""
    at = view.places(SITE, [answer.high_point.x_mm], [answer.high_point.y_mm])[0]
    if view.shows(at):
        yield star(at)


def star(at: Place, radius_mm: float = 1.9) -> Area:
    """Return a black star of five points with a white rim."""
    points = []
    for number in range(10):
        far = radius_mm if number % 2 == 0 else radius_mm * 0.45
        turn = math.radians(36 * number - 90)
        points.append((at[0] + far * math.cos(turn), at[1] + far * math.sin(turn)))
    return Area(tuple(points), 0.0, Pen(0.2, 1.0))


def edge_marks(view: View) -> Iterator[Mark]:
    """Draw the fine line around what a plan shows."""
    edge = view.edge
    corners: Places = (
        (edge.left, edge.top),
        (edge.right, edge.top),
        (edge.right, edge.bottom),
        (edge.left, edge.bottom),
    )
    yield Stroke((*corners, corners[0]), Pen(0.1, 0.5))


def match_line(view: View, at_mm: float, said: str) -> Iterator[Mark]:
    """Draw a match line across the plan's whole height with its words over its head.

    Parameters
    ----------
    view : View
    at_mm : float
        Along its own frame [mm].
    said : str
        Where it lies.
    """
    x = view.own(at_mm, 0.0)[0]
    yield Stroke(((x, view.edge.top - 1.0), (x, view.edge.bottom)), MATCH)
    yield Letters((x, view.edge.top - 1.6), said, 2.5, "middle", bold=True, halo=True)
