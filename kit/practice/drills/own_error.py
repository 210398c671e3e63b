"""Drill: find your level's own error."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import pandas as pd

from kit.practice.draws import Draws
from kit.practice.drill import Given, Worked
from kit.practice.drills.own_error_lines import HandTools, Lie, pencilled
from kit.practice.drills.own_error_mark import (
    LIMIT_MM_PER_M,
    MOVED,
    NOT_HALVED,
    OFF_THE_GLASS,
    ROCKED,
    bubble_mm,
    mark,
    readable,
)
from kit.practice.fields import Field, Values
from kit.practice.floors import make_floor
from kit.practice.grades import Grade
from kit.practice.instruments import EYE_MM, LEVEL_LENGTHS_MM, TRAVEL_MM, pack_bag
from kit.practice.mistakes import GUESSED, NEVER_TURNED, OUT, WRONG_SIGN, Kind, Mistake
from kit.practice.moves import Done, Move, MoveForm, OnPlan, Seen
from kit.practice.tools import LAY, lay, turned

#: Packers under both ends that lift a level clear of what it might rock on [mm].
_CLEAR_MM = 20.0


@dataclass(frozen=True)
class OwnErrorTask:
    """A level with an error, on a floor that nobody knows.

    Parameters
    ----------
    tools : HandTools
        Floor and bag.
    lines : tuple of Lie
        Pencil lines A and B, where levels were tested before.
    """

    tools: HandTools
    lines: tuple[Lie, Lie]

    @property
    def given(self) -> Given:
        """Room, pencil lines, what is asked."""
        floor = self.tools.floor
        return Given(
            (
                "The long level fell off the bench. How far is it out?",
                "Two pencil lines on the floor, A and B, show where levels were tested before. "
                "Use one of them or any other place.",
                f"On its glass 1 mm of the bubble is 1 mm per metre. It is read to {EYE_MM:g} mm, "
                f"and stands at the end of the glass from {TRAVEL_MM:g} mm on.",
                "Answer in mm per metre: positive where the bubble, marked end at the left, "
                "stands in the middle although the right end lies lower.",
                f"Your answer is right within {LIMIT_MM_PER_M:g} mm/m.",
            ),
            (floor.width_mm, floor.depth_mm),
            tuple(OnPlan("line", lie, name) for name, lie in zip("AB", self.lines, strict=True)),
        )

    @property
    def forms(self) -> tuple[MoveForm, ...]:
        """Lay the level, the long one unless another is chosen."""
        level, *others = LAY.fields
        long_first = replace(level, choices=level.choices[::-1])
        return (replace(LAY, fields=(long_first, *others)),)

    @property
    def asked(self) -> tuple[Field, ...]:
        """The error of the long level."""
        return (Field("error", "own error of the long level", unit="mm/m", least=-20, most=20),)

    def do(self, done: Sequence[Done], move: Move) -> Seen:
        """Lay a level."""
        return self.tools.do(done, move)

    def mark(self, done: Sequence[Done], answer: Values) -> tuple[Mistake, ...]:
        """Tell never turned, turned elsewhere, rocked, off the glass, not halved, sign, out."""
        return mark(done, answer, self.tools.bag.level("long").own_error_mm_per_m)

    @cached_property
    def worked(self) -> Worked:
        """Lay it where it lies firm and the bubble is on the glass, turn it there, halve."""
        done: tuple[Done, ...] = ()
        for first in self._tries():
            for move in (first, turned(first)):
                done = (*done, Done(move, self.do(done, move)))
                if not readable(done[-1]):
                    break
            else:
                break
        one, other = bubble_mm(done[-2]), bubble_mm(done[-1])
        error = (one + other) / 2
        table = pd.DataFrame(
            {
                "level": list(LEVEL_LENGTHS_MM),
                "own_error_mm_per_m": [level.own_error_mm_per_m for level in self.tools.bag.levels],
            }
        )
        return Worked(
            {"error": round(error, 3)}, done, _why(done, one, other), (("Own errors", table),),
            floor=(self.tools.floor,),
        )  # fmt: skip

    def _tries(self) -> Iterator[Move]:
        """Yield lies to try: the pencil lines, then on packers, where nothing rocks.

        On packers the middle of the room comes first, then rows nearer to and farther from the
        wall; where the room falls, the low end is lifted more.
        """
        floor, long = self.tools.floor, LEVEL_LENGTHS_MM["long"]
        left = (floor.width_mm - long) / 2
        yield from (lay("long", *line) for line in self.lines)
        for share, more in itertools.product((0.5, 0.25, 0.75), (0.0, 9.0, -9.0)):
            y = share * floor.depth_mm
            under = (_CLEAR_MM + max(more, 0.0), _CLEAR_MM + max(-more, 0.0))
            yield lay("long", (left, y), (left + long, y), under)


def _why(done: Sequence[Done], one: float, other: float) -> tuple[str, ...]:
    """Return the sums, and why some lies were not used."""
    left = [f"Not used: {each.seen.words}." for each in done[:-2] if not readable(each)]
    return (
        *left,
        f"As laid the bubble stood {one:+g} mm towards the end without a mark; turned on the "
        f"same place {other:+g} mm. What the floor does changes its sign when the level is "
        f"turned, what the level does stays: ({one:+g} {other:+g}) / 2 = "
        f"{(one + other) / 2:+.2f} mm/m.",
        f"From where the marked end lay first the floor there rises ({one:+g} {-other:+g}) / 2 = "
        f"{(one - other) / 2:+.2f} mm/m.",
    )


@dataclass(frozen=True)
class OwnError:
    """Find your level's own error."""

    key: str = "own_error"
    title: str = "Your level's own error"
    aim: str = "Find how far the long level shows wrong by itself."
    kinds: tuple[Kind, ...] = (
        GUESSED, NEVER_TURNED, MOVED, ROCKED, OFF_THE_GLASS, NOT_HALVED, WRONG_SIGN, OUT,
    )  # fmt: skip
    hints: tuple[str, ...] = (
        "A floor has a fall and a level has an error: one bubble shows both at once.",
        "Read a level only where it lies firm and its bubble is free of the ends of the glass. "
        "What changes when you turn it end for end on the same place?",
        "Add both bubbles, each counted towards the end without a mark, and halve the sum.",
    )

    def set_up(self, seed: int, grade: Grade) -> OwnErrorTask:
        """Make the task of a seed and a grade."""
        draws = Draws(f"own error 1, seed {seed}, {grade.name}")
        return OwnErrorTask(*pencilled(make_floor(seed, grade), pack_bag(draws), draws))
