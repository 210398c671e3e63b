"""Every stack as a count of each thickness, where the stock limits."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from kit.base.stack_rules import BEFORE_ALL, Ints
from kit.base.sweep import StackTask
from kit.job.refusal import refuse

#: Prices of packers are whole numbers of this part of a packer, so that bounds are exact.
PRICE_SCALE = 10**6
#: Value of a target that no stack meets, above any priced total.
NO_STACK = 10**15
#: Dearer than this a packer is not worth more: a bound above all pieces already shows that.
DEAREST = 10**5
#: More stacks than this are not tabulated.
MOST_STACKS = 400_000
#: More stacks than this are not compared pair by pair.
_MOST_COMPARED = 1500


@dataclass(frozen=True, eq=False)
class Options:
    """Stacks that the rules allow, by height.

    Parameters
    ----------
    counts : (v, k) array
        Packers of each thickness, thickest first.
    heights : (v,) array
        Heights, ascending [units].
    thicknesses : tuple of int
        Thicknesses, thickest first [units].
    limits : (k,) array
        Packers of each thickness in stock; more than can ever be used where there is no limit.
    scarce : (s,) array
        Indices of the thicknesses whose stock may run out.
    reach : int
        Tolerance with the round-off allowance [units].
    """

    counts: Ints
    heights: Ints
    thicknesses: tuple[int, ...]
    limits: Ints
    scarce: Ints
    reach: int

    @cached_property
    def pieces(self) -> Ints:
        """Packers in each stack."""
        total: Ints = self.counts.sum(axis=1)
        return total

    @cached_property
    def usage(self) -> Ints:
        """Packers of each scarce thickness in each stack, (v, s)."""
        return self.counts[:, self.scarce]

    @property
    def capacity(self) -> Ints:
        """Packers of each scarce thickness in stock, (s,)."""
        return self.limits[self.scarce]

    @cached_property
    def events(self) -> Ints:
        """Targets at which the set of possible stacks changes, ascending [units]."""
        first, after = self.heights - self.reach, self.heights + self.reach + 1
        return np.unique(np.concatenate([[BEFORE_ALL], first, after]))

    @cached_property
    def _ranges(self) -> tuple[Ints, Ints]:
        return self.between(self.events, self.events)

    def between(self, first: Ints, last: Ints) -> tuple[Ints, Ints]:
        """Return the range of stacks that meet some target of each interval.

        Parameters
        ----------
        first, last : (n,) arrays
            Ends of the intervals of the target [units].

        Returns
        -------
        low, high : (n,) arrays
            Stacks ``low`` up to but without ``high``.
        """
        return (
            np.searchsorted(self.heights, first - self.reach, side="left"),
            np.searchsorted(self.heights, last + self.reach, side="right"),
        )

    def cheapest(self, price: Ints) -> tuple[Ints, Ints]:
        """Return the least priced stack for any target, as a step function.

        Parameters
        ----------
        price : (v,) array
            Price of each stack, whole numbers.

        Returns
        -------
        starts, values : (m,) arrays
            ``values[j]`` from ``starts[j]`` on [units]; ``NO_STACK`` where there is none.
        """
        low, high = self._ranges
        bounds = np.stack([low, high], axis=1).ravel()
        least = np.minimum.reduceat(np.append(price, NO_STACK), bounds)[::2]
        least = np.where(high > low, least, NO_STACK)
        changes = np.append(True, np.diff(least) != 0)
        return self.events[changes], least[changes]

    def price(self, surcharge: Ints) -> Ints:
        """Return the price of each stack: its packers, and a surcharge on the scarce ones."""
        priced: Ints = self.pieces * PRICE_SCALE + self.usage @ surcharge
        return priced

    def take(self, chosen: Ints) -> Options:
        """Return some of the stacks, in the order given."""
        return Options(
            self.counts[chosen],
            self.heights[chosen],
            self.thicknesses,
            self.limits,
            self.scarce,
            self.reach,
        )

    def without_dominated(self) -> Options:
        """Return the stacks without those that equal another in height and use no less of all."""
        if len(self.scarce) == len(self.thicknesses):
            return self
        table = np.column_stack([self.heights, self.pieces, self.usage])
        edges = np.flatnonzero(np.diff(self.heights) != 0) + 1
        groups = np.split(np.arange(len(table)), edges)
        kept = [g[undominated(table[g, 1:])] if len(g) > 1 else g for g in groups]
        return self.take(np.concatenate(kept))

    def listed(self, stack: int) -> tuple[int, ...]:
        """Return the thicknesses of a stack, thickest first [units]."""
        counts = self.counts[stack].tolist()
        return tuple(t for t, c in zip(self.thicknesses, counts, strict=True) for _ in range(c))


def undominated(needs: Ints) -> Ints:
    """Return the indices of the rows that no other row undercuts in every column.

    Of equal rows the first is kept.
    """
    _, first = np.unique(needs, axis=0, return_index=True)
    if len(first) == 1 or len(first) > _MOST_COMPARED:
        return np.sort(first)
    rows = needs[first]
    # Sorted by row, so only an earlier row can undercut a later one.
    under: NDArray[np.bool_] = np.all(rows[:, None, :] <= rows[None, :, :], axis=2)
    np.fill_diagonal(under, False)
    return np.sort(first[~under.any(axis=0)])


def stock_options(task: StackTask) -> Options:
    """Tabulate every stack that some support may need within the window.

    Parameters
    ----------
    task : StackTask
        Supports, window, stock and limits of a stack.

    Returns
    -------
    Options
        The stacks, by height.

    Raises
    ------
    Refusal
        If there are more than ``MOST_STACKS``.
    """
    level, stock, rules = task.level, task.stock, task.rules
    shortest = max(rules.shortest, level.low - int(level.offset.max()) - rules.reach)
    longest = min(rules.longest, level.high - int(level.offset.min()) + rules.reach)
    ample = len(level.names) * rules.max_pieces
    limits = np.array([ample if n is None else min(n, ample) for n in stock.values()])
    counts = _count_vectors(tuple(stock), limits, rules.max_pieces, longest)
    heights = counts @ np.array(list(stock), dtype=np.int64)
    fine = (heights >= shortest) & (counts.sum(axis=1) >= 1)
    order = np.argsort(heights[fine], kind="stable")
    scarce = np.flatnonzero(limits < ample)
    return Options(
        counts[fine][order], heights[fine][order], tuple(stock), limits, scarce, rules.reach
    )


def _count_vectors(
    thicknesses: tuple[int, ...], limits: Ints, max_pieces: int, longest: int
) -> Ints:
    counts = np.zeros((1, 0), dtype=np.int64)
    heights, used = np.zeros(1, dtype=np.int64), np.zeros(1, dtype=np.int64)
    for thickness, limit in zip(thicknesses, limits.tolist(), strict=True):
        extra = np.arange(min(limit, max_pieces) + 1)
        grown_heights = heights[:, None] + extra * thickness
        grown_used = used[:, None] + extra
        row, more = np.nonzero((grown_heights <= longest) & (grown_used <= max_pieces))
        if len(row) > MOST_STACKS:
            raise refuse(
                "job.toml, stock.packers",
                f"limited counts and more than {MOST_STACKS:,} different stacks",
                "fewer kinds, or a lower base.max_pieces or base.max_stack_mm",
            )
        counts = np.column_stack([counts[row], extra[more]])
        heights, used = grown_heights[row, more], grown_used[row, more]
    return counts
