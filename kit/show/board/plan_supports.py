"""Supports for the view that draws and drags them: where, how large, named on which side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np

from kit.base.layout import Layout
from kit.base.runs import Row
from kit.ink.svg import LETTERS_PX, letters_px
from kit.ink.table import records
from kit.show.board.label_places import (
    ABOVE_PX,
    BELOW_PX,
    TO_BASELINE_PX,
    Box,
    Taken,
    text_box,
)
from kit.show.board.plan_geometry import PlanFrame, Point, axes

#: A finger covers this much [px]; stacks that stand nearer share it.
FINGER_PX = 30.0

#: Between a stack and its name, and from one line of names to the next [px].
_OFF_PX, _LANE_PX = 3.0, 13.0

#: Between the line of a wall and a name behind it [px].
_WALL_PX = 5.0

#: Height of the mark of a stack moved by hand, beyond its name [px].
_MARK_PX = 10.0

_OPPOSITE = {"above": "below", "below": "above", "left": "right", "right": "left"}


class _Name(NamedTuple):
    """Where a name may stand from the middle of its stack: middle of the baseline, and the side."""

    x: float
    y: float
    side: str


class _Try(NamedTuple):
    """A side of the stack as its row has it, lines of names away from it, and px aside."""

    side: str
    lane: int = 0
    aside: float = 0.0


#: Where a name is tried, the best first: outside its row, inside, beside it, far out.
_FIRST = (_Try("outside"),)
_NEAR = (
    *(_Try("outside", 0, aside) for aside in (0.0, 5.0, -5.0)),
    *(_Try("inside", 0, aside) for aside in (0.0, 8.0, -8.0)),
    _Try("after"),
    _Try("before"),
)
_EVERY = (
    *_NEAR,
    *(_Try("outside", 1, aside) for aside in (0.0, 8.0, -8.0)),
    _Try("outside", 2),
)


def supports_data(layout: Layout, frame: PlanFrame) -> list[dict[str, Any]]:
    """Return what the view needs of each support.

    Parameters
    ----------
    layout : Layout
        Bearers and supports.
    frame : PlanFrame
        The plan.

    Returns
    -------
    list of dict
        In the order of ``layout.supports``: ``name``, ``bearer``; ``x``, ``y`` (middle of the
        stack), ``wide``, ``tall`` (size of its packers along and across the bearer) [px];
        ``turn`` (direction of the bearer's own x, clockwise [degrees]); ``ux``, ``uy`` (step in
        the picture for 1 mm along it [px/mm]); ``own_x_mm``; ``low_mm``, ``high_mm`` (between
        which own x a packer lies wholly under its bearer) [mm]; ``by_hand``; ``side`` (of the
        stack on which its name stands); ``label_x``, ``label_y`` (middle of the name's
        baseline) and ``mark_y`` (foot of the mark of a moved stack), all from the middle of the
        stack [px]; ``room`` (how much of a finger's width it has to itself, 0 to 1).
    """
    rows = records(layout.supports)
    bearers = {row.name: row for row in layout.rows}
    places = [frame.to_px(one["x_mm"], one["y_mm"]) for one in rows]
    turns = {name: axes(run) for name, run in layout.frames.items()}
    taken = Taken(text.box for text in frame.texts)
    for box in packer_boxes(layout, frame):
        taken.add(box)
    rooms = _rooms([str(one["bearer"]) for one in rows], places)
    shown = []
    for one, at, room in zip(rows, places, rooms, strict=True):
        row, turn = bearers[one["bearer"]], turns[one["run"]]
        name = _named(one, at, row, turn, (layout, frame, taken))
        shown.append(
            _placed(one, at, row, turn[0], layout, frame) | name | {"room": round(room, 3)}
        )
    return shown


def _placed(
    one: Mapping[str, Any], at: Point, row: Row, along: Point, layout: Layout, frame: PlanFrame
) -> dict[str, Any]:
    scale, (long, across) = frame.px_per_mm, layout.packer_size_mm
    return {
        "name": str(one["support"]),
        "bearer": row.name,
        "x": round(at[0], 1),
        "y": round(at[1], 1),
        "wide": round(long * scale, 1),
        "tall": round(across * scale, 1),
        "turn": float(layout.frames[row.run].direction_deg),
        "ux": round(along[0] * scale, 7),
        "uy": round(along[1] * scale, 7),
        "own_x_mm": round(float(one["own_x_mm"]), 2),
        "low_mm": round(row.start_mm + long / 2, 2),
        "high_mm": round(row.end_mm - long / 2, 2),
        "by_hand": "by_hand" in str(one["reasons"]),
    }


def _rooms(bearers: Sequence[str], places: Sequence[Point]) -> list[float]:
    """Return how far each stack is from the nearest one of its bearer, in fingers, at most 1."""
    at = np.array(places)
    last = len(at) - 1
    rooms = []
    for n, (bearer, place) in enumerate(zip(bearers, at, strict=True)):
        beside = [m for m in (n - 1, n + 1) if 0 <= m <= last and bearers[m] == bearer]
        apart = [float(np.hypot(*(at[m] - place))) / FINGER_PX for m in beside]
        rooms.append(min(1.0, *apart) if apart else 1.0)
    return rooms


def packer_boxes(layout: Layout, frame: PlanFrame) -> list[Box]:
    """Return the upright boxes around all stacks [px]."""
    halves = {name: _half_px(layout, frame, axes(run)[0]) for name, run in layout.frames.items()}
    boxes = []
    for one in records(layout.supports[["run", "x_mm", "y_mm"]]):
        (x, y), (hx, hy) = frame.to_px(one["x_mm"], one["y_mm"]), halves[one["run"]]
        boxes.append(Box(x - hx, y - hy, x + hx, y + hy))
    return boxes


def _half_px(layout: Layout, frame: PlanFrame, along: Point) -> Point:
    """Return half the width and height of the upright box around a stack [px]."""
    long, across = (size * frame.px_per_mm / 2 for size in layout.packer_size_mm)
    x, y = abs(along[0]), abs(along[1])
    return long * x + across * y, long * y + across * x


def _named(
    one: Mapping[str, Any],
    at: Point,
    row: Row,
    turn: tuple[Point, Point],
    on: tuple[Layout, PlanFrame, Taken],
) -> dict[str, Any]:
    """Find the best free place for a support's name, and take it."""
    layout, frame, taken = on
    name, by_hand = str(one["support"]), "by_hand" in str(one["reasons"])
    half = _half_px(layout, frame, turn[0])
    outside = _outside(row, turn[1])
    letters = LETTERS_PX if outside in ("above", "below") else letters_px(name)
    further = _clear_of_wall(row, frame, half, letters)
    every = _EVERY if _outermost(row, float(one["own_x_mm"]), layout) else _NEAR
    for tries in (_FIRST, every):
        ways = [_way(one, outside, further, letters_px(name), half) for one in tries]
        wanted = np.array([_room_of(way, at, name, by_hand) for way in ways])
        best, free = taken.best(wanted, frame.box)
        if free:
            break
    taken.add(Box(*wanted[best].tolist()))
    way = ways[best]
    return {
        "side": way.side,
        "label_x": round(way.x, 1),
        "label_y": round(way.y, 1),
        "mark_y": round(_mark_y(way), 1),
    }


def _mark_y(way: _Name) -> float:
    """Return the foot of the mark: beyond the name, so that it never comes between."""
    return way.y + _MARK_PX if way.side == "below" else way.y - ABOVE_PX - 1


def _room_of(way: _Name, at: Point, name: str, by_hand: bool) -> Box:
    box = text_box(at[0] + way.x, at[1] + way.y, name)
    if not by_hand:
        return box
    if way.side == "below":
        return box._replace(bottom=box.bottom + _MARK_PX - BELOW_PX)
    return box._replace(top=box.top - _MARK_PX)


def _outside(row: Row, out: Point) -> str:
    """Return on which side of its stacks a row's names stand: away from the other rows."""
    sign = -1 if row.label == "B" else 1
    x, y = sign * out[0], sign * out[1]
    if abs(y) >= abs(x):
        return "below" if y > 0 else "above"
    return "right" if x > 0 else "left"


def _outermost(row: Row, own_x_mm: float, layout: Layout) -> bool:
    """Tell whether no other row lies outside a row there, whose stacks a far name would name."""
    return row.label == "B" or not any(
        other.run == row.run
        and other.y_mm > row.y_mm
        and other.start_mm <= own_x_mm <= other.end_mm
        for other in layout.rows
    )


def _clear_of_wall(row: Row, frame: PlanFrame, half: Point, letters_out_px: float) -> float:
    """Return how much further out names stand so as not to be written on the wall's line [px]."""
    if row.label != "B":
        return 0.0
    to_wall = (row.y_mm + frame.skirting_mm[row.run]) * frame.px_per_mm - min(half)
    return to_wall + _WALL_PX - _OFF_PX if to_wall < _OFF_PX + letters_out_px + _WALL_PX else 0.0


def _way(one: _Try, outside: str, further: float, wide: float, half: Point) -> _Name:
    """Return where a name stands that is so far out, in its row's own sense of outside."""
    upright = outside in ("above", "below")
    side = {
        "outside": outside,
        "inside": _OPPOSITE[outside],
        "after": "right" if upright else "below",
        "before": "left" if upright else "above",
    }[one.side]
    off = _OFF_PX + (further if one.side == "outside" else 0.0)
    if side in ("above", "below"):
        away = half[1] + off + one.lane * _LANE_PX
        return _Name(one.aside, -away - BELOW_PX if side == "above" else away + ABOVE_PX, side)
    away = half[0] + off + wide / 2 + one.lane * (wide + _OFF_PX)
    return _Name(-away if side == "left" else away, TO_BASELINE_PX + one.aside, side)


def label_boxes(shown: Sequence[Mapping[str, Any]]) -> list[Box]:
    """Return the room that the names of supports take, from `supports_data` [px]."""
    return [
        text_box(one["x"] + one["label_x"], one["y"] + one["label_y"], one["name"]) for one in shown
    ]
