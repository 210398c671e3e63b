"""The basis of rounds against brute force: all bases of a small net, ranks, and SciPy's paths."""

from itertools import combinations

import numpy as np
import pytest
from scipy import sparse

from kit.readings import cycles as module
from kit.readings.cycles import cycle_basis


def random_net(seed: int, nodes: int, edges: int) -> list[tuple[int, int]]:
    rng = np.random.default_rng(seed)
    pairs = list(combinations(range(nodes), 2))
    return [pairs[i] for i in rng.permutation(len(pairs))[:edges]]


def incidence(found: list[module.Cycle], edges: int) -> np.ndarray:
    table = np.zeros((len(found), edges), dtype=int)
    for row, cycle in enumerate(found):
        table[row, list(cycle.edges)] = 1
    return table


def rank_modulo_2(table: np.ndarray) -> int:
    left, rank = table.copy() % 2, 0
    for column in range(left.shape[1]):
        rows = np.flatnonzero(left[rank:, column]) + rank
        if not len(rows):
            continue
        left[[rank, rows[0]]] = left[[rows[0], rank]]
        others = np.flatnonzero(left[:, column])
        left[others[others != rank]] ^= left[rank]
        rank += 1
    return rank


def every_cycle(nodes: int, edges: list[tuple[int, int]]) -> list[tuple[int, ...]]:
    """Return all sets of edges of which every node has two or none and that hang together."""
    found = []
    for size in range(3, nodes + 1):
        for chosen in combinations(range(len(edges)), size):
            ends = [node for number in chosen for node in edges[number]]
            used = sorted(set(ends))
            if len(used) != size or any(ends.count(node) != 2 for node in used):
                continue
            rows = [used.index(edges[n][0]) for n in chosen]
            columns = [used.index(edges[n][1]) for n in chosen]
            graph = sparse.coo_array((np.ones(size), (rows, columns)), shape=(size, size))
            if sparse.csgraph.connected_components(graph, directed=False)[0] == 1:
                found.append(chosen)
    return found


def least_total(nodes: int, edges: list[tuple[int, int]], rank: int) -> int:
    """Return the length of a minimum basis, greedily from all cycles: a matroid."""
    chosen = np.zeros((0, len(edges)), dtype=int)
    for cycle in sorted(every_cycle(nodes, edges), key=len):
        row = np.zeros((1, len(edges)), dtype=int)
        row[0, list(cycle)] = 1
        more = np.vstack([chosen, row])
        chosen = more if rank_modulo_2(more) == len(more) else chosen
    assert len(chosen) == rank
    return int(chosen.sum())


@pytest.mark.parametrize("seed", range(8))
def test_the_basis_is_a_shortest_one(seed: int) -> None:
    nodes, edges = 7, random_net(seed, 7, 12)
    found = cycle_basis(nodes, edges)
    assert rank_modulo_2(incidence(found, len(edges))) == len(found)
    assert sum(len(cycle.edges) for cycle in found) == least_total(nodes, edges, len(found))


@pytest.mark.parametrize("seed", range(5))
def test_every_round_closes_and_none_is_a_sum_of_others(seed: int) -> None:
    nodes, edges = 60, random_net(seed, 60, 75)
    found = cycle_basis(nodes, edges)
    graph = sparse.coo_array((np.ones(75), tuple(np.array(edges).T)), shape=(nodes, nodes))
    parts = sparse.csgraph.connected_components(graph, directed=False)[0]
    assert len(found) == 75 - nodes + parts
    assert rank_modulo_2(incidence(found, 75)) == len(found)
    for cycle in found:
        assert len(set(cycle.nodes)) == len(cycle.nodes) == len(cycle.edges)
        onward = (*cycle.nodes[1:], cycle.nodes[0])
        for one, other, edge in zip(cycle.nodes, onward, cycle.edges, strict=True):
            assert set(edges[edge]) == {one, other}


def test_a_grid_falls_into_its_meshes() -> None:
    wide, deep = 9, 6
    edges = [(y * wide + x, y * wide + x + 1) for y in range(deep) for x in range(wide - 1)]
    edges += [(y * wide + x, (y + 1) * wide + x) for y in range(deep - 1) for x in range(wide)]
    found = cycle_basis(wide * deep, edges)
    assert [len(cycle.edges) for cycle in found] == [4] * ((wide - 1) * (deep - 1))


def test_where_candidates_run_out_the_tree_makes_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "MOST_CANDIDATES", 1)
    edges = [*((i, (i + 1) % 40) for i in range(40)), (0, 2), (5, 7), (11, 30)]
    found = cycle_basis(40, edges)
    assert rank_modulo_2(incidence(found, len(edges))) == len(found) == 4
    assert [len(cycle.edges) for cycle in found[:2]] == [3, 3]


def test_a_tree_has_no_round() -> None:
    assert cycle_basis(5, [(0, 1), (1, 2), (1, 3), (3, 4)]) == []
