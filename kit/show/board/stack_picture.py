"""One stack drawn large and true to scale: floor, packers, bearer, screws and their limit."""

from __future__ import annotations

import math
from collections.abc import Iterator

from kit.answer import Answer
from kit.ink import paint
from kit.ink.escape import html_text
from kit.ink.svg import Picture, box, element, line, path, words
from kit.ink.table import records
from kit.show.board.elevation_floor import DOTTED
from kit.show.board.lettering import LINE_PX, apart, fitted, hatched, paragraph
from kit.show.board.stack_facts import Screw, stack_facts
from kit.show.board.stack_frame import StackFrame
from kit.show.board.stack_words import height_words, limit_words, screw_words

#: Shank, head and length of the point of a screw as drawn [mm] (a common wood screw of 4 mm,
#: from memory; the answer knows only lengths).
SHANK_MM, HEAD_MM, TIP_MM = 4.0, 8.0, 5.0

#: Numbers of screws stand at least this far apart [px].
NUMBER_PX = 17.0


def stack_picture(answer: Answer, support: str, width_px: float) -> Picture:
    """Draw one stack large and true to scale, cut along its bearer.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    support : str
        Name of the support.
    width_px : float
        Width of the picture [px].

    Returns
    -------
    Picture
        Names and dimensions stand beside the drawing, at small widths below it.

    Raises
    ------
    Refusal
        If there is no such support.
    """
    frame = StackFrame(stack_facts(answer, support), width_px)
    names, names_end = _names(frame)
    screws, screws_end = _screws(frame)
    drawn = [
        paragraph(2, 13, frame.head),
        *_floor(frame),
        *_build(frame),
        *_limit(frame),
        screws,
        *_dimensions(frame),
        names,
    ]
    lines = [part for text in _below(frame) for part in fitted(text, width_px - 4)]
    top = max(names_end, screws_end) + LINE_PX + 6
    drawn.append(paragraph(2, top, lines))
    bottom = top + LINE_PX * max(len(lines) - 1, 0) + 6
    return Picture(width_px, bottom, "".join(drawn), _said(frame))


def _floor(frame: StackFrame) -> Iterator[str]:
    """Yield board and void or the solid, and the floor's surface with its doubt."""
    facts, floor = frame.facts, frame.facts.answer.job.floor
    left, wide = frame.x(-frame.half_mm), 2 * frame.half_mm * frame.px_per_mm
    deep = (floor.board_mm or 0.0) if floor.kind == "boarded" else -frame.low_mm
    top, tall = frame.y(0.0), deep * frame.px_per_mm
    yield box(left, top, wide, tall, fill=paint.FLOOR)
    if floor.kind == "solid":
        yield hatched(left, top, wide, tall, step_px=10, stroke=paint.FLOOR_LINE, stroke_width=0.4)
    else:
        edge = top + tall
        yield line(left, edge, left + wide, edge, stroke=paint.FLOOR_LINE, stroke_width=1.2)
    for service in facts.near:
        y = frame.y(-service.depth_mm)
        look = {"stroke": paint.SERVICE, "stroke_width": 3, "stroke_dasharray": "10 3 3 3"}
        yield line(left, y, left + wide, y, **look)
    doubt = facts.doubt_mm * frame.px_per_mm
    rim: dict[str, object] = {"stroke": paint.FLOOR_LINE, "stroke_width": 0.7, **DOTTED}
    yield box(left, top - doubt, wide, 2 * doubt, fill=paint.DOUBT, **rim)
    yield line(
        left, top, left + wide, top,
        stroke=paint.FLOOR_LINE, stroke_width=2, class_="ufk-floor-line",
    )  # fmt: skip


def _build(frame: StackFrame) -> Iterator[str]:
    """Yield the packers, the bearer's pieces, and the panels that stand above."""
    facts = frame.facts
    tones = paint.packer_tones([p.thickness_mm for p in facts.answer.job.stock.packers])
    rim = {"stroke": paint.INK, "stroke_width": 1}
    half = frame.packer_mm / 2
    for one in facts.laid:
        yield _rect(frame, -half, half, one.bottom_mm, one.top_mm, fill=tones[one.kind], **rim)
    for a, b in _pieces(frame):
        look = {"fill": paint.TIMBER, "stroke": paint.TIMBER_LINE, "stroke_width": 1.6}
        yield _rect(frame, a, b, facts.height_mm, facts.base_top_mm, **look)
    for _, panel in facts.panels():
        middle, thick = panel.x_mm - facts.stand.x_mm, panel.thickness_mm / 2
        a, b = max(middle - thick, -frame.half_mm), min(middle + thick, frame.half_mm)
        look = {"fill": paint.PANEL, "stroke": paint.UNIT_LINE}
        yield _rect(frame, a, b, facts.base_top_mm, frame.top_mm, **look)


def _rect(
    frame: StackFrame, a: float, b: float, low_mm: float, high_mm: float, **look: object
) -> str:
    top, tall = frame.y(high_mm), (high_mm - low_mm) * frame.px_per_mm
    return box(frame.x(a), top, (b - a) * frame.px_per_mm, tall, **look)


def _pieces(frame: StackFrame) -> Iterator[tuple[float, float]]:
    """Yield the bearer's pieces as far as they are seen, from the stack's middle [mm]."""
    facts, half = frame.facts, frame.half_mm
    for one in records(facts.answer.cuts.cuts):
        if one["bearer"] == facts.row.name:
            a, b = (float(one[name]) - facts.stand.x_mm for name in ("from_x_mm", "to_x_mm"))
            if a < half and b > -half:
                yield max(a, -half), min(b, half)


