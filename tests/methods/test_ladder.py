"""A ladder frame under whole jobs: level, board, profile, bill, traits, checks, cautions."""

import math
import time
from dataclasses import replace
from pathlib import Path
from statistics import median
from typing import Any

import numpy as np
import pandas as pd
import pytest

import kit
from kit.answer import solve
from kit.job import Base, Job, NoGo, Refusal
from kit.methods import METHODS, Lie, as_expected
from kit.methods.ladder import board_for, frame_of
from kit.methods.ladder_doubt import SURE_DEPTH, SURE_LEFT
from kit.methods.method import no_screws
from kit.parts import Answer
from kit.results import write_results

DATA = Path(__file__).parents[2] / "data"
LADDER = {
    "boards": (
        {"mm": 120.0, "price_per_m": 3.4},
        {"mm": 95.0, "price_per_m": 2.9},
        {"mm": 45.0, "price_per_m": 1.6},
    ),
    "stock_mm": (2440.0,),
}
FRAME = METHODS["ladder"]


def base_of(ladder: dict[str, Any] | None = None, **changes: Any) -> Base:
    told = {"name": "frame", "method": "ladder", "height_mm": (40.0, 90.0), **changes}
    return Base.model_validate({**told, "ladder": LADDER | (ladder or {})})


def job_of(folder: str, base: Base, **changes: Any) -> Job:
    job = kit.read_job(DATA / folder)
    return job.model_copy(update={"bases": (base,), **changes})


def rows_of(answer: Answer, check: str) -> pd.DataFrame:
    return answer.checks[answer.checks["check"] == check].reset_index(drop=True)


@pytest.fixture(scope="module")
def reading_room() -> Answer:
    return kit.solve(job_of("reading-room", base_of(front_lift_mm=1.5)))


@pytest.fixture(scope="module")
def boot_room() -> Answer:
    return kit.solve(job_of("boot-room", base_of(end_inset_mm=5.0)))


def tilted(folder: Path, base: Base, left_mm: float = -60.0) -> Job:
    """Return two cases of 900 and 700 mm on a floor that is a plane, read from left_mm on."""
    xs, ys = np.linspace(left_mm, 1680, 6), np.linspace(-30, 480, 4)
    read = [
        {"point": f"P{i}-{k}", "x_mm": x, "y_mm": y, "height_mm": 4e-3 * x - 6e-3 * y}
        for i, x in enumerate(xs)
        for k, y in enumerate(ys)
    ]
    pd.DataFrame(read).to_csv(folder / "h.csv", index=False)
    unit = {"depth_mm": 450.0, "height_mm": 900.0, "mass_kg": 30.0, "contents_kg": 50.0}
    return Job.model_validate(
        {
            "schema": 1,
            "title": "market hall",
            "floor": {"kind": "solid"},
            "survey": ({"kind": "heights", "file": "h.csv"},),
            "run": (
                {
                    "name": "A",
                    "unit": (
                        {**unit, "name": "wide", "width_mm": 900.0},
                        {**unit, "name": "narrow", "width_mm": 700.0},
                    ),
                },
            ),
            "base": (base,),
            "stock": {"packers": ({"mm": 3.0},)},
            "folder": folder,
        }
    )


def test_what_is_left_is_base_top_less_the_floor_between_the_readings(
    reading_room: Answer,
) -> None:
    profile = reading_room.details["profile.csv"]
    floor = reading_room.surface.predict(profile["x_mm"], profile["y_mm"])
    back, front = 45 + 9, 320 - 55 - 9  # centre lines of the two rows, from the job by hand
    lift = 1.5 * (profile["y_mm"] - back) / (front - back)
    left = reading_room.datum.base_top_mm + lift - floor.height_mm
    # The same sums in another order, here and below: round-off.
    assert profile["depth_mm"].to_numpy() == pytest.approx(left.to_numpy(), abs=1e-9)
    assert profile["floor_sd_mm"].to_numpy() == pytest.approx(floor.sd_mm, abs=1e-9)
    assert (profile["depth_mm"] + profile["cut_mm"]).to_numpy() == pytest.approx(95.0, abs=1e-9)


