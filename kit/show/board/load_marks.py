"""What a picture of loads draws, from above: loads, the bent bearer, its stacks, their forces."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from kit.ink import paint
from kit.ink.escape import html_text
from kit.ink.lengths import length_with_unit, plan_length, signed_small
from kit.ink.svg import LETTERS_PX, box, element, halo, letters_px, line, path, words
from kit.job.units import MM_PER_INCH
from kit.show.board.elevation_floor import DOTTED
from kit.show.board.elevation_stacks import TOUCH_PX
from kit.show.board.lettering import LINE_PX
from kit.show.board.load_forces import CASE_WORDS, Pressing, StackAt
from kit.show.board.load_frame import MARK_PX, TOP_TALL_PX, LoadFrame
from kit.show.board.load_looks import (
    BREAK_PX,
    bent,
    carried_arrow,
    mark,
    meant,
    pressing_arrow,
    splice,
)
from kit.show.board.load_notes import Notes, gap_words

#: What is said in place of arrows where nothing stands on the bearer.
OWN_WEIGHT = "nothing but its own weight presses on it"


def titled(said: str, drawn: str, **attributes: object) -> str:
    """Return a group that is read out, and explained under a pointer."""
    title = element("title", html_text(said))
    return element("g", title + drawn, aria_label=said, **attributes)


def loads(frame: LoadFrame) -> Iterator[str]:
    """Yield the feet of sides and divisions, and an arrow down for what comes through them."""
    drawn = "".join(_foot(frame, x, thick) for x, thick, _ in frame.forces.panels)
    yield element("path", d=drawn, fill=paint.PANEL, class_="ufk-panels")
    if not frame.pressing:
        yield words(frame.x(0.0), frame.pressed_y - 5, OWN_WEIGHT, **halo(fill=paint.INK))
    for one in frame.pressing:
        tail = frame.pressed_y - one.force_n * frame.px_per_n
        drawn = pressing_arrow(frame.x(one.x_mm), tail, frame.pressed_y)
        yield titled(pressing_said(frame, one), drawn, role="img")


def _foot(frame: LoadFrame, x_mm: float, thick_mm: float) -> str:
    x, half = frame.x(x_mm), max(thick_mm * frame.along.px_per_mm, 1.0) / 2
    left, right, top, foot = x - half, x + half, frame.panels_y, frame.pressed_y
    return path([(left, top), (right, top), (right, foot), (left, foot)], closed=True)


def pressing_said(frame: LoadFrame, one: Pressing) -> str:
    """Return a load in words."""
    units = frame.units
    what = "side or division" if len(one.of_mm) == 1 else "sides or divisions"
    at = ", ".join(plan_length(mm, units) for mm in one.of_mm)
    return f"{what} at {at} {units}: {one.force_n:.0f} N"


def bearer(frame: LoadFrame) -> Iterator[str]:
    """Yield the level that was meant, and each piece as it lies, with a break between them."""
    first, last = frame.curves[0][0][0], frame.curves[-1][-1][0]
    yield meant(first, last, frame.meant_y)
    count = len(frame.curves)
    for number, points in enumerate(frame.curves):
        (x0, y0), *inner, (x1, y1) = points
        start = x0 + BREAK_PX * (number > 0)
        end = x1 - BREAK_PX * (number < count - 1)
        drawn = bent([(start, y0), *inner, (end, y1)]) + "".join(_splices(frame, number))
        yield titled(_piece_said(frame, number), drawn, role="img")


def _splices(frame: LoadFrame, number: int) -> Iterator[str]:
    one = frame.forces.laid[number]
    beam, heights = one.piece.beam, one.cases[frame.forces.case].line.heights_mm
    for hinge in beam.hinges:
        yield splice(frame.x(beam.supports_mm[hinge]), frame.y(float(heights[hinge])))


def _piece_said(frame: LoadFrame, number: int) -> str:
    piece, (places, heights) = frame.forces.laid[number].piece, frame.forces.lines[number]
    units, case = frame.units, CASE_WORDS[frame.forces.case]
    ends = " to ".join(length_with_unit(float(mm), units) for mm in (places[0], places[-1]))
    low, high = (signed_small(float(mm), units) for mm in (heights.min(), heights.max()))
    return (
        f"bearer {piece.name}, {ends}: from {low} to {high} {units} against the level that was"
        f" meant, {case}"
    )


def scale_bar(frame: LoadFrame) -> Iterator[str]:
    """Yield an upright bar at the right that tells how high a height is."""
    one = 1.0 if frame.units == "mm" else MM_PER_INCH
    text = f"{frame.bar_mm / one:g} {frame.units}"
    x, middle = frame.along.end_px + 16, frame.middle_y
    half = frame.bar_mm * frame.px_per_high_mm / 2
    look = {"stroke": paint.INK, "stroke_width": 1.6}
    ends = (middle - half, middle + half)
    drawn = line(x, ends[0], x, ends[1], class_="ufk-scale", **look)
    drawn += "".join(line(x - 4, y, x + 4, y, **look) for y in ends)
    yield titled(f"scale of heights: {text}", drawn, role="img")
    yield words(x + 8, middle + 4, text)


def leaders(frame: LoadFrame) -> Iterator[str]:
    """Yield the line on which the arrows stand, and dotted lines from stacks to their names."""
    yield line(frame.x(0.0), frame.foot_y, frame.along.end_px, frame.foot_y, stroke=paint.FAINT_INK)
    ends = []
    for stack, lane in frame.named():
        x, tip = frame.x(stack.x_mm), frame.foot_y - stack.carried_n * frame.px_per_n
        ends.append([(x, frame.y(stack.top_mm) + TOP_TALL_PX), (x, tip)])
        if lane:
            ends.append([(x, frame.foot_y), (x, _name_y(frame, lane) - 10)])
    drawn = "".join(path(both) for both in ends)
    yield element("path", d=drawn, stroke=paint.FAINT_INK, stroke_width=0.7, **DOTTED)


def stacks(frame: LoadFrame, chosen: str, said: Mapping[str, str]) -> Iterator[str]:
    """Yield each stack as a group that can be chosen and is read out: top, mark, force, name."""
    lane_of = {one.name: lane for one, lane in frame.named()}
    for stack in frame.stacks:
        drawn = [
            _touch(frame, stack),
            _top(frame, stack),
            *(mark(one.kind, one.x, one.y) for one in frame.marks[stack.name]),
            _force(frame, stack),
        ]
        if stack.name == chosen:
            drawn.append(_ring(frame, stack))
        if stack.name in lane_of:
            drawn.append(_name(frame, stack, lane_of[stack.name], stack.name == chosen))
        yield titled(
            said[stack.name],
            "".join(drawn),
            class_="ufk-stack",
            data_support=stack.name,
            role="button",
            tabindex="0",
            aria_pressed="true" if stack.name == chosen else "false",
        )
    yield words(_unit_x(frame), _name_y(frame, 0) + LINE_PX, "N", fill=paint.INK)


def stack_said(frame: LoadFrame, stack: StackAt) -> str:
    """Return a stack in words, as it is read out."""
    units, several = frame.units, len(frame.forces.laid) > 1
    carried = f"carries {stack.newtons} N" if stack.carries else "carries nothing"
    idle = "".join(
        f"; {gap_words(one.gap_mm, units)}" + f" under piece {one.piece}" * several
        for one in stack.idle
    )
    rocks = f"; {stack.rocks}" if stack.rocks else ""
    error = f"top {signed_small(stack.top_mm, units)} {units}"
    return f"{stack.name}, {CASE_WORDS[frame.forces.case]}: {carried}{idle}{rocks}; {error}"


def note_words(notes: Notes) -> Iterator[str]:
    """Yield the words at the stacks' tops; a tap goes through them."""
    for one in notes.placed:
        look = halo(stroke_width=5, text_anchor="middle", fill=paint.INK, pointer_events="none")
        yield words(one.x, one.y, one.text, class_="ufk-note", **look)


