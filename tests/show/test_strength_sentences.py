"""The sentences that a fitter reads first: few, each with its figure."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import kit
from kit.answer import Answer
from kit.job import Job
from kit.show.strength_sentences import strength_sentences
from kit.strength.bearers import Rocking
from kit.strength.joists import JoistWork

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture(scope="module")
def room() -> Answer:
    """Return the reading room, on joists."""
    return kit.solve(kit.read_job(DATA / "reading-room"))


def with_strength(answer: Answer, **changed: Any) -> Answer:
    return replace(answer, strength=replace(answer.strength, **changed))


def one_with(lines: list[str], words: str) -> str:
    (line,) = [line for line in lines if words in line]
    return line


def test_few_sentences_each_with_its_figure(room: Answer) -> None:
    lines = strength_sentences(room)
    assert 3 <= len(lines) <= 8
    assert all(any(letter.isdigit() for letter in line) for line in lines)
    assert all(line.endswith(".") for line in lines)
    assert lines[0] == "All 24 stacks carry with the units full."
    assert lines[1] == ("None of the 5 pieces of bearer rocks under a hand of 50 N on its ends.")
    checks = {(one.check, one.subject): one for one in room.strength.checks}
    sag = checks["bearer sag", "F: F4 to F5"]
    assert f"the worst sag is {sag.value:.2f} mm" in lines[2]
    assert f"within span/250, which is {sag.limit:.2f} mm" in lines[2]
    bending = max(
        (one for (check, _), one in checks.items() if check == "bearer bending"),
        key=lambda one: one.value,
    )
    where = bending.subject.replace(":", ",").rsplit(",", 1)[0]  # "B, piece 1"
    assert f"at most {bending.value:.2f} of a bearer's strength, in {where}" in lines[2]


def test_worst_joist_is_named_with_sag_and_use(room: Answer) -> None:
    work = room.strength.joists
    assert isinstance(work, JoistWork)
    line = one_with(strength_sentences(room), "sags most")
    assert line.startswith("The joist at x = 2550 mm sags most under the furniture: 0.94 mm")
    assert f"at most {work.joists[6].bending.ratio:.2f} of a joist's strength" in line
    assert "engineer" not in line
    joists = list(work.joists)
    joists[1] = replace(joists[1], shear=replace(joists[1].shear, ratio=1.3))
    beyond = with_strength(room, joists=replace(work, joists=tuple(joists)))
    line = one_with(strength_sentences(beyond), "sags most")
    assert line.endswith(
        "1.30 of a joist's strength is used, at x = 550 mm: ask a structural engineer."
    )


def test_joists_that_are_left_out_are_named(room: Answer) -> None:
    work = room.strength.joists
    assert isinstance(work, JoistWork)
    joists = list(work.joists)
    joists[8] = replace(joists[8], beyond=("B9",), greatest_final_mm=math.nan)
    lines = strength_sentences(with_strength(room, joists=replace(work, joists=tuple(joists))))
    assert one_with(lines, "Not worked out").endswith("joists at x = 3350 mm.")
    assert len(lines) == 8
    joists[0] = replace(joists[0], before=(("B1", 2900.0),))
    lines = strength_sentences(with_strength(room, joists=replace(work, joists=tuple(joists))))
    assert one_with(lines, "Not worked out") == (
        "Not worked out, with stacks beyond the outermost bearings: joists at x = 3350 mm; joist at"
        " x = 150 mm: B1 stands 2900 mm before the first joist."
    )
    assert len(lines) == 8


def test_without_joists_the_reason_is_said_once(answer: Answer) -> None:
    lines = strength_sentences(answer)
    assert one_with(lines, "a solid floor has none").startswith("The joists are not worked out")
    assert not any("settles" in line for line in lines)


def test_what_rocks_and_what_is_idle(room: Answer) -> None:
    laid = list(room.strength.laid)
    laid[0] = replace(laid[0], rocking=(Rocking("B4", "B1", "B9", 0.4, 0.75, (("B9", 0.7),)),))
    stacks = tuple(replace(one, idle_pieces=(), gap_mm=0.0) for one in room.strength.stacks)
    lines = strength_sentences(with_strength(room, laid=tuple(laid), stacks=stacks))
    assert lines[0] == "All 24 stacks carry with the units full."
    assert lines[1] == (
        "Bearer B, piece 1, rocks on B4: 0.40 mm over B1 or 0.75 mm over B9; shims as it lies:"
        " 0.70 mm at B9; or lower the middle."
    )
    alone = (*stacks[:-1], replace(stacks[-1], idle_pieces=(1,), gap_mm=0.001))
    assert strength_sentences(with_strength(room, stacks=alone))[0] == (
        "1 of 24 stacks carries nothing though the units are full: D4 just touches."
    )


def test_the_worst_lean_is_the_greatest_of_all_four(room: Answer) -> None:
    units = list(room.strength.units)
    settled = room.strength.settled
    found = max(one.lean_out_mm for one in settled.units)
    assert one_with(strength_sentences(room), "leans most") == (
        f"'low bookcase 1' leans most: its top goes {found:.2f} mm into the room, with lift and"
        " settlement."
    )
    units[2] = replace(units[2], lean_along_mm=-7.5)
    line = one_with(strength_sentences(with_strength(room, units=tuple(units))), "leans most")
    assert line == "'atlas case' leans most: its top goes 7.50 mm to the left."
    along = (*settled.units[:1], replace(settled.units[1], lean_along_mm=74.0), *settled.units[2:])
    answer = with_strength(room, units=tuple(units), settled=replace(settled, units=along))
    assert one_with(strength_sentences(answer), "leans most") == (
        "'low bookcase 2' leans most: its top goes 74.00 mm to the right, with settlement."
    )


def test_a_lift_counts_in_the_worst_lean_where_settlement_is_not_known(room: Answer) -> None:
    units, settled = room.strength.units, room.strength.settled
    nan = math.nan
    unknown = tuple(
        replace(one, lean_along_mm=nan, lean_out_mm=nan, wind_mm=nan) for one in settled.units
    )
    lifted = (replace(units[0], lean_out_mm=0.5, lifted_lean_mm=-45.75), *units[1:])
    answer = with_strength(room, units=lifted, settled=replace(settled, units=unknown))
    assert one_with(strength_sentences(answer), "leans most") == (
        "'low bookcase 1' leans most: its top goes 45.25 mm back to the wall, with the lift: what"
        " the floor or its joists give back is not known."
    )
    # Where it is known, it is in the heights already.
    line = one_with(strength_sentences(with_strength(room, units=lifted)), "leans most")
    assert "45" not in line


def test_what_is_fixed_to_the_wall(room: Answer) -> None:
    line = one_with(strength_sentences(room), "Fix to the wall")
    assert all(f"'{placed.unit.name}'" in line for placed in room.layout.units)
    push = room.strength.tippings[3].tips_empty_N
    assert line.endswith(
        "unfixed, 'low bookcase 3' empty tips at a push of 31 N, 1150 mm up; with a child of 27 kg"
        " on its front or a push of 44.5 N a unit's fixing must take up to"
        f" {math.ceil(44.5 - push)} N."
    )
    tippings = list(room.strength.tippings)
    tippings[1] = replace(tippings[1], tips_empty_N=0.0, fixing_N=63.2)
    line = one_with(
        strength_sentences(with_strength(room, tippings=tuple(tippings))), "Fix to the wall"
    )
    assert "'low bookcase 2' empty tips by itself" in line
    assert line.endswith("or a push of 44.5 N a unit's fixing must take up to 64 N.")
    assert line.startswith("Fix to the wall at the top before loading: 'low bookcase 2', 'low")
    heavy = tuple(replace(one, fixing_N=0.0) for one in tippings)
    line = one_with(strength_sentences(with_strength(room, tippings=heavy)), "Fix to the wall")
    assert line.endswith("'low bookcase 2' empty tips by itself.")


def test_whom_a_person_tips_is_said() -> None:
    lines = strength_sentences(kit.solve(kit.read_job(DATA / "boot-room")))
    assert lines[-1] == (
        "A person of 80 kg on the front edge tips 'B: bench': fix it to the wall, or set the front"
        " bearer forward."
    )
    assert len(lines) <= 9


def test_low_units_and_units_without_mass(room: Answer) -> None:
    nan = math.nan
    unknown = tuple(
        replace(
            one, tips_empty_N=nan, tips_full_N=nan, slides_empty_N=nan, slides_full_N=nan,
            fixing_N=nan,
        )
        for one in room.strength.tippings
    )  # fmt: skip
    line = one_with(strength_sentences(with_strength(room, tippings=unknown)), "Fix to the wall")
    assert line.endswith("'low bookcase 3'.")
    low = tuple(
        replace(placed, unit=placed.unit.model_copy(update={"height_mm": 685.0}))
        for placed in room.layout.units
    )
    ground = replace(room.ground, layout=replace(room.layout, units=low))
    assert not any("wall" in line for line in strength_sentences(replace(room, ground=ground)))


def test_inches(inch_job: Job) -> None:
    lines = strength_sentences(kit.solve(inch_job))
    assert not any(" mm" in line for line in lines)
    assert re.search(r"tips at a push of \d+ N, \d+ \d+/16 in up", lines[-1])
