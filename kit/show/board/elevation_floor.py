"""The floor in an elevation: ground, doubt, what was not surveyed, no-go areas, high point."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from kit.ink import paint
from kit.ink.svg import box, element, halo, line, path, short, words
from kit.show.board.elevation_frame import Frame, unknown_stretches
from kit.show.board.lettering import hatched
from kit.show.section import BAND_SD

#: Lines that only lead or bound.
DOTTED: dict[str, Any] = {"stroke_dasharray": "2 2"}

#: Radius of the star at the high point [px].
STAR_PX = 8.0


def ground(frame: Frame) -> Iterator[str]:
    """Yield the filled ground, the floor's doubt and line, and what was not surveyed."""
    for a, b in unknown_stretches(frame.part):
        yield _unknown(frame, a, b)
    floor = frame.part.profile
    for stretch in floor.stretches():
        x = [frame.x(mm) for mm in floor.x_mm[stretch].tolist()]
        z, sd = floor.height_mm[stretch].tolist(), floor.sd_mm[stretch].tolist()
        surface = path(zip(x, map(frame.y, z), strict=True))
        under = f"{surface}V{short(frame.ground_y)}H{short(x[0])}Z"
        yield element("path", d=under, fill=paint.FLOOR)
        yield _doubt(frame, x, z, sd)
        yield element("path", d=surface, fill="none", stroke=paint.FLOOR_LINE, stroke_width=2)


def _doubt(frame: Frame, x: list[float], z: list[float], sd: list[float]) -> str:
    """Return the floor's doubt as a toned band with an edge that shows in grey."""
    upper = [(at, frame.y(mm + BAND_SD * s)) for at, mm, s in zip(x, z, sd, strict=True)]
    lower = [(at, frame.y(mm - BAND_SD * s)) for at, mm, s in zip(x, z, sd, strict=True)]
    band = path([*upper, *lower[::-1]], closed=True)
    rim = {"stroke": paint.FLOOR_LINE, "stroke_width": 0.7, **DOTTED}
    return element("path", d=band, fill=paint.DOUBT, class_="ufk-doubt", **rim)


def _unknown(frame: Frame, from_mm: float, to_mm: float) -> str:
    left, wide = frame.x(from_mm), (to_mm - from_mm) * frame.px_per_mm
    top = frame.y(frame.part.profile.highest_mm)
    tall = frame.ground_y - top
    rim = box(left, top, wide, tall, fill=paint.PAPER, stroke=paint.FAINT_INK, **DOTTED)
    return rim + hatched(left, top, wide, tall, step_px=9, stroke=paint.FAINT_INK)


def no_go(frame: Frame) -> Iterator[str]:
    """Yield the no-go areas that the row crosses, hatched from the floor to the bearer."""
    top, low = frame.y(frame.part.underside_mm), frame.y(frame.lowest_mm)
    for a, b, _ in frame.part.closed:
        left, wide = frame.x(a), (b - a) * frame.px_per_mm
        yield hatched(left, top, wide, low - top, stroke=paint.NO_GO, stroke_width=0.8)
        yield box(left, top, wide, low - top, fill="none", stroke=paint.NO_GO)


def notes(frame: Frame) -> Iterator[str]:
    """Yield words about places of the floor, each with a thin line to its place."""
    for note, text, (middle, base) in zip(
        frame.notes, frame.note_texts, frame.note_places, strict=True
    ):
        at = frame.x(note.at_mm)
        yield line(
            at, frame.y(note.from_mm), at, base - 11, stroke=paint.INK, stroke_width=0.7, **DOTTED
        )
        yield words(middle, base, text, text_anchor="middle", **halo(stroke=paint.FLOOR))


def high_point(frame: Frame) -> str:
    """Return a star where the high point lies in this row."""
    if not frame.part.high_point:
        return ""
    x, height = frame.part.high_point
    return star(frame.x(x), frame.y(height), STAR_PX)


def star(x: float, y: float, radius: float) -> str:
    """Return a star of five points about a place [px]."""
    points = []
    for number in range(10):
        far = radius if number % 2 == 0 else radius * 0.45
        turn = math.radians(36 * number - 90)
        points.append((x + far * math.cos(turn), y + far * math.sin(turn)))
    return element("path", d=path(points, closed=True), fill=paint.MARK, stroke=paint.PAPER)
