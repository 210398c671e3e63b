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


_PLACES = {point: (FIRST_X_MM + n * LONG_MM, ROW_Y_MM) for n, point in enumerate(POINTS)}


def places() -> Mapping[str, Place]:
    """Return where the points are [mm]."""
    return _PLACES


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
    """The long level as it lay along a leg, looked at the way that the leg runs there.

    Parameters
    ----------
    at : int
        Its place among the moves.
    leg : Leg
        Which leg, from the left to the right.
    tilt_mm, packed_mm : float
        What it says of the rise: bubble times length, and packers at the first point less those
        at the second.
    onward : bool
        The marked end lay at the first point.
    on_points : bool
        It touched at both its ends.
    """

    at: int
    leg: Leg
    tilt_mm: float
    packed_mm: float
    onward: bool
    on_points: bool

    @property
    def rise_mm(self) -> float:
        """What it says that the leg rises [mm]."""
        return self.tilt_mm + self.packed_mm

    @property
    def readable(self) -> bool:
        """Whether its bubble stood clear of the ends of the glass."""
        return abs(self.tilt_mm) < TRAVEL_MM * LONG_MM / 1000 - 1e-6  # round-off


def laid(done: Sequence[Done]) -> list[Lie]:
    """Return how the long level lay from point to point, in the order of the moves."""
    return [lie for at, one in enumerate(done) if one.move.kind == "lay" for lie in _along(at, one)]


def _along(at: int, one: Done) -> Iterator[Lie]:
    if words(one.move.values, "level") != "long":
        return
    start, end = laid_ends(one.move)
    first, second = (min(POINTS, key=lambda point: _away(place, point)) for place in (start, end))
    if first == second or max(_away(start, first), _away(end, second)) > _ON_POINT_MM:
        return
    sign = 1.0 if first < second else -1.0
    bubble = number(one.seen.figures, "bubble_mm")
    packed = _thick(one, "under_from") - _thick(one, "under_to")
    left, right = numbers(one.seen.figures, "touches_mm")
    on_points = left <= _AT_ENDS_MM and right >= LONG_MM - _AT_ENDS_MM
    leg = (first, second) if sign > 0 else (second, first)
    tilt = sign * bubble * LONG_MM / 1000
    yield Lie(at, leg, tilt, sign * packed, sign > 0, on_points)


def short_ways(done: Sequence[Done]) -> dict[Leg, set[bool]]:
    """Return which ways round the short level lay along each leg: True for marked end left."""
    ways: dict[Leg, set[bool]] = {leg: set() for leg in THERE}
    for one in done:
        if one.move.kind == "lay" and words(one.move.values, "level") == "short":
            start, end = laid_ends(one.move)
            for leg in THERE:
                (left, _), (right, _) = (places()[point] for point in leg)
                low, high = min(start[0], end[0]), max(start[0], end[0])
                if low >= left - _ON_POINT_MM and high <= right + _ON_POINT_MM:
                    ways[leg].add(start < end)
    return ways


def _away(place: Place, point: str) -> float:
    """Return how far a place is from a point, the longer of along and out from the wall [mm]."""
    x, y = _PLACES[point]
    return max(abs(place[0] - x), abs(place[1] - y))


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


def carried_both_ways(book_mm: Mapping[Leg, float]) -> dict[str, float]:
    """Return heights of B to E above A [mm] from the mean of each leg there and back."""
    mean = {leg: (book_mm[leg] - book_mm[leg[::-1]]) / 2 for leg in THERE}
    return carried(mean)


def spread_wrongly(book_mm: Mapping[Leg, float], share: float) -> dict[str, float]:
    """Return heights of B to E above A [mm] with such a share of the misclosure off every leg."""
    off = misclosure(book_mm) * share
    return {
        point: height - (n + 1) * off for n, (point, height) in enumerate(carried(book_mm).items())
    }
