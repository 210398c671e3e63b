"""What is looked at beforehand for those who work a drill without a screen.

Moves follow from what is given and from the forms of the moves alone: no move can depend on the
truth, and which moves are made tells nothing of the answer. A drill whose looking *is* the answer,
or whose next move hangs on what the last one showed, is not here.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

import pandas as pd

from kit.job import refuse
from kit.practice.drill import Drill, Given
from kit.practice.fields import number, numbers, words
from kit.practice.instruments import LEVEL_LENGTHS_MM
from kit.practice.moves import Done, Move, MoveForm, Place
from kit.practice.tools import SET_UP, laid_ends, lay, place_words, read_at, tread_at, turned

#: Headings and figures.
Tables = tuple[tuple[str, pd.DataFrame], ...]

#: Staff and foot come no farther apart along a bearer than this [mm]: with half the 300 mm that
#: are taught there is a reading within the drill's limit of the high point without a second look.
_APART_MM = 150.0

#: Packers under both ends of a level in the middle of the room [mm]: clear of every hump, and
#: one end higher than the other for a room that falls.
_LIFTS_MM = ((20.0, 20.0), (29.0, 20.0), (20.0, 29.0))

#: How far in front of the first stack a board is lifted [mm].
_IN_FRONT_MM = 400.0


def _words_do(done: Sequence[Done]) -> Tables:  # noqa: ARG001 - as every book's
    return ()


@dataclass(frozen=True)
class OnPaper:
    """How a drill is put on paper.

    Parameters
    ----------
    moves : callable
        What is given and the forms of the moves, to the moves that are made.
    plan : bool
        Whether places matter that stand neither in a table nor in a sentence.
    book : callable
        Moves and what they showed, to tables that stand instead of their words; none where the
        words do.
    """

    moves: Callable[[Given, Sequence[MoveForm]], tuple[Move, ...]]
    plan: bool = False
    book: Callable[[Sequence[Done]], Tables] = _words_do


def drills_on_paper(drills: Sequence[Drill]) -> tuple[tuple[Drill, ...], tuple[str, ...]]:
    """Return the drills that can be worked without a screen, and the titles of the others.

    Raises
    ------
    Refusal
        Where there is none.
    """
    able = tuple(drill for drill in drills if drill.key in PLANS)
    if not able:
        found = ", ".join(drill.key for drill in drills) or "none"
        raise refuse("drills to be worked without a screen", found, " | ".join(PLANS))
    return able, tuple(drill.title for drill in drills if drill.key not in PLANS)


def _high_point(given: Given, forms: Sequence[MoveForm]) -> tuple[Move, ...]:  # noqa: ARG001
    """Hold the staff along the middle of both bearers, and press with a foot at each place."""
    places = [place for thing in given.on_plan for place in _along(*thing.places_mm)]
    return (Move(SET_UP.kind), *(how(at) for at in places for how in (read_at, tread_at)))


def _along(corner: Place, far: Place) -> Iterator[Place]:
    parts = math.ceil((far[0] - corner[0]) / _APART_MM)
    for n in range(parts + 1):
        x = round(corner[0] + n * (far[0] - corner[0]) / parts)
        yield float(x), (corner[1] + far[1]) / 2


def _high_point_book(done: Sequence[Done]) -> Tables:
    """Book the staff and the foot at each place, a table for each bearer."""
    columns = {"read": ("staff_mm", "reading_mm"), "tread": ("goes_down_mm", "gives_mm")}
    rows: dict[float, dict[float, dict[str, float]]] = {}
    for one in done:
        if one.move.kind in columns:
            x, y = numbers(one.move.values, "at")
            column, figure = columns[one.move.kind]
            row = rows.setdefault(y, {}).setdefault(x, {"x_mm": x})
            row[column] = number(one.seen.figures, figure)
    return tuple(
        (f"Staff and foot at y {y:g} mm", pd.DataFrame(of_row.values()))
        for y, of_row in rows.items()
    )


def _own_error(given: Given, forms: Sequence[MoveForm]) -> tuple[Move, ...]:  # noqa: ARG001
    """Lay the long level on the pencil lines and in the middle of the room, and turn it there."""
    long, (width, depth) = LEVEL_LENGTHS_MM["long"], given.room_mm
    left, y = (width - long) / 2, depth / 2
    lies = [lay("long", *line.places_mm) for line in given.on_plan]
    lies += [lay("long", (left, y), (left + long, y), under) for under in _LIFTS_MM]
    return tuple(move for lie in lies for move in (lie, turned(lie)))


def _own_error_book(done: Sequence[Done]) -> Tables:
    """Book each lie of the level: its ends, what lies under them, bubble, where it touches."""
    rows = []
    for one in done:
        values, seen = one.move.values, one.seen
        under = (sum(numbers(values, key)) for key in ("under_from", "under_to"))
        bubble, _ = seen.words.removeprefix("long level: bubble ").split(";", 1)
        row = {
            "marked end at": _unbroken(laid_ends(one.move)[0]),
            "other end at": _unbroken(laid_ends(one.move)[1]),
            "packers under them_mm": _and(under),
            "bubble": bubble,
            "touches, from its marked end_mm": _and(numbers(seen.figures, "touches_mm")),
            "rocks": words(seen.figures, "rocks") == "true",
        }
        rows.append(row)
    return (("The long level as laid and turned", pd.DataFrame(rows)),)


def _and(two: Iterable[float]) -> str:
    return " and ".join(f"{one:g}" for one in dict.fromkeys(two))


def _unbroken(place: Place) -> str:
    return place_words(place).replace(" ", "\N{NO-BREAK SPACE}")


def _bad_reading(given: Given, forms: Sequence[MoveForm]) -> tuple[Move, ...]:  # noqa: ARG001
    """Set up anew, and hold the staff on all points that were read twice."""
    (_, first), (_, second) = given.tables
    twice = [point for point in first["point"] if point in set(second["point"])]
    return (Move(SET_UP.kind), *(Move("hold", {"point": point}) for point in twice))


def _choose_stacks(given: Given, forms: Sequence[MoveForm]) -> tuple[Move, ...]:  # noqa: ARG001
    """Put the calliper to every kind."""
    return _each("measure", "packer", forms)


def _screws(given: Given, forms: Sequence[MoveForm]) -> tuple[Move, ...]:
    """Ask, hold the detector beside every stack, lift a board in front of the first."""
    ((x, y),) = given.on_plan[0].places_mm
    lifted = Move("lift", {"at": (x, y + _IN_FRONT_MM)})
    return (Move("ask"), *_each("detect", "stack", forms), lifted)


def _front_lift(given: Given, forms: Sequence[MoveForm]) -> tuple[Move, ...]:
    """Lay all bags, shared as the full load is, and read every gauge."""
    ((_, rows),) = given.tables
    bags = round(next(f.most for f in _form("load", forms).fields if f.key == "bags"))
    full = dict(zip(rows["row"], rows["full_load_kg"], strict=True))
    *_, last = full
    lying = {last: round(bags * full[last] / sum(full.values()))}
    lying = {row: lying.get(row, bags - lying[last]) for row in full}
    loads = (Move("load", {"row": row, "bags": float(lying[row])}) for row in full)
    return (*loads, *_each("gauge", "row", forms))


def _weigh_bases(given: Given, forms: Sequence[MoveForm]) -> tuple[Move, ...]:  # noqa: ARG001
    """Look at everything."""
    return tuple(Move(form.kind) for form in forms)


def _each(kind: str, key: str, forms: Sequence[MoveForm]) -> tuple[Move, ...]:
    """Return a move of a kind for each choice of its field."""
    field = next(one for one in _form(kind, forms).fields if one.key == key)
    return tuple(Move(kind, {key: choice}) for choice in field.choices)


def _form(kind: str, forms: Sequence[MoveForm]) -> MoveForm:
    return next(form for form in forms if form.kind == kind)


#: Drills that can be worked without a screen, by key.
PLANS: dict[str, OnPaper] = {
    "high_point": OnPaper(_high_point, plan=True, book=_high_point_book),
    "own_error": OnPaper(_own_error, plan=True, book=_own_error_book),
    "bad_reading": OnPaper(_bad_reading, plan=True),
    "choose_stacks": OnPaper(_choose_stacks),
    "screws": OnPaper(_screws, plan=True),
    "front_lift": OnPaper(_front_lift),
    "weigh_bases": OnPaper(_weigh_bases, plan=True),
}
