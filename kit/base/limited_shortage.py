"""What would have to be added to a stock that suffices at no datum."""

from __future__ import annotations

from dataclasses import replace
from math import ceil

import numpy as np

from kit.base.effort import Effort
from kit.base.limited_pieces import Zone
from kit.base.programme import Floats, Menu, programme, relaxed_prices, solve_whole
from kit.base.stack_rules import Ints, thickness_text
from kit.base.stock_options import NO_STACK, PRICE_SCALE, stock_options, undominated
from kit.base.sweep import StackTask, sum_of_steps
from kit.job.refusal import Refusal, refuse

#: Datums that are looked at for the smallest addition.
_ROUNDS = 12
#: Whole packers that the smallest addition may exceed the relaxation's by.
_SPARE = 12


def short_of_stock(task: StackTask, effort: Effort) -> Refusal:
    """Return the refusal of a stock that suffices at no datum of the window.

    Parameters
    ----------
    task : StackTask
        Supports, window, stock and limits of a stack.
    effort : Effort
        Allowed to learn what would do.

    Returns
    -------
    Refusal
        Names an addition that suffices at some datum of the window.
    """
    names, stock = task.level.names, task.stock
    listed = [f"{n} of {thickness_text(t)} mm" for t, n in stock.items() if n is not None]
    supports = f"{len(names)} supports" if len(names) > 1 else f"support {names[0]}"
    return refuse(
        "job.toml, stock.packers",
        f"{', '.join(listed)}: too few for {supports} at every height that base.height_mm allows",
        _addition(task, effort),
    )


def _addition(task: StackTask, effort: Effort) -> str:
    level, stock = task.level, task.stock
    options = stock_options(replace(task, stock=dict.fromkeys(stock)))
    scarce = np.array([k for k, count in enumerate(stock.values()) if count is not None])
    capacity = np.array([count for count in stock.values() if count is not None])
    limits = options.limits.copy()
    limits[scarce] = capacity
    zone = Zone(level, replace(options, scarce=scarce, limits=limits), 0, effort)
    datum, least = _cheapest_datum(zone)
    most = ceil(least) + _SPARE
    problem = programme(_menus(zone, datum, np.arange(most + 1)), capacity.astype(np.float64))
    chosen = solve_whole(problem, zone.effort).chosen[: len(level.names)]
    if not chosen:
        return "more of several thicknesses"
    short = zone.options.usage[np.array(chosen)].sum(axis=0) - capacity
    parts = [
        f"{more} more of {thickness_text(options.thicknesses[k])} mm"
        for k, more in zip(scarce, short, strict=True)
        if more > 0
    ]
    return f"{' and '.join(parts)} would do"


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
