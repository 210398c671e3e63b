"""Crates filled in order: never too heavy, never one too many."""

import numpy as np
import pytest

from kit.job import Refusal
from kit.work_order import fill_crates


def fewest(mass, most):
    """Return the least number of crates by trying every way to part the row."""
    best = len(mass)
    for cuts in range(2 ** (len(mass) - 1)):
        parts = np.split(mass, [i + 1 for i in range(len(mass) - 1) if cuts >> i & 1])
        if all(part.sum() <= most for part in parts):
            best = min(best, len(parts))
    return best


@pytest.mark.parametrize("seed", range(20))
def test_fewest_of_all_ways_to_part_the_row(seed):
    draw = np.random.default_rng(seed)
    mass = draw.integers(1, 40, 9) / 8  # eighths add up without rounding
    names = [f"B{i}" for i in range(9)]
    crates = fill_crates(names, mass.tolist(), 8.0)
    assert list(crates) == sorted(crates)
    for crate in set(crates):
        assert mass[np.array(crates) == crate].sum() <= 8.0
    assert max(crates) == fewest(mass, 8.0)


def test_a_crate_is_filled_to_its_limit():
    assert fill_crates(["B1", "B2", "B3"], [4.0, 8.0, 0.5], 12.0) == (1, 1, 2)


def test_a_stack_heavier_than_a_crate_is_refused_by_name():
    with pytest.raises(Refusal, match=r"stock\.crate_kg.*13\.5.*stack F7"):
        fill_crates(["B1", "F7"], [1.0, 13.5], 12.0)
