"""The joists under compound: they carry it, and what they give while it is wet does not show."""

import math
from collections.abc import Callable

import numpy as np
import pytest

import kit
from kit.base.layout import GRAVITY_N_PER_KG
from kit.base.pour_zones import pour_zones
from kit.job import Base, Job
from kit.parts import Answer
from kit.strength.carry import press_on_joists
from kit.strength.direct import loads_apart
from kit.strength.joists import JoistWork, Pressed


def joists_of(answer: Answer) -> JoistWork:
    assert isinstance(answer.ground.joists, JoistWork)
    return answer.ground.joists


def test_the_joists_carry_the_compound(
    poured: Answer, pour_of: Callable[..., Base], job_with: Callable[..., Job]
) -> None:
    heavy = kit.solve(job_with("reading-room", pour_of({"set_kg_per_l": 4.0})))
    for answer in (poured, heavy):
        carried = [part for joist in joists_of(answer).joists for part in joist.carries]
        own = [part.force_n for part in carried if part.support.startswith("compound ")]
        weight = answer.bill.mass_kg * GRAVITY_N_PER_KG
        assert math.fsum(own) == pytest.approx(weight, rel=1e-9)  # round-off
    lighter, heavier = joists_of(poured), joists_of(heavy)
    for one, other in zip(lighter.joists, heavier.joists, strict=True):
        assert other.greatest_final_mm > one.greatest_final_mm
        assert other.bending.ratio > one.bending.ratio


def test_what_the_joists_give_under_the_wet_compound_does_not_show_in_its_top(
    poured: Answer,
) -> None:
    job, layout, supports = poured.job, poured.layout, poured.supports
    apart = loads_apart(layout)
    units = press_on_joists(job, apart, supports)
    # The compound once more, here as one weight at each place of the grid.
    x, y, floor = (poured.under[c].to_numpy() for c in ("x_mm", "y_mm", "height_mm"))
    assert poured.base.compound
    zones = pour_zones(job, poured.base.compound)
    weights = np.concatenate([zone.weights_mm2() for zone in zones])
    force = weights * (poured.datum.datum_mm - floor) * 2e-6 * GRAVITY_N_PER_KG
    every = [
        Pressed(f"{n}", "C", float(a), float(b), float(f), run="A")
        for n, (a, b, f) in enumerate(zip(x, y, force, strict=True))
    ]
    both = press_on_joists(job, apart, supports, every)
    assert isinstance(units, JoistWork)
    assert isinstance(both, JoistWork)
    seen = joists_of(poured)
    assert set(seen.stacks) == set(supports["support"])
    for name, stack in seen.stacks.items():
        assert stack.inst_mm == units.stacks[name].inst_mm
        at_once = both.stacks[name].inst_mm - stack.inst_mm
        assert at_once > 0
        # EN 1995-1-1 table 3.2, solid timber, service class 1: kdef = 0.6. Parts of 300 mm sag
        # like the places of the grid to 3 %: the lever between joists, and sag bends little.
        crept = stack.final_mm - units.stacks[name].final_mm
        assert crept == pytest.approx(0.6 * at_once, rel=0.01, abs=1e-5)
    for row in seen.settlements[0].back, seen.settlements[0].front:
        of_row = [s.inst_mm for s in units.stacks.values() if s.row == row.row]
        assert row.mean_inst_mm == pytest.approx(sum(of_row) / len(of_row), rel=1e-12)


def test_joists_are_told_of_compound_by_one_word(poured: Answer) -> None:
    seen = joists_of(poured)
    assert seen.before_first == ("B1", "F1", "compound")
    assert seen.off_joist[0] in set(poured.supports["support"])
