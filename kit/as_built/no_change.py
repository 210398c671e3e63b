"""Why no change of packers brings a finished base in, and what would have to be in the bag."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kit.as_built.changes_exact import can_be_done
from kit.as_built.judged import tolerance_text
from kit.as_built.stack_menu import ChangeTask, Menus, possible_stacks
from kit.base.effort import STEPS_A_SECOND, Effort
from kit.base.stack_rules import UNITS_PER_MM, Ints, height_text, thickness_text

#: Packers tried that nobody has yet [mm]: whole and half millimetres are sold.
_TRIED_MM = (*range(1, 31), *(half + 0.5 for half in range(30)))

#: More of one size than this are not asked for.
_MOST_MORE = 64

#: Steps for looking for what would do, for each try at least, and what a try counts at least.
MOST_STEPS = 6.0 * STEPS_A_SECOND
_LEAST_STEPS, _EACH = 0.1 * STEPS_A_SECOND, 0.01 * STEPS_A_SECOND


@dataclass(frozen=True)
class Missing:
    """What keeps a base from being brought in.

    Parameters
    ----------
    supports : tuple of str
        Those that cannot be brought in, or for which the bag does not suffice.
    found : str
        What is missing, as a sentence.
    remedy : str
        What would do, as a sentence; says so where none was found.
    """

    supports: tuple[str, ...]
    found: str
    remedy: str


def what_is_missing(task: ChangeTask, steps: float = MOST_STEPS) -> Missing:
    """Tell why no change brings all supports in, and one addition that would do.

    Parameters
    ----------
    task : ChangeTask
        Stacks, tops and the bag of which `kit.as_built.changes_exact.fewest_changes` found none.
    steps : float
        Work allowed to look for what would do, as `kit.base.effort` counts it.

    Returns
    -------
    Missing
        Of one size, the least number more that would do; else a size that is not in stock.
    """
    effort = Effort(steps)
    ample = replace(task, left=np.full_like(task.left, -1))
    level, failing = _least_bad(ample)
    if not len(failing):
        return _short_of_bag(task, effort)
    names = tuple(task.names[i] for i in failing)
    return Missing(names, _no_stack(ample, level, failing), _other_packer(task, effort))


def _least_bad(task: ChangeTask) -> tuple[int, Ints]:
    """Return a level at which the fewest supports have no stack, and which they are."""
    reach = task.rules.reach
    menus = Menus(task, possible_stacks(task, -(2**60), 2**60))
    levels = menus.levels(reach)
    sums = np.unique(menus.heights)
    misses = np.zeros((len(task.names), len(levels)), dtype=bool)
    for i, (top, foot) in enumerate(zip(task.tops, task.feet, strict=True)):
        first = np.searchsorted(sums, levels - foot - reach, side="left")
        last = np.searchsorted(sums, levels - foot + reach, side="right")
        misses[i] = (first >= last) & (np.abs(levels - top) > reach)
    count = misses.sum(axis=0)
    best = np.flatnonzero(count == count.min())
    # Of equals the level that the tops lie nearest to.
    nearest = best[np.argmin([int(np.abs(task.tops - levels[i]).sum() >> 20) for i in best])]
    return int(levels[nearest]), np.flatnonzero(misses[:, nearest])


def _no_stack(task: ChangeTask, level: int, failing: Ints) -> str:
    worst = int(failing[np.argmax(np.abs(task.tops[failing] - level))])
    wanted = level - int(task.feet[worst])
    off = int(task.tops[worst]) - level
    way = "high" if off > 0 else "low"
    others = _beside([task.names[i] for i in failing if i != worst])
    sums = np.unique(Menus(task, possible_stacks(task, -(2**60), 2**60)).heights)
    near = [height_text(int(h)) for h in sums[np.argsort(np.abs(sums - wanted), kind="stable")][:2]]
    made = (
        f"the nearest these packers make are {' and '.join(near)} mm"
        if near
        else ("these packers make no stack that the rules allow")
    )
    return (
        f"Support {task.names[worst]}{others} stands {height_text(abs(off))} mm too {way} for the"
        f" level that suits the most; its stack would have to be {height_text(wanted)} mm within"
        f" {tolerance_text(task.rules.tolerance_mm)} mm, and {made}."
    )


def _beside(names: Sequence[str]) -> str:
    return f" (and {', '.join(names)})" if names else ""


def _other_packer(task: ChangeTask, effort: Effort) -> str:
    for size in _TRIED_MM:
        thickness = round(size * UNITS_PER_MM)
        if thickness in task.thickness.tolist():
            continue
        if effort.spent:
            break
        if _in_part(_with_kind(task, thickness), effort):
            return f"Packers of {size:g} mm would do."
    return "No packer of a whole or half millimetre was found that would do."


def _with_kind(task: ChangeTask, thickness: int) -> ChangeTask:
    none = np.zeros((len(task.names), 1), dtype=np.int64)
    return replace(
        task,
        standing=np.hstack([task.standing, none]),
        thickness=np.append(task.thickness, thickness),
        left=np.append(task.left, -1),
    )


def _short_of_bag(task: ChangeTask, effort: Effort) -> Missing:
    level = int(np.median(task.tops))
    level = min(max(level, task.low), task.high)
    off = np.flatnonzero(np.abs(task.tops - level) > task.rules.reach)
    names = tuple(task.names[i] for i in off)
    bag = ", ".join(
        f"{int(task.left[k])} of {thickness_text(int(task.thickness[k]))} mm" for k in task.limited
    )
    found = (
        f"The bag ({bag}) and what comes out of the stacks do not suffice to bring"
        f" {', '.join(names) or 'all supports'} to the others."
    )
    more = [(count, -int(task.thickness[k]), k) for k, count in _additions(task, effort)]
    if not more:
        return Missing(names, found, "More packers of several sizes are wanted.")
    count, _, kind = min(more)
    size = thickness_text(int(task.thickness[kind]))
    return Missing(names, found, f"{count} more of {size} mm would do.")


def _additions(task: ChangeTask, effort: Effort) -> Iterator[tuple[int, int]]:
    """Yield kinds of which more would do by themselves, and the least number found to do."""
    for kind in task.limited.tolist():
        if effort.spent:
            return
        count = _least_more(task, kind, effort)
        if count:
            yield kind, count


def _least_more(task: ChangeTask, kind: int, effort: Effort) -> int:
    """Return how many more of a kind would do; 0 where no number was found to."""
    low, high = 0, 1
    while not _done_with(task, kind, high, effort):
        low, high = high, 2 * high
        if high > _MOST_MORE or effort.spent:
            return 0
    while high - low > 1:
        middle = (low + high) // 2
        if _done_with(task, kind, middle, effort):
            high = middle
        else:
            low = middle
    return high


def _done_with(task: ChangeTask, kind: int, more: int, effort: Effort) -> bool:
    left = task.left.copy()
    left[kind] += more
    return _in_part(replace(task, left=left), effort)


def _in_part(task: ChangeTask, effort: Effort) -> bool:
    """Tell whether a quarter of the steps that are left finds a change, and count them."""
    part = Effort(max(effort.left / 4, _LEAST_STEPS))
    found = can_be_done(task, part)
    effort.add(max(part.done, _EACH))
    return found
