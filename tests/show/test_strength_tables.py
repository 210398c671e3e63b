"""Tables of stacks, bearers and joists under load: their figures, their words, what they leave."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import kit
from kit.answer import Answer
from kit.job import Job
from kit.show.strength_tables import (
    bearer_table,
    carried_words,
    joist_table,
    newtons,
    stack_load_table,
)
from kit.strength.bearers import Rocking
from kit.strength.joist_work import Carried
from kit.strength.joists import JoistWork

DATA = Path(__file__).parents[2] / "data"
END = "Nothing here approves a floor or a structure."


@pytest.fixture(scope="module")
def room() -> Answer:
    """Return the reading room, on joists."""
    return kit.solve(kit.read_job(DATA / "reading-room"))


@pytest.fixture(scope="module")
def room_in_inches(room: Answer) -> Answer:
    """Return the reading room shown in inches."""
    return replace(room, job=room.job.model_copy(update={"units": "in"}))


def with_strength(answer: Answer, **changed: Any) -> Answer:
    return replace(answer, strength=replace(answer.strength, **changed))


def work_of(answer: Answer) -> JoistWork:
    work = answer.strength.joists
    assert isinstance(work, JoistWork)
    return work


# ---- stacks -------------------------------------------------------------------------------


def test_stacks_carry_all_that_there_is(room: Answer) -> None:
    table = stack_load_table(room)
    assert [row[0] for row in table.rows] == [one.support for one in room.strength.stacks]
    full = sum(float(row[4]) for row in table.rows)
    empty = sum(float(row[3]) for row in table.rows)
    # Units 38 + 38 + 52 + 35 kg, contents 110 + 110 + 140 + 95 kg, and 9.1 m of bearer, 45 by
    # 20 mm, C16 of 370 kg/m3 (EN 338); each of 24 stacks is rounded to half a newton.
    timber = (4.0 + 4.0 + 1.1) * 0.045 * 0.020 * 370
    assert empty == pytest.approx((163 + timber) * 9.81, abs=12)
    assert full == pytest.approx((163 + 455 + timber) * 9.81, abs=12)


@pytest.fixture(scope="module")
def idle_room(room: Answer) -> Answer:
    """Return the reading room with two stacks under which a gap is left, one of them thin."""
    stacks = list(room.strength.stacks)
    stacks[5] = replace(stacks[5], full_n=0.0, idle_pieces=(1,), gap_mm=0.2153)
    stacks[11] = replace(stacks[11], full_n=0.0, idle_pieces=(1,), gap_mm=0.0612)
    return with_strength(room, stacks=tuple(stacks))


def test_what_is_idle_is_said_with_its_shim_and_stands_out(idle_room: Answer) -> None:
    table = stack_load_table(idle_room)
    rows = {row[0]: row for row in table.rows}
    error = idle_room.strength.stacks[5].error_mm
    assert rows["B6"][1] == f"{abs(error):.2f} {'high' if error > 0 else 'low'}"
    assert rows["B6"][4:] == ("0", "0.22", "⚠ idle: shim 0.22 mm")
    assert rows["F2"][4:] == ("0", "0.06", "idle, let pass: shim 0.06 mm")
    assert rows["B4"][5:] == ("–", "✓ carries")
    assert rows["B4"][1].endswith(" low")
    assert {table.rows[place][0] for place in table.bad} == {"B6"}
    assert table.note.endswith(END)


def test_no_length_carries_a_bare_sign(room: Answer, room_in_inches: Answer) -> None:
    for answer in (room, room_in_inches):
        for table in (stack_load_table(answer), bearer_table(answer), joist_table(answer)):
            for row in table.rows:
                assert not any(text.startswith(("-", "+", "−")) for text in row)


def test_stacks_in_inches(room: Answer, idle_room: Answer) -> None:
    inches = idle_room.job.model_copy(update={"units": "in"})
    table = stack_load_table(replace(idle_room, job=inches))
    rows = {row[0]: row for row in table.rows}
    gap = 0.2153 / 25.4
    assert table.heads[1].text == "top off by [in]"
    assert table.heads[5].unit == "in"
    assert rows["B6"][5:] == (f"{gap:.3f}", f"⚠ idle: shim {gap:.3f} in")
    # Newtons stay newtons.
    assert rows["B4"][4] == f"{room.strength.stacks[3].full_n:.0f}"


def test_a_stack_under_a_joint_says_which_piece_is_idle(room: Answer) -> None:
    joint = next(
        one.support
        for one in room.strength.stacks
        if sum(one.support in laid.piece.supports for laid in room.strength.laid) == 2
    )
    stacks = tuple(
        replace(one, idle_pieces=(2,), gap_mm=0.314) if one.support == joint else one
        for one in room.strength.stacks
    )
    rows = {row[0]: row for row in stack_load_table(with_strength(room, stacks=stacks)).rows}
    assert rows[joint][-1] == "⚠ idle under piece 2: shim 0.31 mm"


def test_how_sure_it_is_stands_in_a_column_of_its_own(room: Answer) -> None:
    odds = {one.support: 0.126 for one in room.strength.stacks}
    table = stack_load_table(room, odds)
    assert table.heads[-1].text == "idle on"
    assert {row[-1] for row in table.rows} == {"13 % of floors"}
    assert "random floors" in table.note
    assert "random floors" not in stack_load_table(room).note


@pytest.mark.parametrize(
    ("force_n", "text"),
    [(0.0, "0"), (0.3, "under 1"), (0.6, "1"), (1234.5678, "1235"), (math.nan, "–")],
)
def test_forces_are_whole_newtons(force_n: float, text: str) -> None:
    assert newtons(force_n) == text


# ---- bearers ------------------------------------------------------------------------------


def test_bearers_tell_the_figures_of_the_checks(room: Answer) -> None:
    table = bearer_table(room)
    assert [(row[0], row[1]) for row in table.rows] == [
        ("B", "1"), ("B", "2"), ("F", "1"), ("F", "2"), ("D", "1")
    ]  # fmt: skip
    for bearer in ("B", "F", "D"):
        rows = [row for row in table.rows if row[0] == bearer]
        checks = {
            one.check: one for one in room.strength.checks if one.subject.split(":")[0] == bearer
        }
        worst = max(float(row[4]) for row in rows)
        # Shown to 0.01.
        assert worst == pytest.approx(checks["bearer bending"].value, abs=0.0051)
        sag = checks["bearer sag"]
        (row,) = [r for r in rows if sag.subject == f"{bearer}: {r[5].replace(' and ', ' to ')}"]
        assert row[6:8] == (f"{sag.value:.2f}", f"{sag.limit:.2f}")
    # Bearer D lies under the atlas case only, from 2000 to 3100 mm.
    assert table.rows[-1][2:4] == ("2000", "3100")
    assert {row[-1] for row in table.rows} == {"✓ ok"}
    assert table.note.endswith(END)


def test_a_bearer_that_rocks_says_on_what_and_stands_out(room: Answer) -> None:
    laid = list(room.strength.laid)
    laid[2] = replace(laid[2], rocking=(Rocking("F3", "F1", "F6", 0.42, 0.613, (("F1", 0.2),)),))
    answer = with_strength(room, laid=tuple(laid))
    table = bearer_table(answer)
    assert table.rows[2][8:] == (
        "rocks on F3: 0.42 mm over F1 or 0.61 mm over F6; shims as it lies: 0.20 mm at F1",
        "⚠ refer",
    )
    assert table.rows[1][8] == "no"
    assert table.bad == {2}


def test_a_bearer_that_bends_or_sags_too_far_is_referred(room: Answer) -> None:
    timber = replace(room.ground.pieces.timber, fm_k=0.5)
    weak = replace(room.ground, pieces=replace(room.ground.pieces, timber=timber))
    table = bearer_table(replace(room, ground=weak))
    beyond = {place for place, row in enumerate(table.rows) if float(row[4]) > 1}
    assert beyond
    assert table.bad == beyond
    assert all(table.rows[place][-1] == "⚠ refer" for place in beyond)


def test_bearers_in_inches(room: Answer, room_in_inches: Answer) -> None:
    table = bearer_table(room_in_inches)
    assert [head.unit for head in table.heads][2:4] == ["in", "in"]
    # 3100 mm = 122.05 in, to a sixteenth.
    assert table.rows[-1][3] == "122 1/16"
    (check,) = [
        one
        for one in room.strength.checks
        if one.check == "bearer sag" and one.subject.startswith("D:")
    ]
    assert table.rows[-1][7] == f"{check.limit / 25.4:.3f}"
    assert table.rows[-1][4] == bearer_table(room).rows[-1][4]


# ---- joists -------------------------------------------------------------------------------


def test_joists_sag_as_a_beam_on_two_bearings_does(room: Answer) -> None:
    """By the textbook's sum for a point load, with shear: EN 338 C16, E 8000, G 500 N/mm2."""
    rows = {row[0]: row for row in joist_table(room).rows}
    joist = work_of(room).joists[6]
    ei, ga, span = 8000 * 47 * 195**3 / 12, 500 * 47 * 195 / 1.2, 3600.0
    x = joist.greatest_at_mm

    def sag(force: float, at: float) -> float:
        # Seen from the far end where the load stands before the place.
        b, y = (span - at, x) if x <= at else (at, span - x)
        return force * b * y * ((span**2 - b**2 - y**2) / (6 * span * ei) + 1 / (span * ga))

    row = rows["2550"]
    # Shown to 0.01 mm.
    final = sum(sag(one.creep_n, one.along_mm) for one in joist.carries)
    at_once = sum(sag(one.force_n, one.along_mm) for one in joist.carries)
    assert float(row[2]) == pytest.approx(final, abs=0.0051)
    assert float(row[4]) == pytest.approx(at_once, abs=0.0051)
    assert row[3] == f"{x:.0f}"


