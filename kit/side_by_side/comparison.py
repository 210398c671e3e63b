"""Two answers on one floor: every measure of both, which is better, and whether that is sure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import pandas as pd

from kit.job import Base, Job, refuse
from kit.parts import Answer
from kit.side_by_side.doubt import FLOORS, Doubt, Drawn, Odds, draw
from kit.side_by_side.measure import ROUND_OFF, Measure, in_order, missing
from kit.side_by_side.measures import measures_of

#: A difference counts where it goes the same way on this share of the drawn floors: the share
#: from which the high point too is called settled (common practice, no source).
SURE_SHARE = 0.9

#: And where both can be built on at least this share of them (common practice, no source).
BUILT_SHARE = 0.5

#: Shares of floors on which a base can be built that differ by less do not differ [%] (common
#: practice, no source).
LEAST_BUILT_PERCENT = 5.0

NO_DIFFERENCE = "no difference"


@dataclass(frozen=True)
class Row:
    """One measure of both bases.

    Parameters
    ----------
    a, b : Measure
        Of each of them, under one key.
    odds : Odds
        How often each has less of it on floors that fit the readings.
    """

    a: Measure
    b: Measure
    odds: Odds

    @property
    def key(self) -> str:
        """What the measure is called in code."""
        return self.a.key

    @property
    def known(self) -> bool:
        """Whether both figures are known."""
        return self.a.known and self.b.known

    @property
    def difference(self) -> float:
        """B less a; nan where one is not known."""
        return self.b.value - self.a.value

    @property
    def least(self) -> float:
        """The smallest difference that counts."""
        return max(self.a.least, self.b.least)

    @property
    def whole(self) -> float:
        """What a difference is told as a part of: the larger figure; of percentages, 100."""
        return 100.0 if self.a.unit.startswith("%") else max(abs(self.a.value), abs(self.b.value))

    @property
    def comparable(self) -> bool:
        """Whether one can be the better: both known, on one basis, one way better for both."""
        return self.known and self.a.basis == self.b.basis and self.a.better == self.b.better != ""

    @property
    def told(self) -> bool:
        """Whether it can be said which is better, or that neither is."""
        return self.alike or (self.comparable and not self.why_not)

    @property
    def alike(self) -> bool:
        """Whether both are known and no further apart than what counts."""
        return self.known and abs(self.difference) <= self.least + ROUND_OFF

    @property
    def sure(self) -> bool:
        """Whether the difference is one: beyond what counts, and the same way on most floors.

        In the middle of the drawn floors too it must be beyond what counts.
        """
        if not self.known or self.alike:
            return False
        if not self.odds.drawn:
            return True
        odds = self.odds
        share = odds.a_less if self.difference > 0 else odds.b_less
        middle = odds.difference[1] if odds.difference else self.difference
        often = share >= SURE_SHARE and odds.floors >= BUILT_SHARE * odds.of
        return often and abs(middle) > self.least + ROUND_OFF

    @property
    def winner(self) -> str:
        """Which is better, ``"a"`` or ``"b"``; empty where neither is.

        What could not be checked of the better one, and is closed for the other, might make it
        the worse: then neither is.
        """
        if not (self.comparable and self.sure):
            return ""
        side = "a" if (self.difference > 0) == (self.a.better == "less") else "b"
        wins, loses = (self.a, self.b) if side == "a" else (self.b, self.a)
        return "" if set(wins.open) - set(loses.open) else side

    @property
    def why_not(self) -> str:
        """Why neither can be called better though both figures are known; empty otherwise."""
        if not self.known or self.winner or self.alike:
            return ""
        if self.a.basis != self.b.basis:
            return f"not on one basis: {self.a.basis}; {self.b.basis}"
        if not self.comparable:
            return "neither more nor less is better by itself"
        wins = self.a if (self.difference > 0) == (self.a.better == "less") else self.b
        still_open = sorted(set(wins.open) - set((self.b if wins is self.a else self.a).open))
        if self.sure and still_open:
            return f"not checked of the one that seems better: {', '.join(still_open)}"
        return ""


@dataclass(frozen=True, eq=False)
class Comparison:
    """Two bases on one floor.

    Parameters
    ----------
    a, b : Answer
        Both answers.
    rows : tuple of Row
        Every measure that either has.
    doubt : Doubt
        Both on floors that fit the readings.
    """

    a: Answer
    b: Answer
    rows: tuple[Row, ...]
    doubt: Doubt

    @property
    def names(self) -> tuple[str, str]:
        """What the bases are called; otherwise where both, or a column, have the same name."""
        one, other = (
            f"{name} (base)" if name in _COLUMNS else name
            for name in (self.a.base.name, self.b.base.name)
        )
        return one, other if other != one else f"{other} (again)"

    def name_of(self, winner: str) -> str:
        """Return the name of ``"a"`` or ``"b"``."""
        return self.names[0] if winner == "a" else self.names[1]

    def row(self, key: str) -> Row:
        """Return one measure by its key.

        Raises
        ------
        Refusal
            Where neither base has it.
        """
        for row in self.rows:
            if row.key == key:
                return row
        raise refuse("measure", repr(key), "one of " + ", ".join(row.key for row in self.rows))

    def better(self, row: Row) -> str:
        """Return the name of the better one; "no difference"; empty where that cannot be said."""
        if row.winner:
            return self.name_of(row.winner)
        return NO_DIFFERENCE if row.told else ""

    def table(self) -> pd.DataFrame:
        """Return measure, unit, one column a base, better; nan where a figure is not known."""
        measure, unit, better = _COLUMNS
        rows = [
            (row.a.measure, row.a.unit, row.a.value, row.b.value, self.better(row))
            for row in self.rows
        ]
        return pd.DataFrame(rows, columns=[measure, unit, *self.names, better])

    def doubts(self) -> pd.DataFrame:
        """Return how sure each difference is.

        Returns
        -------
        DataFrame
            measure, unit, difference (second less first), least_that_counts, floors (drawn, on
            which both can be built), first_less, second_less (shares of them), low, middle, high
            (of the difference there: 2.5, 50 and 97.5 %), why_unknown.
        """
        return pd.DataFrame([_doubt_row(row) for row in self.rows], columns=_DOUBTS)


_COLUMNS = ("measure", "unit", "better")

_DOUBTS = [
    "measure", "unit", "difference", "least_that_counts", "floors", "first_less", "second_less",
    "low", "middle", "high", "why_unknown",
]  # fmt: skip


def _doubt_row(row: Row) -> tuple[object, ...]:
    odds = row.odds
    drawn = (odds.a_less, odds.b_less, *odds.difference) if odds.floors else (float("nan"),) * 5
    told = (row.a.why_unknown, row.b.why_unknown, row.why_not)
    why = dict.fromkeys(part for part in told if part)
    return (
        row.a.measure, row.a.unit, row.difference, row.least, odds.floors, *drawn, "; ".join(why),
    )  # fmt: skip


def compare(a: Answer, b: Answer, *, floors: int = FLOORS) -> Comparison:
    """Compare two bases on one floor by every measure that either has.

    Parameters
    ----------
    a, b : Answer
        From `kit.solve`, of one survey: two bases of a job, or one base with other figures.
    floors : int
        On how many floors that fit the readings both are worked out anew; 1 or more.

    Returns
    -------
    Comparison

    Raises
    ------
    Refusal
        Where the two do not stand on the same readings, or no floor is to be drawn.
    """
    if not _one_floor(a, b):
        raise refuse(
            "compare",
            f"{a.base.name!r} and {b.base.name!r} over two surveys",
            "two bases on the same floor: answers of one job, from the same readings",
        )
    if floors < 1:
        raise refuse("floors", str(floors), "1 or more")
    doubt = draw(a, b, floors)
    one = (_built(doubt.a), *measures_of(a))
    other = (_built(doubt.b), *measures_of(b))
    return Comparison(a, b, _rows(one, other, doubt), doubt)


def _built(drawn: Drawn) -> Measure:
    share = float(drawn.built.mean()) * 100
    words = "drawn floors on which it can be built"
    return Measure("built", words, "%", share, "more", LEAST_BUILT_PERCENT)


def _one_floor(a: Answer, b: Answer) -> bool:
    if a.survey is b.survey:
        return True
    return bool(a.heights.points.equals(b.heights.points))


def _rows(one: tuple[Measure, ...], other: tuple[Measure, ...], doubt: Doubt) -> tuple[Row, ...]:
    of_a, of_b = _by_key(one), _by_key(other)
    return tuple(
        Row(
            of_a.get(key) or missing(of_b[key]),
            of_b.get(key) or missing(of_a[key]),
            doubt.odds(key),
        )
        for key in in_order({*of_a, *of_b})
    )


def _by_key(measures: tuple[Measure, ...]) -> Mapping[str, Measure]:
    return {measure.key: measure for measure in measures}


def both(job: Job, names: tuple[str, str]) -> tuple[Base, Base]:
    """Return two bases of a job by name.

    Raises
    ------
    Refusal
        Where the job has none of such a name.
    """
    by_name = {base.name: base for base in job.bases}
    for name in names:
        if name not in by_name:
            raise refuse("--bases", repr(name), "one of " + ", ".join(map(repr, by_name)))
    return by_name[names[0]], by_name[names[1]]
