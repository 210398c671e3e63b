"""The base in a drawing file: units, what carries them, supports with their heights, dimensions."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from kit.answer import Answer
from kit.base.ladder_frame import LadderFrame
from kit.base.overlaps import corners
from kit.base.pour_zones import pour_zones
from kit.base.runs import Frame, PlacedUnit
from kit.ink.base_tables import stack_lines
from kit.ink.lengths import Units, length, rounding
from kit.ink.table import records
from kit.ink.words import on_bearers, on_packers
from kit.job import Run
from kit.methods.ladder import frame_of
from kit.paper.dxf_pencil import LEAST_LETTERS_MM, LETTERS_MM, Pencil, upright
from kit.paper.dxf_room import LINE_TALL, letters_wide

#: Lines of dimensions behind the wall, and beside a run [mm].
_UNITS_BEHIND_MM, _RUN_BEHIND_MM, _ROWS_BESIDE_MM = 120.0, 200.0, 120.0

#: Half of the stroke at an end of a dimension, and how far its letters stand off it [mm].
_TICK_MM, _OFF_MM = 12.0, 22.0

#: Share of the room between two supports that the longer line of their letters takes.
_SHARE = 0.92


def draw_base(pencil: Pencil, answer: Answer) -> None:
    """Draw the base; the supports' letters stand first, so that all others keep off them.

    Parameters
    ----------
    pencil : Pencil
        Draws.
    answer : Answer
        Any way of building.
    """
    _supports(pencil, answer)
    for run in answer.job.runs:
        _dimensions(pencil, answer, run)
    _units(pencil, answer)
    if on_bearers(answer.ground):
        _bearers(pencil, answer)
    if answer.base.ladder is not None and answer.base.method == "ladder":
        _frame(pencil, answer, frame_of(answer.job, answer.layout, answer.base))
    if answer.base.compound is not None and answer.base.method == "compound":
        for zone in pour_zones(answer.job, answer.base.compound):
            pencil.outline("POUR", zone.corners_mm.tolist())


def shown(mm: float, units: Units) -> str:
    """Return a length for the drawing: tenths of a millimetre, or sixteenths and their error."""
    if units == "mm":
        return f"{round(mm, 1) + 0.0:g}"
    off = rounding(mm, units)
    return f"{length(mm, units)} ({off})"


def support_labels(answer: Answer) -> Iterator[tuple[str, str]]:
    """Yield each support's name, and how high its stack is, or what else is wanted there."""
    units = answer.job.units
    if on_packers(answer):
        heights = {name: height for name, _, height, _, _ in stack_lines(answer)}
    else:
        heights = dict(zip(answer.supports["support"], answer.supports["target_mm"], strict=True))
    for name, mm in heights.items():
        off = f" ({rounding(mm, units)})" if units == "in" else ""
        yield str(name), f"{length(mm, units)}{off}"


def _supports(pencil: Pencil, answer: Answer) -> None:
    layout, labels = answer.layout, dict(support_labels(answer))
    along, across = (size / 2 for size in layout.packer_size_mm)
    rooms = label_rooms_mm(answer, labels)
    usual = min([LETTERS_MM, *(room for room in rooms.values() if room >= LEAST_LETTERS_MM)])
    crowded = []
    for one in records(answer.supports):
        own, (x, y) = layout.frames[one["run"]], (one["own_x_mm"], one["own_y_mm"])
        places = corners(own, x - along, x + along, y - across, y + across)
        pencil.outline("SUPPORTS", places.tolist())
        lines, below = (one["support"], labels[one["support"]]), y + across
        if rooms[one["support"]] >= usual:
            _beside(pencil, own, lines, (x, below), usual)
        else:
            at = own.to_site(x, below + 2 * LEAST_LETTERS_MM)
            crowded.append((lines, (float(at[0]), float(at[1]))))
    for lines, place in crowded:
        pencil.lines("SUPPORTS", lines, place, size_mm=LEAST_LETTERS_MM)


def _beside(
    pencil: Pencil, own: Frame, lines: Sequence[str], edge_mm: tuple[float, float], size_mm: float
) -> None:
    """Write lines along the run in front of a support's edge, given in the run's own frame."""
    direction = own.direction_deg
    # Letters that are turned over so as not to stand on their heads are read from the wall.
    turned = abs(upright(direction) + direction) % 360.0 > 1.0
    for number, text in enumerate(lines[::-1] if turned else lines):
        down = size_mm * (0.8 + LINE_TALL * number)
        x, y = (float(value) for value in own.to_site(edge_mm[0], edge_mm[1] + down))
        pencil.text("SUPPORTS", text, (x, y), size_mm=size_mm, direction_deg=direction)


def label_rooms_mm(answer: Answer, labels: Mapping[str, str]) -> dict[str, float]:
    """Return the size at which each support's letters do not reach those of the next [mm].

    Parameters
    ----------
    answer : Answer
        Its supports.
    labels : mapping of str to str
        What stands below each support's name.
    """
    widest = max(letters_wide(line) for pair in labels.items() for line in pair)
    rooms: dict[str, float] = {}
    for bearer in dict.fromkeys(answer.supports["bearer"]):
        row = answer.layout.on_bearer(bearer).sort_values("own_x_mm", kind="stable")
        gaps = [math.inf, *(b - a for a, b in pairwise(row["own_x_mm"].tolist())), math.inf]
        for name, (before, after) in zip(row["support"], pairwise(gaps), strict=True):
            rooms[str(name)] = _SHARE * min(before, after) / widest
    return rooms


