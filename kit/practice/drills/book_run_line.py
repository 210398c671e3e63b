"""Five points along a wall, the legs between them, and the book of a run there and back."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from kit.practice.fields import Field, number, numbers, words
from kit.practice.instruments import LEVEL_LENGTHS_MM, TRAVEL_MM
from kit.practice.moves import Done, Move, MoveForm, Place, Seen
from kit.practice.tools import laid_ends

POINTS = ("A", "B", "C", "D", "E")
LONG_MM = LEVEL_LENGTHS_MM["long"]

#: Legs there and back, each by its first and its second point.
THERE = tuple(itertools.pairwise(POINTS))
BACK = tuple((end, start) for start, end in reversed(THERE))
LEGS = THERE + BACK

#: Heights and misclosure are right within this [mm].
LIMIT_MM = 1.0

#: The room, and where the points are in it [mm].
ROOM_MM, FIRST_X_MM, ROW_Y_MM = (7800.0, 1200.0), 300.0, 220.0

#: Ends of a level on two points differ from them by no more than a pencil mark [mm].
_ON_POINT_MM = 10.0

#: A level that touches nearer than this to both its ends lies on the points [mm]: 0.1 m of the
#: floor beside a point differs from it by tenths of a millimetre, and its share is a twentieth.
_AT_ENDS_MM = 100.0
_BOOK_S = 10.0

#: A leg: its first and its second point.
Leg = tuple[str, str]


def leg_words(leg: Leg) -> str:
    """Return a leg as it is booked: ``A-B``."""
    return "-".join(leg)


BOOK = MoveForm(
    "book",
    "book a leg",
    (
        Field("leg", "leg", "choice", choices=tuple(leg_words(leg) for leg in LEGS)),
        Field("rise", "rise from its first point to its second", unit="mm", least=-200, most=200),
    ),
)


def book(leg: Leg, rise_mm: float) -> Move:
    """Return the move that books a leg."""
    return Move("book", {"leg": leg_words(leg), "rise": rise_mm})


def places() -> Mapping[str, Place]:
    """Return where the points are [mm]."""
    return {point: (FIRST_X_MM + n * LONG_MM, ROW_Y_MM) for n, point in enumerate(POINTS)}


def booked(done: Sequence[Done]) -> dict[Leg, float]:
    """Return the book: rise of each leg [mm], the last entry of each."""
    by_words = {leg_words(leg): leg for leg in LEGS}
    return {
        by_words[words(one.move.values, "leg")]: number(one.move.values, "rise")
        for one in done
        if one.move.kind == "book"
    }


def write_down(done: Sequence[Done], move: Move) -> Seen:
    """Book a leg and show the book."""
    leg, rise = words(move.values, "leg"), number(move.values, "rise")
    kept = {leg_words(one): rise for one, rise in booked(done).items()} | {leg: rise}
    legs = [one for one in map(leg_words, LEGS) if one in kept]
    sums = [round(total, 3) for total in itertools.accumulate(kept[one] for one in legs)]
    table = pd.DataFrame({"leg": legs, "rise_mm": [kept[one] for one in legs], "sum_mm": sums})
    return Seen(
        f"{leg} booked: {rise:+g} mm", _BOOK_S, placement=False, tables=(("The book", table),)
    )


@dataclass(frozen=True)
class Lie:
    """A level that lay along a leg, looked at the way that the leg runs.

    Parameters
    ----------
    rise_mm : float
        What it says: bubble times length, packers at the first point less those at the second.
    onward : bool
        The marked end lay at the first point.
    on_points : bool
        It touched at both its ends.
    at_the_end : bool
        Its bubble stood at the end of the glass.
    """

    rise_mm: float
    onward: bool
    on_points: bool
    at_the_end: bool


def lies(done: Sequence[Done], leg: Leg) -> list[Lie]:
    """Return how the long level lay along a leg, either way round."""
    return [lie for one in done if one.move.kind == "lay" for lie in _along(one, leg)]


def _along(one: Done, leg: Leg) -> Iterator[Lie]:
    if words(one.move.values, "level") != "long":
        return
    first, second = (places()[point] for point in leg)
    for onward, ends in ((True, (first, second)), (False, (second, first))):
        if all(_near(a, b) for a, b in zip(laid_ends(one.move), ends, strict=True)):
            bubble = number(one.seen.figures, "bubble_mm")
            rise = bubble * LONG_MM / 1000 + _thick(one, "under_from") - _thick(one, "under_to")
            left, right = numbers(one.seen.figures, "touches_mm")
            on_points = left <= _AT_ENDS_MM and right >= LONG_MM - _AT_ENDS_MM
            yield Lie(rise if onward else -rise, onward, on_points, abs(bubble) >= TRAVEL_MM)


def short_ways(done: Sequence[Done], leg: Leg) -> set[bool]:
    """Return which ways round the short level lay between two points: True for leg's own way."""
    (left, _), (right, _) = sorted(places()[point] for point in leg)
    laid = [one for one in done if one.move.kind == "lay"]
    ends = [laid_ends(one.move) for one in laid if words(one.move.values, "level") == "short"]
    onward = places()[leg[0]] < places()[leg[1]]
    return {
        (start < end) == onward
        for start, end in ends
        if min(start[0], end[0]) >= left - _ON_POINT_MM
        and max(start[0], end[0]) <= right + _ON_POINT_MM
    }


def _near(a: Place, b: Place) -> bool:
    return max(abs(a[0] - b[0]), abs(a[1] - b[1])) <= _ON_POINT_MM


def _thick(one: Done, key: str) -> float:
    return float(sum(numbers(one.move.values, key)))


def carried(book_mm: Mapping[Leg, float]) -> dict[str, float]:
    """Return heights of B to E above A as booked there [mm]; legs not booked count as 0."""
    heights, height = {}, 0.0
    for start, end in THERE:
        height += book_mm.get((start, end), 0.0)
        heights[end] = height
    return heights


def spread(book_mm: Mapping[Leg, float]) -> dict[str, float]:
    """Return heights of B to E above A [mm] with the misclosure shared evenly by all eight legs."""
    share = misclosure(book_mm) / len(LEGS)
    return {
        point: height - (n + 1) * share
        for n, (point, height) in enumerate(carried(book_mm).items())
    }


def misclosure(book_mm: Mapping[Leg, float]) -> float:
    """Return what the legs of a closed book add up to [mm]; it ought to be nothing."""
    return round(sum(book_mm.get(leg, 0.0) for leg in LEGS), 6) + 0.0  # no minus nothing
