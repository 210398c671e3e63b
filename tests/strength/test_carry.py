"""The whole room: jobs in, what carries them out."""

from __future__ import annotations

import math
import shutil
from pathlib import Path

import numpy as np
import pytest

import kit
from kit.job import Joists, Refusal
from kit.strength import as_tables
from kit.strength.carry import front_lift_mm, press_on_joists
from kit.strength.joists import NoJoists
from kit.strength.pieces import bearer_pieces

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


def test_idle_stacks_are_a_caution_with_their_shims(boot_room):
    idle = [one for one in boot_room.strength.stacks if one.idle]
    said = next(line for line in boot_room.cautions if line.startswith("Stacks that carry"))
    assert all(one.gap_mm > 0.1 for one in idle)
    assert idle
    for one in idle:
        assert f"{one.support} under bearer {one.bearer}" in said
        assert f"a shim of {one.gap_mm:.2f} mm" in said


#: What leaves the atlas case without a mass.
NO_MASS = (("mass_kg = 52", "mass_kg = 0"), ("contents_kg = 140", "contents_kg = 0"))

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
    (front,) = answer.strength.on("F")[0].rocking
    # Pressed at one end the other hangs twice as far as when it lies balanced.
    assert [name for name, _ in front.shims] == ["F1", "F3"]
    assert front.shims[0][1] == pytest.approx(front.left_mm / 2, rel=0.01)
    assert said[1].endswith(
        f"as it lies it wants {front.shims[0][1]:.2f} mm under it at F1 and"
        f" {front.shims[1][1]:.2f} mm under it at F3; or lower the middle."
    )


def test_above_the_load_limit_it_is_referred_always(tmp_path):
    job = edited(tmp_path, ("contents_kg = 140", "contents_kg = 400"))
    answer = kit.solve(job)
    loads = answer.checks[answer.checks["check"] == "imposed load on the footprint"]
    assert list(loads["verdict"]) == ["refer"]
    assert loads["value"].iloc[0] == pytest.approx((52 + 400) * 9.81 / 1e3 / (1.1 * 0.48))


def test_what_is_overloaded_is_a_caution(tmp_path):
    job = edited(tmp_path, ("depth_mm = 195", "depth_mm = 100"))
    answer = kit.solve(job)
    over = answer.checks[answer.checks["verdict"] == "refer"].set_index("check")
    bending = over.loc["joist bending"]
    assert bending["value"] > 1
    (said,) = [line for line in answer.cautions if line.startswith("Have a structural engineer")]
    assert f"joist bending {bending['value']:.2f} of 1 ({bending['subject']})" in said


def test_nothing_overloaded_is_no_caution(boot_room):
    assert not any(line.startswith("Have a structural engineer") for line in boot_room.cautions)


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
    old = reading_room.strength.joists.settlements[0].front
    new = again.strength.joists.settlements[0].front
    assert new.mean_final_mm != old.mean_final_mm
    assert (new.mean_inst_mm == old.mean_inst_mm) == (change == "service_class")
    assert again.ground.high_point is reading_room.ground.high_point


def test_a_lift_by_settlement_is_what_the_joists_give(tmp_path, reading_room):
    job = edited(tmp_path, ("front_lift_mm = 0.0", 'front_lift_mm = "settlement"'))
    answer = kit.solve(job)
    (settled,) = reading_room.strength.joists.settlements
    drop = settled.front.mean_inst_mm - settled.back.mean_inst_mm
    assert answer.datum.front_lift_mm == pytest.approx(drop, rel=1e-9)
    assert drop > 0.05
    at = answer.supports.set_index("support")
    back, front = at.loc["B3"], at.loc["F3"]
    assert back["target_mm"] + back["floor_mm"] == pytest.approx(answer.datum.datum_mm)
    assert front["target_mm"] + front["floor_mm"] == pytest.approx(answer.datum.datum_mm + drop)
    lifted = [one.lifted_lean_mm for one in answer.strength.units]
    assert all(lean < 0 for lean in lifted)
    rows = answer.checks[answer.checks["check"] == "front row against back row, settled"]
    assert rows["value"].to_list() == pytest.approx([0.0], abs=1e-9)


