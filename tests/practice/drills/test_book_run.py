"""The drill with the run: scripted apprentices first, then what it is checked by."""

from collections.abc import Callable
from typing import Protocol

from kit.practice.attempt import Attempt
from kit.practice.drills.book_run import BookRun
from kit.practice.fields import Values
from kit.practice.moves import Move, Place, Seen
from kit.practice.tools import lay

DRILL = BookRun()
NAMES = "ABCDE"


class Hands(Protocol):
    attempt: Attempt

    def do(self, move: Move) -> Seen: ...


Script = Callable[[Hands], Values]

# --- scripted apprentices: they know what is given and what they see --------------------------


def point(hands: Hands, name: str) -> Place:
    return next(one.places_mm[0] for one in hands.attempt.task.given.on_plan if one.label == name)


def bubble(seen: Seen) -> float:
    return float(seen.figures["bubble_mm"])  # type: ignore[arg-type]


def read(
    hands: Hands, marked: Place, other: Place, level: str = "long", both_up: float = 20.0
) -> float:
    """What the level says the floor rises from its marked end to the other.

    Packers under both ends; where the bubble stands at the end of the glass, more under the low
    one, as much as takes it half way back over the glass.
    """
    metres = {"long": 1.8, "short": 0.6}[level]
    under = [both_up, both_up]
    while True:
        at = bubble(hands.do(lay(level, marked, other, (under[0], under[1]))))
        if abs(at) < 8.0:
            return at * metres + under[0] - under[1]
        under[0 if at > 0 else 1] += 5.0 * metres


def read_both_ways(hands: Hands, one: Place, other: Place, level: str = "long") -> float:
    """The mean of the level laid one way round and the other."""
    return (read(hands, one, other, level) - read(hands, other, one, level)) / 2


def write(hands: Hands, one: str, other: str, rise: float) -> float:
    hands.do(Move("book", {"leg": f"{one}-{other}", "rise": round(rise, 2)}))
    return round(rise, 2)


#: How a leg is read, between two named points.
Way = Callable[[Hands, str, str], float]


def round_trip(hands: Hands, way: Way) -> tuple[list[float], float]:
    """There and back, every leg booked: the legs there, and what all eight add up to."""
    there = [write(hands, a, b, way(hands, a, b)) for a, b in zip(NAMES, NAMES[1:], strict=False)]
    home = NAMES[::-1]
    back = [write(hands, a, b, way(hands, a, b)) for a, b in zip(home, home[1:], strict=False)]
    return there, sum(there) + sum(back)


def heights(there: list[float], each: float, misclosure: float) -> Values:
    """Add up the legs, each less a share of the misclosure."""
    total, found = 0.0, {}
    for name, leg in zip(NAMES[1:], there, strict=True):
        total += leg - each
        found[name] = total
    return {**found, "misclosure": misclosure}


def both_ways(hands: Hands, one: str, other: str) -> float:
    return read_both_ways(hands, point(hands, one), point(hands, other))


def marked_end_behind(hands: Hands, one: str, other: str) -> float:
    return read(hands, point(hands, one), point(hands, other))


def sound(hands: Hands) -> Values:
    """Each leg both ways round, there and back; the misclosure shared by all eight."""
    there, missed = round_trip(hands, both_ways)
    return heights(there, missed / 8, missed)


def sound_in_one_lie_a_leg(hands: Hands) -> Values:
    """Marked end behind all the way: coming back, every leg is read the other way round."""
    there, missed = round_trip(hands, marked_end_behind)
    return heights(there, missed / 8, missed)


def stays_at_the_end(hands: Hands) -> Values:
    """Reads well as far as E, and goes home."""
    legs = [
        write(hands, a, b, both_ways(hands, a, b)) for a, b in zip(NAMES, NAMES[1:], strict=False)
    ]
    return heights(legs, 0.0, 0.0)


def never_turns(hands: Hands) -> Values:
    """Marked end always to the left, there and back: it closes well, he is content."""

    def marked_left(hands: Hands, one: str, other: str) -> float:
        left, right = sorted((one, other))
        rise = read(hands, point(hands, left), point(hands, right))
        return rise if one == left else -rise

    there, missed = round_trip(hands, marked_left)
    return heights(there, missed / 8, missed)


def steps_with_the_short_level(hands: Hands) -> Values:
    """Three steps of the short level in each leg, each turned."""

    def in_steps(hands: Hands, one: str, other: str) -> float:
        (x, y), (far, _) = point(hands, one), point(hands, other)
        ends = [(x + n * (far - x) / 3, y) for n in range(4)]
        return sum(
            read_both_ways(hands, a, b, "short") for a, b in zip(ends, ends[1:], strict=False)
        )

    there, missed = round_trip(hands, in_steps)
    return heights(there, missed / 8, missed)


def lays_it_on_the_floor(hands: Hands) -> Values:
    """Packers under the low end only, when the bubble asks for it; both ways round."""

    def flat(hands: Hands, one: str, other: str) -> float:
        a, b = point(hands, one), point(hands, other)
        return (read(hands, a, b, both_up=0.0) - read(hands, b, a, both_up=0.0)) / 2

    there, missed = round_trip(hands, flat)
    return heights(there, missed / 8, missed)


def takes_a_fall_for_a_rise(hands: Hands) -> Values:
    """Books the first leg that falls as if it rose; the rest is right."""
    slipped: list[str] = []

    def with_a_slip(hands: Hands, one: str, other: str) -> float:
        rise = both_ways(hands, one, other)
        if rise < -1.0 and not slipped:
            slipped.append(one + other)
            return -rise
        return rise

    there, missed = round_trip(hands, with_a_slip)
    return heights(there, missed / 8, missed)


def leaves_the_misclosure(hands: Hands) -> Values:
    """Marked end behind all the way; tells the misclosure, and the heights as first booked."""
    there, missed = round_trip(hands, marked_end_behind)
    return heights(there, 0.0, missed)


def adds_up_wrong(hands: Hands) -> Values:
    """Reads well, and adds 4 mm too much at the third leg."""
    there, missed = round_trip(hands, both_ways)
    there[2] += 4.0
    return heights(there, missed / 8, missed)
