"""The thickest lists in site order, where stock, packers, error and datum are fixed."""

from __future__ import annotations

import numpy as np

from kit.base.effort import Effort
from kit.base.programme import COST_PER_UNIT, Floats, Menu, programme, relaxed_prices, solve_whole
from kit.base.stack_rules import SLACK, Ints
from kit.base.stock_options import Options

#: Supports are ranked in one programme while their lists make no more combinations than this.
_MOST_COMBINATIONS = 20_000


def thickest_lists(
    targets: Ints, options: Options, start: list[tuple[int, ...]], effort: Effort
) -> tuple[list[tuple[int, ...]], bool]:
    """Choose, support by support, the greatest list that leaves the rest possible.

    Parameters
    ----------
    targets : (n,) array
        Target of each support in site order [units].
    options : Options
        All stacks, dominated ones as well.
    start : list of tuple of int
        Lists with the fewest packers and the least error, thickest first [units].
    effort : Effort
        What may still be done.

    Returns
    -------
    lists : list of tuple of int
        Thicknesses of each stack, thickest first [units].
    proven : bool
        Whether they are the lexicographically greatest.
    """
    total = sum(abs(sum(listed) - t) for listed, t in zip(start, targets.tolist(), strict=True))
    capacity = np.array([*options.capacity, sum(map(len, start)), (total + SLACK) * COST_PER_UNIT])
    menus = [_menu(options, int(target)) for target in targets]
    menus = _without_hopeless(menus, capacity)
    for column in (-2, -1):
        menus = _without_costly(menus, capacity, column)
    places = [_place(menu, options, t) for menu, t in zip(menus, start, strict=True)]
    support = 0
    while support < len(menus):
        if places[support] == 0:
            menus[support] = _only(menus[support], 0)
            support += 1
            continue
        if effort.spent:
            return _lists(menus, places, options), False
        after = _batch_end(menus, support)
        found = _rank(menus, support, after, capacity, effort)
        if not found:
            return _lists(menus, places, options), False
        places = found
        for fixed in range(support, after):
            menus[fixed], places[fixed] = _only(menus[fixed], places[fixed]), 0
        support = after
    return _lists(menus, places, options), True


def _menu(options: Options, target: int) -> Menu:
    at = np.array([target])
    low, high = (int(side[0]) for side in options.between(at, at))
    # Comparing counts from the thickest on is comparing lists that start with the thickest.
    order = low + np.lexsort(-options.counts[low:high, ::-1].T)
    error = np.abs(options.heights[order] - target) * COST_PER_UNIT
    use = np.column_stack([options.usage[order], options.pieces[order], error])
    return Menu(order, np.zeros(len(order)), use)


def _without_hopeless(menus: list[Menu], capacity: Floats) -> list[Menu]:
    least = np.array([menu.use.min(axis=0) for menu in menus])
    spare = capacity - least.sum(axis=0)
    spare[-1] += SLACK * COST_PER_UNIT
    kept = [(menu.use - low <= spare).all(axis=1) for menu, low in zip(menus, least, strict=True)]
    return [
        Menu(menu.stacks[keep], menu.cost[keep], menu.use[keep])
        for menu, keep in zip(menus, kept, strict=True)
    ]


def _without_costly(menus: list[Menu], capacity: Floats, column: int) -> list[Menu]:
    # Reduced-cost fixing: with this stack the relaxation already exceeds the capacity.
    others = np.delete(np.arange(len(capacity)), column)
    priced = [Menu(m.stacks, m.use[:, column], m.use[:, others]) for m in menus]
    _, prices = relaxed_prices(programme(priced, capacity[others]))
    total = [menu.cost + menu.use @ prices for menu in priced]
    bound = sum(float(cost.min()) for cost in total) - float(prices @ capacity[others])
    spare = capacity[column] - bound + 1e-6 * (1 + abs(bound))
    return [
        Menu(menu.stacks[keep], menu.cost[keep], menu.use[keep])
        for menu, cost in zip(menus, total, strict=True)
        for keep in [cost - cost.min() <= spare]
    ]


def _place(menu: Menu, options: Options, listed: tuple[int, ...]) -> int:
    counts = [listed.count(thickness) for thickness in options.thicknesses]
    return int(np.flatnonzero((options.counts[menu.stacks] == counts).all(axis=1))[0])


def _only(menu: Menu, place: int) -> Menu:
    one = slice(place, place + 1)
    return Menu(menu.stacks[one], menu.cost[one], menu.use[one])


def _batch_end(menus: list[Menu], start: int) -> int:
    combinations, after = len(menus[start].stacks), start + 1
    while after < len(menus) and combinations * len(menus[after].stacks) <= _MOST_COMBINATIONS:
        combinations *= len(menus[after].stacks)
        after += 1
    return after


def _rank(menus: list[Menu], start: int, after: int, capacity: Floats, effort: Effort) -> list[int]:
    ranked, weight = list(menus), 1.0
    for support in reversed(range(start, after)):
        menu = menus[support]
        rank = np.arange(len(menu.stacks), dtype=np.float64)
        ranked[support] = Menu(menu.stacks, weight * rank, menu.use)
        weight *= len(menu.stacks)
    outcome = solve_whole(programme(ranked, capacity), effort)
    if not outcome.chosen or effort.spent:
        return []
    return [
        int(np.flatnonzero(menu.stacks == stack)[0])
        for menu, stack in zip(menus, outcome.chosen, strict=True)
    ]


def _lists(menus: list[Menu], places: list[int], options: Options) -> list[tuple[int, ...]]:
    return [
        options.listed(int(menu.stacks[place])) for menu, place in zip(menus, places, strict=True)
    ]