def test_runs_settle_each_with_its_own_stacks(boot_room, reading_room):
    """The boot room's two runs on the reading room's joists: rows of the one, then of the other."""
    joists = reading_room.job.floor.joists.model_copy(update={"first_mm": -100.0})
    floor = reading_room.job.floor.model_copy(update={"joists": joists})
    ground, job = boot_room.ground, boot_room.job.model_copy(update={"floor": floor})
    work = press_on_joists(job, ground.pieces, ground.supports)
    runs = list(dict.fromkeys(ground.supports["run"]))
    assert len(runs) == 2
    assert [one.run for one in work.settlements] == runs
    for one in work.settlements:
        of_run = ground.supports[ground.supports["run"] == one.run]
        front = of_run["support"][of_run["row"] == "F"]
        mean = sum(work.stacks[name].inst_mm for name in front) / len(front)
        assert one.front.mean_inst_mm == pytest.approx(mean, rel=1e-12)
    first, second = (one.front_drop_mm for one in work.settlements)
    assert abs(first - second) > 0.01


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


def test_how_a_unit_settles_is_of_the_stacks_about_its_sides(reading_room):
    """The first of the run: each side between two stacks, or as the first one beyond it."""
    strength, at = reading_room.strength, reading_room.supports
    one, settled = strength.units[0], strength.settled.units[0]
    sides = [panel.x_mm for panel in reading_room.layout.units[0].panels]
    down = {}
    for row in ("B", "F"):
        of = at["bearer"] == row
        sags = [strength.joists.stacks[name].inst_mm for name in at["support"][of]]
        down[row] = np.interp([sides[0], sides[-1]], at["own_x_mm"][of], sags)
    apart = reading_room.layout.row("F").y_mm - reading_room.layout.row("B").y_mm
    out = (down["F"].mean() - down["B"].mean()) / apart * 1150
    assert settled.lean_out_mm == pytest.approx(one.lean_out_mm + out, rel=1e-9)
    right = (down["F"] + down["B"])[1] - (down["F"] + down["B"])[0]
    along = right / 2 / (sides[-1] - sides[0]) * 1150
    assert along != 0
    assert settled.lean_along_mm == pytest.approx(one.lean_along_mm + along, rel=1e-9)
    table = as_tables.unit_table(strength).iloc[0]
    assert table["settled_lean_mm"] == settled.lean_out_mm
    assert table["settled_along_mm"] == settled.lean_along_mm
    assert table["settled_wind_mm"] == settled.wind_mm != settled.door_taper_mm
    assert table["settled_door_taper_mm"] == settled.door_taper_mm
    assert table["person_ratio"] == strength.tippings[0].person_ratio > 0
    assert table["settled_gap_after_mm"] == strength.settled.gaps[0].top_mm
    assert table["gap_after_mm"] == strength.gaps[0].top_mm != table["settled_gap_after_mm"]


def test_a_fixing_that_no_sum_asks_for_is_left_empty(reading_room):
    table = as_tables.unit_table(reading_room.strength).set_index("unit")
    asked = [tip.fixing_N for tip in reading_room.strength.tippings]
    assert asked[2] == 0
    assert math.isnan(table.loc["atlas case", "fixing_N"])
    assert table.loc["low bookcase 3", "fixing_N"] == asked[3] > 0


def test_without_a_mass_no_settled_lean_is_ok(tmp_path, reading_room):
    """What a unit without a mass gives the joists is nothing: the settlement is too small."""
    checks = kit.solve(edited(tmp_path, *NO_MASS)).checks
    settled = checks[checks["check"].str.endswith("settlement")]
    assert len(settled) > 0
    assert "ok" not in set(settled["verdict"])
    before = reading_room.checks[reading_room.checks["check"].str.endswith("settlement")]
    assert "ok" in set(before["verdict"])


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


