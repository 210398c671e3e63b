"""The whole room: jobs in, what carries them out."""

from __future__ import annotations

import math
import shutil
from pathlib import Path

import pytest

import kit
from kit.job import Joists, Refusal
from kit.strength import as_tables
from kit.strength.bearers import stack_loads
from kit.strength.carry import front_lift_mm, press_on_joists
from kit.strength.joists import NoJoists

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture(scope="module")
def reading_room():
    return kit.solve(kit.read_job(DATA / "reading-room"))


@pytest.fixture(scope="module")
def boot_room():
    return kit.solve(kit.read_job(DATA / "boot-room"))


def edited(tmp_path: Path, *changes: tuple[str, str], job: str = "reading-room") -> kit.Job:
    shutil.copytree(DATA / job, tmp_path / "job")
    path = tmp_path / "job" / "job.toml"
    text = path.read_text(encoding="utf-8")
    for old, new in changes:
        assert text.count(old) >= 1
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")
    return kit.read_job(tmp_path / "job")


def test_all_that_stands_comes_down(reading_room):
    strength = reading_room.strength
    whole = sum(one.full_n for one in strength.stacks)
    timber = sum(one.piece.own.total_n for one in strength.laid)
    assert whole == pytest.approx(618 * 9.81 + timber, rel=1e-9)  # kg of units and contents
    # Bearer by bearer the loads keep their middle: moments about the run's left end.
    for bearer in ("B", "F"):
        moment = sum(
            one.full_n * x
            for one in strength.stacks
            for name, x in zip(
                reading_room.supports["support"], reading_room.supports["own_x_mm"], strict=True
            )
            if name == one.support and one.bearer == bearer
        )
        loads = [
            load
            for one in strength.on(bearer)
            for group in (one.piece.units, one.piece.stored)
            for load in group.points
        ]
        of_timber = sum(
            one.piece.own.total_n * (one.piece.beam.start_mm + one.piece.beam.end_mm) / 2
            for one in strength.on(bearer)
        )
        assert moment == pytest.approx(sum(x * n for x, n in loads) + of_timber, rel=1e-9)


def test_every_check_has_a_verdict_a_limit_or_a_reason(reading_room, boot_room):
    for answer in (reading_room, boot_room):
        for row in answer.strength.checks:
            assert row.verdict in {"ok", "refer", "fail", "not_checked"}
            assert row.source
            if row.verdict != "not_checked":
                assert math.isfinite(row.value)
                assert math.isfinite(row.limit)
        assert "approves no floor" in answer.checks["source"].iloc[-1]
        assert answer.checks["verdict"].iloc[-1] == "not_checked"


def test_idle_stacks_are_a_caution_with_their_shims(reading_room):
    idle = [one for one in reading_room.strength.stacks if one.idle]
    said = next(line for line in reading_room.cautions if line.startswith("Stacks that carry"))
    assert idle
    for one in idle:
        assert f"{one.support} under bearer {one.bearer}" in said
        assert f"a shim of {one.gap_mm:.2f} mm" in said


HUMP = """
schema = 1
title = "Boot room, one bench"
[floor]
kind = "solid"
benchmark = "P00"
[[survey]]
kind = "heights"
file = "heights.csv"
sd_mm = 0.2
[[run]]
  [[run.unit]]
  name = "bench"
  width_mm = 900
  depth_mm = 400
  height_mm = 450
  mass_kg = 20
[[base]]
name = "bearers on packers"
height_mm = 42
max_span_mm = 450
tolerance_mm = 3
[stock]
packers = [ {mm = 6} ]
"""


def test_a_base_with_a_high_middle_says_so(tmp_path):
    """A floor 4 mm higher in its middle, packers of 6 mm: the middle stack comes out high."""
    rows = [
        f"P{i}{j},{x},{y},{4.0 * (1 - abs(x - 450) / 450) + 0.01 * ((i + j) % 2):g}"
        for i, x in enumerate(range(0, 901, 150))
        for j, y in enumerate((0, 200, 400))
    ]
    (tmp_path / "job.toml").write_text(HUMP, encoding="utf-8")
    (tmp_path / "heights.csv").write_text("\n".join(["point,x_mm,y_mm,height_mm", *rows]) + "\n")
    answer = kit.solve(kit.read_job(tmp_path))
    errors = dict(zip(answer.supports["support"], answer.datum.plan.error_mm, strict=True))
    assert errors["B2"] > errors["B1"] + 1
    assert errors["B2"] > errors["B3"] + 1
    rows = answer.checks[answer.checks["check"] == "bearer rocking on one stack"]
    assert list(rows["subject"]) == ["B: B2", "F: F2"]
    assert list(rows["verdict"]) == ["refer", "refer"]
    assert "Bearer B, piece 1 rocks on one stack, B2, ends in the air" in rows["source"].iloc[0]
    said = [line for line in answer.cautions if "rocks on one stack" in line]
    assert len(said) == 2
    assert said[1].endswith("over F3; shim the ends or lower the middle.")


