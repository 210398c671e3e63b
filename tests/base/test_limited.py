"""Stacks out of a limited stock, against enumeration and against integer programmes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.base.stacks import PackerKind, StackPlan, StackRules, optimise_stacks
from kit.job.refusal import Refusal

CLOSED = 1e-9  # the allowance for round-off that the rules themselves state
SAME_MM = 2e-8  # twenty allowances: the enumeration adds floats in another order

Listed = tuple[float, ...]


def names(count: int) -> list[str]:
    return [f"F{i + 1}" for i in range(count)]


def kinds(stock: dict[float, int | None]) -> list[PackerKind]:
    return [PackerKind(t, t, count) for t, count in stock.items()]


def listed(plan: StackPlan, packers: Sequence[PackerKind]) -> list[Listed]:
    return [
        tuple(sorted((packers[i].thickness_mm for i in stack), reverse=True))
        for stack in plan.stacks
    ]


def used(plan: StackPlan) -> Counter[int]:
    return Counter(i for stack in plan.stacks for i in stack)


def all_stacks(stock: dict[float, int | None], rules: StackRules) -> list[Listed]:
    """Every list of packers that the rules allow, thickest first."""
    found = []
    for counts in product(range(rules.max_pieces + 1), repeat=len(stock)):
        stack = tuple(t for t, c in zip(stock, counts, strict=True) for _ in range(c))
        height = sum(stack)
        fits = rules.minimum_pack_mm - CLOSED <= height <= rules.max_stack_mm + CLOSED
        if 1 <= len(stack) <= rules.max_pieces and fits:
            found.append(tuple(sorted(stack, reverse=True)))
    return found


def enough(stacks: Sequence[Listed], stock: dict[float, int | None]) -> bool:
    need = Counter(t for stack in stacks for t in stack)
    return all(stock[t] is None or n <= (stock[t] or 0) for t, n in need.items())


def enumerate_all(
    floor: Sequence[float], low: float, high: float, stock: dict[float, int | None], rules: StackRules
) -> tuple[int, float, float, tuple[Listed, ...]] | None:
    """Every candidate datum, every choice of stacks at all supports together."""
    options = all_stacks(stock, rules)
    shifts = (-rules.tolerance_mm, 0.0, rules.tolerance_mm)
    data = {low, high} | {f + sum(o) + d for f in floor for o in options for d in shifts}
    best: tuple[int, float, float, tuple[Listed, ...]] | None = None
    for datum in sorted(d for d in data if low <= d <= high):
        near = [
            [o for o in options if abs(sum(o) - (datum - f)) <= rules.tolerance_mm + CLOSED]
            for f in floor
        ]
        for choice in product(*near):
            if not enough(choice, stock):
                continue
            pieces = sum(map(len, choice))
            error = sum(abs(sum(o) - (datum - f)) for o, f in zip(choice, floor, strict=True))
            if best is None or _before(pieces, error, datum, choice, best):
                best = (pieces, error, datum, choice)
    return best


def _before(pieces, error, datum, choice, best):  # type: ignore[no-untyped-def]
    if pieces != best[0]:
        return pieces < best[0]
    if abs(error - best[1]) > CLOSED:
        return error < best[1]
    return abs(datum - best[2]) <= CLOSED and choice > best[3]


hundredths = st.integers(-1200, 0).map(lambda k: k / 100)
stocks = st.dictionaries(
    st.sampled_from([1.0, 1.02, 2.0, 2.97, 3.0, 5.95, 6.0, 9.0, 17.8]),
    st.one_of(st.none(), st.integers(0, 5)),
    min_size=1,
    max_size=3,
)


@settings(max_examples=150, deadline=None)
@given(
    floor=st.lists(hundredths, min_size=1, max_size=3),
    stock=stocks,
    low=st.integers(200, 1800).map(lambda k: k / 100),
    width=st.sampled_from([0.0, 0.35, 2.0, 5.5]),
    tolerance=st.sampled_from([0.0, 0.01, 0.5, 1.25]),
    max_pieces=st.integers(2, 4),
)
def test_small_cases_agree_with_enumeration(floor, stock, low, width, tolerance, max_pieces):
    rules, packers, site = StackRules(tolerance, max_pieces, 32.5, 1.0), kinds(stock), names(len(floor))
    expected = enumerate_all(floor, low, low + width, stock, rules)
    zero = np.zeros(len(floor))
    if expected is None:
        with pytest.raises(Refusal):
            optimise_stacks(site, floor, zero, low, low + width, packers, rules)
        return
    plan = optimise_stacks(site, floor, zero, low, low + width, packers, rules)
    assert plan.proven
    assert plan.pieces == expected[0]
    assert plan.total_error_mm == pytest.approx(expected[1], abs=SAME_MM)
    assert plan.datum_mm == pytest.approx(expected[2], abs=SAME_MM)
    assert listed(plan, packers) == list(expected[3])
    assert any(a - CLOSED <= plan.datum_mm <= b + CLOSED for a, b in plan.feasible)