def test_a_unit_on_one_stack_a_row_presses_on_its_joists(job_of, laid_out):
    """Nothing is lost where a bearer is too short to be a beam."""
    joists = {"along": "y", "width_mm": 47.0, "depth_mm": 150.0, "centres_mm": 400.0,
              "first_mm": 0.0, "bearing_mm": (0.0, 3000.0), "strength_class": "C16"}  # fmt: skip
    floor = {"kind": "boarded", "board_mm": 21.0, "joists": joists}
    job = job_of({"width_mm": 75.0, "side_mm": 1.0}, floor=floor)
    layout, cuts = laid_out(job)
    pieces = bearer_pieces(layout, cuts.cuts, job.bases[0].bearer)
    work = press_on_joists(job, pieces, layout.supports)
    carried = sum(one.force_n for joist in work.joists for one in joist.carries)
    timber = 2 * 370e-9 * 9.81 * 900 * 75
    assert carried == pytest.approx(90 * 9.81 + timber)


def test_units_without_mass_are_not_checked_by_name(tmp_path):
    job = edited(
        tmp_path, ("mass_kg = 52", "mass_kg = 0"), ("contents_kg = 140", "contents_kg = 0")
    )
    checks = kit.solve(job).checks
    loads = checks[checks["check"] == "imposed load on the footprint"]
    assert list(loads["verdict"]) == ["not_checked", "refer"]  # bookcases: 4.5 kN/m2
    assert loads["subject"].iloc[0] == "atlas case"
    bending = checks[checks["check"] == "bearer bending"]
    # All three bearers run under the atlas case.
    assert set(bending["verdict"]) == {"not_checked"}
    assert bending["source"].str.contains("no mass_kg given of atlas case").all()
    leans = checks[checks["check"] == "lean along the run"].set_index("subject")["verdict"]
    assert "ok" not in set(leans)  # all units stand on bearers that run under it
    tilts = checks[checks["check"] == "tilting up on the base"]
    assert set(tilts["verdict"]) == {"ok"}  # no load enters


def test_a_lift_by_settlement_wants_every_mass(tmp_path):
    job = edited(tmp_path, *NO_MASS, ("front_lift_mm = 0.0", 'front_lift_mm = "settlement"'))
    with pytest.raises(Refusal) as caught:
        kit.solve(job)
    assert str(caught.value).endswith(
        'front_lift_mm: found "settlement", and no mass_kg of atlas case; allowed: a number of'
        " millimetres, or the mass of every unit"
    )


def test_a_lift_by_settlement_is_the_same_when_it_is_worked_out_again(reading_room):
    job = reading_room.job
    base = job.bases[0].model_copy(update={"front_lift_mm": "settlement"})
    lifted = job.model_copy(update={"bases": (base,)})
    again, anew = kit.solve(lifted, before=reading_room), kit.solve(lifted)
    assert again.datum.front_lift_mm == anew.datum.front_lift_mm > 0
    assert again.stacks.equals(anew.stacks)
    assert again.checks.equals(anew.checks)


def test_joists_under_units_without_mass_are_not_checked(tmp_path):
    job = edited(
        tmp_path, ("mass_kg = 52", "mass_kg = 0"), ("contents_kg = 140", "contents_kg = 0")
    )
    checks = kit.solve(job).checks
    joists = checks[checks["check"].str.startswith("joist ")]
    assert set(joists["verdict"]) == {"not_checked"}


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
    (soft,), (hard,) = ground.joists.settlements, stiff.settlements
    ratio = soft.front.mean_inst_mm / hard.front.mean_inst_mm
    assert 1.375 < ratio < 1.38


def test_what_stands_out_of_plumb_is_a_caution(tmp_path):
    job = edited(tmp_path, ("front_lift_mm = 0.0", "front_lift_mm = 6"))
    answer = kit.solve(job)
    (said,) = [line for line in answer.cautions if line.startswith("Beyond what is usual")]
    leans = answer.checks[answer.checks["check"] == "lean into the room, with the lift"]
    worst = leans.loc[leans["value"].idxmax()]
    assert worst["value"] > 30  # 6 mm over 175 mm of depth, 1150 mm high
    where = f"({worst['subject']}, top back to the wall)"
    assert f"lean into the room, with the lift {worst['value']:.1f} mm {where}" in said


def test_what_stands_well_is_no_caution(boot_room):
    usual = {"lean along the run", "lean into the room", "wind of the base"}
    rows = boot_room.checks[boot_room.checks["check"].isin(usual)]
    assert set(rows["verdict"]) == {"ok"}
    said = [line for line in boot_room.cautions if line.startswith("Beyond what is usual")]
    assert not any(name in line for line in said for name in usual)
