"""How many of each thing suffice on so many floors: what to add first, and how far to go."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kit.base.runs import Floats
from kit.buying.floors import Counts

#: A share of floors is met where it is by round-off less than this below.
_CLOSED = 1e-9


@dataclass(frozen=True, eq=False)
class Enough:
    """Counts that suffice.

    Parameters
    ----------
    counts : array of shape (things,)
        How many of each.
    reached : float
        On which share of the floors that it is judged by it suffices; nan where there are none.
    """

    counts: Counts
    reached: float


def choose_counts(counts: Counts, least: Counts, prices: Floats, certainty: float) -> Enough:
    """Choose how many of each thing suffice with a certainty, at little cost.

    Parameters
    ----------
    counts : array of shape (floors, things)
        How many of each thing a floor takes; floors in any order, each drawn by itself.
    least : array of shape (things,)
        How many there are in any case.
    prices : array of shape (things,)
        Of one; where one of them is nan all pieces count alike.
    certainty : float
        Share of floors on which the counts are to suffice, 0 to 1.

    Returns
    -------
    Enough
        On every second floor is found in which order pieces are added, on the others how many of
        them it takes: the first that suffice on that share. So neither is fitted to the floors
        that it is judged by.

    Notes
    -----
    The order is found from above, where all floors suffice: the piece goes first whose want
    spoils fewest floors for its price. From below no single piece may help at all, where floors
    want several things at once. It is a good order, not proven the cheapest: the
    first list in it that suffices may hold one piece too many for the floors that it is judged
    by. That piece stays: taken away because these floors do without it, the list would be fitted
    to its judges.
    """
    order, judged = counts[::2], counts[1::2]
    if not len(judged):
        return Enough(least, math.nan)
    most = np.maximum(counts.max(axis=0), least)
    lists = _ascending(order, least, most, _weights(prices))
    first = _first_that_suffice(lists, judged)
    at = int(np.sort(first)[math.ceil(certainty * len(judged) - _CLOSED) - 1])
    return Enough(lists[at], float((first <= at).mean()))


def _weights(prices: Floats) -> Floats:
    """Return what a piece counts; what costs nothing has to be carried all the same."""
    if np.isnan(prices).any() or not prices.any():
        return np.ones(len(prices))
    return np.asarray(np.maximum(prices, _CLOSED * prices.max()))


def _ascending(order: Counts, least: Counts, most: Counts, weights: Floats) -> Counts:
    """Return lists (steps, things), each with one piece more than the one before."""
    held, lists = most.copy(), [most.copy()]
    served = order
    while (held > least).any():
        lost = np.where(held > least, (served == held).sum(axis=0), len(order) + 1)
        place = _spared(lost, held > least, weights)
        held[place] -= 1
        served = served[served[:, place] <= held[place]]
        lists.append(held.copy())
    return np.array(lists[::-1], dtype=np.int64)


def _spared(lost: Counts, there: np.ndarray, weights: Floats) -> int:
    """Return the thing of which one piece less spoils fewest floors for its price."""
    free = np.flatnonzero(there & (lost == 0))
    if len(free):
        return int(free[np.argmax(weights[free])])
    return int(np.argmin(np.where(there, lost / weights, np.inf)))


def _first_that_suffice(lists: Counts, counts: Counts) -> Counts:
    """Return for each floor the first of ascending lists that suffices, as the last does."""
    first = np.zeros(len(counts), dtype=np.int64)
    for column, wanted in zip(lists.T, counts.T, strict=True):
        first = np.maximum(first, np.searchsorted(column, wanted))
    return first


@dataclass(frozen=True)
class InPlace:
    """Things that serve in each other's place: a deeper board for a shallower one.

    Parameters
    ----------
    chains : tuple of tuple of int
        Places of such things in the list, each thing in a chain serving for those before it.
    """

    chains: tuple[tuple[int, ...], ...] = ()

    def at_least(self, counts: Counts) -> Counts:
        """Return how many are wanted of each thing or one that serves for it (..., things)."""
        found = counts.copy()
        for chain in self.chains:
            of = counts[..., list(chain)]
            found[..., list(chain)] = np.cumsum(of[..., ::-1], axis=-1)[..., ::-1]
        return found

    def each(self, at_least: Counts) -> Counts:
        """Return how many there are of each thing itself: undoes `at_least`."""
        found = at_least.copy()
        for chain in self.chains:
            of = at_least[..., list(chain)]
            found[..., list(chain[:-1])] = of[..., :-1] - of[..., 1:]
        return found

    def steps(self, prices: Floats) -> Floats:
        """Return what it costs more to take each thing than the one that it serves for."""
        found = prices.copy()
        for chain in self.chains:
            of = prices[list(chain)]
            found[list(chain[1:])] = np.maximum(np.diff(of), 0.0)
        return found


def in_place(names: Sequence[str], sizes_mm: Sequence[float], ascending: Sequence[str]) -> InPlace:
    """Find what serves in place of what.

    Parameters
    ----------
    names, sizes_mm : sequence of str, of float
        Each thing and its size [mm].
    ascending : sequence of str
        Names of which each serves for those before it, at the same size.
    """
    rank = {name: place for place, name in enumerate(ascending)}
    of_size: dict[float, list[int]] = {}
    for place, (name, size) in enumerate(zip(names, sizes_mm, strict=True)):
        if name in rank:
            of_size.setdefault(size, []).append(place)
    chains = (sorted(of, key=lambda place: rank[names[place]]) for of in of_size.values())
    return InPlace(tuple(tuple(chain) for chain in chains if len(chain) > 1))
