"""Fewest packers where the stock limits: a bound for every datum, raised until it is met.

Prices on the scarce packers (a Lagrangian relaxation) make the supports independent again, so one
sweep bounds every datum of the window at once. The datums with the lowest bound are then settled
by integer programme, best bound first.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from kit.base.effort import Effort
from kit.base.programme import Floats, Menu, Programme, programme, relaxed_prices, solve_whole
from kit.base.stack_rules import SLACK, Ints
from kit.base.stock_options import DEAREST, NO_STACK, PRICE_SCALE, Options, undominated
from kit.base.sweep import Level, sum_of_steps

#: Bound where no stacks can be had at all.
IMPOSSIBLE = 10**9
#: Relaxations in a row that may raise no bound before only integer programmes are solved.
_PATIENCE = 8


@dataclass(frozen=True, eq=False)
class Zone:
    """The supports, what may stand under them, and the closed limits.

    Parameters
    ----------
    level : Level
        Supports and window.
    options : Options
        Stacks, none dominated by another of its height.
    tolerance : int
        Tolerance without the allowance for round-off [units].
    effort : Effort
        What may still be done.
    """

    level: Level
    options: Options
    tolerance: int
    effort: Effort

    @property
    def late(self) -> bool:
        """Whether no step is left."""
        return self.effort.spent

    def ranges(self, first: int, last: int) -> tuple[Ints, Ints]:
        """Return for each support the range of stacks that serve some datum of an interval."""
        return self.options.between(first - self.level.offset, last - self.level.offset)

    def cell(self, datum: int) -> tuple[int, int]:
        """Return the interval around a datum in which no support's possible stacks change."""
        events, offset = self.options.events, self.level.offset
        place = np.searchsorted(events, datum - offset, side="right")
        first = int((events[place - 1] + offset).max())
        after = np.append(events, NO_STACK)[place] + offset
        return max(first, self.level.low), min(int(after.min()) - 1, self.level.high)

    def span(self, chosen: tuple[int, ...]) -> tuple[int, int]:
        """Return the datums that a choice of stacks serves, without the allowance [units]."""
        exact = self.options.heights[np.array(chosen)] + self.level.offset
        low = max(int(exact.max()) - self.tolerance, self.level.low)
        high = min(int(exact.min()) + self.tolerance, self.level.high)
        return low, high


@dataclass(eq=False)
class PieceBound:
    """A proven lower bound of the packers, step by step over the window.

    Parameters
    ----------
    starts, values : (m,) arrays
        Bound ``values[j]`` from ``starts[j]`` on [units].
    low, high : int
        The window [units].
    best : int
        Packers of the best choice found; what is bound to cost as much or more is merged.
    chosen : tuple of int
        That choice; empty before one is found.
    prices : list of (s,) arrays
        Surcharges on the scarce packers that the bound rests on.
    """

    starts: Ints
    values: Ints
    low: int
    high: int
    best: int = IMPOSSIBLE
    chosen: tuple[int, ...] = ()
    prices: list[Ints] = field(default_factory=list)

    @property
    def least(self) -> int:
        """The bound over the whole window."""
        return int(self.values.min())

    def at(self, datum: Ints) -> Ints:
        """Return the bound at each datum [units]."""
        return self.values[np.searchsorted(self.starts, datum, side="right") - 1]

    def lowest_run(self, runs: int) -> tuple[int, int]:
        """Return the first run with the lowest bound, and up to so many unsettled from there on."""
        place = int(np.argmin(self.values))
        unsettled = self.values[place : place + runs] < self.best
        last = place + int(np.argmin(np.append(unsettled, False)))
        ends = np.append(self.starts[1:] - 1, self.high)
        return int(self.starts[place]), int(ends[last - 1])

    def split(self, start: int) -> None:
        """Let a run begin here."""
        place = int(np.searchsorted(self.starts, start))
        if start <= self.high and (place == len(self.starts) or self.starts[place] != start):
            self.values = np.insert(self.values, place, self.values[place - 1])
            self.starts = np.insert(self.starts, place, start)

    def raise_run(self, first: int, last: int, value: int) -> None:
        """Raise the bound of an interval, both ends included."""
        self.split(first)
        self.split(last + 1)
        inside = (self.starts >= first) & (self.starts <= last)
        self.values = np.where(inside, np.maximum(self.values, value), self.values)

    def raise_to(self, starts: Ints, values: Ints) -> None:
        """Raise the bound wherever another bound is higher."""
        merged = np.union1d(self.starts, starts)
        mine = self.values[np.searchsorted(self.starts, merged, side="right") - 1]
        other = values[np.searchsorted(starts, merged, side="right") - 1]
        self.starts, self.values = merged, np.maximum(mine, other)
        self.values = np.where(self.values > self.best, IMPOSSIBLE, self.values)
        closed = self.values >= self.best
        kept = np.append(True, ~(closed[1:] & (np.diff(self.values) == 0)))
        self.starts, self.values = self.starts[kept], self.values[kept]


