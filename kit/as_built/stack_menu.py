"""What each stack under a finished base may become, and what that would cost at every level.

Lengths are whole numbers of 1e-12 mm, see `kit.base.stack_rules`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from kit.base.runs import Floats
from kit.base.stack_rules import Ints, StackRules
from kit.job import refuse

#: More different stacks than this are not looked at.
MOST_STACKS = 400_000

#: Further from anything than any level lies [units]: 200 m.
FAR = 2 * 10**17

Mask = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class ChangeTask:
    """Stacks that stand, the tops that they give, and what there is to change them.

    Parameters
    ----------
    names : tuple of str
        Supports that were read.
    tops : (n,) array
        Height of the top at each, the planned lift taken off [units].
    standing : (n, k) array
        Packers of each kind that stand there.
    thickness : (k,) array
        Of each kind, as measured [units].
    left : (k,) array
        How many of each are in the bag; negative: as many as wanted.
    rules : StackRules
        What a stack must keep to; its tolerance is that of the finished base.
    low, high : int
        Between which the level may lie, both ends included [units].
    """

    names: tuple[str, ...]
    tops: Ints
    standing: Ints
    thickness: Ints
    left: Ints
    rules: StackRules
    low: int = -FAR
    high: int = FAR

    @property
    def stack_heights(self) -> Ints:
        """Height of each stack that stands [units]."""
        return np.asarray(self.standing @ self.thickness, dtype=np.int64)

    @property
    def limited(self) -> Ints:
        """Numbers of the kinds that may run out."""
        return np.flatnonzero(self.left >= 0)

    @property
    def feet(self) -> Ints:
        """What the top of each support would be without its stack [units]."""
        return np.asarray(self.tops - self.stack_heights, dtype=np.int64)

    @property
    def dearest(self) -> int:
        """More packers than can be handled in all: what a stack opened counts against them."""
        standing = int(self.standing.sum())
        return 1 + standing + len(self.names) * self.rules.max_pieces

    @property
    def beyond_all(self) -> int:
        """More than any change costs, every stack opened."""
        return (len(self.names) + 1) * self.dearest


def possible_stacks(task: ChangeTask, shortest: int, longest: int) -> Ints:
    """Return every stack that the rules and all packers together allow, (m, k), by height.

    Parameters
    ----------
    task : ChangeTask
        Kinds of packers.
    shortest, longest : int
        Heights between which stacks are wanted, both included [units].

    Raises
    ------
    Refusal
        Where there are more than `MOST_STACKS`.
    """
    most, low = task.rules.max_pieces, max(shortest, task.rules.shortest)
    high = min(longest, task.rules.longest)
    ceiling = np.where(task.left < 0, most, task.left + task.standing.sum(axis=0))
    order = np.argsort(-task.thickness, kind="stable")
    counts = np.zeros((1, len(order)), dtype=np.int64)
    heights, pieces = np.zeros(1, dtype=np.int64), np.zeros(1, dtype=np.int64)
    for place, kind in enumerate(order):
        each = np.arange(min(most, int(ceiling[kind])) + 1)
        rest = int(task.thickness[order[place + 1]]) if place + 1 < len(order) else 0
        tall = heights[:, None] + each * task.thickness[kind]
        many = pieces[:, None] + each
        fits = (tall <= high) & (many <= most) & (tall + (most - many) * rest >= low)
        if int(fits.sum()) > MOST_STACKS:
            raise refuse(
                "job.toml, stock.packers",
                f"{len(order)} kinds that give more than {MOST_STACKS:,} different stacks",
                "fewer kinds, or a lower base.max_pieces",
            )
        row, number = np.nonzero(fits)
        counts = counts[row]
        counts[:, kind] = each[number]
        heights, pieces = tall[fits], many[fits]
    kept = pieces > 0
    counts, heights = counts[kept], heights[kept]
    return counts[np.lexsort((*counts.T, heights))]


@dataclass(frozen=True, eq=False)
class Menus:
    """What every support may choose from.

    Parameters
    ----------
    task : ChangeTask
        The supports.
    stacks : (m, k) array
        From `possible_stacks`.
    """

    task: ChangeTask
    stacks: Ints

    @cached_property
    def heights(self) -> Ints:
        """Height of each stack, ascending, (m,) [units]."""
        return np.asarray(self.stacks @ self.task.thickness, dtype=np.int64)

    @cached_property
    def _types(self) -> tuple[Ints, Ints]:
        kinds, which = np.unique(self.task.standing, axis=0, return_inverse=True)
        return kinds, which.ravel()

    @cached_property
    def _handled(self) -> Ints:
        """Packers taken out and put in, for each different stack that stands, (types, m)."""
        kinds, _ = self._types
        return np.stack([np.abs(self.stacks - stack).sum(axis=1) for stack in kinds])

    @cached_property
    def _sums(self) -> tuple[Ints, Ints]:
        """Different heights, ascending, and where each begins in ``heights``."""
        return np.unique(self.heights, return_index=True)

    def handled(self, support: int) -> Ints:
        """Return how many packers are handled to give a support each stack, (m,)."""
        row: Ints = self._handled[self._types[1][support]]
        return row

    def net(self, support: int, rows: Ints) -> Ints:
        """Return how many more of each limited kind some stacks take than what stands there."""
        task = self.task
        more = self.stacks[rows] - task.standing[support]
        return np.asarray(more[:, task.limited], dtype=np.int64)

    def within(self, support: int, level: int, reach: int) -> slice:
        """Return the stacks that bring a support within reach of a level."""
        target = level - int(self.task.feet[support])
        first = int(np.searchsorted(self.heights, target - reach, side="left"))
        last = int(np.searchsorted(self.heights, target + reach, side="right"))
        return slice(first, last)

    def levels(self, reach: int) -> Ints:
        """Return every level at which a stack, or what stands, begins to serve, ascending.

        A choice of stacks serves from the highest of such levels on, or from the lowest level
        that is allowed: no other level need be looked at.
        """
        task = self.task
        begins = task.feet[:, None] + self._sums[0][None, :] - reach
        found = np.unique(np.concatenate([begins.ravel(), task.tops - reach, [task.low]]))
        return found[(found >= task.low) & (found <= task.high)]

    def bound(self, levels: Ints, reach: int, prices: Floats) -> Floats:
        """Return what every change costs at least at some levels, inf where none serves.

        Parameters
        ----------
        levels : (c,) array
            Levels [units].
        reach : int
            How far off a top may be [units].
        prices : (limited kinds,) array
            Price of one packer more than stands, 0 or more; with none but 0 the bag is taken as
            bottomless.

        Notes
        -----
        Cost = `ChangeTask.dearest` a stack opened + 1 a packer handled + prices (use - bag): for
        prices of 0 or more no choice that the bag suffices for costs less (weak duality).
        """
        task, total = self.task, np.zeros(len(levels))
        total -= float(prices @ task.left[task.limited])
        tables = self._cheapest(prices)
        sums = self._sums[0]
        for support, (top, foot) in enumerate(zip(task.tops, task.feet, strict=True)):
            first = np.searchsorted(sums, levels - foot - reach, side="left")
            last = np.searchsorted(sums, levels - foot + reach, side="right")
            cost = tables[self._types[1][support]].least(first, last)
            total += np.where(np.abs(levels - top) <= reach, np.minimum(cost, 0.0), cost)
        return total

    def _cheapest(self, prices: Floats) -> list[RangeLeast]:
        limited, (kinds, _) = self.task.limited, self._types
        priced = self.stacks[:, limited] @ prices
        found = []
        for row, stack in zip(self._handled, kinds, strict=True):
            cost = self.task.dearest + row + priced - float(stack[limited] @ prices)
            if len(cost):
                found.append(RangeLeast.of(np.minimum.reduceat(cost, self._sums[1])))
            else:
                found.append(RangeLeast((np.zeros(0),)))
        return found


@dataclass(frozen=True, eq=False)
class RangeLeast:
    """Least of any stretch of a row of figures: of stretches of 1, 2, 4, … from each place on."""

    tables: tuple[Floats, ...]

    @classmethod
    def of(cls, values: Floats) -> RangeLeast:
        """Return it for some figures, (m,)."""
        tables = [values]
        while 2 * 2 ** (len(tables) - 1) <= len(values):
            step, last = 2 ** (len(tables) - 1), tables[-1]
            tables.append(np.minimum(last[:-step], last[step:]))
        return cls(tuple(tables))

    def least(self, first: Ints, last: Ints) -> Floats:
        """Return the least of figures first to last - 1, for each pair; inf for none."""
        out = np.full(len(first), np.inf)
        length = last - first
        for power, table in enumerate(self.tables):
            here = (length >= 2**power) & (length < 2 ** (power + 1))
            if here.any():
                begin, end = first[here], last[here] - 2**power
                out[here] = np.minimum(table[begin], table[end])
        return out
