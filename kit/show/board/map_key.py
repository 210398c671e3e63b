"""The key to the plan: what the map's bands and lines mean, and the marks on it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from kit.answer import Answer
from kit.ink import paint
from kit.ink.lengths import small
from kit.ink.svg import Picture, box, element, line, path
from kit.show.board.lettering import (
    LINE_PX,
    SWATCH_PX,
    Swatch,
    fitted,
    hatched,
    key,
    paragraph,
)
from kit.show.board.map_levels import Levels, levels_of
from kit.show.board.plan_geometry import PlanFrame
from kit.show.board.plan_joists import joist_strips, shaded
from kit.show.board.plan_picture import star
from kit.show.board.sag_bands import sag_bands
from kit.show.board.sag_mark import deepest_mark, deepest_of
from kit.strength.joists import NoJoists

_WIDE, _TALL = SWATCH_PX


def map_key(answer: Answer, frame: PlanFrame, width_px: float) -> Picture:
    """Draw the key to the plan, wrapped at a width.

    Parameters
    ----------
    answer : Answer
        Its survey has the levels; only what the plan shows of its job is explained.
    frame : PlanFrame
        The plan.
    width_px : float
        Where the key wraps [px].

    Returns
    -------
    Picture
        Its words say which bands there are.
    """
    levels = levels_of(answer.survey, answer.job.units)
    wide = min(width_px, frame.width_px)
    what = f"The floor against its even fall, in {levels.units}: + hump, − hollow."
    head = fitted(what, wide)
    bands = list(zip(levels.tones, levels.band_texts(), strict=True))
    entries = [(_filled(colour), text) for colour, text in bands]
    drawn, bottom = key([*entries, *_lines(levels)], len(head) * LINE_PX + 3, wide)
    marks, bottom = key(_marks(answer), bottom + 2, wide)
    sags, bottom, of_sags = _joists(answer, frame, bottom + 2, wide)
    inner = paragraph(2, LINE_PX - 3, head, fill=paint.INK) + drawn + marks + sags
    said = f"{what} From dark to light: {'; '.join(text for _, text in bands)}.{of_sags}"
    return Picture(wide, bottom, inner, said)


def _joists(answer: Answer, frame: PlanFrame, top: float, wide: float) -> tuple[str, float, str]:
    """Explain how the joists are shaded; nothing where the plan shades none.

    Returns
    -------
    drawn, bottom, said : str, float, str
    """
    work = shaded(answer.job, answer.strength.joists)
    strips = [] if isinstance(work, NoJoists) else joist_strips(work.given, frame)
    if isinstance(work, NoJoists) or not strips:
        return "", top - 2, ""
    bands = sag_bands(work, answer.job.units)
    shades = list(zip(bands.tones, bands.texts, strict=True))
    what = f"joists: sag under the furniture, final, 0 to {small(bands.most_mm, bands.units)}"
    what += f" {bands.units}"
    if not any(one.computed for one in work.joists):
        shades, what = [], "joists: sag under the furniture not known"
    entries: list[tuple[Swatch, str]] = [(_filled(tone), text) for tone, text in shades]
    shown = {strip.number for strip in strips}
    if any(one.number in shown and not one.computed for one in work.joists):
        entries.append((_not_computed, "not computed"))
    if any(one.seen for one in deepest_of(answer.job, frame, work)):
        entries.append((_deepest, "sags most"))
    head = fitted(what, wide)
    first = paragraph(2, top + LINE_PX - 3, head, fill=paint.INK)
    drawn, bottom = key(entries, top + len(head) * LINE_PX + 3, wide)
    said = f" {what}: {'; '.join(text for _, text in entries)}."
    return first + drawn, bottom, said


def _not_computed(x: float, y: float) -> str:
    size = (x, y, _WIDE, _TALL)
    return hatched(*size, step_px=5, stroke=paint.TIMBER_LINE, stroke_width=1) + box(
        *size, fill="none", stroke=paint.TIMBER_LINE, stroke_width=0.9, stroke_dasharray="5 3"
    )


def _deepest(x: float, y: float) -> str:
    return deepest_mark((x + _WIDE / 2, y + _TALL / 2))


def _filled(colour: str) -> Swatch:
    def draw(x: float, y: float) -> str:
        return box(x, y, _WIDE, _TALL, fill=colour, stroke=paint.FAINT_INK, stroke_width=0.8)

    return draw


def _stroke(**look: Any) -> Swatch:
    def draw(x: float, y: float) -> str:
        return line(x, y + _TALL / 2, x + _WIDE, y + _TALL / 2, **{"stroke": paint.INK, **look})

    return draw


def _upright(wide: float, colour: str) -> Swatch:
    def draw(x: float, y: float) -> str:
        middle = x + _WIDE / 2
        return line(middle, y - 1, middle, y + _TALL + 1, stroke=colour, stroke_width=wide)

    return draw


def _hatched(x: float, y: float) -> str:
    size = (x, y, _WIDE, _TALL)
    return hatched(*size, step_px=5, stroke=paint.FAINT_INK, stroke_width=0.8) + box(
        *size, fill="none", stroke=paint.FAINT_INK, stroke_width=0.6
    )


def _star(radius: float, **look: Any) -> Swatch:
    def draw(x: float, y: float) -> str:
        return element("path", d=star((x + _WIDE / 2, y + _TALL / 2), radius), **look)

    return draw


def _bearer(x: float, y: float) -> str:
    look = {"fill": paint.TIMBER, "stroke": paint.TIMBER_LINE, "stroke_width": 1}
    return box(x, y + 1, _WIDE, _TALL - 2, **look)


def _packers(x: float, y: float) -> str:
    return box(x + 3, y + 1, 12, _TALL - 2, fill=paint.PAPER, stroke=paint.INK, stroke_width=1.4)


def _idle(x: float, y: float) -> str:
    hollow = box(x + 3, y + 1, 12, _TALL - 2, fill=paint.PAPER, stroke=paint.IDLE,
                 stroke_width=1.4, stroke_dasharray="3 2")  # fmt: skip
    return hollow + line(x + 3, y + _TALL - 1, x + 15, y + 1, stroke=paint.IDLE, stroke_width=2)


def _moved(x: float, y: float) -> str:
    middle = x + _WIDE / 2
    corners = [(middle - 4, y + _TALL - 1), (middle, y + 2), (middle + 4, y + _TALL - 1)]
    return element("path", d=path(corners, closed=True), fill=paint.INK)


def _lines(levels: Levels) -> Iterator[tuple[Swatch, str]]:
    yield _stroke(stroke_width=2), "on the fall"
    if levels.values[0] < 0:
        yield _stroke(stroke_width=0.9, stroke_dasharray="5 3"), "line in a hollow"
    yield _hatched, "not surveyed"


def _marks(answer: Answer) -> Iterator[tuple[Swatch, str]]:
    yield _bearer, "bearer"
    if answer.cuts.joints:
        yield _upright(2.6, paint.TIMBER_LINE), "joint of a bearer"
    yield _packers, "stack, to size"
    yield _idle, "idle stack, carries nothing"
    yield _moved, "moved by hand"
    yield _upright(3.2, paint.UNIT_LINE), "side or division"
    yield _star(6.5, fill=paint.MARK), "high point"
    if len(answer.high_point.rivals):
        rim = {"fill": paint.PAPER, "stroke": paint.INK, "stroke_width": 1.2}
        yield _star(6, **rim), "its rival, with its chance"
    yield _upright(2.2, paint.INK), "least room under a bearer"
