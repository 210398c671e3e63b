"""Drill: book a run of levels and close it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from kit.practice.draws import Draws
from kit.practice.drill import Given, Worked
from kit.practice.drills.book_run_line import (
    BOOK,
    LIMIT_MM,
    LONG_MM,
    POINTS,
    ROOM_MM,
    places,
    write_down,
)
from kit.practice.drills.book_run_mark import NOT_CLOSED, NOT_SPREAD, mark
from kit.practice.drills.book_run_worked import true_heights, worked
from kit.practice.drills.kept_tools import KeptTools
from kit.practice.drills.own_error_mark import OFF_THE_GLASS
from kit.practice.fields import Field, Values
from kit.practice.floors import make_floor
from kit.practice.grades import Grade
from kit.practice.instruments import pack_bag
from kit.practice.mistakes import (
    GUESSED,
    NEVER_TURNED,
    ON_A_HUMP,
    OUT,
    SHORT_LEVEL,
    WRONG_SIGN,
    Kind,
    Mistake,
)
from kit.practice.moves import Done, Move, MoveForm, OnPlan, Seen
from kit.practice.tools import LAY


@dataclass(frozen=True)
class BookRunTask:
    """A floor with five points along its wall."""

    tools: KeptTools

    @property
    def given(self) -> Given:
        """Points, how a level is read, what is asked."""
        return Given(
            (
                f"Five points along the wall, A to E, {LONG_MM:g} mm apart: the long level reaches "
                "from each to the next. Carry the height from A to E and back to A, and book all "
                "eight legs.",
                "The bubble moves 1 mm, always to the high end, for a rise of 1 mm per metre. "
                f"Count it plus towards a leg's second point, minus towards its first, times "
                f"{LONG_MM / 1000:g} for the length of the long level.",
                "The floor rises from the first point to the second by that, plus the packers "
                "under the end at the first point, less those under the end at the second. A leg "
                "that falls is booked with a minus.",
                "Answer how high B, C, D and E are above A, lower ones with a minus, to a tenth of "
                "a millimetre, and the misclosure: what all eight booked legs add up to.",
                f"Each of the five is right within {LIMIT_MM:g} mm.",
            ),
            ROOM_MM,
            tuple(OnPlan("place", (place,), point) for point, place in places().items()),
        )

    @property
    def forms(self) -> tuple[MoveForm, ...]:
        """Lay a level, book a leg."""
        return LAY, BOOK

    @property
    def asked(self) -> tuple[Field, ...]:
        """Four heights and the misclosure."""
        heights = tuple(
            Field(p, f"{p} above A", unit="mm", least=-200, most=200) for p in POINTS[1:]
        )
        return (*heights, Field("misclosure", "misclosure", unit="mm", least=-200, most=200))

    def do(self, done: Sequence[Done], move: Move) -> Seen:
        """Lay a level, or book."""
        return write_down(done, move) if move.kind == "book" else self.tools.do(done, move)

    def mark(self, done: Sequence[Done], answer: Values) -> tuple[Mistake, ...]:
        """Tell what was careless along the run or in the sums."""
        return mark(done, answer, true_heights(self.tools))

    @cached_property
    def worked(self) -> Worked:
        """There and back on packers, turned on every leg, the misclosure spread."""
        return worked(self.tools)


@dataclass(frozen=True)
class BookRun:
    """Book a run and close it."""

    key: str = "book_run"
    title: str = "Book a run and close it"
    aim: str = "Carry a height along the wall with the level and prove it by coming back."
    kinds: tuple[Kind, ...] = (
        GUESSED, NOT_CLOSED, NEVER_TURNED, SHORT_LEVEL, ON_A_HUMP, OFF_THE_GLASS, WRONG_SIGN,
        NOT_SPREAD, OUT,
    )  # fmt: skip
    hints: tuple[str, ...] = (
        "Only a run that comes back to where it began shows what it is worth.",
        "What lies under the middle of the level? Packers under both its ends lift it clear. Read "
        "every leg with the level both ways round.",
        "What the eight legs add up to is the misclosure. Take an eighth of it off every leg "
        "before you add up the heights.",
    )

    def set_up(self, seed: int, grade: Grade) -> BookRunTask:
        """Make the task of a seed and a grade: nothing on this floor moves."""
        bag = pack_bag(Draws(f"book a run 1, seed {seed}, {grade.name}"))
        floor = replace(make_floor(seed, grade, *ROOM_MM), loose=(), soft=())
        return BookRunTask(KeptTools(floor, bag))
