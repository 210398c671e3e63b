"""Which kind of screw foot each place takes, at one level: cheapest first, then most travel left.

With counts in stock that is a matching of feet to kinds, solved exactly.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment

from kit.base.feet_kinds import CLOSED_MM, Bools, Kinds, fits, least_cost
from kit.base.runs import Floats

#: Costs that differ by less are the same, in the job's money.
SAME_COST = 1e-9

#: Weighs a dearer kind above all the travel of all feet together [mm].
_ABOVE_TRAVEL_MM = 1e7


@dataclass(frozen=True, eq=False)
class Choice:
    """The kinds that are to be used at best, and what they cost.

    Parameters
    ----------
    kinds : Kinds
        Those that may be used.
    limited : bool
        Whether counts in stock are kept.
    cost : float
        The least [the job's money].
    """

    kinds: Kinds
    limited: bool
    cost: float

    def reached(self, rest_mm: Floats, datums_mm: Floats, margin_mm: float) -> Bools:
        """Tell at which levels the least cost leaves so much travel: shape (levels,)."""
        fit = fits(self.kinds, rest_mm, datums_mm, margin_mm)
        cost = least_cost(self.kinds, fit, limited=self.limited)
        found: Bools = cost <= self.cost + SAME_COST
        return found


def cheapest(kinds: Kinds, rest_mm: Floats, datums_mm: Floats, *, limited: bool) -> Choice | None:
    """Return the best choice of kinds that some of the levels allow, None where none does.

    With prices the least cost; without any the fewest kinds, and of as many those listed first.
    """
    fit = fits(kinds, rest_mm, datums_mm, 0.0)
    least = float(least_cost(kinds, fit, limited=limited).min(initial=np.inf))
    if not np.isfinite(least):
        return None
    if kinds.priced:
        return Choice(kinds, limited, least)
    for which in _sets(len(kinds.price)):
        some = kinds.only(which)
        if np.isfinite(least_cost(some, fit, limited=limited)).any():
            return Choice(some, limited, 0.0)
    return None


def _sets(count: int) -> Iterator[tuple[int, ...]]:
    for size in range(1, count + 1):
        yield from combinations(range(count), size)


def greatest(candidates: Floats, holds: Callable[[float], bool]) -> float | None:
    """Return the greatest of the candidates that holds, where all smaller ones do; None if none.

    Parameters
    ----------
    candidates : array of shape (candidates,)
        Ascending.
    holds : callable
        Once false, false for all greater ones.
    """
    low, high = -1, len(candidates)
    while high - low > 1:
        middle = (low + high) // 2
        if holds(float(candidates[middle])):
            low = middle
        else:
            high = middle
    return float(candidates[low]) if low >= 0 else None


@dataclass(frozen=True)
class Chosen:
    """The kind of each foot at one level.

    Parameters
    ----------
    kinds : tuple of int
        Of each foot, as listed.
    limited : bool
        Whether the counts in stock changed the choice.
    """

    kinds: tuple[int, ...]
    limited: bool


def choose_kinds(kinds: Kinds, rest_mm: Floats, datum_mm: float) -> Chosen | None:
    """Choose the kind of each foot at a level: least cost, then the greatest least travel left.

    Parameters
    ----------
    kinds : Kinds
        Those of the job.
    rest_mm : array of shape (feet,)
        Height of the floor under each foot less its lift [mm].
    datum_mm : float
        The level [mm].

    Returns
    -------
    Chosen or None
        None where the level cannot be made. A foot that may take several kinds that cost the same
        takes the one that leaves it most travel.
    """
    level = np.array([datum_mm])
    left = travel_left_mm(kinds, rest_mm, datum_mm)
    for limited in (False, True):
        choice = cheapest(kinds, rest_mm, level, limited=limited)
        if choice is None:
            return None
        least = _least_left(choice, rest_mm, level, left)
        taken = _assigned(choice, left, least - 2 * CLOSED_MM)
        if limited or (np.bincount(taken, minlength=len(kinds.count)) <= kinds.count).all():
            return Chosen(tuple(taken.tolist()), limited)
    return None


def travel_left_mm(kinds: Kinds, rest_mm: Floats, datum_mm: float) -> Floats:
    """Return the travel that each kind leaves each foot at a level: shape (kinds, feet) [mm].

    It is below 0 where a kind does not reach.
    """
    height = datum_mm - rest_mm
    left: Floats = np.minimum(height - kinds.low_mm[:, None], kinds.high_mm[:, None] - height)
    return left


def _least_left(choice: Choice, rest_mm: Floats, level: Floats, left: Floats) -> float:
    """Return the most travel that the least cost leaves every foot; 0 is known to be left."""
    found = np.unique(left[choice.kinds.by_price])
    most = greatest(
        found[found > 0], lambda margin: bool(choice.reached(rest_mm, level, margin)[0])
    )
    return 0.0 if most is None else most


def _assigned(choice: Choice, left: Floats, margin_mm: float) -> NDArray[np.intp]:
    """Return the kind of each foot: of those that leave the margin the cheapest, then most left.

    Which matching is cheapest hangs on the order of the prices only, so that their ranks stand
    for them and no sum of prices is weighed against travel.
    """
    kinds = choice.kinds
    rank = np.unique(kinds.price, return_inverse=True)[1].astype(float)
    wants = rank[:, None] * _ABOVE_TRAVEL_MM - left
    wants[(left < margin_mm) | (kinds.count == 0)[:, None]] = np.inf
    if not choice.limited:
        cheapest_of: NDArray[np.intp] = wants.argmin(axis=0)
        return cheapest_of
    feet = left.shape[1]
    times = np.minimum(kinds.count, feet).astype(int)
    slots = np.repeat(np.arange(len(times)), times)
    _, taken = linear_sum_assignment(wants[slots].T)
    found: NDArray[np.intp] = slots[taken]
    return found
