"""The same optimum with a limited stock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from time import monotonic

from kit.base.limited_error import least_error
from kit.base.limited_feasible import stock_range
from kit.base.limited_lists import thickest_lists
from kit.base.limited_pieces import IMPOSSIBLE, Zone, fewest_packers
from kit.base.limited_shortage import short_of_stock
from kit.base.stock_options import stock_options
from kit.base.sums import StackRules, to_units
from kit.base.sweep import Level
from kit.job.refusal import refuse


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
    stock_low: int = -(2**61)
    stock_high: int = 2**61
    stock_ample: bool = False


def solve_limited(
    level: Level, stock: Mapping[int, int | None], rules: StackRules, seconds: float
) -> Found:
    """Find the optimum of `kit.base.stacks.optimise_stacks` where the stock limits.

    Parameters
    ----------
    level : Level
        Supports and window.
    stock : mapping of int to int or None
        How many there are of each thickness [units], thickest first; None: no limit.
    rules : StackRules
        Limits of a stack.
    seconds : float
        Time allowed.

    Returns
    -------
    Found
        The optimum, or the best found with what is not proven.

    Raises
    ------
    Refusal
        If the stock suffices at no datum of the window, or nothing was found in the time.
    """
    until = monotonic() + seconds
    options = stock_options(level, stock, rules)
    zone = Zone(level, options.without_dominated(), int(to_units(rules.tolerance_mm)), until)
    bound = fewest_packers(zone)
    if not bound.chosen and bound.least < IMPOSSIBLE:
        found = f"no stacks out of this stock in {seconds:g} s, and no proof that there are none"
        raise refuse("stock.packers", found, "more packers, a narrower window, or more seconds")
    if not bound.chosen:
        raise short_of_stock(level, stock, rules, max(seconds / 4, 1.0))
    search = least_error(zone, bound)
    start = [zone.options.listed(stack) for stack in search.chosen]
    lists, greatest = thickest_lists(search.datum - level.offset, options, start, until)
    gap = max(0, bound.best - bound.least)
    reached = stock_range(_with_time(zone, seconds / 20), bound.prices)
    return Found(
        datum=search.datum,
        lists=tuple(lists),
        unproven=_unproven(gap, search.proven, greatest),
        gap_pieces=gap,
        feasible=reached.intervals,
        stock_low=reached.low,
        stock_high=reached.high,
    )


def _with_time(zone: Zone, seconds: float) -> Zone:
    return replace(zone, until=min(zone.until, monotonic() + seconds))


def _unproven(gap: int, least_error: bool, greatest: bool) -> str:
    if gap:
        return "fewest packers"
    if not least_error:
        return "least error and lowest datum"
    return "" if greatest else "thickest lists"
