"""Which kind of screw foot each place takes, at one level: cheapest first, then most travel left.

Every foot has one height to make; a kind serves it where that height lies within its travel. With
counts in stock that is a matching of feet to kinds, solved exactly.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment

from kit.base.runs import Floats
from kit.job import Foot, refuse

Bools = NDArray[np.bool_]

#: Limits are closed; what round-off adds to a height is below this [mm].
CLOSED_MM = 1e-9

#: Costs that differ by less are the same, in the job's money.
SAME_COST = 1e-9

#: More kinds than this no van holds; what counts in stock allow is asked of every set of kinds.
MOST_KINDS = 8

#: Weighs a dearer kind above all the travel of all feet together [mm].
_ABOVE_TRAVEL_MM = 1e7


@dataclass(frozen=True, eq=False)
class Kinds:
    """Kinds of feet as arrays of shape (kinds,).

    Parameters
    ----------
    low_mm, high_mm : array
        Ends of their travel [mm].
    price : array
        Of one, in the job's money; 0 for all where prices do not count.
    count : array
        How many there are; inf for as many as wanted.
    priced : bool
        Whether prices count: where every kind has one.
    """

    low_mm: Floats
    high_mm: Floats
    price: Floats
    count: Floats
    priced: bool

    @classmethod
    def of(cls, feet: Sequence[Foot]) -> Kinds:
        """Return the kinds of the job file.

        Raises
        ------
        Refusal
            For more than `MOST_KINDS` kinds.
        """
        if len(feet) > MOST_KINDS:
            raise refuse("job.toml, base, feet", f"{len(feet)} kinds", f"at most {MOST_KINDS}")
        priced = all(foot.price is not None for foot in feet)
        return cls(
            np.array([foot.low_mm for foot in feet]),
            np.array([foot.high_mm for foot in feet]),
            np.array([float(foot.price or 0.0) if priced else 0.0 for foot in feet]),
            np.array([np.inf if foot.count is None else float(foot.count) for foot in feet]),
            priced,
        )

    def only(self, which: Sequence[int]) -> Kinds:
        """Return some of them, the others sold out."""
        count = np.zeros(len(self.count))
        count[list(which)] = self.count[list(which)]
        return replace(self, count=count)

    @cached_property
    def by_price(self) -> list[int]:
        """Kinds that there are any of, the cheapest first; as listed where they cost the same."""
        order = np.argsort(self.price, kind="stable").tolist()
        return [kind for kind in order if self.count[kind] > 0]


def fits(kinds: Kinds, rest_mm: Floats, datums_mm: Floats, margin_mm: float) -> Bools:
    """Tell which kinds serve which feet at which levels.

    Parameters
    ----------
    kinds : Kinds
    rest_mm : array of shape (feet,)
        Height of the floor under each foot less its lift [mm].
    datums_mm : array of shape (levels,)
        Levels of the base [mm].
    margin_mm : float
        Travel that must be left either way; below 0 how far beyond its travel a foot may be set
        [mm].

    Returns
    -------
    array of shape (kinds, levels, feet)
    """
    height = datums_mm[:, None] - rest_mm
    low = (kinds.low_mm + margin_mm - CLOSED_MM)[:, None, None]
    high = (kinds.high_mm - margin_mm + CLOSED_MM)[:, None, None]
    found: Bools = (height >= low) & (height <= high)
    return found


def least_cost(kinds: Kinds, fit: Bools, *, limited: bool) -> Floats:
    """Return what all feet cost at least at each level, inf where some foot has no kind.

    Parameters
    ----------
    kinds : Kinds
    fit : array of shape (kinds, levels, feet)
        From `fits`.
    limited : bool
        Whether counts in stock are kept.

    Returns
    -------
    array of shape (levels,)

    Notes
    -----
    A price hangs on the kind alone, and sets of feet in stock that can be matched to places are
    the independent sets of a transversal matroid, so that taking as many as can be matched of the
    cheapest kind, then of the next, is the least cost (Edmonds and Fulkerson 1965; from memory)::

        u_j = r(1..j) - r(1..j-1),   cost = sum of u_j p_j            (1)

    with r(S) the most feet that the kinds S can serve, by König's theorem the least over sets T
    of S of what is in stock of T and the feet that some kind of S without T serves      (2).
    """
    order = kinds.by_price
    if not order:
        return np.full(fit.shape[1], np.inf)
    if not limited:
        dear = np.full(fit.shape[1:], np.inf)
        for kind in reversed(order):
            dear = np.where(fit[kind], kinds.price[kind], dear)
        total: Floats = dear.sum(axis=1)
        return total
    served = [_most_served(kinds, fit, order[: n + 1]) for n in range(len(order))]
    used = np.diff(np.array([np.zeros(fit.shape[1]), *served]), axis=0)
    cost = used.T @ kinds.price[order]  # Eq. (1)
    return np.where(served[-1] == fit.shape[2], cost, np.inf)


def _most_served(kinds: Kinds, fit: Bools, which: Sequence[int]) -> Floats:
    """Return how many feet some kinds can serve at each level within their counts, Eq. (2)."""
    most = np.full(fit.shape[1], np.inf)
    scarce = [kind for kind in which if kinds.count[kind] < fit.shape[2]]
    for size in range(len(scarce) + 1):
        for out in combinations(scarce, size):
            rest = [kind for kind in which if kind not in out]
            reached = fit[rest].any(axis=0).sum(axis=1) if rest else np.zeros(fit.shape[1])
            most = np.minimum(most, kinds.count[list(out)].sum() + reached)
    return most


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


def greatest(candidates: Floats, holds: Callable[[float], bool]) -> float:
    """Return the greatest of the candidates that holds, where all smaller ones do; else 0.

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
    return float(candidates[low]) if low >= 0 else 0.0


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


def choose_kinds(feet: Sequence[Foot], rest_mm: Floats, datum_mm: float) -> Chosen | None:
    """Choose the kind of each foot at a level: least cost, then the greatest least travel left.

    Parameters
    ----------
    feet : sequence of Foot
        The kinds of the job.
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
    kinds, level = Kinds.of(feet), np.array([datum_mm])
    for limited in (False, True):
        choice = cheapest(kinds, rest_mm, level, limited=limited)
        if choice is None:
            return None
        height = datum_mm - rest_mm
        left = np.minimum(height - kinds.low_mm[:, None], kinds.high_mm[:, None] - height)
        least = _least_left(choice, rest_mm, level, left)
        taken = _assigned(choice, left, max(least, 0.0) - 2 * CLOSED_MM)
        if limited or (np.bincount(taken, minlength=len(feet)) <= kinds.count).all():
            return Chosen(tuple(taken.tolist()), limited)
    return None


def _least_left(choice: Choice, rest_mm: Floats, level: Floats, left: Floats) -> float:
    found = np.unique(left[choice.kinds.by_price])
    return greatest(
        found[found > 0], lambda margin: bool(choice.reached(rest_mm, level, margin)[0])
    )


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
