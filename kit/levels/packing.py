"""What packing up costs at a level: the height of every stack, as it would be built.

The stack of a support at a level is the one that `kit.base.stacks` builds there with packers
enough: fewest packers, of these the nearest height, of two as near the one whose list of
thicknesses, thickest first, is the greater. Its height never falls as the level rises: where the
target leaves the reach of a stack s, every stack that is left is higher than s; where it enters
the reach of another with fewer packers, that one is as high as any stack can be there; and among
as many packers the nearest height rises with the target. So the least packing of supports on one
level is always at the lowest level that they can have.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import gcd

import numpy as np

from kit.base.runs import Floats
from kit.base.stack_rules import SLACK, Ints, StackRules, distinct_thicknesses
from kit.base.stacks import PackerKind
from kit.base.sums import UNREACHABLE, SumTable, sum_table, thickest_first
from kit.job import refuse

#: Whole numbers up to here are exact as floating-point numbers.
_EXACT = 2**53


@dataclass(frozen=True)
class Packing:
    """The packers, as many as wanted, and the rules of a stack.

    Parameters
    ----------
    thicknesses : tuple of int
        Distinct thicknesses, thickest first [units of 1e-12 mm].
    rules : StackRules
        Tolerance and limits of a stack.
    """

    thicknesses: tuple[int, ...]
    rules: StackRules

    @classmethod
    def of(cls, packers: tuple[PackerKind, ...], rules: StackRules) -> Packing:
        """Return the packing that these packers give.

        Raises
        ------
        Refusal
            Where there is no packer.
        """
        thicknesses = distinct_thicknesses(packers)
        if not thicknesses:
            raise refuse("job.toml, stock.packers", "no packer in stock", "at least one kind")
        return cls(thicknesses, rules)

    @cached_property
    def table(self) -> SumTable:
        """Every height that a stack may have."""
        return sum_table(self.thicknesses, self.rules)

    @property
    def grain(self) -> int:
        """What every stack is a multiple of [units]: costs are counted in it."""
        return gcd(*self.thicknesses)

    def refuse_inexact(self, supports: int) -> None:
        """Refuse thicknesses so odd that the packing of so many supports is no exact number."""
        if supports * self.rules.longest // self.grain >= _EXACT:
            raise refuse(
                "job.toml, stock.packers",
                f"thicknesses that are whole multiples of {self.grain / 1e12:g} mm only",
                "thicknesses measured to 0.0001 mm or coarser",
            )

    def pieces(self, targets: Ints) -> Ints:
        """Return the fewest packers of each target [units]; `UNREACHABLE` where none does."""
        return self.table.fewest(targets)

    def heights(self, targets: Ints) -> Ints:
        """Return the height of the stack of each target (any shape), 0 where none does [units]."""
        flat = targets.ravel()
        pieces = self.table.fewest(flat)
        heights = np.where(pieces < UNREACHABLE, self.table.nearest(flat), 0)
        for count in np.unique(pieces[pieces < UNREACHABLE]).tolist():
            here = np.flatnonzero(pieces == count)
            layer = self.table.layers[count - 1]
            after = np.searchsorted(layer, flat[here])
            inside = (after > 0) & (after < len(layer))
            here, after = here[inside], after[inside]
            below, above = layer[after - 1], layer[after]
            tied = np.abs((flat[here] - below) - (above - flat[here])) <= SLACK
            for place, one, other in zip(here[tied], below[tied], above[tied], strict=True):
                heights[place] = self._greater_list(int(one), int(other), count)
        return heights.reshape(targets.shape)

    def _greater_list(self, one: int, other: int, count: int) -> int:
        lists = (thickest_first(each, count, self.thicknesses) for each in (one, other))
        return max(zip(lists, (one, other), strict=True))[1]

    def cost(self, offset: Ints, levels: Ints) -> Floats:
        """Return what each support costs at each level.

        Parameters
        ----------
        offset : (n,) array
            Floor less lift of each support: target = level - offset [units].
        levels : (m,) array
            Levels [units].

        Returns
        -------
        (n, m) array
            Height of the stack, in grains, an exact whole number; infinite where there is none.
        """
        heights = self.heights(levels[None, :] - offset[:, None])
        return np.where(heights > 0, heights // self.grain, np.inf)
