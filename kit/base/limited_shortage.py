"""What would have to be added to a stock that suffices at no datum."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import ceil
from time import monotonic

import numpy as np

from kit.base.limited_pieces import Zone
from kit.base.programme import Floats, Menu, programme, relaxed_prices, solve_whole
from kit.base.stock_options import NO_STACK, PRICE_SCALE, stock_options, undominated
from kit.base.sums import Ints, StackRules, to_mm
from kit.base.sweep import Level, sum_of_steps
from kit.job.refusal import Refusal, refuse

#: Datums that are looked at for the smallest addition.
_ROUNDS = 12
#: Whole packers that the smallest addition may exceed the relaxation's by.
_SPARE = 12


def short_of_stock(
    level: Level, stock: Mapping[int, int | None], rules: StackRules, seconds: float
) -> Refusal:
    """Return the refusal of a stock that suffices at no datum of the window.

    Parameters
    ----------
    level : Level
        Supports and window.
    stock : mapping of int to int or None
        How many there are of each thickness [units], thickest first; None: no limit.
    rules : StackRules
        Limits of a stack.
    seconds : float
        Time allowed to learn what would do.

    Returns
    -------
    Refusal
        Names an addition that suffices, and the datum for which it does; at another datum a
        smaller one may do.
    """
    listed = ", ".join(f"{n} of {_mm(t)} mm" for t, n in stock.items() if n is not None)
    supports = f"{len(level.names)} supports" if len(level.names) > 1 else level.names[0]
    return refuse(
        "stock.packers",
        f"{listed}: too few for {supports} at any datum from {_mm(level.low)} to"
        f" {_mm(level.high)} mm",
        _addition(level, stock, rules, seconds),
    )


def _addition(
    level: Level, stock: Mapping[int, int | None], rules: StackRules, seconds: float
) -> str:
    options = stock_options(level, dict.fromkeys(stock), rules)
    scarce = np.array([k for k, count in enumerate(stock.values()) if count is not None])
    capacity = np.array([count for count in stock.values() if count is not None])
    limits = options.limits.copy()
    limits[scarce] = capacity
    zone = Zone(level, replace(options, scarce=scarce, limits=limits), 0, monotonic() + seconds)
    datum, least = _cheapest_datum(zone)
    most = ceil(least) + _SPARE
    problem = programme(_menus(zone, datum, np.arange(most + 1)), capacity.astype(np.float64))
    chosen = solve_whole(problem, zone.until).chosen[: len(level.names)]
    if not chosen:
        return "more of several thicknesses"
    short = zone.options.usage[np.array(chosen)].sum(axis=0) - capacity
    parts = [
        f"{more} more of {_mm(options.thicknesses[k])} mm"
        for k, more in zip(scarce, short, strict=True)
        if more > 0
    ]
    return f"{' and '.join(parts)} would do (datum {_mm(datum)} mm)"


def _cheapest_datum(zone: Zone) -> tuple[int, float]:
    # Prices between 0 and 1 on each packer bound the addition at every datum at once.
    free = np.zeros(len(zone.options.scarce), dtype=np.int64)
    ample = np.array([0, len(zone.level.names) * int(zone.options.usage.max(initial=0))])
    starts, least = _additions(zone, free)
    datum, best = int(starts[np.argmin(least)]), np.inf
    for _ in range(_ROUNDS):
        tried = int(starts[np.argmin(least)])
        value, prices = relaxed_prices(
            programme(_menus(zone, tried, ample), zone.options.capacity.astype(np.float64))
        )
        if value < best:
            datum, best = tried, value
        further, bound = _additions(zone, np.rint(prices * PRICE_SCALE).astype(np.int64))
        merged = np.union1d(starts, further)
        least = np.maximum(
            least[np.searchsorted(starts, merged, side="right") - 1],
            bound[np.searchsorted(further, merged, side="right") - 1],
        )
        starts = merged
        here = starts == tried
        least[here] = np.maximum(least[here], int(value * PRICE_SCALE))
        if least.min() >= best * PRICE_SCALE - 1 or zone.late:
            break
    return datum, best


def _additions(zone: Zone, surcharge: Ints) -> tuple[Ints, Ints]:
    starts, values = zone.options.cheapest(zone.options.usage @ surcharge)
    swept = sum_of_steps(zone.level, starts, values)
    total = swept.pieces - int(surcharge @ zone.options.capacity)
    return swept.starts, np.where(total > NO_STACK // 2, NO_STACK, total)


def _menus(zone: Zone, datum: int, more: Ints) -> list[Menu]:
    # A menu of further packers for each thickness gives back what it takes from the stock.
    usage = zone.options.usage
    menus = []
    for low, high in zip(*zone.ranges(datum, datum), strict=True):
        kept = low + undominated(usage[low:high])
        menus.append(Menu(kept, np.zeros(len(kept)), usage[kept].astype(np.float64)))
    rows: Floats = np.eye(len(zone.options.scarce))
    return [*menus, *(Menu(more, more.astype(float), -more[:, None] * row) for row in rows)]


def _mm(units: int) -> str:
    return f"{float(to_mm(units)):.6g}"
