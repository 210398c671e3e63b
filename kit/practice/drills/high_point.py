"""Drill: find the high point under the base."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from kit.practice.draws import Draws
from kit.practice.drill import Given, Worked
from kit.practice.drills.high_point_floor import (
    LIMIT_MM,
    Bearers,
    Top,
    lay_out,
    tempting,
    top_under,
)
from kit.practice.drills.high_point_mark import (
    LOOSE_BOARD,
    OUTSIDE_BASE,
    TOO_FAR_APART,
    mark,
)
from kit.practice.drills.high_point_worked import worked
from kit.practice.drills.kept_tools import KeptTools
from kit.practice.fields import Field, Values
from kit.practice.floors import Patch, make_floor
from kit.practice.grades import Grade
from kit.practice.instruments import pack_bag
from kit.practice.mistakes import ALONG_ONLY, GUESSED, NEVER_TURNED, OUT, WRONG_SIGN, Kind, Mistake
from kit.practice.moves import Done, Move, MoveForm, OnPlan, Seen
from kit.practice.tools import EDGE, GAP, LAY, READ, SET_UP, TREAD


@dataclass(frozen=True)
class HighPointTask:
    """A floor, and two bearers that are to lie on it."""

    tools: KeptTools
    bearers: Bearers

    @property
    def given(self) -> Given:
        """Room, outlines, what is asked."""
        floor, back, front = self.tools.floor, self.bearers.back, self.bearers.front
        return Given(
            (
                f"Two bearers, {back.width_mm:g} mm long and {back.depth_mm:g} mm wide, will carry "
                "a row of bookcases: one at the back, one at the front.",
                "The base is set out from the highest floor under the bearers, as the floor lies "
                "when the load is on it. Where is that?",
                f"Back bearer: x {_span(back)}, y {_rows(back)} mm. Front bearer: the same x, "
                f"y {_rows(front)} mm.",
                f"Your answer is right where the floor is within {LIMIT_MM:g} mm of the highest. "
                "Placements count: use as few as will do.",
                "If you use a level: its bubble moves 1 mm, to the high end, for a rise of 1 mm "
                "per metre.",
            ),
            (floor.width_mm, floor.depth_mm),
            (_outline(back, "back bearer"), _outline(front, "front bearer")),
        )

    @property
    def forms(self) -> tuple[MoveForm, ...]:
        """Laser and staff, foot, level, straight edge."""
        return SET_UP, READ, TREAD, LAY, EDGE, GAP

    @property
    def asked(self) -> tuple[Field, ...]:
        """The place."""
        return (Field("place", "high point at", "place", "mm"),)

    def do(self, done: Sequence[Done], move: Move) -> Seen:
        """Use an instrument or a foot."""
        return self.tools.do(done, move)

    def mark(self, done: Sequence[Done], answer: Values) -> tuple[Mistake, ...]:
        """Tell what was careless in the looking or in the answer."""
        return mark(self.tools.floor, self.bearers, self.top, done, answer)

    @cached_property
    def top(self) -> Top:
        """The high point, which nobody is shown before the answer."""
        return top_under(self.tools.floor, self.bearers.both)

    @cached_property
    def worked(self) -> Worked:
        """Staff along both bearers, closer about the highest; a foot on what is high."""
        return worked(self.tools, self.bearers, self.top)


def _span(patch: Patch) -> str:
    return f"{patch.left_mm:g} to {patch.left_mm + patch.width_mm:g}"


def _rows(patch: Patch) -> str:
    return f"{patch.back_mm:g} to {patch.back_mm + patch.depth_mm:g}"


def _outline(patch: Patch, name: str) -> OnPlan:
    far = (patch.left_mm + patch.width_mm, patch.back_mm + patch.depth_mm)
    return OnPlan("outline", ((patch.left_mm, patch.back_mm), far), name)


@dataclass(frozen=True)
class HighPoint:
    """Find the high point under the base."""

    key: str = "high_point"
    title: str = "The high point under the base"
    aim: str = "Find the highest floor under both bearers in the fewest placements."
    kinds: tuple[Kind, ...] = (
        GUESSED, TOO_FAR_APART, ALONG_ONLY, OUTSIDE_BASE, LOOSE_BOARD, NEVER_TURNED, WRONG_SIGN,
        OUT,
    )  # fmt: skip
    hints: tuple[str, ...] = (
        "Only the floor under the bearers counts, and it counts as it will be under the load.",
        "A hump may be no longer than a saw. How far apart may readings be so that none slips "
        "between them?",
        "Hold the staff every 300 mm along both bearers, then closer about the least readings: "
        "where the staff reads least the floor is highest. Put your foot on what is high.",
    )

    def set_up(self, seed: int, grade: Grade) -> HighPointTask:
        """Make the task of a seed and a grade."""
        draws = Draws(f"high point 1, seed {seed}, {grade.name}")
        floor = make_floor(seed, grade)
        bearers = lay_out(draws, floor)
        return HighPointTask(KeptTools(tempting(floor, bearers, draws), pack_bag(draws)), bearers)
