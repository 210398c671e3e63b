"""One bearer row seen from the room: floor, stacks packer by packer, bearer, units."""

from __future__ import annotations

from collections.abc import Iterator

from kit.answer import Answer
from kit.ink import paint
from kit.ink.lengths import (
    length,
    length_with_unit,
    measured_size,
    plan_length,
    printed_with_unit,
    signed_small,
)
from kit.ink.svg import Picture, box, letters_px, line, words
from kit.job.units import MM_PER_INCH
from kit.show.board import elevation_base, elevation_floor, elevation_stacks
from kit.show.board.elevation_frame import Frame, frame_of, unknown_stretches
from kit.show.board.elevation_stacks import Looks
from kit.show.board.lettering import SWATCH_PX, Swatch, hatched, key, paragraph
from kit.show.section import BAND_SD, Section

#: Steps of the ruler, of which the first is taken whose figures keep apart [mm], [in].
MM_STEPS = (50, 100, 200, 250, 500, 1000, 2000, 2500, 5000, 10000, 20000, 50000)
INCH_STEPS = (2, 3, 6, 12, 24, 48, 96, 240, 480, 960, 1920)

#: Room of the ruler below the ground [px].
RULER_PX = 26.0


def elevation_picture(
    answer: Answer, part: Section, width_px: float, *, chosen: str = ""
) -> Picture:
    """Draw one bearer row seen from the room.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    part : Section
        The row, from `kit.show.section`.
    width_px : float
        Width of the view [px]; where the run is too long for it the picture is wider.
    chosen : str, optional
        Name of the stack that is marked.

    Returns
    -------
    Picture
        Heights are enlarged, and it says how many times.
    """
    frame = frame_of(answer, part, width_px)
    look = elevation_stacks.looks(frame, chosen)
    drawn = [
        paragraph(2, 13, frame.head),
        *elevation_floor.ground(frame),
        *elevation_base.walls(frame),
        *elevation_base.units(frame),
        *elevation_floor.no_go(frame),
        *elevation_base.bearer(frame),
        *elevation_base.levels(frame),
        *elevation_floor.notes(frame),
        *elevation_stacks.stacks(look),
        elevation_floor.high_point(frame),
        *_ruler(frame),
    ]
    named, bottom = key(_key(look), frame.ground_y + RULER_PX + 4, width_px)
    return Picture(frame.width_px, bottom, "".join(drawn) + named, _said(frame))


def _ruler(frame: Frame) -> Iterator[str]:
    """Yield running marks from the run's left end, and its whole length."""
    units, end = frame.answer.job.units, frame.run.length_mm
    last = plan_length(end, units)
    apart_px = letters_px(last) + 10
    one, steps = (1.0, MM_STEPS) if units == "mm" else (MM_PER_INCH, INCH_STEPS)
    step = next((s for s in steps if s * one * frame.px_per_mm >= apart_px), steps[-1]) * one
    y = frame.ground_y + 4
    yield line(frame.left_px, y, frame.end_px, y, stroke=paint.INK)
    marks = [step * n for n in range(int(end / step) + 1)]
    marks = [mm for mm in marks if (end - mm) * frame.px_per_mm >= apart_px]
    for mm in (*marks, end):
        x = frame.x(mm)
        yield line(x, y, x, y + 6, stroke=paint.INK)
        yield words(x, y + 18, plan_length(mm, units), text_anchor="middle")
    yield words(frame.end_px + letters_px(last) / 2 + 6, y + 18, units)


def _key(look: Looks) -> Iterator[tuple[Swatch, str]]:
    """Yield what the key shows: only what the row has."""
    frame = look.frame
    part, units = frame.part, frame.answer.job.units
    yield from _packer_key(look)
    yield _swatch(paint.TIMBER, stroke=paint.TIMBER_LINE), "bearer"
    if part.joints_mm:
        yield _joint_swatch, "joint of the bearer"
    yield _swatch(paint.PANEL), "side or division"
    yield _swatch(paint.FLOOR, stroke=paint.FLOOR_LINE), "floor"
    yield _doubt_swatch, f"its doubt, ±{BAND_SD:g} sd"
    if unknown_stretches(part):
        yield _hatch_swatch(paint.FAINT_INK), "not surveyed"
    if part.closed:
        yield _hatch_swatch(paint.NO_GO), "no-go area"
    if part.high_point:
        yield _star_swatch, "high point"
    if frame.plinth_mm:
        board = length_with_unit(frame.plinth_mm, units)
        yield _plinth_swatch, f"plinth {board}, edge before cutting"
    if any(stack.support in frame.by_hand for stack in part.stacks):
        yield _hand_swatch, "moved by hand"


def _packer_key(look: Looks) -> Iterator[tuple[Swatch, str]]:
    packers, units = look.frame.answer.job.stock.packers, look.frame.answer.job.units
    used = {slab.kind for stack in look.frame.part.stacks for slab in stack.slabs}
    for kind in sorted(used, key=lambda kind: -packers[kind].thickness_mm):
        measured = packers[kind].measured_mm
        is_so = "" if measured is None else f" (is {measured_size(measured, units)})"
        said = f"packer {printed_with_unit(packers[kind].mm, units)}{is_so}"
        yield _swatch(look.tones[kind], stroke=paint.INK), said


def _swatch(fill: str, stroke: str = "none") -> Swatch:
    return lambda x, y: box(x, y, *SWATCH_PX, fill=fill, stroke=stroke)


def _hatch_swatch(stroke: str) -> Swatch:
    return lambda x, y: (
        box(x, y, *SWATCH_PX, fill="none", stroke=stroke)
        + hatched(x, y, *SWATCH_PX, step_px=5, stroke=stroke)
    )


def _doubt_swatch(x: float, y: float) -> str:
    wide, tall = SWATCH_PX
    edge = {"stroke": paint.FLOOR_LINE, "stroke_width": 0.7, **elevation_floor.DOTTED}
    return (
        box(x, y, wide, tall, fill=paint.DOUBT)
        + line(x, y, x + wide, y, **edge)
        + line(x, y + tall, x + wide, y + tall, **edge)
    )


def _joint_swatch(x: float, y: float) -> str:
    wide, tall = SWATCH_PX
    return _swatch(paint.TIMBER)(x, y) + elevation_base.joint(x + wide / 2, y, tall)


def _star_swatch(x: float, y: float) -> str:
    return elevation_floor.star(x + SWATCH_PX[0] / 2, y + SWATCH_PX[1] / 2, 7.0)


def _plinth_swatch(x: float, y: float) -> str:
    look = {"stroke": paint.MARK, "stroke_width": 1.8, "stroke_dasharray": "8 4"}
    return line(x, y + 5, x + SWATCH_PX[0], y + 5, **look)


def _hand_swatch(x: float, y: float) -> str:
    return words(x + 3, y + SWATCH_PX[1], "▲")


def _said(frame: Frame) -> str:
    """Return the picture in words, with its numbers."""
    part, units = frame.part, frame.answer.job.units
    piles = ", ".join(f"{s.support} {length(s.height_mm, units)}" for s in part.stacks)
    worst = max(part.stacks, key=lambda stack: abs(stack.error_mm), default=None)
    error = (
        f" Greatest error {signed_small(worst.error_mm, units)} {units}, at {worst.support}."
        if worst
        else ""
    )
    levels = "; ".join(text for _, text in frame.levels.named)
    notes = "".join(f" {note.text}." for note in frame.notes)
    return f"{' '.join(frame.head)} {levels}. Stacks [{units}]: {piles}.{error}{notes}"