def test_above_the_load_limit_it_is_referred_always(tmp_path):
    job = edited(tmp_path, ("contents_kg = 140", "contents_kg = 400"))
    answer = kit.solve(job)
    loads = answer.checks[answer.checks["check"] == "imposed load on the footprint"]
    assert list(loads["verdict"]) == ["refer"]
    assert loads["value"].iloc[0] == pytest.approx((52 + 400) * 9.81 / 1e3 / (1.1 * 0.48))


def test_settlement_does_not_hang_on_the_height(reading_room):
    job = reading_room.job
    base = job.bases[0].model_copy(update={"height_mm": (52.0, 60.0)})
    moved = kit.solve(job.model_copy(update={"bases": (base,)}), before=reading_room)
    assert moved.ground is reading_room.ground
    assert moved.strength.joists is reading_room.strength.joists


@pytest.mark.parametrize("change", ["joists", "service_class"])
def test_other_joists_are_worked_out_anew(reading_room, change):
    job = reading_room.job
    if change == "joists":
        deeper = job.floor.joists.model_copy(update={"depth_mm": 220.0})
        other = job.model_copy(update={"floor": job.floor.model_copy(update={"joists": deeper})})
    else:
        room = job.room.model_copy(update={"service_class": 3})
        other = job.model_copy(update={"room": room})
    again = kit.solve(other, before=reading_room)
    old = reading_room.strength.joists.settlement.front
    new = again.strength.joists.settlement.front
    assert new.mean_final_mm != old.mean_final_mm
    assert (new.mean_inst_mm == old.mean_inst_mm) == (change == "service_class")
    assert again.ground.high_point is reading_room.ground.high_point


def test_a_lift_by_settlement_is_what_the_joists_give(tmp_path, reading_room):
    job = edited(tmp_path, ("front_lift_mm = 0.0", 'front_lift_mm = "settlement"'))
    answer = kit.solve(job)
    settled = reading_room.strength.joists.settlement
    drop = settled.front.mean_inst_mm - settled.back.mean_inst_mm
    assert answer.datum.front_lift_mm == pytest.approx(drop, rel=1e-9)
    assert drop > 0.05
    at = answer.supports.set_index("support")
    back, front = at.loc["B3"], at.loc["F3"]
    assert back["target_mm"] + back["floor_mm"] == pytest.approx(answer.datum.datum_mm)
    assert front["target_mm"] + front["floor_mm"] == pytest.approx(answer.datum.datum_mm + drop)
    lifted = [one.lifted_lean_mm for one in answer.strength.units]
    assert all(lean < 0 for lean in lifted)


def test_a_lift_by_settlement_without_joists_is_refused(boot_room):
    base = boot_room.base.model_copy(update={"front_lift_mm": "settlement"})
    with pytest.raises(Refusal) as caught:
        front_lift_mm(base, boot_room.strength.joists)
    assert str(caught.value) == (
        "job.toml, base 'bearers on packers', front_lift_mm: found \"settlement\", which is not"
        " known: a solid floor has none: its bearing capacity is for others to judge; allowed: a"
        " number of millimetres"
    )


def test_a_number_is_lifted_as_it_is(boot_room):
    base = boot_room.base.model_copy(update={"front_lift_mm": -1.25})
    assert front_lift_mm(base, boot_room.strength.joists) == -1.25


def test_joists_carry_what_the_stacks_carry_on_level_tops(reading_room):
    work = reading_room.strength.joists
    carried = sum(one.force_n for joist in work.joists for one in joist.carries)
    assert carried == pytest.approx(sum(one.full_n for one in reading_room.strength.stacks))


