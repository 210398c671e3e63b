"""Bays tied more ways than one: runs that meet at a corner, islands, rows behind each other.

The same aim as in `kit.levels.row_of_bays`, over any graph of bays, by one integer programme: least
packing; fewest ties with a step; lowest levels, bay by bay in the order given. Bays that are tied
on one level are one zone as far as its height goes, round a corner too. The candidate levels
contain an optimum for the same reason, their chains being as long as there can be zones. The
programme is exact in its unknowns: each bay takes one of its candidates in one of its ways, and a
tie lets two candidates stand beside each other or not, so that no length is compared within the
solver's own tolerance. Its work is counted in steps (`kit.base.effort`), not by a clock: where it
is cut short, the gap to the best that may be is proven and told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from kit.base.effort import STEPS_A_SECOND, Effort
from kit.base.runs import Floats
from kit.base.stack_rules import Ints
from kit.job import refuse
from kit.levels.bay import Bay, StepRule, Tell, Tie
from kit.levels.packing import Packing
from kit.levels.programme import Programme
from kit.levels.row_of_bays import candidate_levels, cost_of_ways

__all__ = ["Tie", "Together", "level_together"]

#: Steps of the search unless the caller says otherwise.
MOST_STEPS = 20.0 * STEPS_A_SECOND
#: Unknowns of a programme that is still begun.
MOST_UNKNOWNS = 120_000


@dataclass(frozen=True)
class Together:
    """Levels of bays that are tied.

    Parameters
    ----------
    levels : tuple of int
        Of each bay [units]; empty where there are none.
    packing : int
        Height of all stacks together [units].
    gap : int
        By how much the least packing may be lower [units]; 0 where it is proven.
    proven : bool
        Whether least packing and fewest steps are proven; with no levels, that there are none.
    lowest : bool
        Whether of equal answers it is proven the one with the lowest levels.
    steps : tuple of int
        At each tie: how much higher the second bay is [units].
    """

    levels: tuple[int, ...]
    packing: int = 0
    gap: int = 0
    proven: bool = True
    lowest: bool = True
    steps: tuple[int, ...] = field(default=())

    @property
    def found(self) -> bool:
        """Whether there are levels."""
        return bool(self.levels)


def level_together(
    bays: Sequence[Bay],
    ties: Sequence[Tie],
    packing: Packing,
    rule: StepRule,
    most: int | Sequence[int],
    *,
    work: float = MOST_STEPS,
    tell: Tell | None = None,
) -> Together:
    """Give tied bays their levels.

    Parameters
    ----------
    bays : sequence of Bay
        Of all runs.
    ties : sequence of Tie
        Which are neighbours. Chains of ties "in_run" are runs; each bay has at most one on either
        side.
    packing, rule : Packing, StepRule
        As for `kit.levels.row_of_bays.part_row`.
    most : int or sequence of int
        Most zones of every run, or of each, the runs in the order of their first bays.
    work : float
        Steps allowed, as `kit.base.effort` counts them.
    tell : callable, optional
        Told the share done.

    Returns
    -------
    Together

    Raises
    ------
    Refusal
        Where there are more unknowns than a programme is begun with, or a bay has two neighbours
        on one side of its run.
    """
    runs = _runs(len(bays), ties)
    each_most = (most,) * len(runs) if isinstance(most, int) else tuple(most)
    chain = sum(min(its, len(run)) for its, run in zip(each_most, runs, strict=True)) - 1
    packing.refuse_inexact(sum(max(len(way.names) for way in bay.ways) for bay in bays))
    every = candidate_levels(bays, packing, rule, chain)
    levels, costs = _levels_and_costs(bays, ties, packing, every)
    if any(not len(each) for each in levels):
        return Together(())
    unknowns = sum(4 * len(each) for each in levels)
    if unknowns > MOST_UNKNOWNS:
        found = f"{len(bays)} bays tied together with {unknowns:,} candidates"
        allowed = f"{MOST_UNKNOWNS:,}: fewer zones, fewer units at once, a narrower height_mm"
        raise refuse("job.toml, base.levels", found, allowed)
    programme = Programme(bays, tuple(ties), levels, costs, rule, each_most, runs)
    effort = Effort(work)
    best = programme.least(effort)
    if not best.chosen:
        return Together((), proven=best.proven)
    lowered, lowest = programme.lowest(best, effort, tell)
    chosen = [int(of_bay[at]) for of_bay, at in zip(levels, lowered, strict=True)]
    return Together(
        tuple(chosen),
        best.cost * packing.grain,
        best.gap * packing.grain,
        best.proven,
        lowest,
        tuple(chosen[tie.second] - chosen[tie.first] for tie in ties),
    )


def _runs(count: int, ties: Sequence[Tie]) -> tuple[tuple[int, ...], ...]:
    """Return the bays of each run from left to right."""
    after = {tie.first: tie.second for tie in ties if tie.in_run}
    before = {tie.second for tie in ties if tie.in_run}
    inside = sum(tie.in_run for tie in ties)
    runs = []
    for first in (bay for bay in range(count) if bay not in before):
        run = [first]
        while run[-1] in after:
            run.append(after[run[-1]])
        runs.append(tuple(run))
    if len(after) != inside or len(before) != inside or sum(map(len, runs)) != count:
        raise refuse("ties of bays", "a run that branches or closes", "bays in a line")
    return tuple(runs)


def _levels_and_costs(
    bays: Sequence[Bay], ties: Sequence[Tie], packing: Packing, every: Ints
) -> tuple[list[Ints], list[Floats]]:
    """Return the candidates of each bay, and what each of its ways costs at them [grains]."""
    right = {tie.first for tie in ties if tie.in_run}
    left = {tie.second for tie in ties if tie.in_run}
    top = max(bay.reach for bay in bays)
    levels, costs = [], []
    for number, bay in enumerate(bays):
        high = min(bay.cap, top)
        own = every[(every >= bay.low) & (every <= high)]
        cost = cost_of_ways(bay, packing, own)
        if number not in right:
            cost[[1, 3]] = np.inf
        if number not in left:
            cost[[2, 3]] = np.inf
        stands = np.isfinite(cost).any(axis=0)
        levels.append(own[stands])
        costs.append(cost[:, stands])
    return levels, costs
