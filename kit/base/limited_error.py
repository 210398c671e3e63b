"""Least error, then lowest datum, where the stock limits and the number of packers is fixed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kit.base.limited_pieces import PieceBound, Zone
from kit.base.programme import (
    COST_PER_UNIT,
    Floats,
    Menu,
    Programme,
    programme,
    relaxed_prices,
    solve_whole,
)
from kit.base.stack_rules import SLACK, Ints
from kit.base.stock_options import undominated

_TIE = SLACK * COST_PER_UNIT
_CHUNK = 1_000_000


@dataclass(eq=False)
class ErrorSearch:
    """What is known about the least error at every candidate datum.

    Parameters
    ----------
    datums : (m,) array
        Candidates still open, ascending [units].
    least : (m,) array
        Proven lower bound of the sum of absolute errors [units of 1e-3 mm].
    best : float
        Sum of absolute errors of the best choice found [units of 1e-3 mm].
    datum : int
        Its datum [units].
    chosen : tuple of int
        Its stacks.
    proven : bool
        Whether nothing better is left.
    """

    datums: Ints
    least: Floats
    best: float
    datum: int
    chosen: tuple[int, ...]
    proven: bool = False

    @property
    def least_proven(self) -> bool:
        """Whether no smaller error is left, even if a lower datum may have the same."""
        return not bool((self.least < self.best - _TIE).any())

    def drop(self, keep: NDArray[np.bool_]) -> None:
        """Keep only these candidates."""
        self.datums, self.least = self.datums[keep], self.least[keep]

    def close(self) -> None:
        """Drop the candidates that can be neither better nor equally good and lower."""
        better = self.least < self.best - _TIE
        lower = (self.least <= self.best + _TIE) & (self.datums < self.datum)
        self.drop(better | lower)


def least_error(zone: Zone, bound: PieceBound) -> ErrorSearch:
    """Find the least error and the lowest datum that has it.

    Parameters
    ----------
    zone : Zone
        Supports and stacks.
    bound : PieceBound
        Fewest packers, proven or the best found.

    Returns
    -------
    ErrorSearch
        Best datum and stacks; ``proven`` if the steps sufficed.
    """
    capacity = np.append(zone.options.capacity, bound.best).astype(np.float64)
    search = _opened(zone, bound, capacity)
    while len(search.datums) and not zone.late:
        place = int(np.argmin(search.least))
        datum = int(search.datums[place])
        problem = _problem(zone, datum, capacity)
        zone.effort.add(len(problem.cost))
        value, prices = relaxed_prices(problem)
        if value > _hopeless(zone):
            _drop_cell(zone, search, datum)
            continue
        before = search.least[place]
        search.least = np.maximum(search.least, price_bound(zone, search.datums, prices, capacity))
        search.least[place] = max(search.least[place], value)
        if search.least[place] <= before + _TIE or search.least[place] <= search.least.min() + _TIE:
            _settle(zone, search, problem, datum)
        search.close()
    search.proven = not len(search.datums)
    return search


def _opened(zone: Zone, bound: PieceBound, capacity: Floats) -> ErrorSearch:
    level, tolerance = zone.level, zone.tolerance
    exact = (np.unique(zone.options.heights)[None, :] + level.offset[:, None]).ravel()
    ends = np.array([level.low, level.high], dtype=np.int64)
    datums = np.unique(np.concatenate([ends, exact, exact - tolerance, exact + tolerance]))
    datums = datums[(datums >= level.low) & (datums <= level.high)]
    datums = datums[bound.at(datums) <= bound.best]
    low, high = zone.span(bound.chosen)
    search = ErrorSearch(datums, np.zeros(len(datums)), np.inf, min(low, high), bound.chosen)
    _improve(zone, search, bound.chosen)
    search.least = price_bound(zone, search.datums, np.zeros(len(capacity)), capacity)
    search.close()
    return search


def _hopeless(zone: Zone) -> float:
    return len(zone.level.names) * zone.options.reach * COST_PER_UNIT * 2


def price_bound(zone: Zone, datums: Ints, prices: Floats, capacity: Floats) -> Floats:
    """Bound the error at each datum by prices on the scarce packers and on packers at all.

    Parameters
    ----------
    zone : Zone
        Supports and stacks.
    datums : (m,) array
        Candidates [units].
    prices, capacity : (s + 1,) arrays
        Price and number of each scarce packer, then of all packers together.

    Returns
    -------
    (m,) array
        Lower bound [units of 1e-3 mm]; infinite where a support has no stack.

    Notes
    -----
    L(d) = sum_i min_c (|error| + price·c) - price·stock  # Lagrangian bound, Eq. (1)
    """
    options = zone.options
    heights, first = np.unique(options.heights, return_index=True)
    extra = np.column_stack([options.usage, options.pieces]) @ prices
    priced = np.minimum.reduceat(extra, first)
    total = np.full(len(datums), -float(prices @ capacity))  # Eq. (1)
    rows = max(1, _CHUNK // max(1, len(datums)))
    for start in range(0, len(zone.level.offset), rows):
        targets = datums[None, :] - zone.level.offset[start : start + rows, None]
        total += _least_priced(targets, heights, priced, options.reach).sum(axis=0)
    return total


def _least_priced(targets: Ints, heights: Ints, priced: Floats, reach: int) -> Floats:
    low = np.searchsorted(heights, targets - reach, side="left")
    high = np.searchsorted(heights, targets + reach, side="right")
    least = np.full(targets.shape, np.inf)
    for step in range(int((high - low).max(initial=0))):
        place = np.minimum(low + step, len(heights) - 1)
        cost = np.abs(heights[place] - targets) * COST_PER_UNIT + priced[place]
        least = np.where(low + step < high, np.minimum(least, cost), least)
    return least


def _problem(zone: Zone, datum: int, capacity: Floats) -> Programme:
    options = zone.options
    low, high = zone.ranges(datum, datum)
    menus = []
    for first, after, offset in zip(low, high, zone.level.offset, strict=True):
        error = np.abs(options.heights[first:after] - (datum - offset))
        use = np.column_stack([options.usage[first:after], options.pieces[first:after]])
        kept = undominated(np.column_stack([error, use]))
        menus.append(Menu(first + kept, error[kept] * COST_PER_UNIT, use[kept].astype(float)))
    return programme(menus, capacity)


def _settle(zone: Zone, search: ErrorSearch, problem: Programme, datum: int) -> None:
    outcome = solve_whole(problem, zone.effort)
    if outcome.bound == np.inf:
        _drop_cell(zone, search, datum)
    elif outcome.chosen:
        _improve(zone, search, outcome.chosen)
        if not zone.late:
            search.drop(search.datums != datum)


def _drop_cell(zone: Zone, search: ErrorSearch, datum: int) -> None:
    first, last = zone.cell(datum)
    search.drop((search.datums < first) | (search.datums > last))


def _improve(zone: Zone, search: ErrorSearch, chosen: tuple[int, ...]) -> None:
    exact = zone.options.heights[np.array(chosen)] + zone.level.offset
    reach = zone.options.reach
    served = (search.datums >= exact.max() - reach) & (search.datums <= exact.min() + reach)
    datums = search.datums[served]
    if not len(datums):
        return
    error = np.abs(exact[:, None] - datums[None, :]).sum(axis=0) * COST_PER_UNIT
    place = int(np.flatnonzero(error <= error.min() + _TIE)[0])
    better = error[place] < search.best - _TIE
    if better or (error[place] <= search.best + _TIE and datums[place] < search.datum):
        search.best, search.datum = float(error[place]), int(datums[place])
        search.chosen = chosen
    reached = error <= search.least[served] + _TIE / 2
    search.drop(~np.isin(search.datums, datums[reached]))
