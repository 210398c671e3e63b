"""Comparisons that need no adjustment: how they are worded, and what chance allows them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy import sparse
from scipy.special import ndtr

from kit.readings.doubt import TWO_SIDED_95
from kit.readings.equations import Whole
from kit.readings.remark import Remark
from kit.readings.slips import LIMIT

#: Misclosures of one sort that are told one by one; of more, only the worst.
MOST_TOLD = 6

#: Stations or points of a round that are named; of a longer round, the first and last few.
MOST_NAMED = 10

#: About one misclosure in 1000 is this many times what is expected (common practice, no source).
BEYOND_CHANCE = LIMIT / TWO_SIDED_95


@dataclass(frozen=True)
class Misclosure:
    """One comparison: how it is called, what came out, and what 19 in 20 stay within [mm]."""

    words: Callable[[], str]
    value_mm: float
    expected_mm: float

    @property
    def ratio(self) -> float:
        """What came out, as a share of what is expected."""
        return self.value_mm / self.expected_mm

    def __str__(self) -> str:
        return f"{self.words()} {self.value_mm:.1f} mm, expected within {self.expected_mm:.1f} mm"


def told(found: list[Misclosure], what: str) -> Iterator[Remark]:
    """Yield a sentence for each comparison; of many, how many there are and the worst."""
    worst = sorted(found, key=lambda m: -m.ratio)
    if len(found) <= MOST_TOLD:
        yield from (Remark(f"{m}.", m.ratio > 1) for m in found)
        return
    beyond = [m for m in worst if m.ratio > 1]
    yield Remark(
        f"{len(found)} {what}: {len(found) - len(beyond)} within what is expected of 19 in 20,"
        f" {len(beyond)} beyond; the worst: {worst[0]}.",
        worst[0].ratio > BEYOND_CHANCE,
    )
    yield from (Remark(f"{m}.", m.ratio > BEYOND_CHANCE) for m in beyond[1:MOST_TOLD])


def round_words(names: list[str]) -> str:
    """Return the words for a round; of a long one the first and last few stations or points."""
    if len(names) > MOST_NAMED:
        names = [*names[:4], f"({len(names) - 8} more)", *names[-4:]]
    return f"round {'-'.join(names)}:"


@cache
def range_quantile(probability: float, count: int) -> float:
    """Return the quantile of the range of independent standard normal numbers.

    P(range <= q) = n ∫ φ(z) (Φ(z + q) - Φ(z))^(n - 1) dz [1], summed at even steps, which for a
    function that dies away at both ends is exact to rounding; solved for q by halving. SciPy has
    it in its statistics package, whose import alone takes longer than a whole survey.

    Parameters
    ----------
    probability : float
        Between 0 and 1.
    count : int
        How many numbers, 2 or more.

    References
    ----------
    .. [1] David, H. A. and Nagaraja, H. N., Order Statistics, 3rd ed. 2003, section 2.3 (from
       memory).
    """
    z = np.linspace(-9.0, 9.0, 721)
    density = np.exp(-(z**2) / 2) / np.sqrt(2 * np.pi) * (z[1] - z[0])
    low, high = 0.0, 20.0
    while high - low > 1e-10:
        middle = (low + high) / 2
        inside = count * np.sum(density * (ndtr(z + middle) - ndtr(z)) ** (count - 1))  # Eq. of [1]
        low, high = (middle, high) if inside < probability else (low, middle)
    return high


def spanning_tree(count: int, one: Whole, other: Whole) -> tuple[list[int], list[int]]:
    """Return of each node of a graph the one before it and its depth.

    Parameters
    ----------
    count : int
        Nodes of the graph, which may fall into parts.
    one, other : (edges,) arrays of int
        What each edge joins.

    Returns
    -------
    before, depth : lists of int
        A root has -1 before it and depth 0.
    """
    graph = sparse.csr_array(sparse.coo_array((np.ones(len(one)), (one, other)), (count, count)))
    before, depth = [-1] * count, [-1] * count
    for root in range(count):
        if depth[root] >= 0:
            continue
        order, parent = sparse.csgraph.breadth_first_order(graph, root, directed=False)
        for node in order.tolist():
            before[node] = int(parent[node]) if node != root else -1
            depth[node] = depth[before[node]] + 1 if node != root else 0
    return before, depth
