"""What carries the bearer: loads down, the bearer as it bends, stacks that bear or are idle."""

from __future__ import annotations

from collections.abc import Iterator

from kit.answer import Answer
from kit.ink import paint
from kit.ink.svg import Picture, box
from kit.job import refuse
from kit.show.board import load_marks
from kit.show.board.lettering import LINE_PX, SWATCH_PX, Swatch, fitted, key, paragraph
from kit.show.board.load_forces import CASE_WORDS
from kit.show.board.load_frame import FAST, LoadFrame, load_frame_of
from kit.show.board.load_looks import (
    BREAK_PX,
    bent,
    carried_arrow,
    mark,
    meant,
    pressing_arrow,
    splice,
)
from kit.show.board.load_notes import Notes, notes

__all__ = ["CASE_WORDS", "load_picture"]


def load_picture(
    answer: Answer, bearer: str, width_px: float, *, chosen: str = "", case: str = "full"
) -> Picture:
    """Draw what presses on a bearer, how it lies on its stacks, and what each of them carries.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    bearer : str
        Name of the bearer.
    width_px : float
        Width of the view [px]; lengths lie as in the elevation of the row at the same width.
    chosen : str, optional
        Name of the stack that is marked.
    case : {"full", "empty", "laid"}, optional
        Units full, units empty, the bearer by itself.

    Returns
    -------
    Picture
        Heights are enlarged, and it says how many times; arrows are in proportion to forces.

    Raises
    ------
    Refusal
        If there is no such bearer or case.
    """
    names = [row.name for row in answer.layout.rows]
    if bearer not in names:
        raise refuse("bearer", bearer, f"one of {', '.join(names)}")
    if case not in CASE_WORDS:
        raise refuse("case", case, f"one of {', '.join(CASE_WORDS)}")
    frame = load_frame_of(answer, bearer, width_px, case)
    head = paragraph(2, 13, frame.head)
    if not frame.forces.laid:
        bottom = len(frame.head) * LINE_PX + 6
        return Picture(frame.along.width_px, bottom, head, " ".join(frame.head).replace(FAST, " "))
    return _drawn(frame, head, width_px, chosen)


def _drawn(frame: LoadFrame, head: str, width_px: float, chosen: str) -> Picture:
    noted = notes(frame)
    said = {one.name: load_marks.stack_said(frame, one) for one in frame.stacks}
    drawn = [
        head,
        *load_marks.loads(frame),
        *load_marks.leaders(frame),
        *load_marks.bearer(frame),
        *load_marks.scale_bar(frame),
        *load_marks.stacks(frame, chosen, said),
        *load_marks.note_words(noted),
    ]
    missing = _left_out(frame, noted)
    lines = fitted(missing, width_px - 4) if missing else []
    below = frame.names_end_y
    drawn.append(paragraph(2, below + LINE_PX, lines))
    named, bottom = key(_key(frame, noted), below + len(lines) * LINE_PX + 4, width_px)
    whole = " ".join((*_said(frame), *(f"{one}." for one in said.values()), missing)).strip()
    return Picture(frame.along.width_px, bottom, "".join(drawn) + named, whole)


def _left_out(frame: LoadFrame, noted: Notes) -> str:
    """Say for how much there was no room, and where it is."""
    names = len(frame.stacks) - len(list(frame.named()))
    parts = [f"{names} names with their newtons"] * (names > 0)
    parts += [f"{noted.left_out} of the words at the stacks' tops"] * (noted.left_out > 0)
    if not parts:
        return ""
    return f"No room here for {' and '.join(parts)}: point at or choose a stack to read its own."


def _key(frame: LoadFrame, noted: Notes) -> Iterator[tuple[Swatch, str]]:
    """Yield what the key shows: only what the bearer has."""
    bearings = [one for stack in frame.stacks for one in stack.bearings]
    if frame.pressing:
        yield _pressing_swatch, "load of a side or division"
    yield _bearer_swatch, "bearer"
    if len(frame.forces.laid) > 1:
        yield _break_swatch, "joint"
    if any(one.piece.beam.hinges for one in frame.forces.laid):
        yield _splice_swatch, "splice, turns like a hinge"
    yield _meant_swatch, "level that was meant"
    yield _top_swatch, "top of a stack"
    if any(one.carries for one in bearings):
        yield _mark_swatch("carries"), "it carries"
    if any(not one.carries for one in bearings):
        gap = f", with its gap [{frame.units}]" if noted.brief else ""
        yield _mark_swatch("idle"), f"idle: does not bear{gap}"
    if any(stack.rocks for stack in frame.stacks):
        yield _mark_swatch("rocks"), "the piece rocks on it"
    yield _carried_swatch, "carried by the stack [N]"


def _pressing_swatch(x: float, y: float) -> str:
    return pressing_arrow(x + SWATCH_PX[0] / 2, y - 2, y + SWATCH_PX[1] + 1)


def _carried_swatch(x: float, y: float) -> str:
    return carried_arrow(x + SWATCH_PX[0] / 2, y + SWATCH_PX[1] + 1, y - 2)


def _bearer_swatch(x: float, y: float) -> str:
    return bent([(x, y + 8), (x + SWATCH_PX[0], y + 8)])


def _break_swatch(x: float, y: float) -> str:
    middle = x + SWATCH_PX[0] / 2
    left = bent([(x, y + 8), (middle - BREAK_PX, y + 8)])
    return left + bent([(middle + BREAK_PX, y + 8), (x + SWATCH_PX[0], y + 8)])


def _splice_swatch(x: float, y: float) -> str:
    return _bearer_swatch(x, y) + splice(x + SWATCH_PX[0] / 2, y + 8)


def _meant_swatch(x: float, y: float) -> str:
    return meant(x, x + SWATCH_PX[0], y + SWATCH_PX[1] / 2)


def _top_swatch(x: float, y: float) -> str:
    return box(x + 2, y + 3, SWATCH_PX[0] - 4, 4, fill=paint.INK)


def _mark_swatch(kind: str) -> Swatch:
    return lambda x, y: mark(kind, x + SWATCH_PX[0] / 2, y + SWATCH_PX[1] / 2)


def _said(frame: LoadFrame) -> Iterator[str]:
    """Yield heading and loads in words."""
    yield " ".join(frame.head).replace(FAST, " ")
    loads = "; ".join(load_marks.pressing_said(frame, one) for one in frame.pressing)
    yield f"Loads: {loads or load_marks.OWN_WEIGHT}."
