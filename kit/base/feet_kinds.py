"""The kinds of screw feet: which of them serve, at which levels, and what they cost at least.

Every foot has one height to make; a kind serves it where that height lies within its travel.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from kit.base.runs import Floats
from kit.job import Foot

Bools = NDArray[np.bool_]

#: Limits are closed; what round-off adds to a height is below this [mm].
CLOSED_MM = 1e-9


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
    unpriced : tuple of int
        Those in use that have no price.
    """

    low_mm: Floats
    high_mm: Floats
    price: Floats
    count: Floats
    unpriced: tuple[int, ...] = ()

    @classmethod
    def of(cls, feet: Sequence[Foot]) -> Kinds:
        """Return the kinds of the job file, in use where there are any of them."""
        return cls._used(feet, np.ones(len(feet), dtype=bool))

    @classmethod
    def within(cls, feet: Sequence[Foot], rest_mm: Floats, window: tuple[float, float]) -> Kinds:
        """Return the kinds in use that can reach some foot in a window; others as sold out.

        Parameters
        ----------
        feet : sequence of Foot
            The kinds of the job file.
        rest_mm : array of shape (feet,)
            Height of the floor under each foot less its lift [mm].
        window : tuple of float
            Lowest and highest level [mm].
        """
        low = np.array([foot.low_mm for foot in feet])[:, None] - CLOSED_MM
        high = np.array([foot.high_mm for foot in feet])[:, None] + CLOSED_MM
        # A kind serves a foot at levels from rest + low to rest + high.
        reach = (rest_mm + low <= window[1]) & (rest_mm + high >= window[0])
        return cls._used(feet, np.asarray(reach.any(axis=1)))

    @classmethod
    def _used(cls, feet: Sequence[Foot], there: Bools) -> Kinds:
        count = np.array([np.inf if foot.count is None else float(foot.count) for foot in feet])
        count[~there] = 0.0
        unpriced = tuple(
            kind for kind, foot in enumerate(feet) if count[kind] > 0 and foot.price is None
        )
        return cls(
            np.array([foot.low_mm for foot in feet]),
            np.array([foot.high_mm for foot in feet]),
            np.array([0.0 if unpriced else float(foot.price or 0.0) for foot in feet]),
            count,
            unpriced,
        )

    @property
    def priced(self) -> bool:
        """Whether prices count: where every kind in use has one."""
        return not self.unpriced

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
