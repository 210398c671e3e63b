"""What stands on the stacks in an elevation: bearer, units, levels, plinth; and the walls."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from kit.base.runs import PlacedUnit
from kit.ink import paint
from kit.ink.escape import cut_text, html_text
from kit.ink.svg import box, element, halo, line, path, words
from kit.show.board.elevation_floor import DOTTED
from kit.show.board.elevation_frame import Frame
from kit.show.board.lettering import LINE_PX, apart, hatched, letters_in

#: Thickness of a wall that bounds a run, as drawn [px].
WALL_PX = 9.0

#: How far the break line goes up and down [px].
BREAK_PX = 4.0

#: Lines of a unit's name at most; fewer letters than this are not written.
NAME_LINES, LEAST_LETTERS = 2, 3


def walls(frame: Frame) -> Iterator[str]:
    """Yield the walls beside the run, from the break line down to the ground."""
    top, tall = frame.units_y, frame.ground_y - frame.units_y
    for there, left, edge in (
        (frame.run.left_wall, frame.left_px - WALL_PX, frame.left_px),
        (frame.run.right_wall, frame.end_px, frame.end_px),
    ):
        if there:
            yield hatched(left, top, WALL_PX, tall, step_px=5, stroke=paint.FAINT_INK)
            yield line(
                edge, top, edge, top + tall, stroke=paint.INK, stroke_width=1.6, class_="ufk-wall"
            )


def units(frame: Frame) -> Iterator[str]:
    """Yield the units' lower part, cut off by a break line, and their names."""
    foot = frame.y(frame.part.top_mm)
    for placed in frame.part.row.units:
        head = max(frame.y(frame.part.top_mm + placed.unit.height_mm), frame.units_y)
        wide = placed.unit.width_mm * frame.px_per_mm
        yield box(
            frame.x(placed.left_mm), head, wide, foot - head, fill=paint.UNIT, stroke=paint.PANEL
        )
        for panel in placed.panels:
            across = panel.thickness_mm * frame.px_per_mm
            left = frame.x(panel.x_mm) - across / 2
            yield box(left, head, across, foot - head, fill=paint.PANEL)
    yield _break(frame)
    yield from (_name(frame, placed) for placed in frame.part.row.units)


def _break(frame: Frame) -> str:
    """Return paper over the upper end of the units and the break line: they go on above."""
    members = frame.part.row.units
    left, right = frame.x(members[0].left_mm) - 3, frame.x(members[-1].right_mm) + 3
    steps = max(int((right - left) / 14), 2)
    zigzag = [
        (left + (right - left) * n / steps, frame.units_y + BREAK_PX * (1 if n % 2 else -1))
        for n in range(steps + 1)
    ]
    above = [(right, frame.units_y - 6), (left, frame.units_y - 6)]
    paper = element("path", d=path([*zigzag, *above], closed=True), fill=paint.PAPER)
    return paper + element("path", d=path(zigzag), fill="none", stroke=paint.UNIT_LINE)


def _name(frame: Frame, placed: PlacedUnit) -> str:
    """Return a unit's name in at most two lines; the whole name shows under a pointer."""
    middle = frame.x((placed.left_mm + placed.right_mm) / 2)
    letters = letters_in(placed.unit.width_mm * frame.px_per_mm - 6)
    if letters < LEAST_LETTERS:
        return ""
    lines = textwrap.wrap(placed.unit.name, letters)
    if len(lines) > NAME_LINES:
        lines = [*lines[: NAME_LINES - 1], " ".join(lines[NAME_LINES - 1 :])]
    whole = element("title", html_text(placed.unit.name))
    look = halo(stroke=paint.UNIT, text_anchor="middle", fill=paint.INK)
    return "".join(
        element(
            "text",
            html_text(cut_text(text, letters)) + whole,
            x=middle,
            y=frame.units_y + 20 + number * LINE_PX,
            **look,
        )
        for number, text in enumerate(lines)
    )


def bearer(frame: Frame) -> Iterator[str]:
    """Yield the pieces of the bearer and a mark at each joint."""
    part = frame.part
    top, tall = frame.y(part.top_mm), (part.top_mm - part.underside_mm) * frame.px_per_high_mm
    rim = {"stroke": paint.TIMBER_LINE, "stroke_width": 1.4}
    for a, b in part.pieces:
        left, right = frame.x(a), frame.x(b)
        yield box(left, top, right - left, tall, fill=paint.TIMBER, **rim)
        grain = "".join(path([(left, y), (right, y)]) for y in (top + tall / 3, top + tall / 1.5))
        yield element("path", d=grain, stroke=paint.TIMBER_LINE, stroke_width=0.4)
    yield from (joint(frame.x(x), top, tall) for x in part.joints_mm)


def joint(x: float, top: float, tall: float) -> str:
    """Return the mark of a joint: a thick line with a bow across it [px]."""
    middle, half = top + tall / 2, min(tall / 2, 5.0)
    upper, lower = middle - half, middle + half
    bow = [(x - 6, upper), (x + 6, lower), (x + 6, upper), (x - 6, lower)]
    return line(x, top, x, top + tall, stroke=paint.INK, stroke_width=2.4) + element(
        "path", d=path(bow, closed=True), fill=paint.INK
    )


def levels(frame: Frame) -> Iterator[str]:
    """Yield the lines of base top and underside and of the plinth's edge, named at the right."""
    heights = [frame.y(mm) for mm, _ in frame.levels.named]
    places = apart(heights, LINE_PX, frame.units_y)
    for (mm, text), y, place in zip(frame.levels.named, heights, places, strict=True):
        plinth = mm < frame.part.underside_mm
        look: dict[str, object] = (
            {"stroke": paint.MARK, "stroke_width": 1.8, "stroke_dasharray": "8 4"}
            if plinth
            else {"stroke": paint.ACCENT, "stroke_width": 1.2, "stroke_dasharray": "9 3 2 3"}
        )
        start, end = frame.x(0.0), frame.end_px + WALL_PX + 2
        yield line(start, y, end, y, **look)
        yield line(end, y, end + 7, place, stroke=paint.INK, stroke_width=0.7, **DOTTED)
        yield words(end + 9, place + 4, text, fill=paint.INK)
