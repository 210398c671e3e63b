"""Words at the stacks' tops in a picture of loads: gaps and rocking, none on another."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from kit.ink.lengths import Units, small
from kit.ink.svg import letters_px
from kit.show.board.label_places import ABOVE_PX, BELOW_PX, TO_BASELINE_PX, Box, Taken, text_box
from kit.show.board.load_forces import StackAt
from kit.show.board.load_frame import BAR_PX, MARK_PX, TOP_TALL_PX, LoadFrame
from kit.show.board.load_looks import TIMBER_PX

#: How far below their mark words may stand [px]: long ones soon seem to belong elsewhere.
LONG_DOWN_PX, BRIEF_DOWN_PX = 20, 48


class Words(NamedTuple):
    """Words at their place: middle of their baseline [px]."""

    x: float
    y: float
    text: str


class Wanted(NamedTuple):
    """Words that belong to a mark: its middle [px], what is said at best, and in short.

    How far down the words at best may stand [px].
    """

    x: float
    y: float
    long: str
    brief: str
    down_px: int


class Room(NamedTuple):
    """Where words may stand: what is taken, and the picture's part that is theirs."""

    taken: Taken
    within: Box


class Notes(NamedTuple):
    """Words that found room, whether in short, and how many did not find any."""

    placed: tuple[Words, ...]
    brief: bool
    left_out: int


def gap_words(gap_mm: float, units: Units) -> str:
    """Say how far the bearer is above an idle stack."""
    text = small(gap_mm, units)
    return f"idle, {text} {units}" if text.strip("0.") else "idle, touching"


def notes(frame: LoadFrame) -> Notes:
    """Find places for all words; where the gaps do not fit in full, for their figures alone."""
    rocks = [one for stack in frame.stacks for one in _rocking(frame, stack)]
    gaps = [one for stack in frame.stacks for one in _gaps(frame, stack)]
    if not rocks and not gaps:
        return Notes((), False, 0)
    within = Box(2.0, frame.pressed_y, frame.along.width_px - 2, frame.marks_end_y)
    obstacles = list(_obstacles(frame))
    for brief in (False, True):
        room = Room(Taken(obstacles), within)
        # Where a piece rocks is said first: it matters more than any one gap.
        first = [_found(room, one, False) or _found(room, one, True) for one in rocks]
        then = list(_each(room, gaps, brief))
        if len(then) == len(gaps) and all(then):
            break
    placed = tuple(one for found in (*first, *then) for one in found)
    return Notes(placed, brief, len(rocks) + len(gaps) - len(placed))


def _each(room: Room, gaps: list[Wanted], brief: bool) -> Iterator[tuple[Words, ...]]:
    """Yield the place of each gap; those in full give up at the first that has none."""
    for one in gaps:
        found = _found(room, one, brief)
        yield found
        if not found and not brief:
            return


def _rocking(frame: LoadFrame, stack: StackAt) -> Iterator[Wanted]:
    for mark in frame.marks[stack.name]:
        if mark.kind == "rocks":
            yield Wanted(mark.x, mark.y, stack.rocks, "rocks", BRIEF_DOWN_PX)


def _gaps(frame: LoadFrame, stack: StackAt) -> Iterator[Wanted]:
    for mark in frame.marks[stack.name]:
        if mark.kind == "idle":
            gap = mark.bearing.gap_mm
            yield Wanted(
                mark.x, mark.y, gap_words(gap, frame.units), small(gap, frame.units), LONG_DOWN_PX
            )


def _found(room: Room, one: Wanted, brief: bool) -> tuple[Words, ...]:
    """Find a place for words and take it; nothing where there is none."""
    text = one.brief if brief else one.long
    boxes = np.array(list(_offers(one, text, room.within, brief)))
    best, free = room.taken.best(boxes, room.within)
    if not free:
        return ()
    box = Box(*boxes[best].tolist())
    room.taken.add(box)
    return (Words((box.left + box.right) / 2, box.bottom - BELOW_PX, text),)


def _offers(one: Wanted, text: str, within: Box, brief: bool) -> Iterator[Box]:
    """Yield places from the best: long words beside the mark, short ones below it."""
    half = letters_px(text) / 2
    aside = half + MARK_PX / 2 + 7
    level = one.y + TO_BASELINE_PX
    beside = [text_box(one.x + aside, level, text), text_box(one.x - aside, level, text)]
    middle = min(max(one.x, within.left + half), within.right - half)
    under = one.y + MARK_PX / 2 + ABOVE_PX + 5
    below = [
        text_box(x, under + down, text)
        for down in range(0, BRIEF_DOWN_PX if brief else one.down_px, 4)
        for x in ((middle,) if brief else (middle, one.x + half - 6, one.x - half + 6))
    ]
    yield from (*below, *beside) if brief else (*beside, *below)


def _obstacles(frame: LoadFrame) -> Iterator[Box]:
    """Yield what must stay readable: the lines, the stacks' tops, their marks, the scale bar."""
    for points in frame.curves:
        for (a, b), (c, d) in zip(points[::3], points[3::3], strict=False):
            yield Box(a, min(b, d) - TIMBER_PX - 1, c, max(b, d) + 1)
    start, end = frame.curves[0][0][0], frame.curves[-1][-1][0]
    yield Box(start, frame.meant_y - 3, end, frame.meant_y + 2)
    half, reach = frame.top_half_px, MARK_PX / 2 + 1
    for stack in frame.stacks:
        x, top = frame.x(stack.x_mm), frame.y(stack.top_mm)
        yield Box(x - half, top, x + half, top + TOP_TALL_PX)
        for one in frame.marks[stack.name]:
            yield Box(one.x - reach, one.y - reach, one.x + reach, one.y + reach)
    right, middle = frame.along.end_px, frame.middle_y
    yield Box(right + 12, middle - BAR_PX / 2 - 4, frame.along.width_px, middle + BAR_PX / 2 + 4)
