"""Drill: weigh two bases."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import pandas as pd

from kit.base.cautions import NO_APPROVAL
from kit.practice.drill import Given, Worked
from kit.practice.drills.weigh_bases_job import (
    FLOORS,
    NO_DIFFERENCE,
    SIDES,
    Case,
    make_case,
)
from kit.practice.drills.weigh_bases_look import LISTED, MOVES, Looks, days_words
from kit.practice.drills.weigh_bases_mark import KINDS, mistakes_of
from kit.practice.fields import Field, Values, words
from kit.practice.grades import Grade
from kit.practice.mistakes import Kind, Mistake
from kit.practice.moves import Done, Move, MoveForm, OnPlan, Seen
from kit.side_by_side import Measure
from kit.side_by_side.comparison import SURE_SHARE
from kit.side_by_side.measures import LEAST_MM, RATES_SHARE


@dataclass(frozen=True, eq=False)
class WeighTask:
    """Two bases and a client."""

    case: Case

    @property
    def given(self) -> Given:
        """The bench, both bases by name, the client's wish, the rule of differences."""
        case = self.case
        unit = case.job.runs[0].units[0]
        left = case.job.runs[0].origin_mm[0]
        corners = ((left, 0.0), (left + unit.width_mm, unit.depth_mm))
        one, other = case.names
        hour = case.job.rates.hour_price
        return Given(
            (
                f"A bench of {unit.width_mm:g} mm for {case.where}, and two bases that it can "
                f"stand on: {one}, or {other}. Which do you build? The plan shows where the floor "
                "was read, and how far it lies below the highest of the readings [mm].",
                f"The client wants the cheaper of the two, work at {hour:g} "
                f"{case.job.rates.money} an hour included, and the bench standing within "
                f"{days_words(case.deadline_days)}.",
                "A base is out if the bench cannot stand on it in time, or if a check fails or "
                "something that carries it has a margin below 0. What could not be checked rules "
                f"nothing out. The days: hours of work in days of {case.job.rates.day_hours:g} h, "
                "and the days of drying on top, rounded up to whole days.",
                *_rules(),
                NO_APPROVAL,
            ),
            (case.floor.width_mm, case.floor.depth_mm),
            (
                OnPlan("outline", corners, "bench"),
                *(OnPlan("place", (at,), f"{low:g}") for at, low in case.readings),
            ),
        )

    @property
    def forms(self) -> tuple[MoveForm, ...]:
        """Price, work out hours, read what dries, how level, what carries, other floors."""
        return tuple(MoveForm(kind, label) for kind, (label, _) in MOVES.items())

    @property
    def asked(self) -> tuple[Field, ...]:
        """The base to build, and which is better by each of the listed measures."""
        one, other = self.case.names
        choices = (NO_DIFFERENCE, one, other)
        return (
            Field("base", "base to build", "choice", choices=choices),
            *(Field(key, label, "choice", choices=choices) for key, label in LISTED.items()),
        )

    def do(self, done: Sequence[Done], move: Move) -> Seen:  # noqa: ARG002 - of every task
        """Look at one side of the matter, for both bases."""
        said, figures, tables = self._looks.at(move.kind)
        seconds = MOVES[move.kind][1]
        return Seen(said, seconds, placement=False, figures=figures, tables=tables)

    def mark(self, done: Sequence[Done], answer: Values) -> tuple[Mistake, ...]:
        """Tell the mistakes: see `kit.practice.drills.weigh_bases_mark`."""
        sides = {self.case.name_of(side): side for side in (*SIDES, "")}
        said = {key: sides[words(answer, key)] for key in ("base", *LISTED)}
        return tuple(mistakes_of(self.case, {one.move.kind for one in done}, said))

    @property
    def _looks(self) -> Looks:
        return Looks(self.case)

    @cached_property
    def worked(self) -> Worked:
        """Look at everything that the wish names, then decide."""
        done: tuple[Done, ...] = ()
        for kind in MOVES:
            if kind != "wait" or self.case.poured:
                move = Move(kind)
                done = (*done, Done(move, self.do(done, move)))
        answer = {"base": self.case.name_of(self.case.decided())}
        for key in LISTED:
            answer[key] = self.case.name_of(self.case.comparison.row(key).winner)
        return Worked(
            answer, done, tuple(self._why()), (("Both side by side", self._side_by_side()),)
        )

    def _side_by_side(self) -> pd.DataFrame:
        """Return what the wish hangs on, of both."""
        rows = [
            (
                _named(row.a),
                *(_figure(one.value) for one in (row.a, row.b)),
                self.case.comparison.better(row),
            )
            for row in self.case.comparison.rows
            if row.key in _TOLD
        ]
        return pd.DataFrame(rows, columns=["measure", *self.case.names, "better"])

    def _why(self) -> Iterator[str]:
        case = self.case
        for side in SIDES:
            name = case.name_of(side)
            if case.beyond_limit(side):
                beyond = -case.value("least_margin", side)
                yield f"{name}: out, what carries it is {beyond:.0f} % beyond its limit."
            if case.late(side):
                days = days_words(case.value("days", side))
                yield f"{name}: out, the bench can stand only after {days}."
        row, money = case.comparison.row("cost_and_labour"), case.job.rates.money
        sums = self._looks.both(lambda s: f"{case.value('cost_and_labour', s):.2f} {money}")
        yield (
            f"Material and work: {sums}. A difference of more than {row.least:.2f} {money} counts "
            f"if it stays on other floors. Cheaper: {case.name_of(row.winner)}."
        )
        yield f"So the answer is: {case.name_of(case.decided())}."


#: Measures that the worked answer sets side by side.
_TOLD = (
    "things", "cost", "cost_and_labour", "hours", "days", "level_error_mm", "least_margin", "fail",
)  # fmt: skip


def _named(one: Measure) -> str:
    """Return what a measure is called, with its unit unless its name begins with it."""
    known = not one.unit or one.measure.startswith(one.unit)
    return one.measure if known else f"{one.measure}, {one.unit}"


def _figure(value: float) -> str:
    return "–" if math.isnan(value) else f"{round(value, 2):g}"


def _rules() -> tuple[str, ...]:
    part, most = f"{RATES_SHARE:.0%}", SURE_SHARE * FLOORS
    return (
        f"A difference counts if it is more than {part} of the longer working time; of material "
        f"and work together, more than {part} of what the dearer work costs; of level, more than "
        f"{LEAST_MM:g} mm; of material and of pieces, any.",
        f"Between the readings the floor may lie otherwise: {FLOORS} floors are drawn that fit "
        f"them. All but level counts only if the same base has less on at least {most:g} of them, "
        "and if the difference in the middle of them is large enough as well. If neither is "
        f"cheaper by so much, answer: {NO_DIFFERENCE}.",
    )


@dataclass(frozen=True)
class WeighBases:
    """Weigh two bases."""

    key: str = "weigh_bases"
    title: str = "Weigh two bases"
    aim: str = "Say which of two bases serves the client better, and which differences count."
    kinds: tuple[Kind, ...] = KINDS
    hints: tuple[str, ...] = (
        "Read the wish once more: money, days, and what nobody says but everybody expects.",
        "What is cheap to buy may be slow to build, what is quick to build may be slow to dry, "
        "and neither is worth anything if it does not carry.",
        "Rule out first: days, then margins. Then add hours to material, and see on other floors "
        "whether the difference stays.",
    )

    def set_up(self, seed: int, grade: Grade) -> WeighTask:
        """Make the task of a seed and a grade."""
        return WeighTask(make_case(seed, grade))
