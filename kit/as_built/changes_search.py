"""The search behind the fewest changes: levels looked at one after the other, best first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kit.as_built.stack_menu import ChangeTask, Mask, Menus
from kit.base.effort import Effort
from kit.base.programme import (
    COST_PER_UNIT,
    Menu,
    Programme,
    programme,
    relaxed_prices,
    solve_whole,
)
from kit.base.runs import Floats
from kit.base.stack_rules import SLACK, Ints
from kit.base.stock_options import undominated

#: A stack that stays as it stands, among the numbers of stacks.
STAYS = -1

#: Sums of errors nearer than this are one [units]: 1e-6 mm, what the solver is trusted to.
_SAME_SUM = 10**6


#: Levels that were looked at, and which of them may serve: none looked at.
_NOWHERE_YET: tuple[Ints, Mask] = (np.zeros(0, dtype=np.int64), np.zeros(0, dtype=bool))


class OutOfSteps(Exception):  # noqa: N818 - it is no error: what was found until then stands
    """The steps ran out before this was proven."""


@dataclass(frozen=True)
class Choice:
    """A stack for each support, for a level [units], with what the change costs."""

    cost: int
    level: int
    chosen: tuple[int, ...]


def tops_after(menus: Menus, chosen: Sequence[int]) -> Ints:
    """Return the tops that a choice of stacks gives, (n,) [units]."""
    task = menus.task
    return np.array(
        [
            int(task.tops[i]) if stack == STAYS else int(task.feet[i] + menus.heights[stack])
            for i, stack in enumerate(chosen)
        ],
        dtype=np.int64,
    )


def middle_of(task: ChangeTask, tops: Ints) -> int:
    """Return the level of the least greatest error that is allowed [units]."""
    return min(max((int(tops.min()) + int(tops.max())) // 2, task.low), task.high)


def _greatest(task: ChangeTask, tops: Ints) -> int:
    return int(np.abs(tops - middle_of(task, tops)).max())


class Search:
    """Levels looked at one after the other, the most promising first."""

    def __init__(self, menus: Menus, effort: Effort) -> None:
        self.menus = menus
        self.effort = effort
        self.best: Choice | None = None
        self.prices: Floats = np.zeros(len(menus.task.limited))
        self._hopeful = _NOWHERE_YET
        self._known: dict[tuple[bytes, ...], float] = {}

    def cheapest(self, reach: int, most: float = np.inf) -> Choice | None:
        """Return the cheapest change; with ``most``, the first that costs no more than that."""
        levels, bounds = self._bounded(reach)
        looked_at, fine = levels, bounds <= min(most, self.menus.task.beyond_all) + 0.5
        levels, bounds = levels[fine], bounds[fine]
        found: Choice | None = None
        while len(levels):
            limit = min(most, self.menus.task.beyond_all) if found is None else found.cost - 1
            kept = bounds <= limit + 0.5
            if not kept.any():
                break
            if self.effort.spent:
                self.best = found or self.best
                raise OutOfSteps
            self.effort.add(len(self.menus.task.names))
            levels, bounds = levels[kept], bounds[kept]
            at = int(np.argmin(bounds))
            choice, prices = self._at(int(levels[at]), reach, limit)
            bounds[at] = np.inf
            if choice is not None and choice.cost <= limit:
                found = choice
                if most < np.inf:
                    # Between two levels nothing new serves: a smaller reach need not look where
                    # this one found all too dear.
                    self._hopeful = (looked_at, fine)
                    break
            if prices.any() and not np.array_equal(prices, self.prices):
                self.prices = prices
                bounds = np.maximum(bounds, self._whole_bound(levels, reach, prices))
        self.best = found or self.best
        return found

    def _bounded(self, reach: int) -> tuple[Ints, Floats]:
        """Return levels that may serve, and what each costs at least."""
        levels = self.menus.levels(reach)
        known, hopeful = self._hopeful
        if len(known):
            at = np.searchsorted(known, levels, side="right") - 1
            levels = levels[(at >= 0) & hopeful[np.maximum(at, 0)]]
        bounds = self._whole_bound(levels, reach, np.zeros_like(self.prices))
        if self.prices.any():
            bounds = np.maximum(bounds, self._whole_bound(levels, reach, self.prices))
        return levels, bounds

    def _whole_bound(self, levels: Ints, reach: int, prices: Floats) -> Floats:
        """Return bounds rounded up: costs are whole numbers."""
        bound = self.menus.bound(levels, reach, prices)
        return np.where(np.isfinite(bound), np.ceil(bound - 1e-6), np.inf)

    def _at(self, level: int, reach: int, limit: float) -> tuple[Choice | None, Floats]:
        """Return the cheapest change at a level, and prices where the bag limits.

        None where there is none, or it is known to cost more than the limit.
        """
        task, no_prices = self.menus.task, np.zeros_like(self.prices)
        options = [self._options(i, level, reach) for i in range(len(task.names))]
        free = [rows[np.lexsort((error, cost))[0]] for rows, cost, error, _ in options]
        if self._in_bag(free):
            return self._choice(level, free), no_prices
        kept = [_undominated(np.column_stack([cost, use]), rows) for rows, cost, _, use in options]
        # Many levels differ in heights and in nothing that costs or takes from the bag.
        alike = tuple(sorted(table.tobytes() for _, table in kept))
        if self._known.get(alike, -np.inf) > limit:
            return None, no_prices
        problem = programme(
            [
                Menu(rows, table[:, 0].astype(float), table[:, 1:].astype(float))
                for rows, table in kept
            ],
            task.left[task.limited].astype(np.float64),
        )
        self.effort.add(len(problem.cost))
        value, prices = relaxed_prices(problem)
        if value > limit + 0.5:
            self._known[alike] = value
            return None, prices
        chosen = self._solved(problem)
        choice = self._choice(level, chosen) if chosen else None
        self._known[alike] = np.inf if choice is None else choice.cost
        return choice, prices

    def _options(self, support: int, level: int, reach: int) -> tuple[Ints, Ints, Ints, Ints]:
        """Return what a support may choose: stacks, their cost, error and use of limited kinds."""
        menus, task = self.menus, self.menus.task
        here = menus.within(support, level, reach)
        rows = np.arange(here.start, here.stop)
        cost = task.dearest + menus.handled(support)[here]
        error = np.abs(task.feet[support] + menus.heights[here] - level)
        use = menus.net(support, rows)
        stays = abs(int(task.tops[support]) - level)
        if stays <= reach:
            rows, cost = np.append(STAYS, rows), np.append(0, cost)
            error = np.append(stays, error)
            use = np.vstack([np.zeros((1, use.shape[1]), dtype=np.int64), use])
        return rows, cost, error, use

    def _in_bag(self, chosen: Sequence[int]) -> bool:
        task = self.menus.task
        used = sum(
            (
                self.menus.net(i, np.array([stack]))[0]
                for i, stack in enumerate(chosen)
                if stack >= 0
            ),
            np.zeros(len(task.limited), dtype=np.int64),
        )
        return bool((used <= task.left[task.limited]).all())

    def _choice(self, level: int, chosen: Sequence[int]) -> Choice:
        dearest, menus = self.menus.task.dearest, self.menus
        cost = sum(
            dearest + int(menus.handled(i)[stack]) for i, stack in enumerate(chosen) if stack >= 0
        )
        return Choice(cost, level, tuple(int(stack) for stack in chosen))

    def _solved(self, problem: Programme) -> tuple[int, ...]:
        """Return the choice of an integer programme, empty where there is none."""
        outcome = solve_whole(problem, self.effort)
        if outcome.chosen:
            if not self._in_bag(outcome.chosen):
                raise OutOfSteps  # a solver that overdraws the bag has proven nothing
            if not self.effort.spent:
                return outcome.chosen
        if np.isfinite(outcome.bound):
            raise OutOfSteps
        return ()

    def nearest(self, first: Choice) -> Choice:
        """Return the change that costs no more and comes nearest: error, sum, lowest level."""
        task = self.menus.task
        self.best, cost = first, first.cost
        high, low = _greatest(task, tops_after(self.menus, first.chosen)), -1
        while high - low > SLACK:
            reach = max((high + low) // 2, 0)
            found = self.cheapest(reach, most=cost)
            if found is None:
                low = reach
            else:
                high = min(reach, _greatest(task, tops_after(self.menus, found.chosen)))
        return self._least_sum(high + SLACK, cost)

    def _least_sum(self, reach: int, cost: int) -> Choice:
        self._hopeful = _NOWHERE_YET  # it was for a smaller reach
        levels, bounds = self._bounded(reach)
        levels = levels[bounds <= cost + 0.5]
        best, least = self.best, np.inf
        for level in levels.tolist():
            if self.effort.spent:
                raise OutOfSteps
            self.effort.add(len(self.menus.task.names))
            choice = self._nearest_at(level, reach, cost)
            if choice is None:
                continue
            tops = tops_after(self.menus, choice.chosen)
            total = float(np.abs(tops - middle_of(self.menus.task, tops)).sum())
            if total < least - _SAME_SUM:
                best, least = choice, total
        assert best is not None  # the reach was found to do
        self.best = best
        return best

    def _nearest_at(self, level: int, reach: int, most: int) -> Choice | None:
        """Return the least sum of errors at a level for no more than so much; None where none."""
        task = self.menus.task
        options = [self._options(i, level, reach) for i in range(len(task.names))]
        if not all(len(rows) for rows, *_ in options):
            return None
        spare = most - sum(int(cost.min()) for _, cost, _, _ in options)
        if spare < 0:
            return None
        menus = []
        for rows, cost, error, use in options:
            fine = cost <= cost.min() + spare
            table = np.column_stack([error, use, cost // task.dearest, cost % task.dearest])[fine]
            kept, table = _undominated(table, rows[fine])
            cost_mm = table[:, 0].astype(np.float64) * COST_PER_UNIT
            menus.append(Menu(kept, cost_mm, table[:, 1:].astype(float)))
        free = [int(menu.stacks[np.argmin(menu.cost)]) for menu in menus]
        choice = self._choice(level, free)
        if choice.cost <= most and self._in_bag(free):
            return choice
        bag = [*task.left[task.limited].tolist(), *divmod(most, task.dearest)]
        chosen = self._solved(programme(menus, np.array(bag, dtype=np.float64)))
        return self._choice(level, chosen) if chosen else None


def _undominated(table: Ints, rows: Ints) -> tuple[Ints, Ints]:
    """Return the rows of a table that none undercuts, and the stacks that they stand for."""
    kept = undominated(table.astype(np.int64))
    return rows[kept], table[kept]
