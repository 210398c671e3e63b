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

#: Turned no farther beside its marks than this, it lies on them [mm].
_ON_THE_MARKS_MM = 1.0

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
    apart = [(a, b) for place, a in enumerate(laid) for b in laid[place + 1 :] if _turned(a, b)]
    if not apart:
        yield NEVER_TURNED, _laid_words(len(laid))
    elif not pairs:
        yield MOVED, "no two readings with the level turned are of one place on the same packers"
        yield from _sums(apart, said)
    elif not any(_readable(pair) for pair in pairs):
        pair = _used(pairs, said)
        yield from _faults(pair)
        yield from _sums([pair], said)
    elif abs(said - truth) > LIMIT_MM_PER_M + 1e-9:
        yield from _out(pairs, said)


def _laid_words(times: int) -> str:
    if times < 2:
        return f"the long level was {'laid only once' if times else 'never laid'}"
    return f"the long level was laid {times} times, always the same way round"


def _out(pairs: Sequence[Pair], said: float) -> Iterator[tuple[Kind, str]]:
    """Yield why an answer is out although the level was read well at least once."""
    good = [pair for pair in pairs if _readable(pair)]
    bad = [pair for pair in pairs if not _readable(pair)]
    beside = [pair for pair in good if _off_mm(pair) > _ON_THE_MARKS_MM]
    if _fits(beside, said):
        off = _off_mm(_nearest(beside, said))
        yield MOVED, f"the level was turned {off:.0f} mm beside where it had lain"
    elif sums := tuple(_sums(good, said)):
        yield from sums
    elif bad and _fits(bad, said):
        yield from _faults(_nearest(bad, said))
    elif mixed := _mixed(bad, good, said):
        yield from _faults(mixed[0])
    elif not _readable(pairs[-1]) and (sums := tuple(_sums(bad, said))):
        yield from _faults(_used(bad, said))
        yield from sums
    else:
        yield OUT, "both ways round were read"


def _sums(pairs: Sequence[Pair], said: float) -> Iterator[tuple[Kind, str]]:
    """Yield what went wrong between two bubbles and an answer; nothing where nothing did."""
    if _fits(pairs, said):
        return
    halves = [_half(pair) for pair in pairs]
    mean = sum(halves) / len(halves)
    for factor, kinds in _SUMS:
        # Who takes the mean of several rounds it to a tenth before it is doubled, or after.
        of_mean = len(pairs) > 1 and abs(said - factor * mean) <= _TYPED * abs(factor)
        if of_mean or any(abs(said - factor * half) <= _TYPED for half in halves):
            yield from ((kind, "both ways round were read") for kind in kinds)
            return
    if any(abs(abs(said) - abs(bubble_mm(a) - bubble_mm(b)) / 2) <= _TYPED for a, b in pairs):
        yield WRONG_SIGN, _ONE_OF_TWO


_SUMS = (
    (2.0, (NOT_HALVED,)), (-1.0, (WRONG_SIGN,)), (-2.0, (NOT_HALVED, WRONG_SIGN)),
)  # fmt: skip

_ONE_OF_TWO = (
    "one of two bubbles was counted the wrong way: their difference is what the floor does, not "
    "what the level does"
)


def _fits(pairs: Sequence[Pair], said: float) -> bool:
    return any(abs(_half(pair) - said) <= _TYPED for pair in pairs)


def _mixed(bad: Sequence[Pair], good: Sequence[Pair], said: float) -> list[Pair]:
    """Return the ill read pairs with which a well read one has an answer for its mean."""
    return [a for a in bad if any(abs((_half(a) + _half(b)) / 2 - said) <= _TYPED for b in good)]


def _used(pairs: Sequence[Pair], said: float) -> Pair:
    """Return the pair that an answer was made of, well halved or not."""
    for factor in (1.0, 2.0, -1.0, -2.0):
        for pair in reversed(pairs):
            if abs(factor * _half(pair) - said) <= _TYPED:
                return pair
    return _nearest(pairs, said)


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


def _off_mm(pair: Pair) -> float:
    """Return how far beside its first lie a level was turned [mm]."""
    return _away(laid_ends(pair[0].move), laid_ends(pair[1].move)[::-1])


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
