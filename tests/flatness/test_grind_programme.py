"""The programme's own parts: its bound, its groups, its progress."""

import numpy as np
import pytest

from kit.flatness.grind_chords import beyond, both_ways
from kit.flatness.grind_programme import CLOSE_MM, Bounds, least_change, proven_bound


def bounds_of(size, fill=np.inf, grind=np.inf, weight=1.0):
    return Bounds(np.full(size, fill), np.full(size, grind), weight)


@pytest.mark.parametrize("bounds", [bounds_of(63, weight=1.6), bounds_of(63, 4.0, 3.5)])
def test_no_prices_whatever_give_a_bound_above_the_least(bounds):
    generator = np.random.default_rng(17)
    height = generator.normal(0, 2, (7, 9))
    least = least_change(height, 4, 2.5, bounds, 60, None)
    weight = bounds.weigh(least.change_mm)
    assert least.worst_mm <= 2.5 + CLOSE_MM
    assert least.bound == pytest.approx(weight, rel=1e-9)  # the solver's prices are the best
    chords = beyond(both_ways(height, 4), 0.0)
    matrix = chords.matrix(63)
    room, best = 2.5 - matrix @ height.ravel(), 0.0
    for spread in (0.01, 0.1, 0.3, 1.0, 3.0):
        for _ in range(20):
            bound, felt = proven_bound(matrix, room, bounds, generator.normal(0, spread, len(room)))
            assert bound <= weight + 1e-9
            best = max(best, bound)
            endless = np.isinf(bounds.most_fill_mm)
            assert (felt[endless] >= -1.0 - 1e-9).all()
    assert best > 0  # not all of them say nothing


def test_faults_far_apart_are_as_if_each_were_alone():
    left, right = np.zeros((9, 30)), np.zeros((9, 30))
    left[2:4, 3:6] = [[5.0, 7.0, 4.0], [6.0, 9.0, 2.0]]
    right[5, 22:25] = [-8.0, -11.0, -6.0]
    alone = [least_change(one, 5, 1.0, bounds_of(270), 60, None).bound for one in (left, right)]
    both = least_change(left + right, 5, 1.0, bounds_of(270), 60, None)
    assert both.bound == pytest.approx(sum(alone), rel=1e-9)
    assert min(alone) > 1.0


def test_progress_grows_to_the_end():
    told = []
    height = np.random.default_rng(3).normal(0, 2, (8, 12))
    found = least_change(height, 5, 1.0, bounds_of(96), 60, told.append)
    assert told == sorted(told)
    assert (told[0], told[-1]) == (0.0, 1.0)
    assert len(told) == found.rounds + 1
    assert found.rounds > 2
