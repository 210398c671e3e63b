"""A short way: against every order there is, and against the bound."""

from itertools import permutations

import numpy as np
import pytest
from scipy.sparse.csgraph import minimum_spanning_tree

from kit.job import Refusal
from kit.work_order.walk import _spanning_tree, walk_through


def shortest(x, y, start):
    places = np.column_stack([x, y])
    best = np.inf
    for order in permutations(range(len(x))):
        way = np.vstack([[start], places[list(order)]])
        best = min(best, float(np.hypot(*np.diff(way, axis=0).T).sum()))
    return best


@pytest.mark.parametrize("seed", range(12))
def test_against_every_order(seed):
    draw = np.random.default_rng(seed)
    count = int(draw.integers(1, 8))
    x, y = draw.uniform(0, 24_000, count), draw.uniform(0, 16_000, count)
    start = (float(draw.uniform(0, 24_000)), -300.0)
    found, best = walk_through(x, y, start), shortest(x, y, start)
    assert sorted(found.order) == list(range(count))
    # The bound never lies above the shortest way, nor the way below it (1e-6: rounding of sums).
    assert found.bound_mm <= best + 1e-6
    assert best - 1e-6 <= found.length_mm <= 1.1 * best
    way = np.column_stack(
        [np.append(start[0], x[found.order]), np.append(start[1], y[found.order])]
    )
    assert found.length_mm == pytest.approx(float(np.hypot(*np.diff(way, axis=0).T).sum()))


def test_two_rows_along_a_wall_are_walked_in_zigzag_or_there_and_back():
    x = np.repeat(np.arange(0, 12_000, 500.0), 2)
    y = np.tile([70.0, 270.0], 24)
    found = walk_through(x, y, (0.0, 70.0))
    # Closed form: in zigzag 24 crossings of 200 mm and 23 steps of 500 mm; there and back is
    # 2 x 11,500 + 200 mm, longer.
    assert found.length_mm == pytest.approx(24 * 200 + 23 * 500)
    assert found.excess < 0.02


def test_hundreds_of_places_in_a_hall_are_proven_to_a_tenth():
    draw = np.random.default_rng(4)
    x, y = draw.uniform(0, 24_000, 200), draw.uniform(0, 16_000, 200)
    found = walk_through(x, y, (0.0, 8_000.0))
    # 2-opt and Or-opt end about 5 % above the optimum on random places (common experience); the
    # bound lies about 1 % under it.
    assert 0 <= found.excess < 0.12


def test_the_tree_is_that_of_scipy():
    draw = np.random.default_rng(9)
    x, y = draw.uniform(0, 900, 40), draw.uniform(0, 500, 40)
    apart = np.hypot(x[:, None] - x, y[:, None] - y)
    total, degree = _spanning_tree(apart)
    assert total == pytest.approx(float(minimum_spanning_tree(apart).sum()))
    assert degree.sum() == 2 * 39


def test_one_place_and_places_on_the_start():
    assert walk_through([300.0], [400.0], (0.0, 0.0)).length_mm == pytest.approx(500.0)
    still = walk_through([0.0, 0.0], [0.0, 0.0], (0.0, 0.0))
    assert (still.length_mm, still.excess) == (0.0, 0.0)
    with pytest.raises(Refusal, match="0 places"):
        walk_through([], [], (0.0, 0.0))


@pytest.mark.parametrize("start", [(np.nan, 0.0), (0.0, np.inf), (-np.inf, 3.0), (1e300, -1e300)])
def test_a_start_that_is_no_place_is_refused(start):
    with pytest.raises(Refusal, match=r"start of the walk \(--start\)"):
        walk_through([300.0, 100.0], [400.0, 50.0], start)