def test_at_the_surveys_own_points_it_is_base_top_less_plane_less_residual(
    reading_room: Answer,
) -> None:
    plane, points = reading_room.plane, reading_room.heights.points
    row = points[points["y_mm"] == 60]  # 6 mm beside the back member
    residual = row["height_mm"] - plane.height_mm(row["x_mm"], row["y_mm"])
    floor = plane.height_mm(row["x_mm"], row["y_mm"] - 6) + residual
    back = reading_room.details["profile.csv"].query("member == 'B'")
    left = np.interp(row["x_mm"], back["along_mm"], back["depth_mm"])
    missed = np.abs(left - (reading_room.datum.base_top_mm - floor))
    assert len(row) == 9
    # The floor is kriged with the readings' doubt in it: within that of each, 0.35 to 0.5 mm.
    assert (missed < row["sd_mm"]).all()
    assert missed.max() > 0.01


def test_the_profile_is_close_and_meets_every_crossing(reading_room: Answer) -> None:
    profile, supports = reading_room.details["profile.csv"], reading_room.supports
    for _, of_member in profile.groupby("member"):
        assert 0 < of_member["along_mm"].diff().max() <= 50 + 1e-9
    merged = supports.merge(
        profile, left_on=["bearer", "own_x_mm"], right_on=["member", "along_mm"]
    )
    assert len(merged) == len(supports) == 30
    # What a support's target says is what the profile says there, but for round-off.
    assert merged["target_mm"].to_numpy() == pytest.approx(merged["depth_mm"], abs=1e-9)


def test_on_a_plane_floor_every_cut_is_straight(tmp_path: Path) -> None:
    answer = solve(tilted(tmp_path, base_of({"boards": ({"mm": 70.0},)})))
    members = answer.details["members.csv"].set_index("member")
    falls = np.where(members["at_x_mm"].isna(), 4e-3, 6e-3)
    lost = members["greatest_mm"] - members["least_mm"]
    # Kriging on a plane gives the plane but for round-off.
    assert lost.to_numpy() == pytest.approx(falls * members["length_mm"], abs=1e-6)
    assert members["straight_gap_mm"].to_numpy() == pytest.approx(0.0, abs=1e-6)
    middle = (members["greatest_mm"] + members["least_mm"]) / 2
    assert members["remains_share"].to_numpy() == pytest.approx(middle / 70, abs=1e-6)
    # Highest at the right end of the back member's rear face; sums, so round-off.
    assert answer.datum.base_top_mm == pytest.approx(answer.high_point.height_mm + 40.0, abs=1e-9)
    assert (answer.high_point.x_mm, answer.high_point.y_mm) == pytest.approx((1600.0, 45.0))


def test_the_board_is_the_shallowest_that_reaches_the_floor(reading_room: Answer) -> None:
    base = reading_room.base
    assert board_for(base, 45.0).mm == 45.0
    assert board_for(base, 45.001).mm == 95.0
    assert board_for(base, 95.001).mm == 120.0
    with pytest.raises(Refusal) as refused:
        board_for(base, 120.26)
    assert str(refused.value) == (
        "job.toml, base 'frame', ladder.boards: found 120.3 mm from base top to the lowest floor;"
        " allowed: at most the deepest board, 120 mm"
    )


def test_a_board_too_shallow_is_refused(tmp_path: Path) -> None:
    job = tilted(tmp_path, base_of({"boards": ({"mm": 45.0}, {"mm": 30.0})}))
    with pytest.raises(Refusal) as refused:
        solve(job)
    # From rear right to front left, by hand: 6.4 mm along and 6e-3 * (395 - 45) mm across.
    most = 45 - 4e-3 * 1600 - 6e-3 * (395 - 45)
    assert str(refused.value) == (
        f"job.toml, base 'frame', height_mm: found {most:.1f} mm at most above the high point"
        " (deepest board, 45 mm, over the lowest floor (member F at x = 0 mm)); allowed: at least"
        f" 40.0 mm (lowest height asked for, 40 mm); {40 - most:.1f} mm are missing"
    )


def test_too_little_left_is_refused(tmp_path: Path) -> None:
    job = tilted(tmp_path, base_of({"least_mm": 42.5}, height_mm=(30.0, 41.0)))
    with pytest.raises(Refusal) as refused:
        solve(job)
    assert str(refused.value) == (
        "job.toml, base 'frame', height_mm: found 41.0 mm at most above the high point (greatest"
        " height asked for, 41 mm); allowed: at least 42.5 mm (high point + depth left of a member"
        " of 42.5 mm (member B at x = 1600 mm)); 1.5 mm are missing"
    )


