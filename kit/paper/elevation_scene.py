"""What an elevation shows: floor and doubt, packers, feet, bearer, scribed member, pour, datum."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import accumulate

import numpy as np

from kit.ink.lengths import printed_figures
from kit.ink.table import records
from kit.paper.elevation_view import ElevationView
from kit.paper.label_places import ABOVE
from kit.paper.letters import letters_wide_mm
from kit.paper.marks import LINE, THIN, Area, Letters, Mark, Pen, Place, Stroke, box
from kit.paper.plan_scene import BEARER_GREY, MATCH, SUPPORT_GREY, star
from kit.paper.plan_view import clipped, hatched
from kit.paper.row_places import Support, zones_of

#: Greys from the thinnest packer to the thickest.
_THIN_GREY, _THICK_GREY = 0.3, 0.95

_DATUM = Pen(0.3, 0.0, (4.0, 1.0, 1.0, 1.0))
_TOP = Pen(0.2, 0.0, (2.0, 1.0))
_DOUBT = Pen(0.1, 0.3, (1.0, 0.8))
_GROUND_GREY, _DOUBT_GREY, _POUR_GREY = 0.86, 0.66, 0.97

#: Plate of a foot and its head as drawn, and the width of its stem as a share of the plate.
_PLATE_MM, _STEM = 1.6, 0.22


def elevation_scene(view: ElevationView) -> Iterator[Mark]:
    """Draw all that is seen of a row in its window, without letters beside it."""
    yield from _pour(view)
    yield from _member(view)
    yield from _ground(view)
    yield from _floor_line(view)
    yield from _bearer(view)
    feet = view.section.answer.base.method == "feet"
    for one in view.section.supports:
        if view.window.holds(one.at_mm):
            yield from _foot(view, one) if feet else _stack(view, one)
    yield from _levels(view)
    high = view.section.high_point
    if high and view.window.holds(high[0]):
        yield star((view.x(high[0]), view.y(high[1])))
    for at in view.window.matches_mm:
        x, edge = view.x(at), view.edge
        yield Stroke(((x, edge.top - 1.0), (x, edge.bottom)), MATCH)


def packer_greys(thicknesses_mm: tuple[float, ...]) -> dict[float, float]:
    """Return a grey for each thickness of packer: the thinner, the darker."""
    order = sorted(set(thicknesses_mm))
    steps = max(len(order) - 1, 1)
    return {
        one: _THIN_GREY + (_THICK_GREY - _THIN_GREY) * place / steps
        for place, one in enumerate(order)
    }


def _cut(view: ElevationView, places: list[Place], grey: float, pen: Pen) -> Iterator[Mark]:
    """Draw an area as far as the window shows it; it need be convex only between its ends."""
    corners = clipped(tuple(places), view.edge)
    if corners:
        yield Area(corners, grey, pen)


def _line(view: ElevationView, x_mm: np.ndarray, height_mm: np.ndarray) -> list[Place]:
    """Return a line of heights along the run as far as the window shows it [mm of paper]."""
    low, high = view.inside(float(x_mm[0])), view.inside(float(x_mm[-1]))
    inner = x_mm[(x_mm > low) & (x_mm < high)]
    at = np.concatenate([[low], inner, [high]])
    heights = np.interp(at, x_mm, height_mm)
    pairs = zip(at.tolist(), heights.tolist(), strict=True)
    return [(view.x(x), view.y(z)) for x, z in pairs] if low < high else []


def _ground(view: ElevationView) -> Iterator[Mark]:
    floor, low = view.section.floor, view.edge.bottom
    for one in floor.stretches():
        x, z, sd = floor.x_mm[one], floor.height_mm[one], floor.sd_mm[one]
        line = _line(view, x, z)
        if line:
            yield Area((*line, (line[-1][0], low), (line[0][0], low)), _GROUND_GREY, Pen(0.0))
            upper, lower = _line(view, x, z + sd), _line(view, x, z - sd)
            yield Area((*upper, *lower[::-1]), _DOUBT_GREY, _DOUBT)


def _floor_line(view: ElevationView) -> Iterator[Mark]:
    floor = view.section.floor
    for one in floor.stretches():
        line = _line(view, floor.x_mm[one], floor.height_mm[one])
        if line:
            yield Stroke(tuple(line), Pen(0.4))


def _body(view: ElevationView, x_mm: np.ndarray, low_mm: np.ndarray, grey: float) -> Iterator[Mark]:
    """Draw what reaches from a line along the floor up to the base top."""
    line = _line(view, x_mm, low_mm)
    if line:
        top = view.y(view.section.top_mm)
        yield Area(((line[0][0], top), (line[-1][0], top), *line[::-1]), grey, LINE)


def _pour(view: ElevationView) -> Iterator[Mark]:
    zones, floor = zones_of(view.section.answer, view.section.row.run), view.section.floor
    if not zones:
        return
    for one in floor.stretches():
        yield from _body(view, floor.x_mm[one], floor.height_mm[one], _POUR_GREY)
    top, low = view.y(view.section.top_mm), view.edge.bottom
    for at in sorted({edge for zone in zones for edge in (zone.left_mm, zone.right_mm)}):
        if view.window.holds(at):
            yield Stroke(((view.x(at), top - 1.5), (view.x(at), low)), Pen(0.3, 0.0, (1.0, 0.8)))


def member_profile(view: ElevationView) -> tuple[np.ndarray, np.ndarray]:
    """Return the scribed edge of a row's member: along the run, and its depth there [mm]."""
    table, row = view.section.answer.details.get("profile.csv"), view.section.row
    found = [] if table is None else [one for one in records(table) if one["member"] == row.name]
    frame = view.section.answer.layout.frames[row.run]
    x, _ = frame.to_own([one["x_mm"] for one in found], [one["y_mm"] for one in found])
    depth = np.array([one["depth_mm"] for one in found], dtype=float)
    order = np.argsort(x, kind="stable")
    return x[order], depth[order]


