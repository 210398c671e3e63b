"""Work that is counted: the same end of a search on an idle machine and on a loaded one."""

from itertools import product
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint

import kit
from kit.base.effort import Effort, Solved, solve_programme


def knapsack(things: int, effort: Effort) -> Solved:
    """Choose things of most worth within five limits; hard to prove for many things."""
    rng = np.random.default_rng(3)
    weights = rng.integers(100, 1000, (5, things)).astype(float)
    worth = weights.sum(axis=0) + rng.integers(0, 50, things)
    return solve_programme(
        -worth,
        [LinearConstraint(weights, -np.inf, weights.sum(axis=1) / 2)],
        np.ones(things, dtype=np.int64),
        Bounds(0.0, 1.0),
        effort,
    )


def test_a_small_programme_is_proven_and_counted() -> None:
    effort = Effort(1e6)
    found = knapsack(11, effort)
    rng = np.random.default_rng(3)
    weights = rng.integers(100, 1000, (5, 11)).astype(float)
    worth = weights.sum(axis=0) + rng.integers(0, 50, 11)
    choices = np.array(list(product((0, 1), repeat=11)))
    fits = (choices @ weights.T <= weights.sum(axis=1) / 2).all(axis=1)
    # Worths are whole numbers below 6,000: exact to the solver's 1e-6.
    assert found.cost == pytest.approx(-(choices[fits] @ worth).max(), abs=1e-4)
    assert found.proven
    assert 11 <= effort.done < effort.most


def test_steps_that_run_out_leave_a_bound_and_nothing_to_spend() -> None:
    effort = Effort(2_000.0)
    found = knapsack(60, effort)
    assert not found.proven
    assert found.bound < found.cost < 0
    assert (effort.spent, effort.left) == (True, 0.0)


def test_what_cannot_be_is_told() -> None:
    one = LinearConstraint(np.array([[1.0, 1.0]]), 3.0, 3.0)
    found = solve_programme(
        np.array([1.0, 2.0]), [one], np.ones(2, dtype=np.int64), Bounds(0.0, 1.0), Effort(100.0)
    )
    assert (len(found.amounts), found.bound, found.proven) == (0, np.inf, True)


def test_a_clock_is_nowhere_in_what_papers_are_made_of() -> None:
    """No search of a base may end by the time that it takes."""
    root = Path(kit.__file__).parent
    rooms = (
        "readings",
        "floor",
        "base",
        "strength",
        "methods",
        "buying",
        "as_built",
        "ink",
        "paper",
    )
    clocks = ("monotonic", "perf_counter", "time_limit", "process_time", "import time")
    found = [
        (path.name, word)
        for room in rooms
        for path in (root / room).rglob("*.py")
        for word in clocks
        if word in path.read_text(encoding="utf-8")
    ]
    assert not found