def test_the_least_that_must_be_left_lifts_the_base(tmp_path: Path) -> None:
    answer = solve(tilted(tmp_path, base_of({"least_mm": 52.5})))
    # Differences of heights: round-off.
    assert answer.datum.base_height_mm == pytest.approx(52.5, abs=1e-9)
    assert answer.datum.binding_low.startswith("high point + depth left of a member of 52.5 mm")
    assert answer.datum.bearer_mm == 0
    low, high = answer.datum.feasible_heights_mm[0]
    assert (low, high) == pytest.approx((52.5, 90.0), abs=1e-9)
    assert rows_of(answer, "least depth left")["value"][0] == pytest.approx(
        52.5, abs=1e-6
    )  # kriged


def test_a_no_go_area_is_bridged(boot_room: Answer) -> None:
    profile = boot_room.details["profile.csv"]
    over = profile[profile["over"] != ""]
    assert set(over["member"]) == {"A-B"}
    assert set(over["over"]) == {"floor hatch"}
    assert (over["along_mm"].min(), over["along_mm"].max()) == (1080.0, 1380.0)
    clear = boot_room.datum.base_top_mm - 3.0  # minimum_pack_mm
    assert over["depth_mm"].to_numpy() == pytest.approx(
        clear - over["floor_mm"], abs=1e-9
    )  # round-off
    # No rung stands in it, and the rungs beside it do.
    rungs = boot_room.details["members.csv"].query("rows == 'A-B to A-F'")["at_x_mm"].tolist()
    assert {1071.0, 1389.0} <= set(rungs)
    assert not [x for x in rungs if 1071 < x < 1389]
    assert any("'floor hatch' member A-B is cut 3 mm clear" in text for text in boot_room.cautions)


def test_room_for_the_bridge_counts_towards_the_least(tmp_path: Path) -> None:
    job = tilted(tmp_path, base_of({"least_mm": 45.0}, minimum_pack_mm=6.0))
    plain = solve(job)
    # In the way of the back member only, near its high end, clear of sides.
    flap = NoGo(name="flap", corner_mm=(1200.0, 0.0), size_mm=(150.0, 100.0))
    bridged = solve(job.model_copy(update={"no_go": (flap,)}))
    # More clear, but lower floor than at the right end; kriging gives the plane but for round-off.
    rise = 6.0 - 4e-3 * (1600 - 1350)
    assert bridged.datum.datum_mm - plain.datum.datum_mm == pytest.approx(rise, abs=1e-6)
    assert "x = 1350 mm" in bridged.datum.binding_low


def test_an_area_between_the_rows_moves_rungs_of_an_earlier_answer(tmp_path: Path) -> None:
    job = tilted(tmp_path, base_of())
    plain = solve(job)
    duct = NoGo(name="duct", corner_mm=(850.0, 200.0), size_mm=(100.0, 50.0))
    with_duct = job.model_copy(update={"no_go": (duct,)})
    after, fresh = solve(with_duct, before=plain), solve(with_duct)
    assert len(plain.details["members.csv"]) - len(after.details["members.csv"]) == 2
    assert after.details["members.csv"].equals(fresh.details["members.csv"])
    assert list(after.supports["support"]) == list(plain.supports["support"])


def test_the_bill_by_hand(tmp_path: Path) -> None:
    answer = solve(tilted(tmp_path, base_of()))
    # Two members of 1600; sides at 9, 891, 909, 1591 and one more rung in each bay over 600 mm:
    # 6 rungs of 450 - 45 - 55 - 2*18 = 314. 40 mm + 8.5 mm of fall take the board of 95.
    assert len(answer.supports) == 12
    edge = 2 * 1.6 + 6 * 0.314
    item = answer.bill.items[0]
    assert (item.item, item.size_mm) == ("ladder board, 95 mm deep", 2440.0)
    assert item.count == math.ceil(edge / 2.44)  # 5.084 m of board out of 3 lengths
    assert answer.bill.cost == pytest.approx(3 * 2.44 * 2.9)  # round-off, as below
    # rates, from memory: 2 a crossing, 6 a piece, 12 a metre.
    pieces = len(answer.cuts.cuts)
    assert pieces == 8
    assert answer.bill.minutes == pytest.approx(12 * 2.0 + 8 * 6.0 + edge * 12.0)
    assert [step.unit for step in answer.bill.work] == ["support", "piece", "m"]


def test_a_board_without_a_price_has_no_cost(tmp_path: Path) -> None:
    answer = solve(tilted(tmp_path, base_of({"boards": ({"mm": 95.0},)})))
    assert math.isnan(answer.bill.cost)
    assert answer.bill.unpriced == ("ladder board, 95 mm deep",)


