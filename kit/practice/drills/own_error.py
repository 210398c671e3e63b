"""Drill: find your level's own error."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from kit.practice.draws import Draws
from kit.practice.drill import Given, Worked
from kit.practice.effects import Effect, lean_along
from kit.practice.fields import Field, Values, number
from kit.practice.floors import PracticeFloor, make_floor
from kit.practice.grades import Grade
from kit.practice.instruments import LEVEL_LENGTHS_MM, TRAVEL_MM, pack_bag
from kit.practice.mistakes import NEVER_TURNED, OUT, WRONG_SIGN, Kind, Mistake
from kit.practice.moves import Done, Move, MoveForm, Place, Seen
from kit.practice.tools import LAY, Tools, laid_ends, lay, turned

#: Half the difference of two bubbles, each read to 0.2 mm, is right to 0.1 mm [mm/m].
LIMIT_MM_PER_M = 0.1

#: Ends of the same lie differ by no more than a pencil mark [mm].
_SAME_PLACE_MM = 10.0

MOVED = Kind("turned_elsewhere", "turned it, but laid it down elsewhere",
    "turns the level, but on another piece of floor with a fall of its own", 25)  # fmt: skip
NOT_HALVED = Kind("not_halved", "took the whole difference for the error",
    "books the difference of both readings, not its half", 25)  # fmt: skip
ON_THE_GLASS = Kind("off_the_glass", "read a bubble at the end of the glass",
    "books a bubble that stands at the end of its glass as if it had been read", 20)  # fmt: skip

_TURN_IT = (
    "Mark where the ends lie, read the bubble, turn the level end for end on the same marks and "
    "read it again. Half the difference is the level's own error; the mean is the floor's."
)


@dataclass(frozen=True)
class OwnErrorTask:
    """A level with an error, on a floor that nobody knows."""

    tools: Tools

    @property
    def given(self) -> Given:
        """Floor and level."""
        floor = self.tools.floor
        return Given(
            (
                "The long level fell off the bench. How far is it out?",
                "Answer in mm per metre: positive where the bubble, marked end at the left, "
                "centres although the right lies lower.",
                f"Your answer is right within {LIMIT_MM_PER_M:g} mm/m.",
            ),
            (floor.width_mm, floor.depth_mm),
        )

    @property
    def forms(self) -> tuple[MoveForm, ...]:
        """Lay the level."""
        return (LAY,)

    @property
    def asked(self) -> tuple[Field, ...]:
        """The error of the long level."""
        return (Field("error", "own error of the long level", unit="mm/m", least=-20, most=20),)

    def do(self, done: Sequence[Done], move: Move) -> Seen:
        """Lay a level."""
        return self.tools.do(done, move)

    def mark(self, done: Sequence[Done], answer: Values) -> tuple[Mistake, ...]:
        """Tell never turned, turned elsewhere, off the glass, not halved, wrong sign, out."""
        truth = self.tools.bag.level("long").own_error_mm_per_m
        said = number(answer, "error")
        laid = [
            one for one in done if one.move.kind == "lay" and one.move.values["level"] == "long"
        ]
        kind, words = self._why(laid, said, truth)
        if kind is OUT and abs(said - truth) <= LIMIT_MM_PER_M + 1e-9:
            return ()
        return (Mistake(kind, words, _effect(said - truth), _TURN_IT),)

    def _why(self, laid: Sequence[Done], said: float, truth: float) -> tuple[Kind, str]:
        pairs = _pairs(laid)
        if not any(_reversed(a, b) for a in laid for b in laid):
            return NEVER_TURNED, f"the long level was laid {len(laid)} times, always the same way"
        if not pairs:
            return MOVED, "no two readings with the level turned are of one place"
        read = [(a, b) for a, b in pairs if max(abs(_bubble(a)), abs(_bubble(b))) < TRAVEL_MM]
        if not read:
            return ON_THE_GLASS, "every reading of a turned pair stood at the end of the glass"
        for name, kind, factor in (("half", OUT, 1), ("", NOT_HALVED, 2), ("", WRONG_SIGN, -1)):
            if abs(said - factor * truth) <= LIMIT_MM_PER_M * abs(factor) + 1e-9:
                return kind, f"answered {said:g} mm/m{name and ''}; the level is out {truth:g} mm/m"
        return OUT, f"answered {said:g} mm/m; the level is out {truth:g} mm/m"

    @cached_property
    def worked(self) -> Worked:
        """Lay it where the bubble stays on the glass, turn it on its marks, halve."""
        done: tuple[Done, ...] = ()
        for start, towards in _places(self.tools.floor):
            first = lay("long", start, towards)
            for move in (first, turned(first)):
                done = (*done, Done(move, self.do(done, move)))
            one, other = _bubble(done[-2]), _bubble(done[-1])
            if max(abs(one), abs(other)) < TRAVEL_MM:
                break
        error = (one + other) / 2
        table = pd.DataFrame(
            {
                "level": list(LEVEL_LENGTHS_MM),
                "own_error_mm_per_m": [level.own_error_mm_per_m for level in self.tools.bag.levels],
            }
        )
        said = (
            f"As laid the bubble stood {one:+g} mm towards the end without a mark; turned on the "
            f"same marks {other:+g} mm. What the floor does changes its sign when the level is "
            f"turned, what the level does stays: ({one:+g} {other:+g}) / 2 = {error:+.2f} mm/m.",
            f"The floor there rises ({one:+g} {-other:+g}) / 2 = {(one - other) / 2:+.2f} mm/m.",
        )
        return Worked(
            {"error": round(error, 3)}, done, said, (("Own errors", table),),
            floor=(self.tools.floor,),
        )  # fmt: skip


def _places(floor: PracticeFloor) -> list[tuple[Place, Place]]:
    """Return lies to try, nearest the middle of the room first."""
    long, y = LEVEL_LENGTHS_MM["long"], floor.depth_mm / 2
    starts = np.linspace(0.0, floor.width_mm - long, 5)[[2, 1, 3, 0, 4]]
    return [((float(x), y), (float(x) + long, y)) for x in starts]


def _bubble(one: Done) -> float:
    return number(one.seen.figures, "bubble_mm")


def _pairs(laid: Sequence[Done]) -> list[tuple[Done, Done]]:
    """Return pairs of readings with the level turned on one place."""
    return [
        (a, b)
        for place, a in enumerate(laid)
        for b in laid[place + 1 :]
        if _away(laid_ends(a.move), laid_ends(b.move)[::-1]) <= _SAME_PLACE_MM
    ]


def _away(ends: Sequence[Place], others: Sequence[Place]) -> float:
    return max(float(np.hypot(a[0] - b[0], a[1] - b[1])) for a, b in zip(ends, others, strict=True))


def _reversed(a: Done, b: Done) -> bool:
    (ax, ay), (az, aw) = laid_ends(a.move)
    (bx, by), (bz, bw) = laid_ends(b.move)
    return (az - ax) * (bz - bx) + (aw - ay) * (bw - by) < 0


def _effect(out_mm_per_m: float) -> Effect:
    return lean_along(out_mm_per_m, 1000.0)


@dataclass(frozen=True)
class OwnError:
    """Find your level's own error."""

    key: str = "own_error"
    title: str = "Your level's own error"
    aim: str = "Find how far the long level shows wrong by itself."
    kinds: tuple[Kind, ...] = (NEVER_TURNED, MOVED, ON_THE_GLASS, NOT_HALVED, WRONG_SIGN, OUT)
    hints: tuple[str, ...] = (
        "A floor has a fall and a level has an error: one bubble shows both at once.",
        "What changes when you turn the level end for end on the same place?",
        "Add both bubbles, each counted towards the end without a mark, and halve the sum.",
    )

    def set_up(self, seed: int, grade: Grade) -> OwnErrorTask:
        """Make the task of a seed and a grade."""
        bag = pack_bag(Draws(f"own error 1, seed {seed}, {grade.name}"))
        return OwnErrorTask(Tools(make_floor(seed, grade), bag))
