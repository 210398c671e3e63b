"""Short rounds through a net: a basis of its cycles that is as short as can be had.

Every round that a survey closes is a sum of the rounds of a basis, so that a basis holds every
check once. A spanning tree gives one at once, but through dozens of set-ups its rounds become as
long as the hall. A minimum basis is found greedily [1] among the rounds that a breadth-first tree
from each node and one more edge close: of a round C through a node v every edge closes, with v's
tree, a round no longer than C, and C is the sum of these. So candidates of up to a length span all
rounds of that length, and the greedy choice is the shortest. They are looked for at growing
lengths; where that would take too many of them, the tree's own rounds make up what is missing.

References
----------
.. [1] Horton, J. D., A polynomial-time algorithm to find the shortest cycle basis of a graph,
   SIAM J. Comput. 16 (1987) (from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy import sparse

from kit.readings.closure import spanning_tree

Edges = Sequence[tuple[int, int]]

#: Lengths up to which rounds are looked for, one after the other.
LENGTHS = (4, 8, 16)

#: Rounds that are looked at, to bound time and memory.
MOST_CANDIDATES = 60_000


@dataclass(frozen=True)
class Cycle:
    """A round: its nodes in order, the first once, and the edges from each to the next."""

    nodes: tuple[int, ...]
    edges: tuple[int, ...]


def cycle_basis(count: int, edges: Edges, roots: Iterable[int] | None = None) -> list[Cycle]:
    """Return a basis of the cycles of a graph, the shortest first.

    Parameters
    ----------
    count : int
        Nodes of the graph, which may fall into parts.
    edges : sequence of (int, int)
        What each edge joins; no two join the same nodes, none a node to itself.
    roots : iterable of int, optional
        Nodes of which every cycle has one; all unless given.

    Returns
    -------
    list of Cycle
        Edges less nodes plus parts of them, independent of each other. A minimum basis where it
        is found among 60,000 candidates of up to 16 edges.
    """
    net = _Net.of(count, edges)
    basis = _Basis(net.rank)
    starts = list(range(count) if roots is None else roots)
    for longest in LENGTHS:
        found = net.candidates(starts, longest)
        basis.take(found)
        if basis.full or len(found) >= MOST_CANDIDATES:
            break
    if not basis.full:
        basis.take(net.tree_cycles())
    cycles = [net.ordered(mask) for mask in basis.chosen]
    return sorted(cycles, key=lambda cycle: (len(cycle.edges), cycle.nodes))


@dataclass(frozen=True, eq=False)
class _Net:
    edges: Edges
    near: tuple[tuple[tuple[int, int], ...], ...]
    parts: int

    @classmethod
    def of(cls, count: int, edges: Edges) -> _Net:
        near: list[list[tuple[int, int]]] = [[] for _ in range(count)]
        for number, (one, other) in enumerate(edges):
            near[one].append((other, number))
            near[other].append((one, number))
        ends = np.array(edges, dtype=np.int64).reshape(-1, 2)
        graph = sparse.coo_array((np.ones(len(ends)), (ends[:, 0], ends[:, 1])), (count, count))
        parts = int(sparse.csgraph.connected_components(graph.tocsr(), directed=False)[0])
        return cls(edges, tuple(map(tuple, near)), parts)

    @property
    def rank(self) -> int:
        return len(self.edges) - len(self.near) + self.parts

    def candidates(self, roots: Iterable[int], longest: int) -> list[int]:
        """Return the rounds of up to so many edges that trees from the roots close, as masks."""
        found: dict[int, None] = {}
        for root in roots:
            for mask in self._from(root, longest):
                found[mask] = None
            if len(found) >= MOST_CANDIDATES:
                break
        return sorted(found, key=lambda mask: (mask.bit_count(), mask))

    def _from(self, root: int, longest: int) -> Iterator[int]:
        """Yield the rounds that one more edge closes with the breadth-first tree from a root."""
        depth, path, queue = {root: 0}, {root: 0}, [root]
        for node in queue:
            for other, edge in self.near[node]:
                if other not in depth:
                    if 2 * depth[node] + 2 <= longest:
                        depth[other], path[other] = depth[node] + 1, path[node] | 1 << edge
                        queue.append(other)
                elif not (path[node] | path[other]) >> edge & 1:
                    mask: int = path[node] ^ path[other] ^ 1 << edge
                    if mask.bit_count() <= longest:
                        yield mask

    def tree_cycles(self) -> list[int]:
        """Return the rounds that a spanning tree and one more edge close, as masks."""
        ends = np.array(self.edges, dtype=np.int64).reshape(-1, 2)
        before, depth = spanning_tree(len(self.near), ends[:, 0], ends[:, 1])
        number = {frozenset(edge): i for i, edge in enumerate(self.edges)}
        path = [0] * len(before)
        for node in np.argsort(depth, kind="stable").tolist():
            if before[node] >= 0:
                edge = number[frozenset((node, before[node]))]
                path[node] = path[before[node]] | 1 << edge
        masks = [path[a] ^ path[b] ^ 1 << i for i, (a, b) in enumerate(self.edges)]
        return sorted((mask for mask in masks if mask), key=lambda mask: mask.bit_count())

    def ordered(self, mask: int) -> Cycle:
        """Return a round in the order in which it is gone, from its lowest node."""
        inside = list(_bits(mask))
        beside: dict[int, list[tuple[int, int]]] = {}
        for number in inside:
            one, other = self.edges[number]
            beside.setdefault(one, []).append((other, number))
            beside.setdefault(other, []).append((one, number))
        nodes, gone = [min(beside)], [-1]
        while len(nodes) <= len(inside):
            other, edge = min(step for step in beside[nodes[-1]] if step[1] != gone[-1])
            nodes.append(other)
            gone.append(edge)
        return Cycle(tuple(nodes[:-1]), tuple(gone[1:]))


def _bits(mask: int) -> Iterator[int]:
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


@dataclass
class _Basis:
    """Independent rounds, chosen one after the other: sums of rounds are taken modulo 2."""

    size: int
    chosen: list[int] = field(default_factory=list)
    reduced: dict[int, int] = field(default_factory=dict)

    @property
    def full(self) -> bool:
        return len(self.chosen) == self.size

    def take(self, masks: Iterable[int]) -> None:
        """Choose those of the rounds, in their order, that are no sum of chosen ones."""
        for mask in masks:
            if self.full:
                return
            left = mask
            while left and (top := left.bit_length()) in self.reduced:
                left ^= self.reduced[top]
            if left:
                self.reduced[left.bit_length()] = left
                self.chosen.append(mask)
