"""Marking of the drill with the level's own error."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from kit.practice.effects import lean_along
from kit.practice.fields import Values, number, numbers, words
from kit.practice.instruments import TRAVEL_MM
from kit.practice.mistakes import NEVER_TURNED, OUT, WRONG_SIGN, Kind, Mistake
from kit.practice.moves import Done, Place
from kit.practice.tools import laid_ends

#: Two readings with the level turned.
Pair = tuple[Done, Done]

#: Half the sum of two bubbles, each read to 0.2 mm, is right to 0.1 mm [mm/m].
LIMIT_MM_PER_M = 0.1

MOVED = Kind("turned_elsewhere", "turned it, but laid it down elsewhere",
    "turns the level, but on another piece of floor with a fall of its own", 25)  # fmt: skip
ROCKED = Kind("rocked", "read it where it rocked",
    "reads a level that rocks: turned end for end, it goes down on its other side", 20)  # fmt: skip
OFF_THE_GLASS = Kind("off_the_glass", "read a bubble at the end of the glass",
    "books a bubble that stands at the end of its glass as if it had been read", 20)  # fmt: skip
NOT_HALVED = Kind("not_halved", "took the whole sum for the error",
    "books the sum of both bubbles, not its half", 25)  # fmt: skip

#: Ends of the same lie differ by no more than a pencil mark [mm].
_SAME_PLACE_MM = 10.0

#: Sums of bubbles as typed: what differs by less is the same number [mm].
_TYPED = 0.051

_SOUND = (
    "Lay the level where it lies firm and its bubble is free of the ends of the glass. Mark where "
    "its ends lie, read it, turn it end for end on the same marks and read it again. Half the sum "
    "of both bubbles, counted towards the end without a mark, is the level's own error."
)


def mark(done: Sequence[Done], answer: Values, truth_mm_per_m: float) -> tuple[Mistake, ...]:
    """Tell the mistakes.

    Parameters
    ----------
    done : sequence of Done
        All moves.
    answer : mapping
        ``error`` [mm/m].
    truth_mm_per_m : float
        The long level's own error [mm/m].
    """
    said = number(answer, "error")
    laid = [one for one in done if one.move.kind == "lay" and one.move.values["level"] == "long"]
    out = said - truth_mm_per_m
    lucky = abs(out) <= LIMIT_MM_PER_M + 1e-9
    figures = f"you answered {said:g} mm/m, and the level is out by {truth_mm_per_m:g} mm/m"
    figures += ", which was luck" if lucky else ""
    effect = lean_along(truth_mm_per_m if lucky else out, 1000.0)
    return tuple(
        Mistake(kind, f"{words}; {figures}", effect, _SOUND)
        for kind, words in _causes(laid, said, truth_mm_per_m)
    )


def _causes(laid: Sequence[Done], said: float, truth: float) -> Iterator[tuple[Kind, str]]:
    """Yield the kinds and what was done; none for sound work."""
    pairs = [
        (a, b) for place, a in enumerate(laid) for b in laid[place + 1 :] if one_lie_turned(a, b)
    ]
    if not any(_turned(a, b) for a in laid for b in laid):
        yield NEVER_TURNED, f"the long level was laid {len(laid)} times, always the same way round"
    elif not pairs:
        yield MOVED, "no two readings with the level turned are of one place on the same packers"
    elif not any(_readable(pair) for pair in pairs):
        yield from _faults(_nearest(pairs, said))
    elif abs(said - truth) > LIMIT_MM_PER_M + 1e-9:
        yield from _out(pairs, said)


def _out(pairs: Sequence[Pair], said: float) -> Iterator[tuple[Kind, str]]:
    """Yield why an answer is out although the level was read well at least once."""
    bad = [pair for pair in pairs if not _readable(pair)]
    halves = [_half(pair) for pair in pairs if _readable(pair)]
    sums = (
        (2.0, (NOT_HALVED,)), (-1.0, (WRONG_SIGN,)), (-2.0, (NOT_HALVED, WRONG_SIGN)),
    )  # fmt: skip
    for factor, kinds in sums:
        if any(abs(said - factor * half) <= _TYPED for half in halves):
            yield from ((kind, "both ways round were read") for kind in kinds)
            return
    if bad and abs(_half(_nearest(bad, said)) - said) <= _TYPED:
        yield from _faults(_nearest(bad, said))
        return
    yield OUT, "both ways round were read"


def _faults(pair: Pair) -> Iterator[tuple[Kind, str]]:
    """Yield what is wrong with a pair that was read and should not have been."""
    if any(rocks(one) for one in pair):
        yield ROCKED, f"the level rocked where its bubbles were read, {_bubbles(pair)}"
    if any(at_the_end(one) for one in pair):
        yield OFF_THE_GLASS, f"a bubble stood at the end of the glass, {_bubbles(pair)}"


def _bubbles(pair: Pair) -> str:
    return " and ".join(f"{bubble_mm(one):+g} mm" for one in pair)


def _half(pair: Pair) -> float:
    return sum(bubble_mm(one) for one in pair) / 2


def _nearest(pairs: Sequence[Pair], said: float) -> Pair:
    """Return the pair that an answer was made of: whose half sum is nearest, the last of equals."""
    return min(reversed(pairs), key=lambda pair: round(abs(_half(pair) - said), 6))


def _readable(pair: Pair) -> bool:
    return all(readable(one) for one in pair)


def one_lie_turned(a: Done, b: Done) -> bool:
    """Tell whether the level lay at one place on one set of packers, turned end for end."""
    packers = [
        [sum(numbers(one.move.values, key)) for key in ("under_from", "under_to")] for one in (a, b)
    ]
    return packers[0] == packers[1][::-1] and (
        _away(laid_ends(a.move), laid_ends(b.move)[::-1]) <= _SAME_PLACE_MM
    )


def _away(ends: Sequence[Place], others: Sequence[Place]) -> float:
    return max(float(np.hypot(a[0] - b[0], a[1] - b[1])) for a, b in zip(ends, others, strict=True))


def _turned(a: Done, b: Done) -> bool:
    """Tell whether the marked end points the other way."""
    (ax, ay), (az, aw) = laid_ends(a.move)
    (bx, by), (bz, bw) = laid_ends(b.move)
    return (az - ax) * (bz - bx) + (aw - ay) * (bw - by) < 0


def bubble_mm(one: Done) -> float:
    """Return the bubble that was read [mm]."""
    return number(one.seen.figures, "bubble_mm")


def rocks(one: Done) -> bool:
    """Tell whether the level was seen to rock."""
    return words(one.seen.figures, "rocks") == "true"


def at_the_end(one: Done) -> bool:
    """Tell whether the bubble stood at the end of its glass."""
    return abs(bubble_mm(one)) >= TRAVEL_MM


def readable(one: Done) -> bool:
    """Tell whether a level lay firm with its bubble free of both ends of the glass."""
    return not rocks(one) and not at_the_end(one)
