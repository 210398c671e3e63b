"""What a base takes on drawn floors, against brute force and against the method itself."""

from __future__ import annotations

from collections import Counter
from itertools import combinations_with_replacement

import numpy as np
import pytest

from kit.base.screws import StackAt, choose_screws
from kit.buying.floors import demand
from kit.buying.things import counted, key_of
from kit.job import Packer
from kit.methods import method_of
from kit.methods.drawn import draw_floors
from kit.side_by_side.doubt import well_stocked

SEED = 11


def best_stack(target: float, thicknesses: list[float], most: int, off: float) -> tuple[float, ...]:
    """Fewest packers within the tolerance, then the nearest, by trying all."""
    for pieces in range(1, most + 1):
        every = combinations_with_replacement(sorted(thicknesses, reverse=True), pieces)
        near = [(abs(sum(s) - target), s) for s in every if abs(sum(s) - target) <= off + 1e-9]
        if near:
            return min(near)[1]
    raise AssertionError(f"no stack for {target}")


def test_the_bill_of_one_floor_against_all_stacks_that_there_are(alone) -> None:
    """Brute force over the floor itself: heights, packers and screws, support by support."""
    kinds = (Packer(mm=1.3), Packer(mm=4.0), Packer(mm=9.0, measured_mm=8.7))
    answer = alone(*kinds, height=50.0)
    found = demand(answer, 5, SEED)
    base, supports = answer.base, answer.ground.supports
    lies = list(draw_floors((answer,), 5, SEED).lies(answer.ground))
    measured = {one.thickness_mm: one.mm for one in kinds}
    for number in (0, 3):
        taken: Counter[tuple[str, float]] = Counter()
        targets = answer.datum.datum_mm - lies[number].supports_mm
        for at, target in enumerate(targets.tolist()):
            stack = best_stack(target, list(measured), base.max_pieces, base.tolerance_mm)
            taken.update(("packer", measured[one]) for one in stack)
            laid = stack[:1] + stack[2:] + stack[1:2]
            here = supports.iloc[at]
            one = StackAt(here["support"], float(here["x_mm"]), float(here["y_mm"]), laid)
            screws = choose_screws(
                answer.job.floor, answer.job.stock, base.bearer.thickness_mm, [one],
                answer.job.services, answer.job.no_go,
            )  # fmt: skip
            taken.update(("screw", size) for size in screws["length_mm"].dropna().tolist())
        counts = dict(zip(found.things, found.counts[number].tolist(), strict=True))
        hanging = {
            (thing.item, thing.size_mm): count
            for thing, count in counts.items()
            if thing.item in ("packer", "screw") and count
        }
        assert hanging == dict(taken)
        assert not found.moved[number]


@pytest.mark.parametrize(
    "base", ["bearers on packers", "screw feet", "ladder frame", "levelling compound",
             "stacks without bearers"],
)  # fmt: skip
def test_every_way_of_building_takes_what_it_takes_by_itself(answer_of, base: str) -> None:
    """Level and bill of the method on the same floors, the level kept where it can be."""
    answer = answer_of("reading-room", base)
    found = demand(answer, 6, SEED)
    job, ample = well_stocked(answer.job, answer.base)
    method, keys = method_of(ample), [key_of(thing) for thing in found.things]
    top = answer.datum.base_top_mm
    for number, lie in enumerate(draw_floors((answer,), 6, SEED).lies(answer.ground)):
        height = top - lie.high_point_mm
        height_mm = ample.height_range_mm if found.moved[number] else (height, height)
        kept = ample.model_copy(update={"height_mm": height_mm})
        datum = method.set_level(job, kept, answer.ground, lie)
        if not found.moved[number]:
            assert datum.base_top_mm == pytest.approx(top, abs=1e-6)  # a trifle of a micrometre
        bill = method.bill(job, kept, answer.ground, lie, datum, answer.screws)
        expected = counted(one for one in bill.items if one.item != "screw")
        for key, count in zip(keys, found.counts[number].tolist(), strict=True):
            if key[0] != "screw":
                assert count == expected[key], (number, key)


def test_on_the_expected_floor_it_takes_what_the_plan_takes(reading_room) -> None:
    """The plan's own counts are those of the bill, thing by thing."""
    found = demand(reading_room, 1, SEED)
    planned = {key_of(one): one.count for one in reading_room.bill.items}
    named = {key_of(one): count for one, count in zip(found.things, found.plan, strict=True)}
    assert {key: count for key, count in named.items() if count} == planned


def test_where_the_level_cannot_stay_it_is_set_anew(answer_of) -> None:
    """Compound lies as low as it may: wherever the floor's high point is higher, it must rise."""
    answer = answer_of("reading-room", "levelling compound")
    found = demand(answer, 200, SEED)
    lies = draw_floors((answer,), 200, SEED).lies(answer.ground)
    least = answer.base.compound.least_mm
    top = answer.datum.base_top_mm
    expected = [lie.high_point_mm + least > top + 1e-9 for lie in lies]
    assert found.moved.tolist() == expected
    assert 0.1 < np.mean(expected) < 0.9


def test_progress_is_told_to_the_end(reading_room) -> None:
    told: list[tuple[int, int]] = []
    demand(reading_room, 120, SEED, lambda done, of: told.append((done, of)))
    assert told[0] == (0, 120)
    assert told[-1] == (120, 120)
    assert [done for done, _ in told] == sorted(done for done, _ in told)