def _limit(frame: StackFrame) -> Iterator[str]:
    """Yield the line that no screw's point may pass."""
    y, half = frame.y(-frame.facts.limit.depth_mm), frame.half_mm
    yield line(
        frame.x(-half), y, frame.x(half), y,
        stroke=paint.MARK, stroke_width=2.4, stroke_dasharray="7 4", class_="ufk-limit",
    )  # fmt: skip


def _screws(frame: StackFrame) -> tuple[str, float]:
    """Return the screws side by side, a number below each, and where the numbers end."""
    served = [screw for screw in frame.facts.screws if screw.serves]
    apart_mm = frame.packer_mm / (len(served) + 1)
    rows = max(math.ceil(NUMBER_PX / (apart_mm * frame.px_per_mm)), 1)
    drawn, low = [], frame.y(frame.low_mm)
    for number, screw in enumerate(served):
        middle = (number + 1) * apart_mm - frame.packer_mm / 2
        base = low + 14 + LINE_PX * (number % rows)
        x, point = frame.x(middle), frame.y(-screw.point_below_floor_mm)
        drawn.append(line(x, point, x, base - 11, stroke=paint.INK, stroke_width=0.7, **DOTTED))
        drawn.append(_screw(frame, screw, middle, min(1.0, 0.8 * apart_mm / HEAD_MM)))
        drawn.append(words(x, base, str(number + 1), text_anchor="middle", font_weight="bold"))
    return "".join(drawn), low + LINE_PX * rows * bool(served)


def _screw(frame: StackFrame, screw: Screw, middle_mm: float, slim: float) -> str:
    """Return one screw: head below the surface it enters from, shank, point."""
    head, shank = HEAD_MM / 2 * slim, SHANK_MM / 2 * slim
    top, point = screw.head_mm, -screw.point_below_floor_mm
    neck, tip = max(top - head + shank, point), min(point + TIP_MM, top)
    right = [(head, top), (shank, neck), (shank, tip), (0.0, point)]
    outline = [*right, *((-x, y) for x, y in right[-2::-1])]
    shape = path([(frame.x(middle_mm + x), frame.y(y)) for x, y in outline], closed=True)
    hole = _rect(
        frame, middle_mm - head, middle_mm + head, top, screw.surface_mm,
        fill=paint.PAPER, stroke=paint.INK, stroke_width=0.6,
    )  # fmt: skip
    body = element("path", d=shape, fill=paint.PAPER, stroke=paint.INK, stroke_width=1.3)
    said = element("title", html_text(screw_words(screw, frame.facts.answer.job.units)))
    return element("g", said + hole + body, class_="ufk-screw", data_step=screw.step)


def _dimensions(frame: StackFrame) -> Iterator[str]:
    """Yield the heights from the floor up, on the left."""
    edge, foot = frame.x(-frame.half_mm), frame.y(0.0)
    for (height, lines), away in zip(frame.dimensions, frame.dimension_lines, strict=True):
        x, top = edge - away, frame.y(height)
        yield line(x, top, x, foot, stroke=paint.ACCENT, stroke_width=1.2)
        for y in (top, foot):
            yield line(x - 4, y, edge, y, stroke=paint.ACCENT, stroke_width=0.6)
            yield line(x - 3, y + 3, x + 3, y - 3, stroke=paint.ACCENT, stroke_width=1.4)
        first = (top + foot) / 2 - LINE_PX * (len(lines) - 1) / 2 + 4
        yield paragraph(x - 6, first, lines, text_anchor="end")


def _names(frame: StackFrame) -> tuple[str, float]:
    """Return names or letters at the right, a thin line from each to its part, and their end."""
    edge, start = frame.x(frame.half_mm), frame.y(frame.top_mm) + 6
    heights = [frame.y(part.height_mm) for part in frame.parts]
    places = apart(heights, LINE_PX, start)
    drawn = []
    for part, tag, y, place in zip(frame.parts, frame.tags, heights, places, strict=True):
        leader = [(frame.x(part.right_mm), y), (edge + 3, y), (edge + 18, place)]
        drawn.append(
            element("path", d=path(leader), fill="none", stroke=paint.INK, stroke_width=0.7)
        )
        drawn.append(words(edge + 21, place + 4, tag))
    return "".join(drawn), max(places) + 4


def _below(frame: StackFrame) -> Iterator[str]:
    """Yield what is written below the drawing."""
    facts = frame.facts
    if not frame.beside:
        for tag, part in zip(frame.tags, frame.parts, strict=True):
            yield f"{tag}  {part.name}"
        yield height_words(facts)
    yield limit_words(facts)
    number = 0
    for screw in facts.screws:
        number += screw.serves
        mark = f"{number}  " if screw.serves else "–  "
        yield mark + screw_words(screw, facts.answer.job.units)


def _said(frame: StackFrame) -> str:
    """Return the picture in words, with its numbers."""
    facts, units = frame.facts, frame.facts.answer.job.units
    names = ", ".join(part.name for part in frame.parts)
    screws = " ".join(screw_words(screw, units) for screw in facts.screws)
    return f"{' '.join(frame.head)} {height_words(facts)} {names}. {limit_words(facts)} {screws}"
