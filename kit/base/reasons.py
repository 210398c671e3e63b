"""Why a datum is not possible, in words, and what would make it possible."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from kit.base.stack_rules import (
    SLACK,
    UNITS_PER_MM,
    Ints,
    StackRules,
    at_least_text,
    height_text,
    thickness_text,
    to_mm,
    to_units,
)
from kit.base.sums import UNREACHABLE, SumTable, sum_table
from kit.base.sweep import Level, StackTask, feasible_intervals, sweep
from kit.job.refusal import Problem, Refusal

#: Packers tried when the limit of pieces is lifted to learn whether it is what stops a stack.
_MANY_PIECES = 60
#: Supports named in a problem; the others are counted.
_MOST_NAMED = 3
#: Heights tabulated in all while looking for a packer that would do: a second or so.
_MOST_TRIED = 500_000

SHORTEST, LONGEST, PIECES, NO_SUM = (
    "minimum pack",
    "longest stack",
    "most pieces",
    "no sum within the tolerance",
)


def binding_low(task: StackTask, low: int) -> str:
    """Say what stops the datum from being lower than the lowest feasible one.

    Parameters
    ----------
    task : StackTask
        Supports, window, packers and limits of a stack.
    low : int
        The lowest feasible datum [units].

    Returns
    -------
    str
        "window", or the rule and the support: "minimum pack at F2".
    """
    if low <= task.level.low + SLACK:
        return "window"
    return _binding(task, low - 2 * SLACK - 1)


def binding_high(task: StackTask, high: int) -> str:
    """Say what stops the datum from being higher than the highest feasible one.

    Parameters and result as for `binding_low`.
    """
    if high >= task.level.high - SLACK:
        return "window"
    return _binding(task, high + 2 * SLACK + 1)


def _binding(task: StackTask, datum: int) -> str:
    targets = datum - task.level.offset
    missed = np.flatnonzero(task.table.fewest(targets) >= UNREACHABLE)
    if not len(missed):  # a feasible sliver narrower than the round-off allowance
        return NO_SUM
    place = int(missed[0])
    return f"{rules_broken(targets[place : place + 1], task)[0]} at {task.level.names[place]}"


def rules_broken(targets: Ints, task: StackTask) -> list[str]:
    """Name for each target the rule that keeps it from being met.

    Parameters
    ----------
    targets : (m,) array
        Heights that no stack meets [units].
    task : StackTask
        Packers and limits of a stack.

    Returns
    -------
    list of str
        "minimum pack", "longest stack", "most pieces" or "no sum within the tolerance".
    """
    rules = task.rules
    above = float(to_mm(int(targets.max()) + rules.reach)) + 1
    longer = replace(rules, max_stack_mm=max(above, rules.max_stack_mm))
    lifted = {
        SHORTEST: replace(rules, minimum_pack_mm=1e-6),
        LONGEST: longer,
        PIECES: replace(longer, max_pieces=max(_MANY_PIECES, rules.max_pieces)),
    }
    met = {rule: _pieces(targets, task, other) < UNREACHABLE for rule, other in lifted.items()}
    met[SHORTEST] |= targets + rules.reach < rules.shortest
    met[LONGEST] |= targets - rules.reach > rules.longest
    return [next((r for r in met if met[r][i]), NO_SUM) for i in range(len(targets))]


def _pieces(targets: Ints, task: StackTask, rules: StackRules) -> Ints:
    try:
        return sum_table(task.thicknesses, rules).fewest(targets)
    except Refusal:  # too many sums to tabulate: the rule in question is not shown to be the cause
        return np.full(len(targets), UNREACHABLE, dtype=np.int64)


def no_datum(task: StackTask) -> Refusal:
    """Return the refusal of a window in which no datum serves all supports.

    It is told for the datum at which the fewest supports fail, by the least height.

    Parameters
    ----------
    task : StackTask
        Supports, window, packers and limits of a stack.

    Returns
    -------
    Refusal
        One problem for each rule that is broken: the supports, the height missing at the worst of
        them, and what would do.
    """
    targets = _least_bad_datum(task) - task.level.offset
    missed = np.flatnonzero(task.table.fewest(targets) >= UNREACHABLE)
    rules = rules_broken(targets[missed], task)
    wider = _wider_window(task)
    problems = []
    for rule in sorted(set(rules), key=rules.index):
        broken = missed[np.array([other == rule for other in rules])]
        problems.append(_problem(rule, broken, targets, task, wider))
    return Refusal(*problems)


def _problem(rule: str, broken: Ints, targets: Ints, task: StackTask, wider: list[str]) -> Problem:
    broken = broken[np.argsort(-_miss(targets[broken], task.table), kind="stable")]
    names = _named([task.level.names[i] for i in broken])
    worst, failing, rules = int(targets[broken[0]]), targets[broken], task.rules
    found = f"{names} {_missing(rule, worst, task)}"
    if rule == SHORTEST:
        allowed = [*wider, *_thinner(failing, task)]
        return Problem("job.toml, base.minimum_pack_mm", found, _either(allowed))
    if rule == LONGEST:
        allowed = [*wider, *_longer(failing, task)]
        if int(failing.max()) > int(to_units(rules.max_stack_mm)):
            allowed.append("the base in level zones (kit levels)")
        return Problem("job.toml, base.max_stack_mm", found, _either(allowed))
    if rule == PIECES:
        most = int(_more_pieces(failing, task).max())
        allowed = [f"base.max_pieces of {most}", *_packer(task, targets), *wider]
        return Problem("job.toml, base.max_pieces", found, _either(allowed))
    allowed = [*_packer(task, targets), *wider]
    if len(task.table.heights):
        tolerance = at_least_text(int(_miss(failing, task.table).max()))
        allowed.append(f"base.tolerance_mm of {tolerance}")
    elif not allowed:
        allowed = [f"packers that make {rules.minimum_pack_mm:g} to {rules.max_stack_mm:g} mm"]
    return Problem("job.toml, stock.packers", found, _either(allowed))


def _named(names: list[str]) -> str:
    others = ", ".join(names[1:_MOST_NAMED])
    more = len(names) - _MOST_NAMED
    if more > 0:
        others += f" and {more} more"
    return f"support {names[0]} (and {others})" if others else f"support {names[0]}"


def _either(remedies: list[str]) -> str:
    return ", or ".join(remedies) if remedies else "a floor or packers that differ less"


def _missing(rule: str, target: int, task: StackTask) -> str:
    heights, rules = task.table.heights, task.rules
    tolerance = f"base.tolerance_mm is {rules.tolerance_mm:g}"
    needed = f"the stack would be {height_text(target)} mm"
    if rule == PIECES:
        pieces = int(_more_pieces(np.array([target]), task)[0])
        return f"out of reach: {needed}, which takes {pieces} of these packers"
    if not len(heights):
        return f"without a stack: {needed}, and these packers make none that the rules allow"
    short = height_text(int(_miss(np.array([target]), task.table)[0]) - rules.reach + SLACK)
    if target < heights[0]:
        if target <= 0:
            needed = f"the floor there is {height_text(-target)} mm above the foot of the base"
        thinnest = f"the thinnest these packers make is {height_text(int(heights[0]))} mm"
        return f"too high by {short} mm: {needed}, {thinnest}, and {tolerance}"
    if target > heights[-1]:
        longest = f"the longest these packers make is {height_text(int(heights[-1]))} mm"
        return f"short by {short} mm: {needed}, {longest}, and {tolerance}"
    place = int(np.searchsorted(heights, target))
    pair = " and ".join(height_text(int(h)) for h in heights[place - 1 : place + 1])
    nearest = f"the nearest these packers make are {pair} mm"
    return f"missed by {short} mm: {needed}, {nearest}, and {tolerance}"


def _thinner(targets: Ints, task: StackTask) -> list[str]:
    lifted = replace(task.rules, minimum_pack_mm=1e-6)
    if (_pieces(targets, task, lifted) >= UNREACHABLE).any():
        return []
    heights = sum_table(task.thicknesses, lifted).nearest(targets)
    return [f"base.minimum_pack_mm of {thickness_text(int(heights.min()))}"]


def _longer(targets: Ints, task: StackTask) -> list[str]:
    pieces = _more_pieces(targets, task)
    if (pieces >= UNREACHABLE).any():
        return []
    heights = sum_table(task.thicknesses, _lifted(targets, task)).nearest(targets)
    longer = f"base.max_stack_mm of {at_least_text(int(heights.max()))}"
    if int(pieces.max()) > task.rules.max_pieces:
        longer += f" and base.max_pieces of {int(pieces.max())}"
    return [longer]


def _more_pieces(targets: Ints, task: StackTask) -> Ints:
    return _pieces(targets, task, _lifted(targets, task))


def _lifted(targets: Ints, task: StackTask) -> StackRules:
    rules = task.rules
    longest = max(float(to_mm(int(targets.max()) + rules.reach)), rules.max_stack_mm)
    most = max(_MANY_PIECES, rules.max_pieces)
    return replace(rules, max_stack_mm=longest, max_pieces=most)


def _wider_window(task: StackTask) -> list[str]:
    level, rules = task.level, task.rules
    # No stack is thinner or longer than this: datums further out need not be looked at.
    low = min(level.low, int(level.offset.min()) + rules.shortest - rules.reach)
    high = max(level.high, int(level.offset.max()) + rules.longest + rules.reach)
    intervals = feasible_intervals(sweep(Level(level.names, level.offset, low, high), task.table))
    below = [level.low - last for _, last in intervals if last < level.low]
    above = [first - level.high for first, _ in intervals if first > level.high]
    ways = [(min(below), "lower")] if below else []
    ways += [(min(above), "higher")] if above else []
    if not ways:
        return []
    shift, way = min(ways)
    return [f"a base {at_least_text(shift)} mm {way} (base.height_mm)"]


def _packer(task: StackTask, targets: Ints) -> list[str]:
    most = max(3, _MOST_TRIED // max(1, len(task.table.heights)))
    missed = targets[task.table.fewest(targets) >= UNREACHABLE]
    for extra in _thicknesses_to_try(missed)[:most]:
        if extra not in task.thicknesses and _would_do(task, extra):
            return [f"a packer of {thickness_text(extra)} mm"]
    return []


def _thicknesses_to_try(missed: Ints) -> list[int]:
    # Whole and half millimetres are sold; a sheet cut to measure comes last.
    whole = [k * UNITS_PER_MM for k in range(1, 31)]
    halves = [k * UNITS_PER_MM + UNITS_PER_MM // 2 for k in range(30)]
    measure = sorted({int(to_units(round(float(to_mm(int(t))), 1))) for t in missed})
    return [t for t in whole + halves + measure if t > 0]


def _would_do(task: StackTask, extra: int) -> bool:
    more = tuple(sorted({*task.thicknesses, extra}, reverse=True))
    try:
        return bool(feasible_intervals(sweep(task.level, sum_table(more, task.rules))))
    except Refusal:
        return False


def _least_bad_datum(task: StackTask) -> int:
    swept = sweep(task.level, task.table)
    candidates = swept.candidates
    failing = swept.at(candidates) // UNREACHABLE
    worst = candidates[failing == failing.min()]
    misses = [int(_miss(datum - task.level.offset, task.table).sum()) for datum in worst]
    return int(worst[int(np.argmin(misses))])


def _miss(targets: Ints, table: SumTable) -> Ints:
    heights = table.heights
    if not len(heights):
        return np.abs(targets)
    right = np.clip(np.searchsorted(heights, targets), 0, len(heights) - 1)
    left = np.maximum(right - 1, 0)
    nearer: Ints = np.minimum(np.abs(heights[right] - targets), np.abs(targets - heights[left]))
    return nearer