def test_level_and_bill_follow_the_floor_that_they_are_given(reading_room: Answer) -> None:
    job, base, ground = reading_room.job, reading_room.base, reading_room.ground
    seen = as_expected(ground)
    higher = Lie(seen.supports_mm + 7.25, seen.under_mm + 7.25, seen.high_point_mm + 7.25)
    level = FRAME.set_level(job, base, ground, higher)
    raised = level.datum_mm - reading_room.datum.datum_mm
    assert raised == pytest.approx(7.25, abs=1e-9)  # round-off
    bill = FRAME.bill(job, base, ground, higher, level, no_screws())
    assert replace(bill, mass_kg=0.0) == replace(reading_room.bill, beside=(), mass_kg=0.0)
    assert bill.mass_kg == pytest.approx(reading_room.bill.mass_kg, rel=1e-9)  # round-off
    # A pit under one place takes the deepest board.
    pit = seen.under_mm.copy()
    pit[5] -= 60.0
    deep = Lie(seen.supports_mm, pit, seen.high_point_mm)
    bill = FRAME.bill(job, base, ground, deep, reading_room.datum, no_screws())
    assert bill.items[0].item == "ladder board, 120 mm deep"


def test_traits(reading_room: Answer) -> None:
    traits, bill = reading_room.traits, reading_room.bill
    members = reading_room.details["members.csv"]
    assert (traits.level_error_mm, traits.fixing_line_mm) == (0.5, 4000 + 4000 + 1100)
    assert (traits.floor_screws, traits.room_under_mm, bill.wait_days) == (0, 0.0, 0.0)
    assert (traits.adjust_up_mm, traits.adjust_down_mm) == (0.0, 0.0)
    face_m2 = (members["length_mm"] * members["mean_mm"]).sum() * 1e-6
    # The bill takes the plain mean of places on both faces, the table the profile straight from
    # place to place along the middle: 0.13 % apart here.
    assert bill.mass_kg == pytest.approx(face_m2 * 0.018 * 650, rel=0.005)


def test_the_frames_own_weight_comes_down_with_the_units(reading_room: Answer) -> None:
    stacks = reading_room.strength.stacks
    members = reading_room.details["members.csv"]
    own = (members["length_mm"] * members["mean_mm"]).sum() * 18 * 650e-9 * 9.81
    # Of the profile, as in the table of members; the rest is round-off.
    assert math.fsum(one.laid_n for one in stacks) == pytest.approx(own)
    units = sum(u.mass_kg + u.contents_kg for run in reading_room.job.runs for u in run.units)
    assert math.fsum(one.full_n for one in stacks) == pytest.approx(own + units * 9.81)


def test_what_is_bridged_comes_down_beside_the_hatch(boot_room: Answer) -> None:
    loads = {one.support: one.full_n - one.laid_n for one in boot_room.strength.stacks}
    table = boot_room.supports.set_index("support")
    back = table[table["bearer"] == "A-B"]
    # A locker's side takes half of 74 kg, half of that at the back (its centre of gravity, 250,
    # lies between rows at 54 and 436).
    side = (34 + 40) / 2 * 9.81 * (436 - 250) / (436 - 54)
    left, right = (back.index[back["own_x_mm"] == x][0] for x in (1071.0, 1389.0))
    to_right = ((1191 - 1071) + (1209 - 1071)) / (1389 - 1071)
    # Sums of four loads: round-off.
    assert loads[right] == pytest.approx(side * to_right)
    assert loads[left] == pytest.approx(side * (2 - to_right))


def test_what_is_checked(reading_room: Answer) -> None:
    least, deep = (rows_of(reading_room, one) for one in ("least depth left", "greatest depth"))
    assert (least["limit"][0], deep["limit"][0]) == (25.0, 95.0)
    profile = reading_room.details["profile.csv"]
    # Both faces of a member are looked at for the checks, the middle for the profile: 9 mm apart
    # a floor of 11 mm/m is 0.1 mm off.
    assert least["value"][0] == pytest.approx(profile["depth_mm"].min(), abs=0.1)
    assert deep["value"][0] == pytest.approx(profile["depth_mm"].max(), abs=0.1)
    bearing = rows_of(reading_room, "bearing of frame on board")
    assert [text.split(":")[0] for text in bearing["subject"]] == ["B", "F", "D"]
    assert (bearing["verdict"] == "ok").all()
    assert (bearing["value"] > 0.05).all()
    assert list(rows_of(reading_room, "longest span")["subject"]) == ["B", "F", "D"]
    assert list(rows_of(reading_room, "longest way without a rung")["subject"]) == [
        "B to F",
        "F to D",
    ]
    assert not (reading_room.checks["verdict"] == "fail").any()


