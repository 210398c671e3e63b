"""The integer programme of tied bays: unknowns, rows, and what is asked of it in turn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from kit.base.effort import Effort, Solved
from kit.base.runs import Floats
from kit.base.stack_rules import SLACK, Ints
from kit.levels.bay import Bay, StepRule, Tell, Tie
from kit.levels.integer_rows import Rows


@dataclass(frozen=True)
class Best:
    """The least packing found.

    Parameters
    ----------
    chosen : tuple of int
        Candidate of each bay; empty where there are none.
    cost : int
        Packing [grains].
    steps : int
        Ties with a step.
    gap : int
        By how much the least packing may be lower [grains].
    proven : bool
        Whether packing and steps are proven.
    """

    chosen: tuple[int, ...]
    cost: int = 0
    steps: int = 0
    gap: int = 0
    proven: bool = True


@dataclass(frozen=True, eq=False)
class Programme:
    """Bays, ties and candidates as an integer programme.

    Parameters
    ----------
    bays, ties : sequences of Bay, of Tie
        What is tied.
    levels : sequence of (m_b,) arrays
        Candidates of each bay, ascending [units].
    costs : sequence of (4, m_b) arrays
        What each way costs at each candidate [grains]; infinite where it cannot be.
    rule : StepRule
        Of neighbours on different levels.
    most : tuple of int
        Most zones of each run.
    runs : tuple of tuple of int
        The bays of each run from left to right.
    """

    bays: Sequence[Bay]
    ties: Sequence[Tie]
    levels: Sequence[Ints]
    costs: Sequence[Floats]
    rule: StepRule
    most: tuple[int, ...]
    runs: tuple[tuple[int, ...], ...]

    @cached_property
    def _stands(self) -> list[tuple[Ints, Ints, Ints]]:
        """Return for each bay its unknowns, and the way and the candidate of each."""
        found, start = [], 0
        for cost in self.costs:
            way, at = np.nonzero(np.isfinite(cost))
            found.append((np.arange(start, start + len(way)), way, at))
            start += len(way)
        return found

    @cached_property
    def _counts(self) -> tuple[int, int, int]:
        """Return how many unknowns there are: choices, steps, flows."""
        flows = 2 * len(self.ties) if self._someone_out_of_reach else 0
        return sum(len(each) for each, _, _ in self._stands), len(self.ties), flows

    @property
    def _in_run(self) -> list[int]:
        return [number for number, tie in enumerate(self.ties) if tie.in_run]

    @cached_property
    def _someone_out_of_reach(self) -> bool:
        each = zip(self.bays, self.levels, strict=True)
        return any(bool((levels > bay.reach + SLACK).any()) for bay, levels in each)

    def _choices(self, bay: int, at: NDArray[np.bool_]) -> Ints:
        """Return the unknowns of a bay at the candidates of a mask."""
        columns, _, place = self._stands[bay]
        return columns[at[place]]

    @cached_property
    def _cost(self) -> Floats:
        """Return the objective: packing above each bay's least, times ties + 1, and steps."""
        _, steps, flows = self._counts
        scale = len(self.ties) + 1
        parts = [
            (cost[way, at] - least) * scale
            for (_, way, at), cost, least in zip(
                self._stands, self.costs, self._least_of_each, strict=True
            )
        ]
        return np.concatenate([*parts, np.ones(steps), np.zeros(flows)])

    @cached_property
    def _least_of_each(self) -> list[float]:
        return [float(cost[np.isfinite(cost)].min()) for cost in self.costs]

    @cached_property
    def _rows(self) -> Rows:
        rows = Rows()
        for bay in range(len(self.bays)):
            rows.add([(self._stands[bay][0], 1.0)], 1, 1)
        for number in range(len(self.ties)):
            self._tie(rows, number)
        step_at = {self.ties[n].first: self._step(n) for n in self._in_run}
        for run, most in zip(self.runs, self.most, strict=True):
            steps = [step_at[bay] for bay in run[:-1]]
            if len(steps) > most - 1:
                rows.add([(np.array(steps), 1.0)], 0, most - 1)
        if self._someone_out_of_reach:
            self._flows(rows)
        return rows

    def _step(self, tie: int) -> int:
        return self._counts[0] + tie

    def _tie(self, rows: Rows, number: int) -> None:
        """Add what a tie asks: allowed pairs; a step where levels differ; ends of zones there."""
        tie, step = self.ties[number], np.array([self._step(number)])
        one, other = self.levels[tie.first], self.levels[tie.second]
        allowed = self.rule.allows(one[:, None], other[None, :])
        for at in range(len(one)):
            mine = self._choices(tie.first, np.arange(len(one)) == at)
            rows.add([(mine, -1.0), (self._choices(tie.second, allowed[at]), 1.0)], 0, np.inf)
            same = self._choices(tie.second, other == one[at])
            rows.add([(mine, -1.0), (same, 1.0), (step, 1.0)], 0, np.inf)
            if len(same):
                rows.add([(mine, 1.0), (same, 1.0), (step, 1.0)], -np.inf, 2)
        for at in range(len(other)):
            theirs = self._choices(tie.second, np.arange(len(other)) == at)
            rows.add([(theirs, -1.0), (self._choices(tie.first, allowed[:, at]), 1.0)], 0, np.inf)
        if tie.in_run:
            columns, way, _ = self._stands[tie.first]
            rows.add([(columns[way % 2 == 0], 1.0), (step, -1.0)], 0, 0)
            columns, way, _ = self._stands[tie.second]
            rows.add([(columns[way < 2], 1.0), (step, -1.0)], 0, 0)

    def _flows(self, rows: Rows) -> None:
        """Add that each bay above its own reach shares its level with one that reaches so high.

        It must be given 1 of what only bays within their reach have, and what flows from bay to
        bay, along a run or round a corner, does not pass a step.
        """
        choices, steps, _ = self._counts
        size = float(len(self.bays))
        of_bay: list[list[tuple[int, float]]] = [[] for _ in self.bays]
        for number, tie in enumerate(self.ties):
            for way, sign in ((0, 1.0), (1, -1.0)):
                flow = choices + steps + 2 * number + way
                of_bay[tie.first].append((flow, -sign))
                of_bay[tie.second].append((flow, sign))
                step = np.array([self._step(number)])
                rows.add([(np.array([flow]), 1.0), (step, size)], -np.inf, size)
        for bay, (each, levels) in enumerate(zip(self.bays, self.levels, strict=True)):
            out = levels > each.reach + SLACK
            parts = [(np.array([flow]), sign) for flow, sign in of_bay[bay]]
            parts.append((self._choices(bay, out), -1.0))
            parts.append((self._choices(bay, ~out), size))
            rows.add(parts, 0, np.inf)

    def least(self, effort: Effort) -> Best:
        """Find the least packing, then the fewest steps.

        First among candidates that cost little more than the least of their bay: whoever takes
        another pays more than that, so an answer that costs no more is the best of all. Where
        there is none, candidates are let in that cost more.
        """
        all_in = float(self._cost.max())
        window = all_in / 64
        best, total = self._least_within(window, effort)
        while not best.proven or total > window:
            if window >= all_in or (effort.spent and best.chosen):
                break
            # What was found costs so much that nothing dearer need be looked at.
            window = min(total if best.chosen else 4 * window, all_in)
            window = all_in if effort.spent else window
            best, total = self._least_within(window, effort)
        return best

    def _dearer(self, window: float) -> Ints:
        """Return the choices that cost more than the least of their bay and a window."""
        return np.flatnonzero(self._cost[: self._counts[0]] > window)

    def _least_within(self, window: float, effort: Effort) -> tuple[Best, float]:
        solved, chosen = self._solve(self._cost, effort, [self._dearer(window)])
        whole = window >= float(self._cost.max())
        if not chosen:
            return Best((), proven=solved.proven and whole), np.inf
        cost, steps = self._told(solved.amounts)
        scale, least = len(self.ties) + 1, int(sum(self._least_of_each))
        total = (cost - least) * scale + steps
        # Costs are whole numbers: a bound is raised to the next one.
        bound = np.ceil(solved.bound - 1e-3) if np.isfinite(solved.bound) else 0.0
        bound = total if solved.proven else max(float(bound), 0.0)
        bound = bound if whole else min(bound, window)
        gap = max(0, cost - least - int(bound // scale))
        return Best(chosen, cost, steps, gap, proven=bool(total <= bound)), float(total)

    def _told(self, amounts: Ints) -> tuple[int, int]:
        """Return packing [grains] and steps of an answer, counted anew and exactly."""
        cost = 0
        for (columns, way, at), costs in zip(self._stands, self.costs, strict=True):
            taken = amounts[columns] == 1
            cost += int(costs[way[taken], at[taken]].sum())
        start = self._counts[0]
        return cost, int(amounts[start : start + len(self.ties)].sum())

    def lowest(self, best: Best, effort: Effort, tell: Tell | None) -> tuple[tuple[int, ...], bool]:
        """Lower the levels bay by bay, with no more packing and no more steps.

        Returns
        -------
        chosen : tuple of int
            Candidate of each bay.
        lowest : bool
            Whether it is proven that no bay could be lower with those before it as they are.
        """
        chosen, proven = best.chosen, best.proven
        for bay in range(len(self.bays)):
            if proven and chosen[bay] > 0:
                chosen, proven = self._lower(bay, chosen, best, effort)
            if tell is not None:
                tell((bay + 1) / len(self.bays))
        return chosen, proven

    def _lower(
        self, bay: int, chosen: tuple[int, ...], best: Best, effort: Effort
    ) -> tuple[tuple[int, ...], bool]:
        held = [self._choices(b, np.arange(len(self.levels[b])) != chosen[b]) for b in range(bay)]
        above = self._choices(bay, np.arange(len(self.levels[bay])) > chosen[bay])
        aim = np.zeros(sum(self._counts))
        columns, _, at = self._stands[bay]
        aim[columns] = at
        scale = len(self.ties) + 1
        most = (best.cost - sum(self._least_of_each)) * scale + best.steps + 0.5
        solved, lowered = self._solve(aim, effort, [*held, above, self._dearer(most)], most)
        if not lowered:
            return chosen, False
        kept = self._told(solved.amounts) == (best.cost, best.steps)
        return (lowered, solved.proven) if kept else (chosen, False)

    def _solve(
        self, aim: Floats, effort: Effort, never: Sequence[Ints], most: float = np.inf
    ) -> tuple[Solved, tuple[int, ...]]:
        """Solve with some unknowns at 0 and no more than ``most`` of the first objective."""
        upper = np.ones(sum(self._counts))
        upper[sum(self._counts[:2]) :] = len(self.bays)
        for columns in never:
            upper[columns] = 0
        rows = self._rows
        if np.isfinite(most):
            rows = rows.and_one((np.arange(len(upper)), self._cost), most)
        solved = rows.solve(aim, upper, effort)
        if not len(solved.amounts):
            return solved, ()
        found = []
        for columns, _, at in self._stands:
            (taken,) = np.flatnonzero(solved.amounts[columns] == 1)
            found.append(int(at[taken]))
        return solved, tuple(found)