def test_without_joists_it_says_so(boot_room, reading_room):
    assert isinstance(boot_room.strength.joists, NoJoists)
    rows = boot_room.checks[boot_room.checks["check"] == "joists"]
    assert list(rows["verdict"]) == ["not_checked"]
    ground, job = reading_room.ground, reading_room.job
    floor = job.floor.model_copy(update={"joists": None})
    bare = press_on_joists(job.model_copy(update={"floor": floor}), ground.pieces, ground.supports)
    assert bare.reason == "no [floor.joists] given"


def test_units_lean_as_their_bearers_lie(boot_room):
    """The drying locker, by hand: heights of both bearers under its two sides."""
    strength = boot_room.strength
    one = next(unit for unit in strength.units if unit.unit == "drying locker")
    back, front = strength.on("B-B")[0], strength.on("B-F")[0]
    left, right = 9.0, 791.0
    bl, br = back.line_mm([left, right])
    fl, fr = front.line_mm([left, right])
    along = -((br - bl) + (fr - fl)) / 2 / (right - left) * 1900
    assert one.lean_along_mm == pytest.approx(along, rel=1e-9)
    apart = front_row(boot_room) - back_row(boot_room)
    out = -((fl - bl) + (fr - br)) / 2 / apart * 1900
    assert one.lean_out_mm == pytest.approx(out, rel=1e-9)
    assert one.wind_mm == pytest.approx(bl + fr - br - fl, rel=1e-9)


def back_row(answer):
    return answer.layout.row("B-B").y_mm


def front_row(answer):
    return answer.layout.row("B-F").y_mm


def test_how_a_unit_settles_is_of_its_own_stacks(reading_room):
    work = reading_room.strength.joists
    one = next(unit for unit in reading_room.strength.units if unit.unit == "low bookcase 1")
    under = {
        row: [name for name, x, b in zip(reading_room.supports["support"],
              reading_room.supports["own_x_mm"], reading_room.supports["bearer"], strict=True)
              if b == row and 0 <= x <= 1000]
        for row in ("B", "F")
    }  # fmt: skip
    mean = {
        row: sum(work.stacks[name].inst_mm for name in names) / len(names)
        for row, names in under.items()
    }
    drop = mean["F"] - mean["B"]
    apart = reading_room.layout.row("F").y_mm - reading_room.layout.row("B").y_mm
    extra = drop / apart * 1150
    assert one.settled_lean_mm == pytest.approx(one.lean_out_mm + extra, rel=1e-9)


def test_tables_have_a_row_each(reading_room, boot_room):
    for answer in (reading_room, boot_room):
        strength = answer.strength
        odds = dict.fromkeys(answer.supports["support"], 0.25)
        reactions = as_tables.reaction_table(strength, odds)
        assert list(reactions["support"]) == list(answer.supports["support"])
        assert list(reactions) == as_tables.REACTIONS
        assert list(as_tables.unit_table(strength)["unit"]) == [
            placed.unit.name for placed in answer.layout.units
        ]
        assert len(as_tables.span_table(strength)) == sum(len(o.spans) for o in strength.laid)
    assert list(as_tables.joist_table(boot_room.strength)) == as_tables.JOISTS
    joists = as_tables.joist_table(reading_room.strength)
    assert joists["across_mm"].to_list()[:3] == [150.0, 550.0, 950.0]


def test_stack_loads_are_those_of_the_pieces(reading_room):
    strength = reading_room.strength
    assert stack_loads(strength.laid) == strength.stacks


def test_screws_are_checked_with_the_diameter_of_the_stock(tmp_path):
    job = edited(tmp_path, ("screw_diameter_mm = 4.5", "screw_diameter_mm = 5"))
    answer = kit.solve(job)
    rows = answer.checks[answer.checks["check"] == "screw drawing the bearer down"]
    assert len(rows) == 3
    assert not rows["source"].str.contains("no stock.screw_diameter_mm").any()


def test_joists_of_a_class_carry_as_stiff_as_it_is(reading_room):
    """E of C24 is 11/8 of that of C16 in bending, and G 0.69/0.5 in shear: 1.375 and 1.38."""
    job = reading_room.job
    joists = Joists(**{**job.floor.joists.model_dump(), "strength_class": "C24"})
    floor = job.floor.model_copy(update={"joists": joists})
    ground = reading_room.ground
    stiff = press_on_joists(job.model_copy(update={"floor": floor}), ground.pieces, ground.supports)
    ratio = ground.joists.settlement.front.mean_inst_mm / stiff.settlement.front.mean_inst_mm
    assert 1.375 < ratio < 1.38
