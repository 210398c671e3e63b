"""What was done along a run, and what was answered, as the marking looks at it."""

from __future__ import annotations

import itertools
import math
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

#: As it is typed, a booked rise differs from what was worked out by less [mm].
_TYPED_MM = 0.06

#: Rounded to half a millimetre, likewise.
_ROUNDED_MM = 0.26


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
        return self._error_on_legs_mm or self.error_mm("long")

    @property
    def _error_on_legs_mm(self) -> float:
        """The own error from legs read both ways round, though on other packers each way."""
        halves = [
            (float(np.mean(onward)) - float(np.mean(home))) / 2
            for onward, home in map(self._ways, THERE)
            if onward and home
        ]
        return float(np.mean(halves)) if halves else 0.0

    def _ways(self, leg: Leg) -> tuple[list[float], list[float]]:
        """Return what lies say of a leg, marked end first, and marked end last [mm]."""
        lies = self.lies[leg]
        onward = [lie.rise_mm for lie in lies if lie.onward]
        return onward, [lie.rise_mm for lie in lies if not lie.onward]

    @property
    def one_way(self) -> list[Leg]:
        """Legs along which a level, of whatever length, lay one way round only."""
        ways = {leg: {lie.onward for lie in self.lies[leg]} or self.short[leg] for leg in THERE}
        return [x for x in THERE if len(ways[x]) == 1 and x not in self.off_the_glass]

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

    @cached_property
    def off_the_glass(self) -> list[Leg]:
        """Legs booked from a bubble at the end of its glass, where nothing can be read from it."""
        return [leg for leg in THERE if any(self._off_the_glass(one) for one in (leg, leg[::-1]))]

    def _off_the_glass(self, leg: Leg) -> bool:
        lies, sign = self.sources(leg), 1 if leg in THERE else -1
        if all(lie.readable for lie in lies):
            return False
        if not any(lie.readable for lie in lies):
            return not self.short[leg if leg in THERE else leg[::-1]]
        halves = [
            sign * (a.rise_mm + b.rise_mm) / 2
            for a, b in itertools.combinations(lies, 2)
            if a.onward != b.onward and not (a.readable and b.readable)
        ]
        known = [sign * lie.rise_mm for lie in lies if lie.readable]
        known += [tilt + packed for tilt, packed in self.says(leg)]
        rise = self.book_mm[leg]
        return any(abs(rise - half) <= _TYPED_MM for half in halves) and not any(
            abs(rise - one) <= _ROUNDED_MM for one in known
        )

    def says(self, leg: Leg) -> list[tuple[float, float]]:
        """Return what was read for a leg, bubble and packers [mm]: mean of all, then one by one."""
        return self._said[leg]

    @cached_property
    def _said(self) -> dict[Leg, list[tuple[float, float]]]:
        return {leg: self._found_said(leg) for leg in LEGS}

    def _found_said(self, leg: Leg) -> list[tuple[float, float]]:
        sign = 1.0 if leg in THERE else -1.0
        lies = [lie for lie in self.sources(leg) if lie.readable]
        onward, home = ([lie for lie in lies if lie.onward is way] for way in (True, False))
        pairs = [[a, b] for a in onward for b in home]
        some = ([lies] if lies else []) + pairs + [[lie] for lie in lies]
        return [
            (
                sign * sum(lie.tilt_mm for lie in one) / len(one),
                sign * sum(lie.packed_mm for lie in one) / len(one),
            )
            for one in some
        ]

    @property
    def unread(self) -> list[Leg]:
        """Booked legs along which no level ever lay."""
        lain = {lie.leg for lie in self.all_lies} | {leg for leg in THERE if self.short[leg]}
        return [leg for leg in self.book_mm if not {leg, leg[::-1]} & lain]

    @property
    def copied(self) -> list[Leg]:
        """Legs booked as their other way with the other sign, though nobody went there again.

        One may be: where the run turns round, the level stays.
        """
        legs = [leg for leg in LEGS if leg in self.book_mm and self._copied(leg)]
        return legs if len(legs) > 1 else []

    def _copied(self, leg: Leg) -> bool:
        other = leg[::-1]
        if abs(self.book_mm[leg] + self.book_mm.get(other, math.inf)) > _TYPED_MM:
            return False
        first, last = self._books[other][-1], self._books[leg][-1]
        since = [at for at in self._lain_at(leg) if first < at < last]
        return first < last and not since and self._visits(leg) == 1

    def _visits(self, leg: Leg) -> int:
        """Return how often somebody came to a leg with a level, from another leg."""
        along = set(self._lain_at(leg))
        lays = [at in along for at, one in enumerate(self.done) if one.move.kind == "lay"]
        return sum(here and not before for before, here in itertools.pairwise([False, *lays]))

    def _lain_at(self, leg: Leg) -> list[int]:
        """Return the moves that laid a level along a leg, of whatever length."""
        there = leg if leg in THERE else leg[::-1]
        long = [lie.at for lie in self.all_lies if lie.leg == there]
        return long + [at for at in self._short_at if short_ways([self.done[at]])[there]]

    @cached_property
    def _short_at(self) -> list[int]:
        lays = [at for at, one in enumerate(self.done) if one.move.kind == "lay"]
        return [at for at in lays if self.done[at].move.values["level"] == "short"]

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
        return self._sources[leg]

    @cached_property
    def _sources(self) -> dict[Leg, list[Lie]]:
        return {leg: self._found_sources(leg) for leg in LEGS}

    def _found_sources(self, leg: Leg) -> list[Lie]:
        own, other = (self._books.get(one, []) for one in (leg, leg[::-1]))
        if not own:
            return []
        since = max((at for at in own + other if at < own[-1]), default=-1)
        there = leg if leg in THERE else leg[::-1]
        lies = [lie for lie in self.all_lies if lie.leg == there and lie.at < own[-1]]
        return [lie for lie in lies if lie.at > since] or lies

    @cached_property
    def _books(self) -> dict[Leg, list[int]]:
        """The moves that booked each leg."""
        by_words = {leg_words(leg): leg for leg in LEGS}
        books: dict[Leg, list[int]] = {}
        for at, one in enumerate(self.done):
            if one.move.kind == "book":
                books.setdefault(by_words[words(one.move.values, "leg")], []).append(at)
        return books


def length_forgotten(case: Case) -> bool:
    """Tell whether every leg was booked as its bubble stood, not times the level's length."""
    short = [
        min(
            (abs(rise - tilt * 1000 / LONG_MM - packed) for tilt, packed in case.says(leg)),
            default=math.inf,
        )
        for leg, rise in case.book_mm.items()
    ]
    off = [
        min((abs(rise - tilt - packed) for tilt, packed in case.says(leg)), default=math.inf)
        for leg, rise in case.book_mm.items()
    ]
    return bool(short) and max(short) <= _TYPED_MM < max(off)


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
