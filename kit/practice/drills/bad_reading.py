"""Drill: find the bad reading in a booked survey."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import pandas as pd

from kit.job import refuse
from kit.practice.draws import Draws
from kit.practice.drill import Given, Worked
from kit.practice.drills.bad_reading_mark import KINDS, LIMIT_MM, mistakes
from kit.practice.drills.bad_reading_sheet import (
    DOUBT_MM,
    SET_UPS,
    SLIPS,
    SWAPPED,
    Sheet,
    make_sheet,
    one_reading_slips,
)
from kit.practice.fields import Field, Values, number, words
from kit.practice.grades import Grade
from kit.practice.instruments import pack_bag
from kit.practice.mistakes import Kind, Mistake
from kit.practice.moves import Done, Move, MoveForm, OnPlan, Seen
from kit.practice.tools import SET_UP, Tools, read_at


@dataclass(frozen=True)
class BadReadingTask:
    """A booked survey, and the floor that it is of.

    Parameters
    ----------
    tools : Tools
        The floor, with a bag whose laser's lines are all new.
    sheet : Sheet
        What was booked, and what is wrong in it.
    """

    tools: Tools
    sheet: Sheet

    @property
    def given(self) -> Given:
        """The sheet as booked, and what may be wrong in it."""
        floor = self.tools.floor
        return Given(
            (
                "Somebody else read this floor from two standings of the laser, one in the "
                "morning and one in the afternoon. The points are still marked on the floor, and "
                "nothing on it moves under a foot. Six points were read from both.",
                "One thing is booked wrong: a reading is 10 mm or 100 mm out, two neighbouring "
                "digits of it are exchanged, or two points that follow each other on the sheet "
                "have each other's readings. Where two points are exchanged, answer for either.",
                "You may set the laser up anew and hold the staff on points again. The new line "
                "stands at another height than both old ones.",
                "A staff reading is larger where the floor is lower. Your right reading is right "
                f"within {LIMIT_MM:g} mm.",
            ),
            (floor.width_mm, floor.depth_mm),
            tuple(OnPlan("place", (at,), name) for name, at in self.sheet.places_mm.items()),
            tuple((f"Read in the {name}", self._as_booked(name)) for name in SET_UPS),
        )

    @property
    def forms(self) -> tuple[MoveForm, ...]:
        """Set the laser up anew, hold the staff on a point."""
        point = Field("point", "staff on point", "choice", choices=tuple(self.sheet.places_mm))
        return (SET_UP, MoveForm("hold", "hold the staff on a point", (point,)))

    @property
    def asked(self) -> tuple[Field, ...]:
        """Which reading, what slip, the right reading."""
        return (
            Field("point", "bad reading on point", "choice", choices=tuple(self.sheet.places_mm)),
            Field("set_up", "in the set-up of the", "choice", choices=SET_UPS),
            Field("slip", "what slipped", "choice", choices=SLIPS),
            Field("right", "the reading should be", unit="mm", least=0, most=3000),
        )

    def do(self, done: Sequence[Done], move: Move) -> Seen:
        """Set the laser up or hold the staff.

        Raises
        ------
        Refusal
            Where no laser stands, or there is no point of that name.
        """
        if move.kind == SET_UP.kind:
            return self.tools.do(done, move)
        name = words(move.values, "point")
        if name not in self.sheet.places_mm:
            raise refuse("staff on point", repr(name), " | ".join(self.sheet.places_mm))
        place = self.sheet.places_mm[name]
        seen = self.tools.do(done, read_at(place))
        read, line = number(seen.figures, "reading_mm"), number(seen.figures, "set_up")
        return replace(
            seen,
            words=f"staff on {name}: {read:g} mm (new set-up {line:g})",
            on_plan=(OnPlan("place", (place,), f"{read:g}"),),
        )

    def mark(self, done: Sequence[Done], answer: Values) -> tuple[Mistake, ...]:
        """Tell blamed the floor, not confirmed, wrong set-up, read all again, out."""
        return mistakes(self.sheet, done, answer)

    @cached_property
    def worked(self) -> Worked:
        """Compare what was read twice, hold the staff on two good points and the bad one."""
        suspects, good = _apart(self.sheet)
        done: tuple[Done, ...] = ()
        for move in (Move("set_up"), *map(hold, (*good, *suspects))):
            done = (*done, Done(move, self.do(done, move)))
        held = held_mm(done)
        should = {
            name: {p: held[p] - _line_over(held, booked, good) for p in suspects}
            for name, booked in self.sheet.booked_mm.items()
        }
        point = suspects[0]
        bad = max(SET_UPS, key=lambda n: abs(self.sheet.booked_mm[n][point] - should[n][point]))
        booked = self.sheet.booked_mm[bad]
        slip, right = _named(booked, should[bad], suspects)
        answer: Values = {"point": point, "set_up": bad, "slip": slip, "right": right}
        return Worked(
            answer, done, self._said(suspects, good, should, bad, right),
            (("What was booked wrong", self._truth()),), floor=(self.tools.floor,),
        )  # fmt: skip

    def _said(
        self,
        suspects: Sequence[str],
        good: Sequence[str],
        should: Mapping[str, Mapping[str, float]],
        bad: str,
        right_mm: float,
    ) -> tuple[str, ...]:
        steps = step_mm(self.sheet)
        usual = float(np.median(list(steps.values())))
        point, booked = suspects[0], self.sheet.booked_mm
        other = next(name for name in SET_UPS if name != bad)
        apart = " and ".join(f"{p} differs by {steps[p]:+g} mm" for p in suspects)
        fits = "do not fit" if len(suspects) > 1 else "does not fit"
        return (
            "Take the morning's reading from the afternoon's wherever both read the same point: "
            f"all must differ alike, by as much as the two lines are apart, here {usual:+g} mm. "
            f"{apart}, and {fits}.",
            f"That names the point, not the set-up. From a new set-up the staff was held on "
            f"{' and '.join(good)}, which agree, and on {' and '.join(suspects)}.",
            f"Brought to the old lines, {point} should read {should[other][point]:g} mm in the "
            f"{other} (booked {booked[other][point]:g}) and {should[bad][point]:g} mm in the "
            f"{bad} (booked {booked[bad][point]:g}): the {bad} is wrong, and should read "
            f"{right_mm:g} mm.",
            self._named_words(suspects, bad, right_mm),
            f"The floor at {self.sheet.hump} really stands up: what was read of it is right.",
        )

    def _named_words(self, suspects: Sequence[str], bad: str, right_mm: float) -> str:
        """Tell what slipped from the booked and the right figure."""
        booked, slip = self.sheet.booked_mm[bad], self.sheet.slip.what
        if slip == SWAPPED:
            one, other = suspects
            return (
                f"What {one} should read stands beside {other}, and what {other} should read "
                f"beside {one}: {slip}."
            )
        found = f"Booked {booked[suspects[0]]:g} mm instead of {right_mm:g} mm"
        return f"{found}: {slip}."

    def _as_booked(self, set_up: str) -> pd.DataFrame:
        booked = self.sheet.booked_mm[set_up]
        places = [self.sheet.places_mm[name] for name in booked]
        return pd.DataFrame(
            {
                "point": list(booked),
                "x_mm": [x for x, _ in places],
                "y_mm": [y for _, y in places],
                "staff_mm": list(booked.values()),
            }
        )

    def _truth(self) -> pd.DataFrame:
        slip = self.sheet.slip
        booked = self.sheet.booked_mm[slip.set_up]
        return pd.DataFrame(
            {
                "point": list(slip.right_mm),
                "set_up": slip.set_up,
                "booked_mm": [booked[name] for name in slip.right_mm],
                "right_mm": list(slip.right_mm.values()),
                "slip": slip.what,
            }
        )


def hold(point: str) -> Move:
    """Return the move that holds the staff on a point."""
    return Move("hold", {"point": point})


def held_mm(done: Sequence[Done]) -> dict[str, float]:
    """Return the last reading of each point [mm] from the set-up that was held on the most."""
    lines: dict[float, dict[str, float]] = {}
    for one in done:
        if one.move.kind == "hold":
            line = lines.setdefault(number(one.seen.figures, "set_up"), {})
            line[words(one.move.values, "point")] = number(one.seen.figures, "reading_mm")
    return max(lines.values(), key=len, default={})


def step_mm(sheet: Sheet) -> dict[str, float]:
    """Return afternoon less morning [mm] of each point that was read twice."""
    morning, afternoon = (sheet.booked_mm[name] for name in SET_UPS)
    return {name: afternoon[name] - morning[name] for name in sheet.twice}


def _apart(sheet: Sheet) -> tuple[list[str], list[str]]:
    """Return the points that disagree with the others, and two that agree best."""
    steps = step_mm(sheet)
    usual = float(np.median(list(steps.values())))
    order = sorted(steps, key=lambda name: abs(steps[name] - usual))
    return [name for name in steps if abs(steps[name] - usual) > DOUBT_MM], order[:2]


def _line_over(
    held: Mapping[str, float], booked: Mapping[str, float], good: Sequence[str]
) -> float:
    """Return how far the new line stands over an old one [mm]."""
    return float(np.mean([held[name] - booked[name] for name in good]))


def _named(
    booked: Mapping[str, float], should: Mapping[str, float], suspects: Sequence[str]
) -> tuple[str, float]:
    """Return the slip that explains the first suspect, and its right reading [mm]."""
    point = suspects[0]
    if len(suspects) > 1:
        return SWAPPED, booked[suspects[1]]
    return min(one_reading_slips(booked[point]), key=lambda one: abs(one[1] - should[point]))


@dataclass(frozen=True)
class BadReading:
    """Find the bad reading."""

    key: str = "bad_reading"
    title: str = "The bad reading"
    aim: str = "Find what is booked wrong in a survey, and put it right."
    kinds: tuple[Kind, ...] = KINDS
    hints: tuple[str, ...] = (
        "A floor may have a hump, so a height that looks odd proves nothing. What was read twice?",
        "Take the morning's reading from the afternoon's, point by point: what should be the same?",
        "A point that disagrees does not say in which set-up. Set up anew and hold the staff on "
        "it, and on two points that agree.",
    )

    def set_up(self, seed: int, grade: Grade) -> BadReadingTask:
        """Make the task of a seed and a grade."""
        draws = Draws(f"bad reading 1, seed {seed}, {grade.name}")
        bag = pack_bag(draws)
        floor, sheet = make_sheet(seed, grade, draws, bag)
        return BadReadingTask(Tools(floor, replace(bag, laser_mm=bag.laser_mm[2:])), sheet)
