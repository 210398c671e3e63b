"""What lies on a practice plan: drawn by whose it is and how new, with its label."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kit.ink import paint
from kit.ink.escape import cut_text
from kit.practice.moves import Done, OnPlan, Place
from kit.show.board.label_places import Box
from kit.show.board.lettering import Swatch
from kit.show.practice.looks import (
    Strength,
    Whose,
    line_mark,
    line_swatch,
    outline_mark,
    outline_swatch,
    place_mark,
    place_swatch,
    strength,
)
from kit.show.practice.plan_labels import Writer, line_boxes, place_box, rim_boxes
from kit.show.practice.room_frame import RoomFrame

#: Letters of a label on the plan; all of it stands in the picture's words.
LETTERS = 28

#: How far below the middle of a line its label would best stand [px].
_BESIDE_PX = 14.0


@dataclass(frozen=True)
class Mark:
    """Something that lies on the plan, and how strongly it is drawn.

    Parameters
    ----------
    thing : OnPlan
        What.
    whose : {"given", "laid", "revealed"}
        Told from the start, put down by a move, or shown after the answer.
    move : int
        Number of the move that put it down, from 1; 0 for none.
    age : int
        How many later moves put something down; 0 is the newest.
    """

    thing: OnPlan
    whose: Whose
    move: int = 0
    age: int = 0

    @property
    def strong(self) -> Strength:
        """How strongly it is drawn."""
        return strength(self.age)

    def px(self, frame: RoomFrame) -> list[Place]:
        """Return where its places are drawn [px]."""
        return [frame.at(place) for place in self.thing.places_mm]


def marks_of(
    given: Sequence[OnPlan], done: Sequence[Done], revealed: Sequence[OnPlan]
) -> list[Mark]:
    """Return all marks in the order in which they are drawn: the newest on top of the older."""
    laid = [(number, one.seen.on_plan) for number, one in enumerate(done, start=1)]
    laid = [(number, things) for number, things in laid if things]
    marks = [Mark(thing, "given") for thing in given]
    for place, (number, things) in enumerate(laid, start=1):
        marks += [Mark(thing, "laid", number, len(laid) - place) for thing in things]
    return marks + [Mark(thing, "revealed") for thing in revealed]


def drawn(mark: Mark, frame: RoomFrame) -> str:
    """Draw a mark."""
    at = mark.px(frame)
    if mark.thing.kind == "line":
        return line_mark(at[0], at[1], mark.whose, mark.strong)
    if mark.thing.kind == "outline":
        return outline_mark(_between(at), mark.whose, mark.strong)
    return "".join(place_mark(one, mark.whose, mark.strong) for one in at)


def taken_by(mark: Mark, frame: RoomFrame) -> list[Box]:
    """Return what words keep off where they can [px]."""
    at = mark.px(frame)
    if mark.thing.kind == "line":
        return line_boxes(at[0], at[1])
    if mark.thing.kind == "outline":
        return rim_boxes(_between(at))
    return [place_box(one) for one in at]


def _between(corners: Sequence[Place]) -> Box:
    (ax, ay), (bx, by) = corners
    return Box(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))


def labels(marks: Sequence[Mark], frame: RoomFrame, writer: Writer) -> Iterator[str]:
    """Write the labels of marks.

    The newest move comes first, then what was given, what is revealed, and earlier moves. These
    go without where there is no room beside them, and instruments that lay there always: the
    list of moves has their words.
    """
    rank: dict[Whose, int] = {"given": 0, "revealed": 1, "laid": 2}
    for mark in sorted(marks, key=lambda one: (rank[one.whose], one.age)):
        if mark.age and mark.thing.kind == "line":
            continue
        colour = paint.INK if mark.age == 0 else paint.FAINT_INK
        text = cut_text(mark.thing.label, LETTERS)
        yield writer.write(text, _near(mark, frame), colour, far=mark.age == 0)


def _near(mark: Mark, frame: RoomFrame) -> Place:
    at = mark.px(frame)
    if mark.thing.kind == "place":
        return at[0]
    middle = (at[0][0] + at[-1][0]) / 2, (at[0][1] + at[-1][1]) / 2
    if mark.thing.kind == "outline":
        return middle
    upright = abs(at[-1][1] - at[0][1]) > abs(at[-1][0] - at[0][0])
    return (middle[0] + 24, middle[1]) if upright else (middle[0], middle[1] + _BESIDE_PX)


def key_entries(marks: Sequence[Mark]) -> Iterator[tuple[Swatch, str]]:
    """Return what explains the marks that are there, each once; labels explain what was given."""
    swatches = {"line": line_swatch, "outline": outline_swatch}
    seen = set()
    for mark in marks:
        old = min(mark.age, 1)
        kind = mark.thing.kind
        if (kind, mark.whose, old) in seen or mark.whose == "given":
            continue
        seen.add((kind, mark.whose, old))
        yield swatches.get(kind, place_swatch)(mark.whose, 2 * old), _entry(mark)


def _entry(mark: Mark) -> str:
    if mark.whose == "revealed":
        return "the truth" if mark.thing.kind == "place" else f"the truth, {mark.thing.kind}"
    when = "newest move" if mark.age == 0 else "earlier move"
    return f"{when}, bar at the marked end" if mark.thing.kind == "line" else when
