"""Which datums a limited stock suffices for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kit.base.limited_pieces import IMPOSSIBLE, PieceBound, Zone, price_bound
from kit.base.programme import Menu, programme, relaxed_prices, solve_whole
from kit.base.stack_rules import SLACK, Ints
from kit.base.stock_options import DEAREST, PRICE_SCALE, undominated

_NOTHING: Ints = np.zeros(0, dtype=np.int64)


@dataclass(frozen=True)
class StockRange:
    """Datums that a limited stock suffices for.

    Parameters
    ----------
    intervals : tuple of (int, int)
        Closed intervals, ascending [units]; empty if the steps ran out.
    low, high : int
        Lowest and highest such datum [units]; the window's ends if the steps ran out.
    """

    intervals: tuple[tuple[int, int], ...]
    low: int
    high: int


def stock_range(zone: Zone, prices: list[Ints], start: tuple[int, ...]) -> StockRange:
    """Return the datums for which the stock suffices, as far as the steps allow.

    Parameters
    ----------
    zone : Zone
        Supports and stacks, and what may still be done.
    prices : list of (s,) arrays
        Surcharges already tried; some show datums for which the stock cannot suffice.
    start : tuple of int
        Stacks of some datum, from which those of others are made by changing a few.

    Returns
    -------
    StockRange
        All intervals, or else their outer ends, or else the window's ends.
    """
    hopeless = _Hopeless(zone, prices, start)
    low, high = _lowest(zone, hopeless), _highest(zone, hopeless)
    intervals = _all_intervals(zone, hopeless)
    if intervals:
        return StockRange(intervals, intervals[0][0], intervals[-1][1])
    return StockRange((), low, high)


def _lowest(zone: Zone, hopeless: _Hopeless) -> int:
    datum, width = hopeless.next_open(zone.level.low), 0
    while datum <= zone.level.high and not zone.late:
        first, end = zone.cell(datum)
        last = min(max(end, datum + width), zone.level.high)
        if not len(hopeless.decide(datum, last)):
            datum, width = hopeless.next_open(last + 1), 2 * (last - datum + 1)
        elif last > end:
            width //= 4
        else:
            return first if first == zone.level.low else first + SLACK
    return zone.level.low


def _highest(zone: Zone, hopeless: _Hopeless) -> int:
    datum, width = hopeless.last_open(zone.level.high), 0
    while datum >= zone.level.low and not zone.late:
        end, last = zone.cell(datum)
        first = max(min(end, datum - width), zone.level.low)
        if not len(hopeless.decide(first, datum)):
            datum, width = hopeless.last_open(first - 1), 2 * (datum - first + 1)
        elif first < end:
            width //= 4
        else:
            return last if last == zone.level.high else last - SLACK
    return zone.level.high


def _all_intervals(zone: Zone, hopeless: _Hopeless) -> tuple[tuple[int, int], ...]:
    # The stacks are carried along from the lowest datum to the highest; where one must change
    # and no other of its stacks is left in stock, an integer programme decides.
    runs: list[tuple[int, int]] = []
    chosen, datum, width = _NOTHING, hopeless.next_open(zone.level.low), 0
    while datum <= zone.level.high:
        if zone.late:
            return ()
        zone.effort.add(len(zone.level.names))
        end = zone.cell(datum)[1]
        last = min(max(end, datum + width), zone.level.high)
        chosen = _carried(zone, chosen, datum)
        if not len(chosen):
            chosen = hopeless.decide(datum, last)
            if len(chosen) and last > end:
                chosen, width = _NOTHING, width // 4
                continue
        if len(chosen):
            exact = zone.options.heights[chosen] + zone.level.offset
            width, last = 0, min(int(exact.min()) + zone.options.reach, zone.level.high)
            runs.append((datum, last))
        else:
            width = 2 * (last - datum + 1)
        after = hopeless.next_open(last + 1)
        chosen, datum = chosen if after == last + 1 else _NOTHING, after
    return _joined(runs, zone)


class _Hopeless:
    """Datums for which prices prove that the stock cannot suffice."""

    def __init__(self, zone: Zone, prices: list[Ints], start: tuple[int, ...]) -> None:
        self.zone = zone
        self.latest: Ints = np.array(start, dtype=np.int64)
        free = np.zeros(len(zone.options.scarce), dtype=np.int64)
        first = price_bound(zone, free)
        self.bound = PieceBound(*first, zone.level.low, zone.level.high)
        for surcharge in prices:
            self.bound.raise_to(*price_bound(zone, surcharge))

    def next_open(self, datum: int) -> int:
        """Return the first datum from here on that is not proven hopeless."""
        place = int(np.searchsorted(self.bound.starts, datum, side="right")) - 1
        later = np.flatnonzero(self.bound.values[place:] < IMPOSSIBLE)
        if not len(later):
            return self.zone.level.high + 1
        return max(datum, int(self.bound.starts[place + later[0]]))

    def last_open(self, datum: int) -> int:
        """Return the last datum up to here that is not proven hopeless."""
        place = int(np.searchsorted(self.bound.starts, datum, side="right")) - 1
        earlier = np.flatnonzero(self.bound.values[: place + 1] < IMPOSSIBLE)
        if not len(earlier):
            return self.zone.level.low - 1
        after = np.append(self.bound.starts[1:], self.zone.level.high + 1)
        return min(datum, int(after[earlier[-1]]) - 1)

    def decide(self, first: int, last: int) -> Ints:
        """Return stacks out of the stock, each for some datum of an interval, or none."""
        self.zone.effort.add(len(self.zone.level.names))
        for datum in (first, last):
            carried = _carried(self.zone, self.latest, datum)
            if len(carried):
                self.latest = carried
                return carried
        options = self.zone.options
        capacity = options.capacity.astype(np.float64)
        menus = []
        for low, high in zip(*self.zone.ranges(first, last), strict=True):
            kept = low + undominated(options.usage[low:high])
            menus.append(Menu(kept, np.zeros(len(kept)), options.usage[kept].astype(np.float64)))
        outcome = solve_whole(programme(menus, capacity), self.zone.effort)
        if outcome.chosen:
            self.latest = np.array(outcome.chosen, dtype=np.int64)
            return self.latest
        if outcome.bound == np.inf:
            self.bound.raise_run(first, last, IMPOSSIBLE)
        if not self.zone.late:
            surcharge = np.minimum(relaxed_prices(programme(menus, capacity))[1], DEAREST)
            whole = np.rint(surcharge * PRICE_SCALE).astype(np.int64)
            self.bound.raise_to(*price_bound(self.zone, whole))
        return _NOTHING


def _carried(zone: Zone, chosen: Ints, datum: int) -> Ints:
    if not len(chosen):
        return _NOTHING
    options = zone.options
    low, high = zone.ranges(datum, datum)
    free = options.capacity - options.usage[chosen].sum(axis=0)
    carried = chosen.copy()
    for support in np.flatnonzero((chosen < low) | (chosen >= high)):
        free = free + options.usage[chosen[support]]
        menu = np.arange(low[support], high[support])
        menu = menu[(options.usage[menu] <= free).all(axis=1)]
        if not len(menu):
            return _NOTHING
        scarcity = (options.usage[menu] / (free + 1.0)).sum(axis=1)
        carried[support] = menu[int(np.argmin(scarcity))]
        free = free - options.usage[carried[support]]
    return carried


def _joined(runs: list[tuple[int, int]], zone: Zone) -> tuple[tuple[int, int], ...]:
    joined: list[tuple[int, int]] = []
    for first, last in runs:
        if joined and first <= joined[-1][1] + 1:
            joined[-1] = (joined[-1][0], last)
        else:
            joined.append((first, last))
    return tuple(_named(first, last, zone) for first, last in joined)


def _named(first: int, last: int, zone: Zone) -> tuple[int, int]:
    low = first if first == zone.level.low else first + SLACK
    high = last if last == zone.level.high else last - SLACK
    return (low, high) if low <= high else ((low + high) // 2, (low + high) // 2)
