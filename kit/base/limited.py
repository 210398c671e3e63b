"""The same optimum with a limited stock."""

from __future__ import annotations

from dataclasses import dataclass, replace

from kit.base.effort import STEPS_A_SECOND, Effort
from kit.base.limited_error import ErrorSearch, least_error
from kit.base.limited_feasible import stock_range
from kit.base.limited_lists import thickest_lists
from kit.base.limited_pieces import IMPOSSIBLE, Zone, fewest_packers
from kit.base.limited_shortage import short_of_stock
from kit.base.stack_rules import BEFORE_ALL, to_units
from kit.base.stock_options import stock_options
from kit.base.sweep import StackTask
from kit.job.refusal import refuse

#: Share of the steps for telling which datums the stock suffices for.
_SHARE = 0.05


@dataclass(frozen=True)
class Found:
    """A datum and the stacks on it.

    Parameters
    ----------
    datum : int
        The datum [units].
    lists : tuple of tuple of int
        Thicknesses of each stack in site order, thickest first [units].
    unproven : str
        Which step of the optimum is not proven; empty when all are.
    gap_pieces : int
        Packers by which the true optimum may be lower.
    feasible : tuple of (int, int)
        Feasible intervals of the datum with this stock [units]; empty: not known.
    stock_low, stock_high : int
        Lowest and highest datum that the stock suffices for [units].
    stock_ample : bool
        Whether no thickness is limited at all.
    """

    datum: int
    lists: tuple[tuple[int, ...], ...]
    unproven: str = ""
    gap_pieces: int = 0
    feasible: tuple[tuple[int, int], ...] = ()
    stock_low: int = BEFORE_ALL
    stock_high: int = -BEFORE_ALL
    stock_ample: bool = False


def solve_limited(task: StackTask, steps: float) -> Found:
    """Find the optimum of `kit.base.stacks.optimise_stacks` where the stock limits.

    Parameters
    ----------
    task : StackTask
        Supports, window, stock and limits of a stack.
    steps : float
        Work allowed, as `kit.base.effort` counts it.

    Returns
    -------
    Found
        The optimum, or the best found with what is not proven.

    Raises
    ------
    Refusal
        If the stock suffices at no datum of the window, or nothing was found in the steps.
    """
    effort = Effort(steps)
    options, tolerance = stock_options(task), int(to_units(task.rules.tolerance_mm))
    zone = Zone(task.level, options.without_dominated(), tolerance, effort)
    bound = fewest_packers(zone)
    if not bound.chosen and bound.least < IMPOSSIBLE:
        found = (
            "no stacks out of this stock before the search was cut short, and no proof that there"
            " are none"
        )
        raise refuse("job.toml, stock.packers", found, "more packers, or a narrower base.height_mm")
    if not bound.chosen:
        raise short_of_stock(task, Effort(max(steps / 4, STEPS_A_SECOND)))
    search = least_error(zone, bound)
    start = [zone.options.listed(stack) for stack in search.chosen]
    lists, greatest = thickest_lists(search.datum - task.level.offset, options, start, effort)
    gap = max(0, bound.best - bound.least)
    reached = stock_range(_with_steps(zone, steps * _SHARE), bound.prices, search.chosen)
    return Found(
        datum=search.datum,
        lists=tuple(lists),
        unproven=_unproven(gap, search, greatest),
        gap_pieces=gap,
        feasible=reached.intervals,
        stock_low=reached.low,
        stock_high=reached.high,
    )


def _with_steps(zone: Zone, steps: float) -> Zone:
    return replace(zone, effort=Effort(min(zone.effort.left, steps)))


def _unproven(gap: int, search: ErrorSearch, greatest: bool) -> str:
    if gap:
        return "fewest packers"
    if not search.proven:
        return "lowest datum" if search.least_proven else "least error"
    return "" if greatest else "thickest lists"
