"""The fewest changes of packers that bring a base to level, exactly.

In this order: fewest stacks opened; fewest packers handled; least greatest error; least sum of
errors; lowest level. What a stack may become changes only at the levels of `Menus.levels`, so
that for the first two the best of these is the best of all. Where the bag limits, an integer
programme at a level decides, and prices of packers from its relaxation bound all other levels at
once. The least greatest error is then found by halving the reach, to 1e-9 mm.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from kit.as_built.changes_search import STAYS, Choice, OutOfSteps, Search, middle_of, tops_after
from kit.as_built.stack_menu import ChangeTask, Menus, possible_stacks
from kit.base.effort import STEPS_A_SECOND, Effort
from kit.base.stack_rules import Ints

__all__ = ["STAYS", "Best", "NoChange", "can_be_done", "fewest_changes"]

#: Steps of the search, unless the caller says otherwise.
MOST_STEPS = 20.0 * STEPS_A_SECOND

#: Aims on which the steps may run out.
CHANGES, ERROR = "fewest changes", "least error"


@dataclass(frozen=True, eq=False)
class Best:
    """The best change that was found.

    Parameters
    ----------
    level : int
        The level that it is for [units].
    chosen : tuple of int
        Of each support the number of its new stack in ``stacks``; `STAYS` where it is not opened.
    stacks : (m, k) array
        Packers of each kind in each stack.
    tops : (n,) array
        Tops afterwards [units].
    opened, handled : int
        Stacks opened; packers taken out and put in.
    unproven : str
        Which aim the steps ran out on: ``fewest changes``, ``least error``; empty when all are
        proven.
    """

    level: int
    chosen: tuple[int, ...]
    stacks: Ints = field(repr=False)
    tops: Ints
    opened: int
    handled: int
    unproven: str = ""

    @property
    def greatest(self) -> int:
        """Greatest error left, either way [units]."""
        return int(np.abs(self.tops - self.level).max())

    @property
    def total(self) -> int:
        """Sum of the errors left [units]."""
        return int(np.abs(self.tops - self.level).sum())


@dataclass(frozen=True, eq=False)
class NoChange:
    """No change brings all supports in; ``proven`` tells whether that is sure."""

    proven: bool


def fewest_changes(task: ChangeTask, steps: float = MOST_STEPS) -> Best | NoChange:
    """Find the best change.

    Parameters
    ----------
    task : ChangeTask
        Stacks, tops and the bag.
    steps : float
        Work allowed, as `kit.base.effort` counts it.

    Returns
    -------
    Best or NoChange

    Raises
    ------
    Refusal
        Where there are too many different stacks to look at.
    """
    return _near_then_far(task, Effort(steps), errors=True)


def can_be_done(task: ChangeTask, effort: Effort) -> bool:
    """Tell whether a change was found, as far as the effort went, that brings all supports in."""
    return isinstance(_near_then_far(task, effort, errors=False), Best)


def _near_then_far(task: ChangeTask, effort: Effort, *, errors: bool) -> Best | NoChange:
    reach = task.rules.reach
    low = max(task.low, int(task.tops.min()) - reach)
    high = min(task.high, int(task.tops.max()) + reach)
    found: Best | NoChange = NoChange(proven=True)
    if low <= high:
        found = _best(replace(task, low=low, high=high), effort, errors=errors)
    if isinstance(found, Best) and (found.opened < len(task.names) or not errors):
        return found
    # Only where every stack is opened may the level lie further from all tops than the reach.
    far = _best(task, effort, errors=errors)
    if isinstance(far, Best):
        return far
    return found if isinstance(found, Best) else NoChange(far.proven and found.proven)


def _best(task: ChangeTask, effort: Effort, *, errors: bool) -> Best | NoChange:
    reach = task.rules.reach
    lowest, highest = task.low - int(task.feet.max()), task.high - int(task.feet.min())
    stacks = possible_stacks(task, lowest - reach, highest + reach)
    search = Search(Menus(task, stacks), effort)
    try:
        found = search.cheapest(reach)
    except OutOfSteps:
        late = search.best
        return NoChange(proven=False) if late is None else _told(search.menus, late, CHANGES)
    if found is None:
        return NoChange(proven=True)
    if not errors:
        return _told(search.menus, found, "")
    try:
        return _told(search.menus, search.nearest(found), "")
    except OutOfSteps:
        return _told(search.menus, search.best or found, ERROR)


def _told(menus: Menus, choice: Choice, unproven: str) -> Best:
    task = menus.task
    tops = tops_after(menus, choice.chosen)
    opened = [i for i, stack in enumerate(choice.chosen) if stack != STAYS]
    handled = sum(int(menus.handled(i)[choice.chosen[i]]) for i in opened)
    level = middle_of(task, tops)
    return Best(level, choice.chosen, menus.stacks, tops, len(opened), handled, unproven)
