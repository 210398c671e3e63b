"""The stacks that are counted are those that are built, and never fall as the level rises."""

import numpy as np
import pytest

from kit.base.stack_rules import PackerKind, StackRules, to_mm, to_units
from kit.base.stacks import optimise_stacks
from kit.base.sums import UNREACHABLE
from kit.job import Refusal
from kit.levels.packing import Packing

STOCKS = {
    "whole millimetres": ([1.0, 3.0, 6.0, 18.0], 0.5),
    "ties halfway": ([2.0, 3.0, 9.0, 10.0], 1.0),
    "measured": ([1.05, 2.95, 6.1], 0.3),
}


@pytest.mark.parametrize("stock", STOCKS)
def test_heights_are_those_of_the_stacks_built(stock) -> None:
    thicknesses, tolerance = STOCKS[stock]
    kinds = tuple(PackerKind(each, each) for each in thicknesses)
    rules = StackRules(tolerance, 4, 40.0, 3.0)
    packing = Packing.of(kinds, rules)
    targets = np.round(np.linspace(2, 42, 321), 3)
    heights = packing.heights(to_units(targets))
    pieces = packing.pieces(to_units(targets))
    assert (heights > 0).sum() > 60
    for target, height, count in zip(targets, heights, pieces, strict=True):
        if count >= UNREACHABLE:
            assert height == 0
            continue
        plan = optimise_stacks(["B1"], [0.0], [0.0], target, target, kinds, rules)
        built = sum(thicknesses[kind] for kind in plan.stacks[0])
        assert to_mm(height) == pytest.approx(built, abs=1e-9)
        assert plan.pieces == count
    met = heights[heights > 0]
    assert (np.diff(met) >= 0).all()
    assert (met % packing.grain == 0).all()


def test_what_cannot_be_counted_exactly_is_refused() -> None:
    kinds = (PackerKind(1.000000000001, 1.0), PackerKind(3.0, 3.0))
    packing = Packing.of(kinds, StackRules(0.5, 4, 40.0, 3.0))
    packing.refuse_inexact(200)
    with pytest.raises(Refusal, match=r"0\.0001 mm or coarser"):
        packing.refuse_inexact(400)
    with pytest.raises(Refusal, match="no packer in stock"):
        Packing.of((PackerKind(3.0, 3.0, 0),), StackRules(0.5, 4, 40.0, 3.0))
