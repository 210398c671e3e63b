"""Drill: choose stacks from the packers in the bag."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import pandas as pd

from kit.base.stacks import PackerKind, StackPlan, StackRules, optimise_stacks
from kit.practice.draws import Draws
from kit.practice.drill import Given, Worked
from kit.practice.fields import Field, Values, numbers, words
from kit.practice.floors import PracticeFloor, make_floor
from kit.practice.grades import Grade
from kit.practice.moves import Done, Move, MoveForm, OnPlan, Place, Seen
from kit.practice.packers import Stack, check_stack, count_words, stack_words, taken

#: A stack is right within this [mm].
LIMIT_MM = 0.5

#: Packers by what is printed on them [mm].
PRINTED = (18.0, 10.0, 6.0, 3.0, 1.0)

#: Seconds that it takes to find a packer of a kind and put a calliper to it (common practice, no
#: source).
MEASURE_S = 15.0

#: No stack of the kit's answer has more pieces than this, nor is higher or thinner [mm].
_RULES = StackRules(LIMIT_MM, 12, 120.0, 1.0)

#: Rows of supports lie so far from the wall [mm].
_BACK_MM, _FRONT_MM = 45.0, 310.0

_NAMES = {f"{each:g}": each for each in PRINTED}
MEASURE = MoveForm(
    "measure",
    "put the calliper to a packer",
    (Field("packer", "packer that says", "choice", "mm", choices=tuple(_NAMES)),),
)


@dataclass(frozen=True)
class Supports:
    """Where stacks stand, and how high each has to be.

    Parameters
    ----------
    names : tuple of str
        In site order.
    places_mm : tuple of Place
        In plan [mm].
    needed_mm : tuple of float
        From the floor to the bearer, to a tenth [mm].
    """

    names: tuple[str, ...]
    places_mm: tuple[Place, ...]
    needed_mm: tuple[float, ...]


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
                "bag, as few pieces as can be over all supports together, and each stack laid in "
                "the order in which it holds best.",
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

    def errors_mm(self, stacks: Sequence[Stack], thick_mm: Mapping[float, float]) -> list[float]:
        """Return stack less height needed at each support [mm], by such thicknesses."""
        return [
            round(sum(thick_mm[packer] for packer in stack) - needed, 6)
            for stack, needed in zip(stacks, self.supports.needed_mm, strict=True)
        ]

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
        errors = self.errors_mm(stacks, self.thick_mm)
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


def best_plan(
    supports: Supports, thick_mm: Mapping[float, float], stock: Mapping[float, int | None]
) -> StackPlan:
    """Return the fewest pieces that make all heights, of packers as `PRINTED` lists them.

    Raises
    ------
    Refusal
        Where the stock does not suffice.
    """
    kinds = [PackerKind(thick_mm[each], each, stock[each]) for each in PRINTED]
    needed = np.array(supports.needed_mm)
    return optimise_stacks(supports.names, -needed, np.zeros(len(needed)), 0.0, 0.0, kinds, _RULES)


def set_up(seed: int, grade: Grade) -> ChooseStacksTask:
    """Make the task of a seed and a grade."""
    draws = Draws(f"choose stacks 1, seed {seed}, {grade.name}")
    floor = make_floor(seed, grade)
    supports = _supports(draws, floor)
    thick = _thicknesses(draws)
    return ChooseStacksTask(floor, supports, _bag(draws, supports, thick), thick)


def _supports(draws: Draws, floor: PracticeFloor) -> Supports:
    """Place supports in two rows under one level; none needs less than a thick packer or two."""
    across = draws.whole("supports in a row", 3, 4)
    x = [draws.between("first", 150.0, 700.0)]
    for place in range(across - 1):
        x.append(x[-1] + draws.between(f"bay {place}", 600.0, 900.0))
    places = [(float(round(at)), out) for out in (_BACK_MM, _FRONT_MM) for at in x]
    names = [f"{row}{place + 1}" for row in "BF" for place in range(across)]
    lies = floor.carried_mm(np.array([p[0] for p in places]), np.array([p[1] for p in places]))
    level = float(lies.max()) + draws.between("least stack", 14.0, 28.0)
    needed = tuple(round(level - float(height), 1) for height in lies)
    return Supports(tuple(names), tuple(places), needed)


def _thicknesses(draws: Draws) -> dict[float, float]:
    """Let one of the two thick kinds and one of the two thinner be other than it says."""
    off = {18.0: (3, 7), 10.0: (2, 5), 6.0: (2, 4), 3.0: (2, 3)}
    thick = {each: each for each in PRINTED}
    for pair in ((18.0, 10.0), (6.0, 3.0)):
        each = draws.one_of(f"which of {pair}", pair)
        tenths = draws.whole(f"tenths of {each:g}", *off[each])
        thinner = draws.happens(f"{each:g} thinner", 0.7)
        thick[each] = round(each + (-tenths if thinner else tenths) / 10, 1)
    return thick


def _bag(draws: Draws, supports: Supports, thick_mm: Mapping[float, float]) -> dict[float, int]:
    """Fill a bag that suffices, though not for the best stack at every support by itself.

    Of the kind that is used most among those thicker than 3 mm some are missing; for each missing
    one there is one more of every thinner kind, and ones enough to make up the rest.
    """
    alone = best_plan(supports, thick_mm, dict.fromkeys(PRINTED))
    used = Counter(PRINTED[kind] for stack in alone.stacks for kind in stack)
    scarce = max(PRINTED[:3], key=lambda each: (used[each], each))
    missing = min(draws.whole("missing", 1, 2), used[scarce])
    stock = {each: used[each] + draws.whole(f"more of {each:g}", 0, 2) for each in PRINTED}
    for thick, thin in pairwise(PRINTED):
        stock[thin] += missing if thick <= scarce else 0
    stock[1.0] += 6 * missing + draws.whole("ones", 2, 6)
    stock[scarce] = used[scarce] - missing
    return stock


@dataclass(frozen=True)
class ChooseStacks:
    """Choose stacks from the packers in the bag."""

    key: str = "choose_stacks"
    title: str = "Stacks from the bag"
    aim: str = "Choose the packers of every stack so that all are right and the bag suffices."
    hints: tuple[str, ...] = (
        "What is printed on a packer is a name, not a measure.",
        "Count what all your stacks take together before you lay the first.",
        "Where a thick packer runs out, look for the support that can best do without it.",
        "Thickest on the floor, next thickest on top, the thin ones between.",
    )

    def set_up(self, seed: int, grade: Grade) -> ChooseStacksTask:
        """Make the task of a seed and a grade."""
        return set_up(seed, grade)