def test_no_bearing_is_judged_without_the_class_of_the_boards_nor_on_a_solid_floor(
    boot_room: Answer,
) -> None:
    job = job_of("reading-room", base_of())
    floor = job.floor.model_copy(update={"board_strength_class": None})
    rows = rows_of(kit.solve(job.model_copy(update={"floor": floor})), "bearing of frame on board")
    assert list(rows["verdict"]) == ["not_checked"] * 3
    assert rows["value"].isna().all()
    assert rows["limit"].isna().all()
    assert rows_of(boot_room, "bearing of frame on board").empty


def test_cautions(reading_room: Answer, boot_room: Answer) -> None:
    said = " ".join(reading_room.cautions)
    for words in (
        "guards of saw",
        "Dust of plywood",
        "hides what runs beneath",
        "cut nothing out of joists",
        "blocks beside it",
        "never nail a frame down into services",
        "Back each joint",
    ):
        assert words in said
    assert "nothing may be fixed into this floor" in " ".join(boot_room.cautions)


def test_a_rung_that_binds_is_called_a_rung(tmp_path: Path) -> None:
    # A hump of 9 mm half way between the rows, under the rung at the middle of the left case.
    job = tilted(tmp_path, base_of({"least_mm": 42.5}, height_mm=(30.0, 41.0)))
    table = pd.read_csv(tmp_path / "h.csv")
    rung = (table["x_mm"] - 450).abs() + (table["y_mm"] - 225).abs()
    table.loc[rung.idxmin(), ["x_mm", "y_mm"]] = 450.0, 225.0
    table.loc[rung.idxmin(), "height_mm"] += 9.0
    table.to_csv(tmp_path / "h.csv", index=False)
    with pytest.raises(Refusal) as refused:
        solve(job)
    assert "high point + depth left of a rung of 42.5 mm (rung R" in str(refused.value)


def hatched(size_mm: tuple[float, float], **changes: Any) -> Job:
    hatch = NoGo(name="hatch", corner_mm=(1400.0, 20.0), size_mm=size_mm)
    job = job_of("reading-room", base_of({"least_mm": 25.0}, height_mm=(50.0, 62.0)))
    return job.model_copy(update={"no_go": (hatch,), **changes})


def test_what_bridges_an_opening_is_judged_as_a_beam_on_its_crossings() -> None:
    answer = kit.solve(hatched((200.0, 100.0)))
    (row,) = rows_of(answer, "member over an opening").itertuples()
    profile = answer.details["profile.csv"]
    left = profile[(profile["member"] == "B") & profile["along_mm"].between(1391, 1609)]
    depth = left["depth_mm"].min()
    assert row.subject == f"B: over hatch, 218 mm, {depth:.0f} mm left, bending"
    # The division in the middle, 1500, has 490.5 of the 1000 mm of its case; the rows stand at 54
    # and 256, the centre of gravity at 160. EN 1990: 1.35 and 1.5; EN 1995-1-1: kmod 0.7,
    # gamma_M 1.3; EN 338: 16 N/mm2; no size factor.
    force = 9.81 * (1.35 * 38 + 1.5 * 110) * 0.4905 * (256 - 160) / (256 - 54)
    stress = force * 218 / 4 / (18 * depth**2 / 6)
    # The member's own weight is in the figure: 0.1 N/mm x 218 mm against 500 N.
    assert row.value == pytest.approx(stress / (16 * 0.7 / 1.3), rel=0.005)
    assert row.value > stress / (16 * 0.7 / 1.3)
    assert (row.limit, row.verdict) == (1.0, "ok")
    assert "taken as C16 (from memory)" in row.source


def test_a_member_over_too_wide_an_opening_is_referred() -> None:
    job = hatched((200.0, 100.0))
    units = tuple(
        unit.model_copy(update={"contents_kg": 400.0 if unit.divisions_mm == (500.0,) else 20.0})
        for unit in job.runs[0].units
    )
    heavy = job.model_copy(update={"runs": (job.runs[0].model_copy(update={"units": units}),)})
    answer = kit.solve(heavy)
    (row,) = rows_of(answer, "member over an opening").itertuples()
    assert row.value > 1
    assert row.verdict == "refer"
    (said,) = [one for one in answer.cautions if one.startswith("Have a structural engineer")]
    assert f"member over an opening {row.value:.2f} of 1 ({row.subject})" in said