def _member(view: ElevationView) -> Iterator[Mark]:
    x, depth = member_profile(view)
    known = np.isfinite(depth)
    if known.sum() < 2:
        return
    yield from _body(view, x[known], view.section.top_mm - depth[known], BEARER_GREY)
    # Rungs and joints stand where supports are named.
    yield from _joints(view, view.section.top_mm, view.section.top_mm - float(depth[known].max()))


def _bearer(view: ElevationView) -> Iterator[Mark]:
    section = view.section
    if not section.answer.datum.bearer_mm:
        return
    top, low = view.y(section.top_mm), view.y(section.underside_mm)
    for start, end in section.pieces:
        left, right = view.x(view.inside(start)), view.x(view.inside(end))
        if left < right:
            yield Area(box(left, top, right - left, low - top), BEARER_GREY, LINE)
    yield from _joints(view, section.top_mm, section.underside_mm)


def _joints(view: ElevationView, top_mm: float, low_mm: float) -> Iterator[Mark]:
    for _, at in view.section.pieces[:-1]:
        if view.window.holds(at):
            x = view.x(at)
            yield Stroke(((x, view.y(top_mm) - 1.2), (x, view.y(low_mm))), Pen(0.7))


def _stack(view: ElevationView, one: Support) -> Iterator[Mark]:
    """Draw a support's packers from the floor up, with their printed sizes where there is room."""
    section = view.section
    packers = section.answer.job.stock.packers
    greys = packer_greys(tuple(packer.thickness_mm for packer in packers))
    wide = section.answer.layout.packer_size_mm[0] / view.scale
    left = view.x(one.at_mm) - wide / 2
    thick = [packers[kind].thickness_mm for kind in one.kinds]
    bottoms = accumulate(thick, initial=one.floor_mm)
    sizes = [packers[kind].mm for kind in one.kinds]
    printed, _ = printed_figures(sizes, section.answer.job.units)
    for kind, bottom, said in zip(one.kinds, bottoms, printed, strict=False):
        tall = packers[kind].thickness_mm / view.height_scale
        top, grey = view.y(bottom) - tall, greys[packers[kind].thickness_mm]
        yield from _cut(view, list(box(left, top, wide, tall)), grey, Pen(0.2))
        # White letters do not print well on grey: a figure stands only on a light packer.
        fits = tall >= 2.5 * ABOVE + 0.5 and wide >= letters_wide_mm(said, 2.5) + 0.1
        if fits and grey >= 0.5:
            base = top + tall / 2 + 0.36 * 2.5
            yield Letters((left + wide / 2, base), said, 2.5, "middle")


def _foot(view: ElevationView, one: Support) -> Iterator[Mark]:
    """Draw a foot: plate on the floor, stem, head under the unit."""
    half = view.section.answer.layout.packer_size_mm[0] / 2 / view.scale
    x, low, top = view.x(one.at_mm), view.y(one.floor_mm), view.y(view.section.underside_mm)
    stem = half * _STEM
    yield Area(box(x - stem, top, 2 * stem, low - top), 0.8, LINE)
    plates = ((low - _PLATE_MM, half), (top, half * 0.6))
    for y, wide in plates:
        yield Area(box(x - wide, y, 2 * wide, _PLATE_MM), SUPPORT_GREY, LINE)


def _levels(view: ElevationView) -> Iterator[Mark]:
    """Draw the datum line, and the base top where it is another."""
    section, edge = view.section, view.edge
    left, right = edge.left, edge.right
    y = view.y(section.underside_mm)
    yield Stroke(((left, y), (right, y)), _DATUM)
    if section.answer.datum.bearer_mm:
        top = view.y(section.top_mm)
        yield Stroke(((left, top), (right, top)), _TOP)


def unread(view: ElevationView) -> Iterator[Mark]:
    """Hatch what nobody read of the floor under the row."""
    section, edge = view.section, view.edge
    known = section.floor.stretches()
    edges = [section.row.start_mm]
    for one in known:
        edges += [float(section.floor.x_mm[one.start]), float(section.floor.x_mm[one.stop - 1])]
    edges.append(section.row.end_mm)
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        left, right = view.x(view.inside(start)), view.x(view.inside(end))
        if right - left > 0.2:
            top = view.y(section.lowest_mm)
            yield from hatched(box(left, top, right - left, edge.bottom - top), 2.0, THIN)
