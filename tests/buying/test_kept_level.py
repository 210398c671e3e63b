"""Stacks at the planned level: found at once, and those of the method to the last packer."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kit.buying.kept_level import KeptLevel
from kit.job import Packer
from kit.methods import Lie, method_of
from kit.methods.drawn import draw_floors
from kit.parts import Answer
from kit.side_by_side.doubt import well_stocked


def by_the_method(answer: Answer, lie: Lie) -> tuple[tuple[int, ...], ...]:
    job, base = well_stocked(answer.job, answer.base)
    height = answer.datum.base_top_mm - lie.high_point_mm
    kept = base.model_copy(update={"height_mm": (height, height)})
    return method_of(base).set_level(job, kept, answer.ground, lie).plan.stacks


def level_of(answer: Answer) -> KeptLevel:
    return KeptLevel.of(*well_stocked(answer.job, answer.base), answer)


@pytest.mark.parametrize(
    ("name", "base"),
    [("reading-room", "bearers on packers"), ("reading-room", "stacks without bearers"),
     ("boot-room", "thicker bearers, wider spans")],
)  # fmt: skip
def test_stack_by_stack_what_the_method_chooses(answer_of, name: str, base: str) -> None:
    answer = answer_of(name, base)
    level = level_of(answer)
    for lie in draw_floors((answer,), 60, 5).lies(answer.ground):
        assert level.stacks(lie) == by_the_method(answer, lie)


def test_with_a_lifted_front_and_kinds_alike_too(alone) -> None:
    """Of two kinds equally thick the first that there is is taken; the front stands 1.7 mm up."""
    kinds = (Packer(mm=1.3), Packer(mm=4.0, count=0), Packer(mm=4.0), Packer(mm=4.0),
             Packer(mm=9.0, measured_mm=8.7))  # fmt: skip
    answer = alone(*kinds, height=50.0, front_lift_mm=1.7)
    level = level_of(answer)
    used = set()
    for lie in draw_floors((answer,), 60, 5).lies(answer.ground):
        assert level.stacks(lie) == by_the_method(answer, lie)
        used |= {kind for stack in level.stacks(lie) for kind in stack}
    assert used == {0, 2, 4}


def test_at_a_limit_the_method_is_asked(alone) -> None:
    """One stack exactly between two heights that packers of 1 mm make, or 5e-10 mm off it."""
    answer = alone(Packer(mm=1.0), height=31.5)
    level, floor = level_of(answer), answer.ground.supports["floor_mm"].to_numpy(float, copy=True)
    lie = Lie.drawn(floor.copy(), answer.ground.known["height_mm"].to_numpy(float))
    for off, asked in ((0.0, True), (5e-10, True), (1e-4, False)):
        floor[2] = answer.datum.datum_mm - 12.5 + off
        assert (level.stacks(replace(lie, supports_mm=floor)) == ()) is asked


def test_a_floor_too_high_or_out_of_reach_is_left_to_the_method(alone) -> None:
    answer = alone(Packer(mm=1.0), height=31.5)
    level, supports = level_of(answer), answer.ground.supports["floor_mm"].to_numpy(float)
    under = answer.ground.known["height_mm"].to_numpy(float)
    up = answer.datum.datum_mm - answer.base.minimum_pack_mm - float(under.max())
    assert level.stacks(Lie.drawn(supports, under + up - 0.01))
    assert level.stacks(Lie.drawn(supports, under + up + 0.01)) == ()
    assert level.stacks(Lie.drawn(supports - 40.0, under)) == ()  # more than 20 packers
    assert np.isfinite(up)
