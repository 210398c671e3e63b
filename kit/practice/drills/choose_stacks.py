"""Drill: choose stacks from the packers in the bag."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import pandas as pd

from kit.base.stacks import StackPlan
from kit.job import refuse
from kit.practice.draws import Draws
from kit.practice.drill import Given, Worked
from kit.practice.drills.choose_stacks_bag import (
    LIMIT_MM,
    PRINTED,
    Supports,
    best_plan,
    draw_thicknesses,
    fill_bag,
    place_supports,
)
from kit.practice.drills.choose_stacks_mark import KINDS, Chosen, mistakes
from kit.practice.fields import Field, Values, numbers, words
from kit.practice.floors import PracticeFloor, make_floor
from kit.practice.grades import Grade
from kit.practice.mistakes import Kind, Mistake
from kit.practice.moves import Done, Move, MoveForm, OnPlan, Seen
from kit.practice.packers import Stack, check_stack, count_words, stack_words, taken

#: Seconds that it takes to find a packer of a kind and put a calliper to it (common practice, no
#: source).
MEASURE_S = 15.0

_NAMES = {f"{each:g}": each for each in PRINTED}
MEASURE = MoveForm(
    "measure",
    "put the calliper to a packer",
    (Field("packer", "packer that says", "choice", "mm", choices=tuple(_NAMES)),),
)


@dataclass(frozen=True)
class ChooseStacksTask:
    """Heights, and a bag of packers that are not all as thick as they say.

    Parameters
    ----------
    floor : PracticeFloor
        What the stacks stand on.
    supports : Supports
        Where, and how high.
    stock : mapping
        Printed thickness to how many are in the bag.
    thick_mm : mapping
        Printed thickness to what a calliper shows [mm]; hidden until it is put to one.
    """

    floor: PracticeFloor
    supports: Supports
    stock: Mapping[float, int]
    thick_mm: Mapping[float, float]

    @property
    def given(self) -> Given:
        """Heights, bag, what is right."""
        needed = pd.DataFrame(
            {"support": self.supports.names, "needed_mm": self.supports.needed_mm}
        )
        bag = pd.DataFrame(
            {"printed_mm": PRINTED, "in_the_bag": [self.stock[each] for each in PRINTED]}
        )
        return Given(
            (
                "The floor has been read and the level is set. Choose the packers for each "
                "support: they fill the height from the floor to the bearer.",
                "Name packers by what is printed on them, from the floor up. Pieces of one kind "
                "are all equally thick, but no packer need be as thick as it says.",
                f"Right is: every stack within {LIMIT_MM:g} mm, no more packers than are in the "
                "bag, as few pieces as can be over all supports together (one more is let pass), "
                "and each stack laid in the order in which it holds best.",
            ),
            (self.floor.width_mm, self.floor.depth_mm),
            tuple(
                OnPlan("place", (place,), name)
                for name, place in zip(self.supports.names, self.supports.places_mm, strict=True)
            ),
            (("Heights needed", needed), ("In the bag", bag)),
        )

    @property
    def forms(self) -> tuple[MoveForm, ...]:
        """Measure a packer."""
        return (MEASURE,)

    @property
    def asked(self) -> tuple[Field, ...]:
        """A stack for each support."""
        return tuple(
            Field(name, f"stack at {name}", "packers", "mm", least=0, most=100)
            for name in self.supports.names
        )

    def do(self, done: Sequence[Done], move: Move) -> Seen:  # noqa: ARG002 - as every task's
        """Put the calliper to a packer of one kind."""
        said = words(move.values, "packer")
        if said not in _NAMES:
            raise refuse("calliper", f"a packer that says {said}", " | ".join(_NAMES))
        thick = self.thick_mm[_NAMES[said]]
        return Seen(
            f"calliper on a packer that says {said} mm: {thick:.1f} mm",
            MEASURE_S,
            placement=False,
            figures={"measured_mm": thick},
        )

    def stacks(self, answer: Values) -> tuple[Stack, ...]:
        """Return the stacks of an answer, in site order.

        Raises
        ------
        Refusal
            Where one is empty or has a packer that no bag of this drill holds.
        """
        stacks = tuple(numbers(answer, name) for name in self.supports.names)
        for name, stack in zip(self.supports.names, stacks, strict=True):
            check_stack(f"stack at {name}", stack, PRINTED)
        return stacks

    def mark(self, done: Sequence[Done], answer: Values) -> tuple[Mistake, ...]:
        """Tell by the print, all low, out; bag overdrawn; thin outside; too many pieces."""
        measured = frozenset(
            _NAMES[words(one.move.values, "packer")] for one in done if one.move.kind == "measure"
        )
        return mistakes(
            Chosen(
                self.supports,
                self.stacks(answer),
                self.stock,
                self.thick_mm,
                measured,
                self.plan,
            )
        )

    @cached_property
    def plan(self) -> StackPlan:
        """The fewest pieces, by the kit's own search: proven."""
        return best_plan(self.supports, self.thick_mm, self.stock)

    @cached_property
    def worked(self) -> Worked:
        """Put the calliper to every kind, then choose."""
        done: tuple[Done, ...] = ()
        for name in _NAMES:
            move = Move("measure", {"packer": name})
            done = (*done, Done(move, self.do(done, move)))
        stacks = tuple(tuple(PRINTED[kind] for kind in stack) for stack in self.plan.stacks)
        answer = dict(zip(self.supports.names, stacks, strict=True))
        return Worked(answer, done, self._why(), self._tables(stacks), floor=(self.floor,))

    def _why(self) -> tuple[str, ...]:
        other = [each for each in PRINTED if self.thick_mm[each] != each]
        told = ", ".join(f"{each:g} is {self.thick_mm[each]:.1f} mm" for each in other)
        alone = best_plan(self.supports, self.thick_mm, dict.fromkeys(PRINTED))
        free = taken(tuple(PRINTED[kind] for kind in stack) for stack in alone.stacks)
        over = count_words({each: free[each] for each in free if free[each] > self.stock[each]})
        return (
            f"By the calliper: {told}; the others are what they say. Every height is made of what "
            "the calliper says.",
            f"The best for each support by itself would take {over}: more than the bag holds. So "
            "supports that lose least by it do without.",
            f"With this bag {self.plan.pieces} pieces are the fewest for all supports together.",
            "In each stack the thickest lies on the floor, where it is screwed down, the next "
            "thickest on top, and the thin ones between them, where none can creep out or split.",
        )

    def _tables(self, stacks: Sequence[Stack]) -> tuple[tuple[str, pd.DataFrame], ...]:
        errors = self.supports.errors_mm(stacks, self.thick_mm)
        made = [round(e + n, 3) for e, n in zip(errors, self.supports.needed_mm, strict=True)]
        used = taken(stacks)
        chosen = pd.DataFrame(
            {
                "support": self.supports.names,
                "needed_mm": self.supports.needed_mm,
                "packers": [stack_words(stack) for stack in stacks],
                "height_mm": made,
                "error_mm": errors,
            }
        )
        bag = pd.DataFrame(
            {
                "printed_mm": PRINTED,
                "measured_mm": [self.thick_mm[each] for each in PRINTED],
                "in_the_bag": [self.stock[each] for each in PRINTED],
                "used": [used[each] for each in PRINTED],
            }
        )
        return (("Stacks, from the floor up", chosen), ("The bag", bag))


@dataclass(frozen=True)
class ChooseStacks:
    """Choose stacks from the packers in the bag."""

    key: str = "choose_stacks"
    title: str = "Stacks from the bag"
    aim: str = "Choose the packers of every stack so that all are right and the bag suffices."
    kinds: tuple[Kind, ...] = KINDS
    hints: tuple[str, ...] = (
        "What is printed on a packer is a name, not a measure.",
        "Count what all your stacks take together before you lay the first.",
        "Where a thick packer runs out, look for the support that can best do without it.",
        "Thickest on the floor, next thickest on top, the thin ones between.",
    )

    def set_up(self, seed: int, grade: Grade) -> ChooseStacksTask:
        """Make the task of a seed and a grade."""
        draws = Draws(f"choose stacks 1, seed {seed}, {grade.name}")
        floor = make_floor(seed, grade)
        supports = place_supports(draws, floor)
        thick = draw_thicknesses(draws)
        return ChooseStacksTask(floor, supports, fill_bag(draws, supports, thick), thick)