def price_bound(zone: Zone, surcharge: Ints) -> tuple[Ints, Ints]:
    """Bound the packers at every datum by prices on the scarce ones.

    Parameters
    ----------
    zone : Zone
        Supports and stacks.
    surcharge : (s,) array
        Whole-number surcharge on each scarce packer, in parts of ``PRICE_SCALE``.

    Returns
    -------
    starts, values : (m,) arrays
        Whole packers, rounded up; ``IMPOSSIBLE`` where no stacks can be had.

    Notes
    -----
    L(d) = sum_i min_c (pieces + price·c) - price·stock  # Lagrangian bound, Eq. (1)
    """
    starts, values = zone.options.cheapest(zone.options.price(surcharge))
    swept = sum_of_steps(zone.level, starts, values)
    total = swept.pieces - int(surcharge @ zone.options.capacity)  # Eq. (1)
    bound = -(-total // PRICE_SCALE)
    most = len(zone.level.names) * int(zone.options.pieces.max(initial=0))
    return swept.starts, np.where(bound > most, IMPOSSIBLE, bound)


def fewest_packers(zone: Zone) -> PieceBound:
    """Find the fewest packers that the stock allows.

    Parameters
    ----------
    zone : Zone
        Supports and stacks.

    Returns
    -------
    PieceBound
        ``best`` and ``chosen``; proven where ``least`` is not below ``best``. ``best`` stays
        ``IMPOSSIBLE`` if there is no choice (or none was found in the steps allowed).
    """
    free = np.zeros(len(zone.options.scarce), dtype=np.int64)
    bound = PieceBound(*price_bound(zone, free), zone.level.low, zone.level.high)
    runs, fruitless = 1, 0
    while bound.least < bound.best and not zone.late:
        first, last = bound.lowest_run(runs)
        before = bound.least
        problem = _problem(zone, first, last)
        zone.effort.add(len(problem.cost))
        if fruitless < _PATIENCE:
            value, prices = relaxed_prices(problem)
            _raise_by_prices(zone, bound, prices)
            bound.raise_run(first, last, _whole(value))
            raised = int(bound.at(np.array([first]))[0]) > before
            fruitless = 0 if raised else fruitless + 1
            if raised and bound.chosen:
                continue
        closed = _settle(zone, bound, problem, (first, last), alone=runs == 1)
        # Neighbouring runs are settled together for as long as that succeeds.
        runs = 2 * runs if closed else max(1, runs // 4)
    return bound


def _whole(value: float) -> int:
    return IMPOSSIBLE if value > IMPOSSIBLE else int(np.ceil(value - 1e-6))


def _raise_by_prices(zone: Zone, bound: PieceBound, prices: Floats) -> None:
    surcharge = np.rint(np.minimum(prices, DEAREST) * PRICE_SCALE).astype(np.int64)
    if not any(np.array_equal(surcharge, known) for known in bound.prices):
        bound.prices.append(surcharge)
        bound.raise_to(*price_bound(zone, surcharge))


def _problem(zone: Zone, first: int, last: int) -> Programme:
    options = zone.options
    menus: dict[tuple[int, int], Menu] = {}
    listed = []
    for low, high in zip(*(side.tolist() for side in zone.ranges(first, last)), strict=True):
        if (low, high) not in menus:
            needs = np.column_stack([options.pieces[low:high], options.usage[low:high]])
            kept = low + undominated(needs)
            menus[low, high] = Menu(
                kept, options.pieces[kept].astype(np.float64), options.usage[kept].astype(float)
            )
        listed.append(menus[low, high])
    return programme(listed, options.capacity.astype(np.float64))


def _settle(
    zone: Zone, bound: PieceBound, problem: Programme, run: tuple[int, int], *, alone: bool
) -> bool:
    outcome = solve_whole(problem, zone.effort)
    first, last = run
    before = bound.least
    bound.raise_run(first, last, _whole(outcome.bound))
    if outcome.chosen:
        low, high = zone.span(outcome.chosen)
        if low <= high + 2 * SLACK:
            pieces = int(zone.options.pieces[np.array(outcome.chosen)].sum())
            if pieces < bound.best:
                bound.best, bound.chosen = pieces, outcome.chosen
            return True
    if int(bound.at(np.array([first]))[0]) > before:
        return True
    if alone:
        _halve(zone, bound, run)
    return False


def _halve(zone: Zone, bound: PieceBound, run: tuple[int, int]) -> None:
    first, last = run
    ends = zone.cell((first + last) // 2)
    if ends[0] > first:
        bound.split(ends[0])
    elif ends[1] < last:
        bound.split(ends[1] + 1)
    elif not zone.late:  # only the allowance for round-off keeps this sliver open
        bound.raise_run(first, last, IMPOSSIBLE)
