"""What was done along a run, and what was answered, as the marking looks at it."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
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
    laid,
    leg_words,
    misclosure,
    short_ways,
)
from kit.practice.drills.own_error_mark import bubble_mm, one_lie_turned, readable
from kit.practice.fields import words
from kit.practice.moves import Done

#: A book whose legs add up to no more has had its misclosure taken out [mm].
_CLOSED_MM = 0.5


@dataclass(frozen=True)
class Case:
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
    def all_lies(self) -> list[Lie]:
        """How the long level lay from point to point."""
        return laid(self.done)

    @cached_property
    def lies(self) -> dict[Leg, list[Lie]]:
        """How the long level lay along each leg there, its bubble on the glass."""
        return {
            leg: [lie for lie in self.all_lies if lie.leg == leg and lie.readable] for leg in THERE
        }

    @cached_property
    def short(self) -> dict[Leg, set[bool]]:
        """Which ways round the short level lay along each leg there."""
        return short_ways(self.done)

    @cached_property
    def long_error_mm(self) -> float:
        """The long level's own error, as it was found."""
        return self.error_mm("long")

    @property
    def one_way(self) -> list[Leg]:
        """Legs along which a level, of whatever length, lay one way round only."""
        ways = {leg: {lie.onward for lie in self.lies[leg]} or self.short[leg] for leg in THERE}
        return [leg for leg in THERE if len(ways[leg]) == 1]

    def error_mm(self, level: str) -> float:
        """Return a level's own error over the long level's length [mm]; 0 where never turned.

        From all pairs of bubbles of one lie, read both ways round, wherever it was.
        """
        lays = [
            one
            for one in self.done
            if one.move.kind == "lay" and one.move.values["level"] == level and readable(one)
        ]
        halves = [
            (bubble_mm(a) + bubble_mm(b)) / 2
            for a, b in itertools.combinations(lays, 2)
            if one_lie_turned(a, b)
        ]
        return float(np.mean(halves)) * LONG_MM / 1000 if halves else 0.0

    @property
    def off_the_glass(self) -> list[Leg]:
        """Booked legs whose bubble never stood on the glass, and that no other level was read on.

        Nothing can be read from it there.
        """
        laid_on = {lie.leg for lie in self.all_lies}
        legs = [leg for leg in THERE if {leg, leg[::-1]} & set(self.book_mm)]
        return [x for x in legs if x in laid_on and not self.lies[x] and not self.short[x]]

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

    def apart_mm(self, heights_mm: Mapping[str, float]) -> float:
        """Return how far the worst of the answered heights is from others [mm]."""
        return max(abs(heights_mm[point] - self.said_mm[point]) for point in POINTS[1:])

    def true_rise_mm(self, leg: Leg) -> float:
        """Return what a leg rises [mm]."""
        true = {POINTS[0]: 0.0, **self.true_mm}
        return true[leg[1]] - true[leg[0]]

    @property
    def worst_leg_mm(self) -> float:
        """How far the answer is out between two points next to each other, at worst [mm]."""
        out = [0.0, *(self.said_mm[point] - self.true_mm[point] for point in POINTS[1:])]
        return float(max(np.diff(out), key=abs))

    @cached_property
    def sums_mm(self) -> list[float]:
        """What the eight legs add up to [mm]; of a book corrected since, what they did before."""
        books = [at for at, one in enumerate(self.done) if one.move.kind == "book"]
        missed = misclosure(self.book_mm)
        if abs(missed) > _CLOSED_MM:
            return [missed]
        kept = [booked(self.done[: at + 1]) for at in books]
        return [misclosure(book) for book in kept if len(book) == len(LEGS)] or [missed]

    def sources(self, leg: Leg) -> list[Lie]:
        """Return the lies that a booking can be from.

        Those since the leg was booked before, there or back; where there are none, all before it.
        """
        on_leg = {leg_words(leg), leg_words(leg[::-1])}
        books = [at for at in self._books if words(self.done[at].move.values, "leg") in on_leg]
        own = [at for at in books if words(self.done[at].move.values, "leg") == leg_words(leg)]
        if not own:
            return []
        last = own[-1]
        since = max((at for at in books if at < last), default=-1)
        there = leg if leg in THERE else leg[::-1]
        lies = [lie for lie in self.all_lies if lie.leg == there and lie.at < last]
        return [lie for lie in lies if lie.at > since] or lies

    @cached_property
    def _books(self) -> list[int]:
        return [at for at, one in enumerate(self.done) if one.move.kind == "book"]


def was_read(case: Case, leg: Leg) -> bool:
    """Tell whether any level lay along a leg."""
    there = leg if leg in THERE else leg[::-1]
    return bool(case.short[there]) or any(lie.leg == there for lie in case.all_lies)


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


def corrected_mm(case: Case, lie: Lie) -> float:
    """Return what a leg rises there [mm] by a lie, less the level's own error that was found."""
    return lie.rise_mm - (1 if lie.onward else -1) * case.long_error_mm


def nearer_corrected(case: Case) -> bool:
    """Tell whether every leg read one way round was booked less the own error, found elsewhere."""
    legs = [leg for leg in case.book_mm if leg in case.one_way or leg[::-1] in case.one_way]
    return bool(legs) and all(_corrected(case, leg) for leg in legs)


def _corrected(case: Case, leg: Leg) -> bool:
    rise, sign = case.book_mm[leg], 1 if leg in THERE else -1
    lies = [lie for lie in case.sources(leg) if lie.readable]
    if not lies:
        return abs(rise - case.true_rise_mm(leg)) < abs(case.error_mm("short")) / 2
    off = min(abs(rise - sign * corrected_mm(case, lie)) for lie in lies)
    return off < min(abs(rise - sign * lie.rise_mm) for lie in lies)
