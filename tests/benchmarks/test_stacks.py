"""How long the exact stacks take, against the straight formulation in the same run.

Not part of the normal tests; run with
``python -m pytest -o addopts="" --import-mode=importlib tests/benchmarks/test_stacks.py -s``.
"""

from __future__ import annotations

from time import perf_counter

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array, eye_array, hstack, kron

from kit.base.stacks import PackerKind, StackPlan, StackRules, optimise_stacks

RULES = StackRules(0.5, 9, 100.0, 3.0)
THICK = (1.0, 3.0, 6.0, 18.0)
PEER_SECONDS = 30.0


def floor_mm(supports: int, seed: int) -> np.ndarray:
    return np.random.default_rng(seed).uniform(-25, 0, supports).round(2)


def solve(
    floor: np.ndarray, low: float, high: float, counts: tuple[int | None, ...] = (None,) * 4
) -> StackPlan:
    packers = [PackerKind(t, t, n) for t, n in zip(THICK, counts, strict=True)]
    site = [f"B{i + 1}" for i in range(len(floor))]
    return optimise_stacks(site, floor, np.zeros(len(floor)), low, high, packers, RULES)


def straight(floor: np.ndarray, low: float, high: float):  # type: ignore[no-untyped-def]
    """scipy.optimize.milp: a whole count for each support and thickness, one free datum."""
    n, k = len(floor), len(THICK)
    sums = csr_array(kron(eye_array(n), np.array([THICK])))
    number = csr_array(kron(eye_array(n), np.ones((1, k))))
    datum = np.ones((n, 1))
    rows = [
        LinearConstraint(hstack([sums, -datum]), -floor - 0.5, -floor + 0.5),
        LinearConstraint(hstack([sums, 0 * datum]), RULES.minimum_pack_mm, RULES.max_stack_mm),
        LinearConstraint(hstack([number, 0 * datum]), 1, RULES.max_pieces),
    ]
    whole = np.append(np.ones(n * k), 0)
    bounds = Bounds(np.append(np.zeros(n * k), low), np.append(np.full(n * k, 9.0), high))
    options = {"time_limit": PEER_SECONDS, "mip_rel_gap": 0.0}
    return milp(whole, constraints=rows, integrality=whole, bounds=bounds, options=options)


def test_200_supports_with_a_free_datum(benchmark):
    floor = floor_mm(200, 1)
    plan = benchmark(solve, floor, 40.0, 60.0)
    assert plan.proven
    assert benchmark.stats.stats.median < 1.0  # asked for; 0.1 s aimed at


def test_200_supports_by_the_straight_formulation():
    few = floor_mm(5, 1)
    assert round(straight(few, 40.0, 60.0).fun) == solve(few, 40.0, 60.0).pieces
    floor = floor_mm(200, 1)
    start = perf_counter()
    plan = solve(floor, 40.0, 60.0)
    own = perf_counter() - start
    found = straight(floor, 40.0, 60.0)
    print(
        f"\nown: {plan.pieces} packers proven in {own:.3f} s; straight formulation after"
        f" {PEER_SECONDS:.0f} s: best {found.fun}, bound {found.mip_dual_bound},"
        f" gap {found.mip_gap}"
    )
    assert found.status == 1  # still open when its time ran out
    assert found.fun is None or found.fun >= plan.pieces - 1e-6  # its own tolerance
    assert own * 30 < PEER_SECONDS


def test_20_supports_again_with_another_window(benchmark):
    floor = floor_mm(20, 2)
    solve(floor, 40.0, 60.0)
    plan = benchmark(solve, floor, 41.0, 63.0)
    assert plan.proven
    assert benchmark.stats.stats.median < 0.02  # a few milliseconds, with room for a busy machine


@pytest.mark.parametrize("seed", [0, 1, 2, 3, 4])
def test_40_supports_out_of_a_limited_stock(seed):
    floor = floor_mm(40, seed)
    free = solve(floor, 12.0, 32.0)
    use = np.bincount([i for stack in free.stacks for i in stack], minlength=4)
    counts = (int(use[0] * 1.3), 60, int(use[2] * 1.3), int(use[3] * 0.8))
    start = perf_counter()
    plan = solve(floor, 12.0, 32.0, counts)
    own = perf_counter() - start
    print(f"\nstock {counts}: {free.pieces} -> {plan.pieces} packers, proven in {own:.2f} s")
    assert plan.proven
    assert plan.pieces > free.pieces  # the stock limits
    assert own < 5.0
