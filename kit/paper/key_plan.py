"""A key plan: the whole room at a smaller scale, with x and y as the job has them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from kit.answer import Answer
from kit.base.overlaps import corners
from kit.paper.label_places import Box, Taken, letters_box, lines_within
from kit.paper.marks import Drawing, Letters, Mark, Pen, Place, Stroke
from kit.paper.plan_names import Namer, key_lines, name_supports, put_names, support_boxes
from kit.paper.plan_scene import edge_marks, scene
from kit.paper.plan_view import SITE, View
from kit.paper.scales import largest_scale, scale_bar, scale_words

_AROUND_MM, _TITLE_MM, _NOTE_MM, _STEP_MM = 8.0, 3.5, 2.5, 3.3

#: What title, scale bar and notes take above and below the plan [mm of paper].
_BESIDE_MM = 38.0

#: How tall the plan itself may be: it is only the key to the others [mm of paper].
_TALLEST_MM = 150.0

_ARROW = Pen(0.35)


def key_plan(answer: Answer, room_mm: tuple[float, float]) -> Drawing:
    """Draw all runs in the room's own frame.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    room_mm : tuple of float
        How wide and tall it may be [mm of paper].

    Returns
    -------
    Drawing
        Without dimensions, which stand in each run's own plan.
    """
    low, high = _extent_mm(answer)
    real = high[0] - low[0], high[1] - low[1]
    tall = min(room_mm[1] - _BESIDE_MM, _TALLEST_MM)
    paper = room_mm[0] - 2 * _AROUND_MM, tall - 2 * _AROUND_MM
    scale = largest_scale(real, paper, answer.job.units)
    wide, top = real[0] / scale + 2 * _AROUND_MM, 6.5
    left = (room_mm[0] - wide) / 2
    edge = Box(left, top, left + wide, top + real[1] / scale + 2 * _AROUND_MM)
    view = View(SITE, scale, low, (left + _AROUND_MM, top + _AROUND_MM), edge)
    title = f"Key plan of the room, {scale_words(scale, answer.job.units)}"
    body, key = _body(answer, view)
    notes, y = _notes(answer, view, key, room_mm[0])
    marks = (Letters((0.0, 3.6), title, _TITLE_MM, bold=True), *edge_marks(view), *body, *notes)
    return Drawing(room_mm[0], y, marks, f"{title}, seen from above: {_said(answer)}", scale)


def _extent_mm(answer: Answer) -> tuple[Place, Place]:
    """Return the site rectangle around all units [mm]."""
    found = [
        place
        for placed in answer.layout.units
        for place in corners(
            answer.layout.frames[placed.run],
            placed.left_mm,
            placed.right_mm,
            0.0,
            placed.unit.depth_mm,
        ).tolist()
    ]
    x, y = [place[0] for place in found], [place[1] for place in found]
    return (min(x), min(y)), (max(x), max(y))


def _body(answer: Answer, view: View) -> tuple[list[Mark], list[str]]:
    taken = Taken(view.edge, support_boxes(answer, view))
    arrows = [mark for run in answer.job.runs for mark in _run_arrow(answer, run.name, view)]
    arrows += _axes(view)
    taken.take(*(letters_box(mark) for mark in arrows if isinstance(mark, Letters)))
    namer = Namer(view, taken)
    put_names(answer, namer)
    name_supports(answer, namer)
    return [*scene(answer, view), *arrows, *namer.marks], namer.key


def _run_arrow(answer: Answer, run: str, view: View) -> Iterator[Mark]:
    """Draw an arrow along a run's wall from its left end, with the run's name."""
    of = answer.layout.frames[run]
    deepest = max(p.unit.depth_mm for p in answer.layout.units if p.run == run)
    out = deepest + 4.5 * view.scale
    start, end = (at for at in view.places(of, [0.0, 14.0 * view.scale], [out, out]))
    yield from arrow(start, end)
    ahead = (end[0] - start[0]) / 14.0, (end[1] - start[1]) / 14.0
    reach = 2.4
    at = end[0] + ahead[0] * reach, end[1] + ahead[1] * reach + 0.9
    yield Letters(at, run, 3.5, "middle", bold=True, halo=True)


def _axes(view: View) -> Iterator[Mark]:
    """Draw arrows of the room's x and y in the upper left corner."""
    at = view.edge.left + 1.5, view.edge.top + 1.5
    yield from arrow(at, (at[0] + 7.0, at[1]))
    yield from arrow(at, (at[0], at[1] + 7.0))
    yield Letters((at[0] + 8.0, at[1] + 1.6), "x", 2.5, halo=True)
    yield Letters((at[0] - 0.4, at[1] + 9.6), "y", 2.5, halo=True)


def arrow(start: Place, end: Place) -> Iterator[Mark]:
    """Draw an arrow from a place to another."""
    yield Stroke((start, end), _ARROW)
    turn = math.atan2(end[1] - start[1], end[0] - start[0])
    wings = [
        (end[0] - 2.0 * math.cos(turn + side), end[1] - 2.0 * math.sin(turn + side))
        for side in (0.4, -0.4)
    ]
    yield Stroke((wings[0], end, wings[1]), _ARROW)


def _notes(answer: Answer, view: View, key: list[str], width_mm: float) -> tuple[list[Mark], float]:
    y = view.edge.bottom + 8.0
    marks: list[Mark] = list(scale_bar(view.scale, answer.job.units, (2.0, y), 80.0))
    y += 4.2
    said = "Arrows: each run from its left end; x and y are the room's own. Dots: readings."
    for text in (said, *key_lines(key)):
        for line in lines_within(text, _NOTE_MM, width_mm - 1.0):
            marks.append(Letters((0.5, y), line, _NOTE_MM))
            y += _STEP_MM
    return marks, y


def _said(answer: Answer) -> str:
    runs = answer.job.runs
    turned = ", ".join(f"run {run.name} at {run.direction_deg:g} degrees" for run in runs)
    return f"{turned}; units, rows, supports, walls and areas by their names, without dimensions."
