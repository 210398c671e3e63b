"""The exact datum and the exact stacks: fewest packers, least error, lowest datum.

Without a limit on the stock the supports depend on each other only through the datum, so the
fewest packers of all supports is a sum of step functions of the datum, searched completely.
Where the stock limits, `kit.base.limited` finds the same optimum.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from functools import lru_cache
from math import inf

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike

from kit.base.effort import STEPS_A_SECOND
from kit.base.limited import Found, solve_limited
from kit.base.reasons import binding_high, binding_low, no_datum
from kit.base.stack_plan import StackPlan
from kit.base.stack_rules import (
    SLACK,
    Ints,
    PackerKind,
    StackRules,
    pooled_stock,
    to_mm,
    to_units,
)
from kit.base.sums import UNREACHABLE, SumTable, thickest_first
from kit.base.sweep import Level, StackTask, Sweep, feasible_intervals, sweep
from kit.job.refusal import refuse

__all__ = ["PackerKind", "StackPlan", "StackRules", "optimise_stacks", "piece_curve"]

#: Steps of the search where the stock limits, unless the caller says otherwise.
MOST_STEPS = 20.0 * STEPS_A_SECOND

#: Candidates times supports that are evaluated in one go.
_CHUNK = 2_000_000


def optimise_stacks(
    names: Sequence[str],
    floor_mm: ArrayLike,
    lift_mm: ArrayLike,
    low_mm: float,
    high_mm: float,
    packers: Sequence[PackerKind],
    rules: StackRules,
    *,
    steps: float = MOST_STEPS,
) -> StackPlan:
    """Return the best datum of the window and the best stack at each support.

    Best is, in this order: fewest packers over all supports; least sum of absolute errors;
    lowest datum; then support by support the lexicographically greatest list of thicknesses,
    thickest first. ``target = datum - floor + lift``, ``error = stack - target``; the tolerance
    and all limits are closed, with 1e-9 mm for round-off.

    Parameters
    ----------
    names : sequence of str
        Supports in site order.
    floor_mm, lift_mm : (n,) array_like
        Height of the floor at each support, and how much higher than the datum it is set [mm].
    low_mm, high_mm : float
        Window of the datum, both ends included [mm].
    packers : sequence of PackerKind
        The stock.
    rules : StackRules
        Tolerance and limits of a stack.
    steps : float
        Work allowed where the stock limits, as `kit.base.effort` counts it; without a limit it
        is not needed. The same call gives the same plan on every machine.

    Returns
    -------
    StackPlan
        The optimum, or with a limited stock the best that was found in the steps.

    Raises
    ------
    Refusal
        If no datum of the window gives every support a stack: names the support, the height
        missing and the packer that would solve it.

    Notes
    -----
    The order of the four aims and the order in a stack (thickest on the floor, next thickest on
    top, thinnest inside) are common practice, no source.
    """
    floor, lift = (
        np.atleast_1d(np.asarray(each, dtype=np.float64)).tolist() for each in (floor_mm, lift_mm)
    )
    return _optimum(
        tuple(names), tuple(floor), tuple(lift), (low_mm, high_mm), tuple(packers), rules, steps
    )


@lru_cache(maxsize=64)  # prices and loads move no stack, and a limited stock may take seconds
def _optimum(
    names: tuple[str, ...],
    floor_mm: tuple[float, ...],
    lift_mm: tuple[float, ...],
    window_mm: tuple[float, float],
    packers: tuple[PackerKind, ...],
    rules: StackRules,
    steps: float,
) -> StackPlan:
    level = Level.of(names, floor_mm, lift_mm, *window_mm)
    task = StackTask(level, _stock(packers), rules)
    table = task.table
    swept = sweep(level, table)
    datum = _best_datum(level, table, swept)
    if datum is None:
        raise no_datum(task)
    lists = _best_lists(datum - level.offset, table, task.thicknesses)
    if _in_stock(lists, task.stock):
        ample = all(count is None for count in task.stock.values())
        found = Found(datum, tuple(lists), stock_ample=ample)
    else:
        found = solve_limited(task, steps)
    return _plan(task, packers, swept, found)


def piece_curve(
    names: Sequence[str],
    floor_mm: ArrayLike,
    lift_mm: ArrayLike,
    low_mm: float,
    high_mm: float,
    packers: Sequence[PackerKind],
    rules: StackRules,
) -> pd.DataFrame:
    """Return the fewest packers for every datum of the window, the stock taken as unlimited.

    Parameters are those of `optimise_stacks`.

    Returns
    -------
    DataFrame
        from_mm, to_mm, pieces: closed runs in ascending order; a datum that no run covers has no
        stack for some support. Where two runs meet, the one with fewer packers holds.
    """
    level = Level.of(names, floor_mm, lift_mm, low_mm, high_mm)
    swept = sweep(level, StackTask(level, _stock(packers), rules).table)
    first, last = swept.named[:-1], swept.named[1:]
    fine = (swept.pieces < UNREACHABLE) & (first <= last)
    return pd.DataFrame(
        {
            "from_mm": to_mm(first[fine]),
            "to_mm": to_mm(last[fine]),
            "pieces": swept.pieces[fine],
        }
    )


def _stock(packers: Sequence[PackerKind]) -> dict[int, int | None]:
    stock = pooled_stock(packers)
    if not stock:
        raise refuse(
            "job.toml, stock.packers", "no packer in stock", "at least one kind with a count"
        )
    return stock


def _best_datum(level: Level, table: SumTable, swept: Sweep) -> int | None:
    candidates = swept.candidates
    pieces = swept.at(candidates)
    fewest = int(pieces.min())
    if fewest >= UNREACHABLE:
        return None
    exact = (table.core[None, :] + level.offset[:, None]).ravel()
    exact = exact[(exact >= level.low) & (exact <= level.high)]
    exact = exact[swept.at(exact) == fewest]
    candidates = np.union1d(candidates[pieces == fewest], exact)
    error = _least_error(level, table, candidates)
    return int(candidates[np.flatnonzero(error <= error.min() + SLACK)[0]])


def _least_error(level: Level, table: SumTable, candidates: Ints) -> Ints:
    error = np.zeros(len(candidates), dtype=np.int64)
    rows = max(1, _CHUNK // len(candidates))
    for start in range(0, len(level.offset), rows):
        targets = candidates[None, :] - level.offset[start : start + rows, None]
        error += np.abs(table.nearest(targets) - targets).sum(axis=0)
    return error


def _best_lists(
    targets: Ints, table: SumTable, thicknesses: tuple[int, ...]
) -> list[tuple[int, ...]]:
    lists = []
    for target, pieces in zip(targets.tolist(), table.fewest(targets).tolist(), strict=True):
        layer = table.layers[pieces - 1]
        error = np.abs(layer - target)
        nearest = layer[error <= error.min() + SLACK]
        lists.append(max(thickest_first(int(s), pieces, thicknesses) for s in nearest))
    return lists


def _in_stock(lists: Sequence[tuple[int, ...]], stock: Mapping[int, int | None]) -> bool:
    used = Counter(thickness for listed in lists for thickness in listed)
    limits = {thickness: stock[thickness] for thickness in used}
    return all(limit is None or used[thickness] <= limit for thickness, limit in limits.items())


def _plan(task: StackTask, packers: Sequence[PackerKind], swept: Sweep, found: Found) -> StackPlan:
    unlimited = feasible_intervals(swept)
    low, high = unlimited[0][0], unlimited[-1][1]
    low_by_stock, high_by_stock = found.stock_low > low + SLACK, found.stock_high < high - SLACK
    intervals = found.feasible or _within(unlimited, found.stock_low, found.stock_high)
    heights = np.array([sum(listed) for listed in found.lists], dtype=np.int64)
    return StackPlan(
        datum_mm=float(to_mm(found.datum)),
        stacks=_as_kinds(found.lists, packers),
        error_mm=to_mm(heights - (found.datum - task.level.offset)),
        feasible=tuple((float(to_mm(a)), float(to_mm(b))) for a, b in intervals),
        binding_low="stock" if low_by_stock else binding_low(task, low),
        binding_high="stock" if high_by_stock else binding_high(task, high),
        proven=not found.unproven,
        gap_pieces=found.gap_pieces,
        feasible_ignores_stock=not found.feasible and not found.stock_ample,
        unproven=found.unproven,
    )


def _within(
    intervals: Sequence[tuple[int, int]], low: int, high: int
) -> tuple[tuple[int, int], ...]:
    return tuple((max(a, low), min(b, high)) for a, b in intervals if a <= high and b >= low)


def _as_kinds(
    lists: Sequence[tuple[int, ...]], packers: Sequence[PackerKind]
) -> tuple[tuple[int, ...], ...]:
    # Kinds of equal thickness serve alike; the one listed first is used up first.
    waiting: dict[int, list[list[float]]] = defaultdict(list)
    for index, packer in enumerate(packers):
        left = inf if packer.count is None else packer.count
        waiting[int(to_units(packer.thickness_mm))].append([index, left])
    return tuple(
        from_the_floor(tuple(_draw(waiting[thickness]) for thickness in listed)) for listed in lists
    )


def _draw(kinds: list[list[float]]) -> int:
    kind = next(kind for kind in kinds if kind[1] > 0)
    kind[1] -= 1
    return int(kind[0])


def from_the_floor(thickest: tuple[int, ...]) -> tuple[int, ...]:
    """Return a list that is thickest first in the order in which it is laid, from the floor up.

    The thickest lies on the floor, the next thickest on top, the thinnest inside (common
    practice, no source).
    """
    return thickest[:1] + thickest[2:] + thickest[1:2]