def _units(pencil: Pencil, answer: Answer) -> None:
    for placed in answer.layout.units:
        own, deep = answer.layout.frames[placed.run], placed.unit.depth_mm
        places = corners(own, placed.left_mm, placed.right_mm, 0.0, deep)
        pencil.outline("UNITS", places.tolist())
        for panel in placed.panels:
            start, end = zip(*own.to_site([panel.x_mm] * 2, [0.0, deep]), strict=True)
            pencil.line("PANELS", start, end)
        x, y = places.mean(axis=0).tolist()
        pencil.name("UNITS", placed.unit.name, (x, y))


def _bearers(pencil: Pencil, answer: Answer) -> None:
    """Draw each piece of bearer, and where two of one bearer meet."""
    layout, half = answer.layout, answer.layout.bearer_width_mm / 2
    for one in records(answer.cuts.cuts):
        row = layout.row(one["bearer"])
        own, across = layout.frames[row.run], (row.y_mm - half, row.y_mm + half)
        pencil.outline("BEARERS", corners(own, one["from_x_mm"], one["to_x_mm"], *across).tolist())
    _joints(pencil, answer, half)


def _joints(pencil: Pencil, answer: Answer, half_mm: float) -> None:
    rows = {row.name: row for row in answer.layout.rows}
    for one in records(answer.cuts.cuts):
        if one["piece"] > 1 and one["bearer"] in rows:
            row, at = rows[one["bearer"]], one["from_x_mm"]
            own = answer.layout.frames[row.run]
            ends = own.to_site([at, at], [row.y_mm - half_mm, row.y_mm + half_mm])
            pencil.line("JOINTS", *zip(*ends, strict=True))


def _frame(pencil: Pencil, answer: Answer, frame: LadderFrame) -> None:
    half = frame.thickness_mm / 2
    for one in frame.members:
        across = one.across_mm - half, one.across_mm + half
        pencil.outline("FRAME", corners(one.frame, one.start_mm, one.end_mm, *across).tolist())
    _joints(pencil, answer, half)


@dataclass(frozen=True)
class _Ruler:
    """Draws dimensions in a run's own frame."""

    pencil: Pencil
    own: Frame
    units: Units

    def place(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        x, y = self.own.to_site(x_mm, y_mm)
        return float(x), float(y)

    def along(self, places_mm: Sequence[float], y_mm: float) -> None:
        """Draw lengths one after the other along the run."""
        ends = places_mm[0], places_mm[-1]
        self.pencil.line("DIMENSIONS", *(self.place(x, y_mm) for x in ends))
        for x in places_mm:
            self.tick(x, y_mm)
        for start, end in pairwise(places_mm):
            text = shown(end - start, self.units)
            size = min(LETTERS_MM, _SHARE * (end - start) / letters_wide(text))
            at = self.place((start + end) / 2, y_mm - _OFF_MM)
            self.write(text, at, size)

    def out(self, places_mm: Sequence[float], x_mm: float, side: int) -> None:
        """Draw how far places stand out from the plane of the backs, letters left or right."""
        ends = 0.0, places_mm[-1]
        self.pencil.line("DIMENSIONS", *(self.place(x_mm, y) for y in ends))
        self.tick(x_mm, 0.0)
        for y in places_mm:
            self.tick(x_mm, y)
            text = shown(y, self.units)
            wide = LETTERS_MM * letters_wide(text)
            self.write(text, self.place(x_mm + side * (_OFF_MM + wide / 2), y), LETTERS_MM)

    def tick(self, x_mm: float, y_mm: float) -> None:
        ends = (x_mm - _TICK_MM, y_mm + _TICK_MM), (x_mm + _TICK_MM, y_mm - _TICK_MM)
        self.pencil.line("DIMENSIONS", *(self.place(*end) for end in ends))

    def write(self, text: str, at: tuple[float, float], size_mm: float) -> None:
        turned = self.own.direction_deg
        self.pencil.text("DIMENSIONS", text, at, size_mm=size_mm, direction_deg=turned)


def _dimensions(pencil: Pencil, answer: Answer, run: Run) -> None:
    """Draw lengths of the run and of its units behind the wall, and rows beside it."""
    layout = answer.layout
    ruler = _Ruler(pencil, layout.frames[run.name], answer.job.units)
    edges = {edge for one in layout.units if one.run == run.name for edge in _edges(one)}
    ruler.along(sorted(edges), -run.skirting_mm - _UNITS_BEHIND_MM)
    if len(edges) > 2:
        ruler.along([min(edges), max(edges)], -run.skirting_mm - _RUN_BEHIND_MM)
    rows = {round(row.y_mm, 6) for row in layout.rows if row.run == run.name}
    if _stands_left(answer, run, max(rows)):
        ruler.out(sorted(rows), run.length_mm + _ROWS_BESIDE_MM, 1)
    else:
        ruler.out(sorted(rows), -_ROWS_BESIDE_MM, -1)


def _stands_left(answer: Answer, run: Run, front_mm: float) -> bool:
    """Tell whether units of another run stand where the rows' dimensions would, left of a run."""
    own = answer.layout.frames[run.name]
    for placed in answer.layout.units:
        if placed.run != run.name:
            ends, deep = [placed.left_mm, placed.right_mm], placed.unit.depth_mm
            site = answer.layout.frames[placed.run].to_site(ends * 2, [0.0, 0.0, deep, deep])
            x, y = own.to_own(*site)
            beside = x.min() < 0 and x.max() > -3 * _ROWS_BESIDE_MM
            if beside and y.min() < front_mm and y.max() > 0:
                return True
    return False


def _edges(placed: PlacedUnit) -> tuple[float, float]:
    return round(placed.left_mm, 6), round(placed.right_mm, 6)