def test_a_crossing_beside_an_opening_bears_only_where_there_is_floor() -> None:
    job = hatched((380.0, 100.0))
    units = tuple(
        unit.model_copy(update={"contents_kg": 20.0}) if unit.name != "low bookcase 2" else unit
        for unit in job.runs[0].units
    )
    answer = kit.solve(
        job.model_copy(update={"runs": (job.runs[0].model_copy(update={"units": units}),)})
    )
    row = rows_of(answer, "bearing of frame on board").iloc[0]
    # From 1400 to 1780: the crossings 9 mm beside it bear on 50 + 9 mm; the left one has most of
    # the division at 1500, the right one the rest.
    place = answer.supports.query("row == 'B'").set_index("own_x_mm")["support"]
    assert row["subject"] == f"B: at {place[1391.0]}, on 59 mm"
    reach = (1789 - 1500) / (1789 - 1391)
    force = 9.81 * (1.35 * 38 + 1.5 * 110) * 0.4905 * (256 - 160) / (256 - 54) * reach
    # C16: 2.2 N/mm2 across the grain, kmod 0.7, gamma_M 1.3; the frame itself adds about 1 %.
    assert row["value"] == pytest.approx(force / (59 * 18) / (2.2 * 0.7 / 1.3), rel=0.02)


def test_a_frame_that_sets_less_level_than_was_asked_for_is_referred(
    reading_room: Answer,
) -> None:
    (row,) = rows_of(reading_room, "level set by hand").itertuples()
    assert (row.value, row.limit, row.verdict) == (0.5, 0.5, "ok")
    coarse = kit.solve(job_of("reading-room", base_of({"scribe_within_mm": 0.75})))
    (row,) = rows_of(coarse, "level set by hand").itertuples()
    assert (row.value, row.verdict) == (0.75, "refer")
    assert row.source.startswith("ladder.scribe_within_mm against base.tolerance_mm")


@pytest.mark.parametrize("folder", ["reading-room", "boot-room", "market-counter"])
def test_every_demo_job_is_answered_and_written(folder: str, tmp_path: Path) -> None:
    answer = kit.solve(job_of(folder, base_of()))
    write_results(answer, tmp_path)
    profile = pd.read_csv(tmp_path / "profile.csv", keep_default_na=False)
    assert list(profile.columns) == [
        "member", "along_mm", "x_mm", "y_mm", "depth_mm", "cut_mm", "floor_mm", "floor_sd_mm",
        "over",
    ]  # fmt: skip
    cuts = pd.read_csv(tmp_path / "cuts.csv")
    members = frame_of(answer.job, answer.layout, answer.base).members
    lengths = cuts.groupby("bearer")["length_mm"].sum()
    # Lengths of pieces summed: round-off.
    assert dict(lengths) == pytest.approx({one.name: one.length_mm for one in members})
    assert (profile["depth_mm"].astype(float) >= 25.0).all()


def test_a_floor_read_in_part_is_not_judged(tmp_path: Path) -> None:
    # Readings 170 mm apart speak for 85 mm beyond them: for the first crossing, at 9 mm, and not
    # for the member's end at 0.
    answer = solve(tilted(tmp_path, base_of(), left_mm=90.0))
    profile = answer.details["profile.csv"]
    unread = profile[profile["depth_mm"].isna()]
    assert set(unread["member"]) == {"B", "F"}
    assert (unread["along_mm"] == 0).all()
    assert unread["floor_mm"].isna().all()
    for check in ("least depth left", "greatest depth", SURE_DEPTH, SURE_LEFT):
        row = rows_of(answer, check)
        assert row["verdict"][0] == "not_checked"
        assert row["source"][0] == "part of the floor under the frame was not surveyed"
    assert math.isfinite(answer.bill.mass_kg)
    assert answer.bill.mass_kg > 2


def test_it_is_quick_enough_for_hundreds_of_floors(reading_room: Answer) -> None:
    job, base, ground = reading_room.job, reading_room.base, reading_room.ground
    lie, taken = as_expected(ground), []
    for _ in range(30):
        start = time.perf_counter()
        level = FRAME.set_level(job, base, ground, lie)
        FRAME.bill(job, base, ground, lie, level, no_screws())
        taken.append(time.perf_counter() - start)
    # About 0.4 ms for both on one core; twenty times that on a busy one.
    assert median(taken) < 0.008
