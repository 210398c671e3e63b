"""The drill with the level's own error: scripted apprentices first, then what it is checked by."""

from collections.abc import Callable, Iterator, Sequence
from typing import Protocol

from kit.practice.attempt import Attempt
from kit.practice.drills.own_error import OwnError
from kit.practice.fields import Values
from kit.practice.moves import Done, Move, Place, Seen
from kit.practice.tools import lay, turned

DRILL = OwnError()
LONG_MM = 1800.0


class Hands(Protocol):
    attempt: Attempt

    def do(self, move: Move) -> Seen: ...


Script = Callable[[Hands], Values]

# --- scripted apprentices: they know what is given and what they see --------------------------


def places(hands: Hands) -> Iterator[tuple[Place, Place]]:
    """The pencil lines, then the middle of the floor, then wherever the room has space."""
    given = hands.attempt.task.given
    for line in given.on_plan:
        yield line.places_mm[0], line.places_mm[1]
    wide, deep = given.room_mm
    for x in (1200.0, 300.0, 2100.0):
        for y in (0.45 * deep, 0.3 * deep, 0.65 * deep):
            yield (x, y), (x + LONG_MM, y)
    for x in (0.3 * wide, 0.5 * wide, 0.7 * wide):
        yield (x, 200.0), (x, 200.0 + LONG_MM)


def bubble(seen: Seen) -> float:
    return float(seen.figures["bubble_mm"])  # type: ignore[arg-type]


def at_end(seen: Seen) -> bool:
    return abs(bubble(seen)) >= 8.0


def tips(seen: Seen) -> bool:
    return seen.figures["rocks"] == "true"


def both_ways(hands: Hands, *, minds_rocking: bool, minds_glass: bool) -> tuple[float, float]:
    """Lay, look, turn on the marks, look; go elsewhere where what one minds is wrong."""
    for start, end in places(hands):
        bubbles = []
        for move in (lay("long", start, end), turned(lay("long", start, end))):
            seen = hands.do(move)
            if (minds_rocking and tips(seen)) or (minds_glass and at_end(seen)):
                break
            bubbles.append(bubble(seen))
        if len(bubbles) == 2:
            return bubbles[0], bubbles[1]
    raise AssertionError("nowhere to lay a level")


def firm(hands: Hands) -> tuple[tuple[Place, Place], float]:
    """Lay the level where it lies firm and reads; return where, and the bubble."""
    for start, end in places(hands):
        seen = hands.do(lay("long", start, end))
        if not tips(seen) and not at_end(seen):
            return (start, end), bubble(seen)
    raise AssertionError("nowhere to lay a level")


def sound(hands: Hands) -> Values:
    """Lays it as others do; where both lines are bad, lifts it clear on packers."""
    for line in hands.attempt.task.given.on_plan:
        start, end = line.places_mm
        first = hands.do(lay("long", start, end))
        if not tips(first) and not at_end(first):
            other = hands.do(turned(lay("long", start, end)))
            if not at_end(other):
                return {"error": (bubble(first) + bubble(other)) / 2}
    return sound_on_packers(hands)


def sound_on_packers(hands: Hands) -> Values:
    """Another sound hand: packers under both ends, thicker under the low one; then nothing rocks."""
    left, right = 20.0, 20.0
    start, end = (1000.0, 700.0), (1000.0 + LONG_MM, 700.0)
    for _ in range(3):
        first = lay("long", start, end, (left, right))
        one = bubble(hands.do(first))
        if abs(one) < 5.0:
            other = bubble(hands.do(turned(first)))
            return {"error": (one + other) / 2}
        left, right = left + max(one, 0.0) * 1.8, right + max(-one, 0.0) * 1.8
    raise AssertionError("steeper than packers go")


def never_turns(hands: Hands) -> Values:
    """Lays it down twice, same end first, and takes the mean: floors even out, so he thinks."""
    (start, end), one = firm(hands)
    beside = (start[0], start[1] - 150.0), (end[0], end[1] - 150.0)
    other = bubble(hands.do(lay("long", *beside)))
    return {"error": (one + other) / 2}


def turns_elsewhere(hands: Hands) -> Values:
    """Reads, picks it up, turns round with it, puts it down where there is room."""
    (start, end), one = firm(hands)
    for aside in (250.0, 400.0, 550.0, 700.0):
        y = start[1] - aside if start[1] > 800.0 else start[1] + aside
        seen = hands.do(lay("long", (end[0], y + end[1] - start[1]), (start[0], y)))
        if not tips(seen) and not at_end(seen):
            break
    return {"error": (one + bubble(seen)) / 2}


def minds_no_rocking(hands: Hands) -> Values:
    one, other = both_ways(hands, minds_rocking=False, minds_glass=True)
    return {"error": (one + other) / 2}


def minds_no_glass(hands: Hands) -> Values:
    one, other = both_ways(hands, minds_rocking=True, minds_glass=False)
    return {"error": (one + other) / 2}


def does_not_halve(hands: Hands) -> Values:
    one, other = both_ways(hands, minds_rocking=True, minds_glass=True)
    return {"error": one + other}


def turns_the_sign(hands: Hands) -> Values:
    one, other = both_ways(hands, minds_rocking=True, minds_glass=True)
    return {"error": -(one + other) / 2}


def misreads(hands: Hands) -> Values:
    """Counts one line too many on the glass."""
    one, other = both_ways(hands, minds_rocking=True, minds_glass=True)
    return {"error": (one + 1.0 + other) / 2}


def used(done: Sequence[Done]) -> Sequence[Seen]:
    """The two lies that an answer was made of."""
    return [one.seen for one in done[-2:]]
