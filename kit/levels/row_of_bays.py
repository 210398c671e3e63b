"""One run parted into level zones: the exact dynamic programme over its bays.

What is optimised, in this order: least packing (sum of the heights of all stacks, as built);
fewest zones; lowest levels, bay by bay from the left. Two zones that are neighbours differ by a
step between the least and the greatest allowed, both included; a boundary without a step is none,
the two are one zone. A zone lies no lower than any of its bays asks, no higher than any of them
stands, and no higher than the highest of its bays reaches (a height asked for above the zone's own
high point).

**The candidates contain an optimum.** Hold boundaries, the sign of every step and, for every bay,
the interval of levels that it has stacks at. What is left are bounds on differences of levels, so
there is a least solution, lowest in every zone at once; packing never falls as a level rises
(`kit.levels.packing`), so it is an optimum and the lowest one. In it each level is the lower end of
an interval of some bay, carried along a chain of steps: upwards each adds the least step, where a
neighbour may hang no further below it takes away the greatest one. So every level of it is
a + m·least - m'·greatest with m + m' below the number of zones.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kit.base.runs import Floats
from kit.base.stack_rules import SLACK, Ints
from kit.base.sweep import Level, feasible_intervals, sweep
from kit.job import refuse
from kit.levels.bay import Bay, StepRule, Tell
from kit.levels.packing import Packing

#: States of the programme that a machine holds; above it the row is refused.
MOST_STATES = 60_000_000


@dataclass(frozen=True)
class RowPlan:
    """A run parted into zones.

    Parameters
    ----------
    zones : tuple of (int, int)
        First and last bay of each zone.
    levels : tuple of int
        Level of each zone [units].
    packing : int
        Height of all stacks together [units].
    """

    zones: tuple[tuple[int, int], ...]
    levels: tuple[int, ...]
    packing: int


def part_row(
    bays: Sequence[Bay], packing: Packing, steps: StepRule, most: int, tell: Tell | None = None
) -> Mapping[int, RowPlan]:
    """Part a row of bays into exactly 1, 2, … ``most`` zones, each number as well as it can be.

    Parameters
    ----------
    bays : sequence of Bay
        From left to right.
    packing : Packing
        Packers and rules.
    steps : StepRule
        Of neighbouring zones.
    most : int
        Most zones.
    tell : callable, optional
        Told the share done.

    Returns
    -------
    mapping of int to RowPlan
        The optimum for each number of zones that can be.

    Raises
    ------
    Refusal
        Where there are too many candidates for a machine to hold.
    """
    most = min(most, len(bays))
    packing.refuse_inexact(sum(max(len(way.names) for way in bay.ways) for bay in bays))
    levels = candidate_levels(bays, packing, steps, most - 1)
    row = [_at(bay, packing, levels, bays) for bay in bays]
    states = 3 * (most + 1) * sum(len(each.levels) for each in row)
    if states > MOST_STATES:
        found = f"{len(bays)} bays with {states:,} states of level, zone and number of zones"
        allowed = f"{MOST_STATES:,}: fewer zones, a wider tolerance_mm or a narrower height_mm"
        raise refuse("job.toml, base.levels", found, allowed)
    values, chosen = _last(row[-1], most), []
    for place in range(len(row) - 2, -1, -1):
        values, choice = _before(row[place], row[place + 1], values, steps)
        chosen.append(choice)
        if tell is not None:
            tell((len(row) - 1 - place) / len(row))
    if tell is not None:
        tell(1.0)
    chosen.reverse()
    return {
        zones: _plan(row, chosen, values, zones, packing)
        for zones in range(1, most + 1)
        if values.shape[2] and np.isfinite(values[zones, 0]).any()
    }


def best_of(plans: Mapping[int, RowPlan]) -> int:
    """Return the number of zones with the least packing, the fewest of several."""
    return min(plans, key=lambda zones: (plans[zones].packing, zones))


def candidate_levels(bays: Sequence[Bay], packing: Packing, steps: StepRule, chain: int) -> Ints:
    """Return levels that are proven to contain those of an optimum, ascending [units].

    Parameters
    ----------
    bays, packing, steps : sequence of Bay, Packing, StepRule
        As for `part_row`.
    chain : int
        Most steps that one level can be carried along.
    """
    top = max(bay.reach for bay in bays)
    starts = np.unique(
        np.array([start for bay in bays for start in _starts(bay, packing, top)], dtype=np.int64)
    )
    if not len(starts):
        return starts
    low, high = starts[0], max(min(bay.cap, top) for bay in bays)
    shifts = {
        up * steps.least - down * steps.greatest
        for up in range(chain + 1)
        for down in range(chain + 1 - up)
    }
    near = [shift for shift in shifts if abs(shift) <= high - low]
    if len(starts) * len(near) > MOST_STATES:
        found = f"{len(starts):,} levels at which a bay begins to have stacks, and {len(near)} sums"
        raise refuse("job.toml, base.levels", f"{found} of steps", "fewer zones, fewer bays")
    carried: Ints = np.unique((starts[:, None] + np.array(sorted(near))[None, :]).ravel())
    within: Ints = carried[(carried >= low) & (carried <= high)]
    return within


def _starts(bay: Bay, packing: Packing, top: int) -> set[int]:
    """Return where the intervals of levels begin at which a bay has stacks, any way it stands."""
    high = min(bay.cap, top)
    found: set[int] = set()
    for way in bay.ways:
        if not way.why_not and bay.low <= high:
            swept = sweep(Level(way.names, way.offset, bay.low, high), packing.table)
            found.update(first for first, _ in feasible_intervals(swept))
    return found


@dataclass(frozen=True, eq=False)
class _At:
    """A bay at the levels that it can have: indices, levels [units], cost (4, m), in reach (m,)."""

    places: Ints
    levels: Ints
    cost: Floats
    reached: NDArray[np.bool_]


def _at(bay: Bay, packing: Packing, levels: Ints, bays: Sequence[Bay]) -> _At:
    high = min(bay.cap, max(each.reach for each in bays))
    places = np.flatnonzero((levels >= bay.low - SLACK) & (levels <= high + SLACK))
    cost = cost_of_ways(bay, packing, levels[places])
    stands = np.isfinite(cost).any(axis=0)
    places, cost = places[stands], cost[:, stands]
    return _At(places, levels[places], cost, levels[places] <= bay.reach + SLACK)


def cost_of_ways(bay: Bay, packing: Packing, levels: Ints) -> Floats:
    """Return what a bay costs, each way it may stand, at each level (4, m) [grains]."""
    every = [way.offset for way in bay.ways if not way.why_not]
    cost = np.full((4, len(levels)), np.inf)
    if not every or not len(levels):
        return cost
    offsets = np.unique(np.concatenate(every))
    each = packing.cost(offsets, levels)
    for number, way in enumerate(bay.ways):
        if not way.why_not:
            cost[number] = each[np.searchsorted(offsets, way.offset)].sum(axis=0)
    return cost


# States of a bay, second axis of the values: begins a zone; joined to the left, out of the reach
# of all bays of the zone before it; joined, within the reach of one of them.
_JOINED = (False, True, True)
_REACHED = (False, False, True)


def _last(at: _At, most: int) -> Floats:
    values = np.full((most + 1, 3, len(at.levels)), np.inf)
    for state in range(3):
        ends = at.cost[2 * _JOINED[state]]
        values[1, state] = np.where(at.reached | _REACHED[state], ends, np.inf)
    return values


def _before(
    at: _At, after: _At, values: Floats, steps: StepRule
) -> tuple[Floats, NDArray[np.int32]]:
    """Return what a bay and all to its right cost, and which level the next bay then has."""
    zones, _, _ = values.shape
    found = np.full((zones, 3, len(at.levels)), np.inf)
    choice = np.zeros((zones, 3, len(at.levels)), dtype=np.int32)
    if not len(at.levels) or not len(after.levels):
        return found, choice
    same = np.minimum(np.searchsorted(after.places, at.places), len(after.places) - 1)
    stays = after.places[same] == at.places
    # One zone is left for the next bay where two are for this one, so the table moves by one.
    begins = np.concatenate([np.full((1, len(after.levels)), np.inf), values[:-1, 0]])
    down, down_at = _least_within(begins, after.levels, at.levels, -steps.greatest, -steps.least)
    up, up_at = _least_within(begins, after.levels, at.levels, steps.least, steps.greatest)
    next_at = np.stack([down_at, np.broadcast_to(same, down_at.shape), up_at])
    for state in range(3):
        left = 2 * _JOINED[state]
        reached = at.reached | _REACHED[state]
        joined = np.where(reached, values[:, 2][:, same], values[:, 1][:, same])
        stay = np.where(stays, at.cost[left + 1] + joined, np.inf)
        ends = np.where(reached, at.cost[left], np.inf)
        three = np.stack([ends + down, stay, ends + up])
        first = np.argmin(three, axis=0)[None]  # of equal ones the lowest next level
        found[:, state] = np.take_along_axis(three, first, axis=0)[0]
        choice[:, state] = np.take_along_axis(next_at, first, axis=0)[0]
    return found, choice


def _least_within(
    values: Floats, levels: Ints, around: Ints, low: int, high: int
) -> tuple[Floats, NDArray[np.int64]]:
    """Return the least value at levels from ``around + low`` to ``around + high``, and where.

    Parameters
    ----------
    values : (k, m) array
        At the ascending ``levels`` (m,).
    around : (n,) array
        Levels that the windows lie about.

    Returns
    -------
    least : (k, n) array
        Infinite where the window is empty.
    where : (k, n) array
        Index of the first of the least.
    """
    first = np.searchsorted(levels, around + low - SLACK, side="left")
    after = np.searchsorted(levels, around + high + SLACK, side="right")
    width = after - first
    where = np.zeros((len(values), len(around)), dtype=np.int64)
    least = np.full(where.shape, np.inf)
    index: Any = np.broadcast_to(np.arange(len(levels)), values.shape)
    depth = 0  # index holds the first of the least among 2**depth levels from each on
    while (1 << depth) <= width.max(initial=0):
        here = np.flatnonzero((width >> depth) == 1)
        one = index[:, first[here]]
        two = index[:, after[here] - (1 << depth)]
        a, b = np.take_along_axis(values, one, 1), np.take_along_axis(values, two, 1)
        where[:, here] = np.where(a <= b, one, two)
        least[:, here] = np.minimum(a, b)
        one, two = index[:, : -(1 << depth)], index[:, (1 << depth) :]
        a, b = np.take_along_axis(values, one, 1), np.take_along_axis(values, two, 1)
        index = np.where(a <= b, one, two)
        depth += 1
    return least, where


def _plan(
    row: Sequence[_At],
    chosen: Sequence[NDArray[np.int32]],
    values: Floats,
    zones: int,
    packing: Packing,
) -> RowPlan:
    place = int(np.argmin(values[zones, 0]))
    total = int(values[zones, 0, place]) * packing.grain
    left, state = zones, 0
    levels, firsts = [int(row[0].levels[place])], [0]
    for bay, choice in enumerate(chosen):
        reached = bool(row[bay].reached[place]) or _REACHED[state]
        before = int(row[bay].levels[place])
        place = int(choice[left, state, place])
        level = int(row[bay + 1].levels[place])
        if level == before:
            state = 2 if reached else 1
            continue
        left, state = left - 1, 0
        firsts.append(bay + 1)
        levels.append(level)
    lasts = [*(first - 1 for first in firsts[1:]), len(row) - 1]
    return RowPlan(tuple(zip(firsts, lasts, strict=True)), tuple(levels), total)