def _name_y(frame: LoadFrame, lane: int) -> float:
    return frame.foot_y + 3 + 2 * LINE_PX * lane + LETTERS_PX


def _unit_x(frame: LoadFrame) -> float:
    last = frame.stacks[-1]
    return max(frame.along.end_px, frame.x(last.x_mm) + letters_px(last.newtons) / 2) + 8


def _touch(frame: LoadFrame, stack: StackAt) -> str:
    half = max(frame.top_half_px, TOUCH_PX / 2)
    top = frame.y(stack.top_mm)
    return box(
        frame.x(stack.x_mm) - half,
        top,
        2 * half,
        frame.names_end_y - top,
        fill="#fff",
        fill_opacity=0,
    )


def _top(frame: LoadFrame, stack: StackAt) -> str:
    half = frame.top_half_px
    left, top = frame.x(stack.x_mm) - half, frame.y(stack.top_mm)
    return box(left, top, 2 * half, TOP_TALL_PX, fill=paint.INK, class_="ufk-top")


def _force(frame: LoadFrame, stack: StackAt) -> str:
    if not stack.carries:
        return ""
    tip = frame.foot_y - stack.carried_n * frame.px_per_n
    return carried_arrow(frame.x(stack.x_mm), frame.foot_y, tip)


def _ring(frame: LoadFrame, stack: StackAt) -> str:
    x, marks = frame.x(stack.x_mm), frame.marks[stack.name]
    half = max(frame.top_half_px, *(abs(one.x - x) + MARK_PX / 2 for one in marks)) + 4
    top, foot = frame.y(stack.top_mm) - 3, max(one.y for one in marks) + MARK_PX / 2 + 3
    look = {"fill": "none", "stroke": paint.INK, "stroke_width": 3.4, "class_": "ufk-ring"}
    return box(x - half, top, 2 * half, foot - top, **look)


def _name(frame: LoadFrame, stack: StackAt, lane: int, chosen: bool) -> str:
    """Return name and newtons of a stack, below its arrow."""
    x, y = frame.x(stack.x_mm), _name_y(frame, lane)
    weight = {"font_weight": "bold"}
    if chosen:
        weight["text_decoration"] = "underline"
    both = words(x, y, stack.name, **weight) + words(x, y + LINE_PX, stack.newtons)
    return element("g", both, **halo(text_anchor="middle", fill=paint.INK))
