"""Why a datum is not possible, in words, and what would make it possible."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from kit.base.sums import (
    SLACK,
    UNITS_PER_MM,
    UNREACHABLE,
    Ints,
    StackRules,
    SumTable,
    sum_table,
    to_mm,
    to_units,
)
from kit.base.sweep import Level, feasible_intervals, sweep
from kit.job.refusal import Problem, Refusal

#: Packers tried when the limit of pieces is lifted to learn whether it is what stops a stack.
_MANY_PIECES = 60
#: Failing supports named in one refusal.
_MOST_NAMED = 8


def binding_low(level: Level, thicknesses: tuple[int, ...], rules: StackRules, low: int) -> str:
    """Say what stops the datum from being lower than the lowest feasible one.

    Parameters
    ----------
    level : Level
        Supports and window.
    thicknesses : tuple of int
        Distinct thicknesses in stock [units].
    rules : StackRules
        Limits of a stack.
    low : int
        The lowest feasible datum [units].

    Returns
    -------
    str
        "window", or the rule and the support: "minimum pack at F2".
    """
    if low <= level.low + SLACK:
        return "window"
    return _binding(level, thicknesses, rules, low - 2 * SLACK - 1)


def binding_high(level: Level, thicknesses: tuple[int, ...], rules: StackRules, high: int) -> str:
    """Say what stops the datum from being higher than the highest feasible one.

    Parameters and result as for `binding_low`.
    """
    if high >= level.high - SLACK:
        return "window"
    return _binding(level, thicknesses, rules, high + 2 * SLACK + 1)


def _binding(level: Level, thicknesses: tuple[int, ...], rules: StackRules, datum: int) -> str:
    targets = datum - level.offset
    missed = np.flatnonzero(sum_table(thicknesses, rules).fewest(targets) >= UNREACHABLE)
    if not len(missed):  # a feasible sliver narrower than the round-off allowance
        return "no sum within the tolerance"
    place = int(missed[0])
    return f"{rule_broken(int(targets[place]), thicknesses, rules)} at {level.names[place]}"


def rule_broken(target: int, thicknesses: tuple[int, ...], rules: StackRules) -> str:
    """Name the rule that keeps a target from being met.

    Parameters
    ----------
    target : int
        Height that no stack meets [units].
    thicknesses : tuple of int
        Distinct thicknesses in stock [units].
    rules : StackRules
        Limits of a stack.

    Returns
    -------
    str
        "minimum pack", "longest stack", "most pieces" or "no sum within the tolerance".
    """
    if target + rules.reach < rules.shortest:
        return "minimum pack"
    if target - rules.reach > rules.longest:
        return "longest stack"
    above = float(to_mm(target + rules.reach)) + 1
    lifted = {
        "minimum pack": replace(rules, minimum_pack_mm=1e-6),
        "longest stack": replace(rules, max_stack_mm=above),
        "most pieces": replace(
            rules, max_pieces=max(_MANY_PIECES, rules.max_pieces), max_stack_mm=above
        ),
    }
    for rule, others in lifted.items():
        if _meets(target, thicknesses, others):
            return rule
    return "no sum within the tolerance"


def _meets(target: int, thicknesses: tuple[int, ...], rules: StackRules) -> bool:
    try:
        table = sum_table(thicknesses, rules)
    except Refusal:  # too many sums to tabulate: the rule in question is not shown to be the cause
        return False
    return bool(table.fewest(np.array([target]))[0] < UNREACHABLE)


def no_datum(level: Level, thicknesses: tuple[int, ...], rules: StackRules) -> Refusal:
    """Return the refusal of a window in which no datum serves all supports.

    It is told for the datum at which the fewest supports fail, by the least height.

    Parameters
    ----------
    level : Level
        Supports and window.
    thicknesses : tuple of int
        Distinct thicknesses in stock [units].
    rules : StackRules
        Limits of a stack.

    Returns
    -------
    Refusal
        One problem for each failing support: height needed, height missing, what would do.
    """
    table = sum_table(thicknesses, rules)
    datum = _least_bad_datum(level, table)
    targets = datum - level.offset
    missed = np.flatnonzero(table.fewest(targets) >= UNREACHABLE)
    remedy = _remedy(level, thicknesses, rules, targets[missed])
    problems = [
        Problem(
            f"support {level.names[i]}",
            _what_is_missing(int(targets[i]), table, rules)
            + f" (datum {_mm(datum)} mm; {rule_broken(int(targets[i]), thicknesses, rules)})",
            remedy,
        )
        for i in missed[:_MOST_NAMED]
    ]
    if len(missed) > _MOST_NAMED:
        others = f"{len(missed) - _MOST_NAMED} further supports without a stack"
        problems.append(Problem("supports", others, remedy))
    return Refusal(*problems)


def _least_bad_datum(level: Level, table: SumTable) -> int:
    swept = sweep(level, table)
    candidates = swept.candidates
    failing = swept.at(candidates) // UNREACHABLE
    worst = candidates[failing == failing.min()]
    misses = [int(_miss(datum - level.offset, table).sum()) for datum in worst]
    return int(worst[int(np.argmin(misses))])


def _miss(targets: Ints, table: SumTable) -> Ints:
    heights = table.heights
    if not len(heights):
        return np.abs(targets)
    right = np.clip(np.searchsorted(heights, targets), 0, len(heights) - 1)
    left = np.maximum(right - 1, 0)
    nearer: Ints = np.minimum(np.abs(heights[right] - targets), np.abs(targets - heights[left]))
    return nearer


def _what_is_missing(target: int, table: SumTable, rules: StackRules) -> str:
    heights, needs = table.heights, f"needs {_mm(target)} mm"
    if not len(heights):
        return f"{needs}, and the packers give no stack at all"
    miss = int(_miss(np.array([target]), table)[0])
    beyond = f"{_mm(miss - rules.reach + SLACK)} mm beyond the tolerance"
    if target < heights[0]:
        return f"{needs}, thinnest reachable {_mm(int(heights[0]))} mm, {beyond}"
    if target > heights[-1]:
        return f"{needs}, longest reachable {_mm(int(heights[-1]))} mm, {beyond}"
    place = int(np.searchsorted(heights, target))
    below, above = int(heights[place - 1]), int(heights[place])
    return f"{needs}, nearest reachable {_mm(below)} and {_mm(above)} mm, {beyond}"


def _remedy(level: Level, thicknesses: tuple[int, ...], rules: StackRules, missed: Ints) -> str:
    if int(missed.max()) - rules.reach > rules.longest:
        return f"a lower datum, or max_stack_mm of {_mm(int(missed.max()))}"
    if int(missed.min()) + rules.reach < rules.shortest:
        needed = float(to_mm(rules.shortest - rules.reach - int(missed.min())))
        return f"a datum at least {needed:.6g} mm higher, or a smaller minimum_pack_mm"
    for extra in _thicknesses_to_try(missed):
        if extra not in thicknesses and _would_do(level, thicknesses, rules, extra):
            return f"a packer of {_mm(extra)} mm would do"
    table = sum_table(thicknesses, rules)
    if len(table.heights):
        widest = int(_miss(missed, table).max())
        return f"a tolerance_mm of {_mm(widest)}, or a wider window; no single packer would do"
    return "packers that max_stack_mm and minimum_pack_mm allow"


def _thicknesses_to_try(missed: Ints) -> list[int]:
    # Whole and half millimetres are sold; a sheet cut to measure comes last.
    whole = [k * UNITS_PER_MM for k in range(1, 31)]
    halves = [k * UNITS_PER_MM + UNITS_PER_MM // 2 for k in range(30)]
    measure = sorted({int(to_units(round(float(to_mm(int(t))), 1))) for t in missed})
    return [t for t in whole + halves + measure if t > 0]


def _would_do(level: Level, thicknesses: tuple[int, ...], rules: StackRules, extra: int) -> bool:
    more = tuple(sorted({*thicknesses, extra}, reverse=True))
    try:
        return bool(feasible_intervals(sweep(level, sum_table(more, rules))))
    except Refusal:
        return False


def _mm(units: int) -> str:
    return f"{float(to_mm(units)):.6g}"
