"""The plan of a practice room: what was given, what moves put down and, after the answer, all."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kit.ink import paint
from kit.ink.svg import Picture, element
from kit.practice.drill import Given
from kit.practice.floors import PracticeFloor
from kit.practice.moves import Done, OnPlan
from kit.show.board.lettering import LINE_PX, Swatch, fitted, key, paragraph
from kit.show.board.map_levels import Levels
from kit.show.practice.floor_bands import bands, hidden, hidden_labels, inside, level_numbers
from kit.show.practice.floor_map import fall_words, floor_map, levels_over
from kit.show.practice.looks import band_swatch, heated_swatch, loose_swatch, soft_swatch
from kit.show.practice.plan_labels import Writer
from kit.show.practice.plan_marks import Mark, drawn, key_entries, labels, marks_of, taken_by
from kit.show.practice.plan_words import plan_words
from kit.show.practice.room_frame import RoomFrame, ground, room_frame, surround


def plan_picture(
    given: Given,
    done: Sequence[Done],
    width_px: float,
    revealed: Sequence[OnPlan] = (),
    floor: tuple[PracticeFloor, ...] = (),
) -> Picture:
    """Draw a practice room from above, its wall at the top.

    Parameters
    ----------
    given : Given
        The room, and what is on its plan from the start.
    done : sequence of Done
        Moves so far; what the newest put down is drawn strongest.
    width_px : float
        Of the picture [px], 200 or more.
    revealed : sequence of OnPlan
        What is shown after the answer only.
    floor : tuple of PracticeFloor
        The floor, after the answer only (none or one): humps and hollows as it carries, boards
        that move, places that give, heating.

    Returns
    -------
    Picture
        The rectangle of class ``ufk-room`` carries ``data-left`` and ``data-top`` [px],
        ``data-px-per-mm``, ``data-width-mm`` and ``data-depth-mm``.

    Raises
    ------
    Refusal
        Where neither `given` nor `floor` has a room, or the width is too small.
    """
    room_mm = given.room_mm
    if not room_mm[0] and floor:
        room_mm = floor[0].width_mm, floor[0].depth_mm
    frame, marks = room_frame(*room_mm, width_px), marks_of(given.on_plan, done, revealed)
    levels = [levels_over((floor_map(one),)) for one in floor]
    layers = [
        ground(frame),
        *(bands(one, frame, of_one) for one, of_one in zip(floor, levels, strict=True)),
        surround(frame),
        *(hidden(one, frame) for one in floor),
        _still("ufk-marks", (drawn(mark, frame) for mark in marks)),
        _still("ufk-labels", _lettering(marks, floor, levels, frame)),
    ]
    below, bottom = _key(marks, floor, levels, frame)
    said = plan_words(given, done, revealed, floor, room_mm)
    return Picture(width_px, bottom, "".join(layers) + below, said)


def _still(name: str, parts: Iterator[str]) -> str:
    # What a hand points at is the room, whatever is drawn on it.
    inner = "".join(parts)
    return element("g", inner, class_=name, pointer_events="none") if inner else ""


def _lettering(
    marks: Sequence[Mark],
    floor: Sequence[PracticeFloor],
    levels: Sequence[Levels],
    frame: RoomFrame,
) -> Iterator[str]:
    writer = Writer(inside(frame))
    for mark in marks:
        writer.keep_off(taken_by(mark, frame))
    newest = [mark for mark in marks if mark.whose == "laid" and not mark.age]
    yield from labels(newest, frame, writer)
    yield from labels([mark for mark in marks if mark.whose != "laid"], frame, writer)
    for one in floor:
        for text, near in hidden_labels(one, frame):
            yield writer.write(text, near)
    yield from labels([mark for mark in marks if mark.whose == "laid" and mark.age], frame, writer)
    for one, of_one in zip(floor, levels, strict=True):
        yield from level_numbers(one, frame, of_one, writer.taken)


def _key(
    marks: Sequence[Mark],
    floor: Sequence[PracticeFloor],
    levels: Sequence[Levels],
    frame: RoomFrame,
) -> tuple[str, float]:
    """Draw what explains the picture, below it; return it and where it ends [px]."""
    below, bottom, entries = "", frame.bottom_px, list(key_entries(marks))
    if entries:
        below, bottom = key(entries, bottom, frame.width_px)
    for one, of_one in zip(floor, levels, strict=True):
        head = fitted(_map_head(one), frame.width_px - 4)
        text = paragraph(2, bottom + LINE_PX, head, fill=paint.INK)
        explained, bottom = key(
            floor_entries(one, of_one), bottom + len(head) * LINE_PX + 3, frame.width_px
        )
        below += text + explained
    return element("g", below, class_="ufk-key") if below else "", bottom


def _map_head(floor: PracticeFloor) -> str:
    fall = fall_words(floor_map(floor))
    said = "Floor with loose boards pressed down, against its even fall, in mm: + hump, − hollow."
    return f"{said} The whole floor {fall.replace('no fall', 'has no fall')}."


def floor_entries(floor: PracticeFloor, levels: Levels) -> Iterator[tuple[Swatch, str]]:
    """Return what explains a map: its bands, and what the floor hides."""
    for tone, text in zip(levels.tones, levels.band_texts(), strict=True):
        yield band_swatch(tone), text
    yield from hidden_entries((floor,))


def hidden_entries(floors: Sequence[PracticeFloor]) -> Iterator[tuple[Swatch, str]]:
    """Return what explains loose boards, soft places and heating, where there are any."""
    if any(floor.loose for floor in floors):
        yield loose_swatch, "loose board"
    if any(floor.soft for floor in floors):
        yield soft_swatch, "gives underfoot"
    if any(floor.heated for floor in floors):
        yield heated_swatch, "heating under the boards"