def test_joists_say_what_they_carry_and_how_they_are_used(room: Answer) -> None:
    table = joist_table(room)
    joist = work_of(room).joists[1]
    row = table.rows[1]
    # B2 and F2, at 500 mm, stand between joists at 150 and 550 mm: 350/400 = 0.875 of them here.
    assert row[:2] == ("550", "88 % of B2, F2")
    assert table.rows[0][1] == "all of B1, F1; 12 % of B2, F2"
    assert row[5:] == (f"{joist.bending.ratio:.2f}", f"{joist.shear.ratio:.2f}", "✓ ok")
    assert [head.text for head in table.heads][0::3] == [
        "joist at x",
        "at y",
        "shear, of its strength",
    ]
    assert table.bad == frozenset()
    (settled,) = work_of(room).settlements
    assert f"the front row settles {settled.front.mean_inst_mm:.2f} mm" in table.note
    assert table.note.endswith(END)


def test_a_joist_beyond_a_limit_is_referred_by_name(room: Answer) -> None:
    work = work_of(room)
    joists = list(work.joists)
    joists[2] = replace(joists[2], bending=replace(joists[2].bending, ratio=1.2))
    joists[4] = replace(joists[4], span_sag_mm=14.5, shear=replace(joists[4].shear, ratio=1.01))
    table = joist_table(with_strength(room, joists=replace(work, joists=tuple(joists))))
    # 3600/250 = 14.4 mm.
    assert table.rows[2][-1] == "⚠ refer: bending"
    assert table.rows[4][-1] == "⚠ refer: shear, sag"
    assert table.bad == {2, 4}


