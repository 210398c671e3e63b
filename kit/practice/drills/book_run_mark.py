"""Marking of the drill with the run."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kit.practice.drills.book_run_line import (
    LEGS,
    LIMIT_MM,
    LONG_MM,
    POINTS,
    THERE,
    Leg,
    Lie,
    booked,
    carried,
    leg_words,
    lies,
    misclosure,
    short_ways,
    spread,
)
from kit.practice.effects import Effect, lean_along
from kit.practice.fields import Values, number
from kit.practice.mistakes import (
    NEVER_TURNED,
    ON_A_HUMP,
    OUT,
    SHORT_LEVEL,
    WRONG_SIGN,
    Kind,
    Mistake,
)
from kit.practice.moves import Done

NOT_CLOSED = Kind("not_closed", "never came back to where it began",
    "carries a height one way only, so that nothing shows what it is worth", 25)  # fmt: skip
NOT_SPREAD = Kind("not_spread", "left the misclosure in the last leg",
    "finds what the round misses and answers the heights as first booked", 20)  # fmt: skip

#: A leg was booked from a reading if it is no farther from it than this [mm].
_BOOKED_MM = 0.6

#: Heights that differ by no more than this are the same sums, rounded as one likes [mm].
_SUMS_MM = 0.3

_SOUND = (
    "Packers under both ends of the long level, each leg read both ways round (or the marked end "
    "behind all the way there and back), all eight legs booked, an eighth of what they add up to "
    "taken off each, then the heights added up."
)


@dataclass(frozen=True)
class _Case:
    """An answer and what was done for it.

    Parameters
    ----------
    done : sequence of Done
        Moves.
    true_mm, said_mm : mapping
        Heights of B to E above A [mm].
    said_missed_mm : float
        The misclosure that was answered [mm].
    """

    done: Sequence[Done]
    true_mm: Mapping[str, float]
    said_mm: Mapping[str, float]
    said_missed_mm: float

    @cached_property
    def book_mm(self) -> dict[Leg, float]:
        """The book."""
        return booked(self.done)

    @cached_property
    def read(self) -> dict[Leg, list[Lie]]:
        """How the long level lay along each leg, seen as going there, bubble on the glass."""
        return {leg: [lie for lie in lies(self.done, leg) if not lie.at_the_end] for leg in THERE}

    @property
    def missing(self) -> list[Leg]:
        """Legs that are not booked."""
        return [leg for leg in LEGS if leg not in self.book_mm]

    @property
    def wrong(self) -> bool:
        """Whether a height is beyond the limit."""
        return self.off_mm(self.said_mm) > LIMIT_MM + 1e-9

    def off_mm(self, heights_mm: Mapping[str, float]) -> float:
        """Return how far the worst of some heights is out [mm]."""
        return max(abs(heights_mm[point] - self.true_mm[point]) for point in POINTS[1:])

    @property
    def worst_leg_mm(self) -> float:
        """How far the answer is out between two points next to each other, at worst [mm]."""
        out = [0.0, *(self.said_mm[point] - self.true_mm[point] for point in POINTS[1:])]
        return float(max(np.diff(out), key=abs))


def mark(done: Sequence[Done], answer: Values, true_mm: Mapping[str, float]) -> tuple[Mistake, ...]:
    """Tell the mistakes, where the heights of B to E above A are known [mm]."""
    said = {point: number(answer, point) for point in POINTS[1:]}
    case = _Case(done, true_mm, said, number(answer, "misclosure"))
    return tuple(
        Mistake(kind, f"{words}; {_figures(case)}", _effect(case, kind), _SOUND)
        for kind, words in _causes(case)
    )


def _causes(case: _Case) -> Iterator[tuple[Kind, str]]:
    """Yield kinds and what was done: habits first, then what no habit explains.

    Each habit but that of not coming back spoils heights by itself.
    """
    found = [*_habits(case)]
    found += [] if not case.wrong else [*_slipped_sign(case)] or [*_not_spread(case)]
    yield from found
    if case.wrong and not {kind for kind, _ in found} - {NOT_CLOSED}:
        yield OUT, "the legs were read well, and the heights are out"
    elif not case.missing and not case.wrong:
        yield from _misclosure(case)


def _habits(case: _Case) -> Iterator[tuple[Kind, str]]:
    if case.missing:
        yield NOT_CLOSED, f"not booked: {_list(case.missing)}"
    short = [leg for leg in THERE if not case.read[leg] and short_ways(case.done, leg)]
    if short:
        yield SHORT_LEVEL, f"the short level, in steps, along {_list(short)}"
    one_way = [leg for leg in THERE if len(_ways(case, leg)) == 1]
    if one_way:
        yield NEVER_TURNED, f"read one way round only, there and back: {_list(one_way)}"
    humps = [
        leg for leg in THERE if case.read[leg] and not any(x.on_points for x in case.read[leg])
    ]
    if humps:
        yield ON_A_HUMP, f"the level touched the floor between the points: {_list(humps)}"


def _ways(case: _Case, leg: Leg) -> set[bool]:
    """Return which ways round a level lay along a leg, of whatever length."""
    long = {lie.onward for lie in case.read[leg]}
    return long or short_ways(case.done, leg)


def _slipped_sign(case: _Case) -> Iterator[tuple[Kind, str]]:
    """Yield legs booked with the sign of what was read the wrong way round, or all heights so."""
    legs = [leg for leg, rise in case.book_mm.items() if _slipped(case, leg, rise)]
    if legs:
        figures = ", ".join(f"{leg_words(leg)} {case.book_mm[leg]:+g} mm" for leg in legs)
        yield WRONG_SIGN, f"booked with the wrong sign: {figures}"
    elif case.off_mm({point: -height for point, height in case.said_mm.items()}) <= LIMIT_MM:
        yield WRONG_SIGN, "every height has the wrong sign"


def _slipped(case: _Case, leg: Leg, rise: float) -> bool:
    """Tell whether a booked rise is what was read for it with the other sign.

    Where the long level was not read for it, the true rise is it.
    """
    read = [lie.rise_mm for lie in lies(_before(case.done, leg), leg) if not lie.at_the_end]
    true = {POINTS[0]: 0.0, **case.true_mm}
    known = float(np.mean(read)) if read else true[leg[1]] - true[leg[0]]
    return abs(rise + known) <= _BOOKED_MM < abs(rise - known)


def _before(done: Sequence[Done], leg: Leg) -> Sequence[Done]:
    """Return the moves between the last booking of a leg and the booking before it."""
    books = [at for at, one in enumerate(done) if one.move.kind == "book"]
    last = max(at for at in books if done[at].move.values["leg"] == leg_words(leg))
    return done[max((at + 1 for at in books if at < last), default=0) : last]


def _not_spread(case: _Case) -> Iterator[tuple[Kind, str]]:
    first = carried(case.book_mm)
    as_carried = all(abs(first[p] - case.said_mm[p]) <= _SUMS_MM for p in POINTS[1:])
    if not case.missing and as_carried and case.off_mm(spread(case.book_mm)) <= LIMIT_MM:
        missed = misclosure(case.book_mm)
        yield NOT_SPREAD, f"all eight legs add up to {missed:+.1f} mm, and no leg got its share"


def _misclosure(case: _Case) -> Iterator[tuple[Kind, str]]:
    """Yield a misclosure that is not the sum of the legs."""
    missed = misclosure(case.book_mm)
    if abs(case.said_missed_mm - missed) > LIMIT_MM + 1e-9:
        kind = WRONG_SIGN if abs(case.said_missed_mm + missed) <= LIMIT_MM else OUT
        yield kind, f"the legs add up to {missed:+.1f} mm, you answered {case.said_missed_mm:+g} mm"


def _figures(case: _Case) -> str:
    return ", ".join(
        f"{point} {case.said_mm[point]:+.1f} mm (is {case.true_mm[point]:+.1f})"
        for point in POINTS[1:]
    )


def _effect(case: _Case, kind: Kind) -> Effect:
    """Return what comes of it; of a run that was not closed, what would have passed unseen."""
    if kind is NOT_CLOSED and not case.wrong and case.book_mm:
        leg, rise = max(case.book_mm.items(), key=lambda one: abs(one[1]))
        lean = lean_along(2 * rise, LONG_MM)
        said = f"had {leg_words(leg)} been booked with the wrong sign, nothing would have shown it"
        return Effect(f"{said}, and {lean.words}", lean_mm=lean.lean_mm)
    return lean_along(case.worst_leg_mm, LONG_MM)


def _list(legs: Sequence[Leg]) -> str:
    return ", ".join(leg_words(leg) for leg in legs)
