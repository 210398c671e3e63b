"""Drill: read the floor in few readings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from kit.practice.draws import Draws, Floats
from kit.practice.drill import Given, Worked
from kit.practice.drills.few_readings_base import (
    LIMIT_MM,
    MOST_SD_MM,
    STACKS,
    Base,
    Known,
    known_at,
    make_base,
    make_gentle,
    short_of,
    worth_reading,
)
from kit.practice.drills.few_readings_mark import KINDS, Read
from kit.practice.fields import Field, Values, number, numbers
from kit.practice.grades import Grade
from kit.practice.instruments import pack_bag
from kit.practice.mistakes import Kind, Mistake
from kit.practice.moves import Done, Move, MoveForm, OnPlan, Place, Seen
from kit.practice.tools import READ, Tools, read_at

ENOUGH = "enough"

ASK = MoveForm("ask", "ask what is known")

#: Seconds to look at the table.
_ASK_S = 10.0

#: The laser stands when the apprentice comes.
_STANDS = Done(Move("set_up"), Seen("the laser stands", 0.0))

#: Worked answers of the tasks given out miss no stack by more than this [mm].
_WELL_WITHIN_MM = 0.7
_FLOORS = 40


@dataclass(frozen=True)
class FewReadingsTask:
    """A floor, a laser that stands on it, and the places of the stacks.

    Parameters
    ----------
    tools : Tools
        Floor and laser.
    base : Base
        The stacks.
    """

    tools: Tools
    base: Base

    @property
    def given(self) -> Given:
        """Stacks in plan; what is enough."""
        floor = self.tools.floor
        named = zip(self.base.names, self.base.places_mm, strict=True)
        stacks = tuple(OnPlan("place", ((float(x), float(y)),), name) for name, (x, y) in named)
        table = pd.DataFrame(
            {
                "stack": self.base.names,
                "x_mm": self.base.places_mm[:, 0],
                "y_mm": self.base.places_mm[:, 1],
            }
        )
        rows = (("Stacks of the back row", table[:STACKS]), ("Of the front row", table[STACKS:]))
        return Given(
            (
                f"A base on {2 * STACKS} stacks, {STACKS} along the back and {STACKS} along the "
                "front. The laser stands; nothing on this floor moves under a foot. The floor "
                "bends gently, so readings also speak for what lies between them.",
                "Read the floor in as few readings as make every stack known. A stack is known "
                f"where its floor is in doubt by no more than {MOST_SD_MM:g} mm; then it is right "
                f"within {LIMIT_MM:g} mm nearly always, which is what the base needs.",
                "You may ask at any time what your readings say of each stack, and how far each "
                "is in doubt.",
            ),
            (floor.width_mm, floor.depth_mm),
            (OnPlan("outline", self.base.outline_mm, "base"), *stacks),
            rows,
        )

    @property
    def forms(self) -> tuple[MoveForm, ...]:
        """Hold the staff, ask."""
        return (READ, ASK)

    @property
    def asked(self) -> tuple[Field, ...]:
        """Nothing but that it is enough."""
        return (Field("said", "these readings are", "choice", choices=(ENOUGH,)),)

    def do(self, done: Sequence[Done], move: Move) -> Seen:
        """Hold the staff at a place, or ask what the readings so far say."""
        if move.kind == READ.kind:
            return self.tools.do((_STANDS, *done), move)
        known = self.known(done)
        if known.why:
            return Seen(f"nothing is known of any stack: {known.why}", _ASK_S, placement=False)
        short = short_of(known)
        words = f"every stack is known to {MOST_SD_MM:g} mm"
        if short:
            worst = self.base.names[worth_reading(self.base, known, readings(done)[0])[0]]
            words = (
                f"{len(short)} of {2 * STACKS} stacks are not known; of those not read, {worst} "
                "is most in doubt"
            )
        table = ("What the readings say", self._table(known))
        return Seen(words, _ASK_S, placement=False, tables=(table,))

    def mark(self, done: Sequence[Done], answer: Values) -> tuple[Mistake, ...]:
        """Tell along only, a stretch or the ends unread, off the base, too many."""
        del answer  # there is one
        good = len(readings(self.worked.done)[0])
        return tuple(Read(self.base, *readings(done), self.truth_mm(), good).mistakes())

    def known(self, done: Sequence[Done]) -> Known:
        """Return what the readings say of the stacks."""
        places, staff = readings(done)
        return known_at(self.base, places, staff)

    def truth_mm(self) -> Floats:
        """Return what the staff would show at each stack without rounding, shape (18,) [mm]."""
        heights = self.tools.floor.carried_mm(*self.base.places_mm.T)
        return np.asarray(self.tools.bag.laser_mm[0] - heights, dtype=float)

    @cached_property
    def worked(self) -> Worked:
        """Read ends and middles of both rows, then where the doubt is largest, two at a time."""
        done: tuple[Done, ...] = ()
        stacks = [row * STACKS + k for row in (0, 1) for k in (0, STACKS // 2, STACKS - 1)]
        said = ["Both ends and the middle of both rows first: nothing lies beyond a reading."]
        while stacks:
            moves = [read_at(self._place(k)) for k in stacks]
            for move in (*moves, Move(ASK.kind)):
                done = (*done, Done(move, self.do(done, move)))
            known = self.known(done)
            short = worth_reading(self.base, known, readings(done)[0])
            stacks = [*short[:1], *[k for k in short[1:] if self._far(k, short[0])][:1]]
            if stacks:
                names = " and ".join(self.base.names[k] for k in stacks)
                most = known.sd_mm[stacks[0]]
                said.append(f"Then {names}, where the doubt is largest: {_doubt(float(most))}.")
        said.append(
            f"{len(readings(done)[0])} readings are enough: the largest doubt of any stack is "
            f"{known.sd_mm.max():.2f} mm. One more would say nothing that the base needs."
        )
        table = self._table(known).assign(true_mm=np.round(self.truth_mm(), 1))
        return Worked(
            {"said": ENOUGH}, done, tuple(said), (("What was known, and the truth", table),),
            floor=(self.tools.floor,),
        )  # fmt: skip

    def misses_mm(self, known: Known) -> Floats:
        """Return what is known less the truth at each stack [mm]; nan where nothing is known."""
        return np.asarray(known.staff_mm - self.truth_mm(), dtype=float)

    def _table(self, known: Known) -> pd.DataFrame:
        far = np.isinf(known.sd_mm)
        return pd.DataFrame(
            {
                "stack": self.base.names,
                "staff_mm": np.round(known.staff_mm, 1),
                "doubt_mm": np.round(np.where(far, np.nan, known.sd_mm), 2),
                "known": [
                    "beyond the readings" if out else "yes" if sd <= MOST_SD_MM else "not yet"
                    for out, sd in zip(far, known.sd_mm, strict=True)
                ],
            }
        )

    def _place(self, stack: int) -> Place:
        x, y = self.base.places_mm[stack]
        return float(x), float(y)

    def _far(self, stack: int, other: int) -> bool:
        """Tell whether a reading at the one stack tells little of the other."""
        away = self.base.places_mm[stack] - self.base.places_mm[other]
        return bool(np.hypot(*away) > 3 * self.base.apart_mm)


def readings(done: Sequence[Done]) -> tuple[tuple[Place, ...], tuple[float, ...]]:
    """Return places and staff readings [mm] of the moves made."""
    read = [one for one in done if one.move.kind == READ.kind]
    places = [numbers(one.move.values, "at") for one in read]
    staff = tuple(number(one.seen.figures, "reading_mm") for one in read)
    return tuple((float(x), float(y)) for x, y in places), staff


def _doubt(sd_mm: float) -> str:
    return "beyond the readings" if np.isinf(sd_mm) else f"{sd_mm:.2f} mm"


@dataclass(frozen=True)
class FewReadings:
    """Read the floor in few readings."""

    key: str = "few_readings"
    title: str = "Few readings"
    aim: str = "Read as little of the floor as tells you all that the base needs."
    kinds: tuple[Kind, ...] = KINDS
    hints: tuple[str, ...] = (
        "A floor is known where it was read, and a little way beyond. What must be known here?",
        "Nothing is known beyond the last reading: begin with the ends, in both rows.",
        "Ask, read the stack that is most in doubt of those not read yet, ask again; stop when no "
        "stack is left.",
    )

    def set_up(self, seed: int, grade: Grade) -> FewReadingsTask:
        """Make the task of a seed and a grade.

        A floor on which sound work would still miss a stack is not given out: the next one is.
        """
        name = f"few readings 1, seed {seed}, {grade.name}"
        for turn in range(_FLOORS):
            draws = Draws(f"{name}, floor {turn}")
            tools = Tools(make_gentle(seed, grade, draws), pack_bag(draws))
            task = FewReadingsTask(tools, make_base(draws))
            missed = np.abs(task.misses_mm(task.known(task.worked.done)))
            if float(missed.max()) <= _WELL_WITHIN_MM:
                return task
        raise ValueError(f"no floor for {name}")  # pragma: no cover - one in fifty is passed over