def test_a_joist_that_is_not_computed_has_dashes_and_its_reason(room: Answer) -> None:
    work, nan = work_of(room), math.nan
    joists = list(work.joists)
    out = replace(joists[3].bending, ratio=nan)
    joists[3] = replace(
        joists[3], beyond=("F3", "F4"), greatest_final_mm=nan, greatest_at_mm=nan, span_sag_mm=nan,
        span_mm=nan, bending=out, shear=out,
    )  # fmt: skip
    joists[5] = replace(joists[5], carries=())
    table = joist_table(with_strength(room, joists=replace(work, joists=tuple(joists))))
    assert table.rows[3][2:] == (
        *("–",) * 5, "– not checked: F3, F4 stand beyond its outermost bearings"
    )  # fmt: skip
    assert table.bad == frozenset()
    # One that carries nothing is not listed.
    assert [row[0] for row in table.rows][4:6] == ["1750", "2550"]


def test_joists_in_inches(room: Answer, room_in_inches: Answer) -> None:
    table, work = joist_table(room_in_inches), work_of(room)
    # 2550 mm = 100.39 in, to a sixteenth.
    (row,) = [row for row in table.rows if row[0] == "100 3/8"]
    assert row[2] == f"{work.joists[6].greatest_final_mm / 25.4:.3f}"
    assert f"settles {work.settlements[0].front.mean_inst_mm / 25.4:.3f} in" in table.note
    assert " mm" not in table.note


def test_without_joists_the_reason_stands_there(answer: Answer, inch_job: Job) -> None:
    for one in (answer, kit.solve(inch_job)):
        table = joist_table(one)
        assert table.rows == ()
        assert table.note.startswith("Settlement not known: a solid floor has none")
        assert table.note.endswith(END)
        assert "<p>None.</p>" in table.html


def test_shares_are_never_said_to_be_none() -> None:
    def part(name: str, share: float) -> Carried:
        return Carried(name, share, 100.0, 10.0, 15.0, 0.1, 0.2)

    carries = [part("B1", 0.004), part("B2", 0.996), part("F1", 1.0), part("F2", 0.004)]
    assert carried_words(carries) == "under 1 % of B1, F2; 100 % of B2; all of F1"
