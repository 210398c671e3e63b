"""The whole path from a job to its answer: a case by hand, the demo jobs, what is taken over."""

import shutil
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

import kit
from kit.answer import Answer, survey_floor
from kit.job import Job, Refusal
from kit.job.model import Moved

DATA = Path(__file__).parents[1] / "data"

SLOPED = """
schema = 1
title = "Sloped boards"
[floor]
kind = "boarded"
board_mm = 20
[[survey]]
kind = "heights"
file = "h.csv"
sd_mm = 0.1
[[run]]
name = "A"
[[run.unit]]
name = "case"
width_mm = 1000
depth_mm = 320
height_in = "35 7/16"
side_mm = 20
mass_kg = 50
[[base]]
name = "one"
height_mm = 50
[stock]
packers = [{mm = 1}, {mm = 3}, {mm = 6}, {mm = 18}]
screws_mm = [30, 40, 50]
countersink_mm = 1
"""


def sloped_job(folder: Path, **lines: str) -> Path:
    """A floor that falls 4 mm/m to the right and 2 mm/m into the room, read without error."""
    text = SLOPED
    for old, new in lines.items():
        assert old in text
        text = text.replace(next(ln for ln in text.splitlines() if ln.startswith(old)), new)
    (folder / "job.toml").write_text(text)
    rows = [
        (f"P{i}{j}", x, y, -0.004 * x - 0.002 * y)
        for i, x in enumerate((0, 330, 700, 1000))
        for j, y in enumerate((0, 150, 400))
    ]
    table = pd.DataFrame(rows, columns=["point", "x_mm", "y_mm", "height_mm"])
    table.to_csv(folder / "h.csv", index=False)
    return folder


@pytest.fixture(scope="module", params=["reading-room", "boot-room", "market-counter"])
def demo(request: pytest.FixtureRequest) -> Answer:
    job = kit.read_job(DATA / request.param)
    if request.param == "market-counter":  # as a person leaves it who has found the slip
        sheet = job.surveys[0].model_copy(update={"leave_out": (20,)})
        job = job.model_copy(update={"surveys": (sheet, *job.surveys[1:])})
    return kit.solve(job)


def test_a_sloped_floor_by_hand(tmp_path: Path) -> None:
    answer = kit.solve(kit.read_job(sloped_job(tmp_path)))
    assert answer.plane.rise_x_mm_per_m == pytest.approx(-4, abs=1e-9)  # exact plane, round-off
    assert answer.plane.fall_towards_deg == pytest.approx(np.degrees(np.arctan2(2, 4)), abs=1e-6)
    # highest place under the base: the back bearer's left back corner (0, 45)
    high = answer.high_point
    assert (high.x_mm, high.y_mm) == (0, 45)
    assert high.height_mm == pytest.approx(-0.09, abs=1e-6)  # the surface goes through a plane
    # base top 50 above it, bearer 20: datum 29.91; B1 at (37.5, 67.5), F2 at (962.5, 242.5)
    assert answer.datum.datum_mm == pytest.approx(29.91, abs=1e-6)
    target = answer.supports.set_index("support")["target_mm"]
    assert target["B1"] == pytest.approx(29.91 + 0.15 + 0.135, abs=1e-6)
    assert target["F3"] == pytest.approx(29.91 + 3.85 + 0.485, abs=1e-6)
    # 30.195: 18 + 6 + 6; 34.245: 18 + 6 + 6 + 3 + 1
    stacks = answer.stacks.groupby("support")["thickness_mm"].apply(list)
    assert stacks["B1"] == [18, 6, 6]
    assert stacks["F3"] == [18, 6, 3, 1, 6]


def test_targets_stacks_and_tables_agree(demo: Answer) -> None:
    supports = demo.supports.set_index("support")
    sums = demo.stacks.groupby("support")["thickness_mm"].sum()
    error = sums - supports["target_mm"]
    near = 1e-9  # the closed tolerance of the stacks
    assert error.abs().max() <= demo.base.tolerance_mm + near
    assert error.abs().max() == pytest.approx(demo.worst_error_mm)
    assert len(demo.stacks) == demo.pieces
    assert set(sums.index) == set(supports.index)
    target = demo.datum.datum_mm - supports["floor_mm"]
    assert supports["target_mm"].to_numpy() == pytest.approx(target.to_numpy())
    assert (demo.clearance["least_mm"] >= demo.base.minimum_pack_mm - near).all()
    low, high = demo.base.height_range_mm
    assert low - near <= demo.datum.base_height_mm <= high + near


def test_the_bag_of_packers_is_not_overdrawn(demo: Answer) -> None:
    used = demo.stacks["nominal_mm"].value_counts()
    for packer in demo.job.stock.packers:
        if packer.count is not None:
            assert used.get(packer.mm, 0) <= packer.count


def test_no_screw_reaches_its_limit(demo: Answer) -> None:
    chosen = demo.screws.dropna(subset="length_mm")
    assert len(chosen) > 0
    assert (chosen["point_below_floor_mm"] <= chosen["limit_mm"] + 1e-9).all()  # round-off


def test_the_true_floor_lies_within_its_doubt(demo: Answer) -> None:
    """The demo floors are formulas: the stated 2 sd must hold at most supports."""
    namespace: dict[str, Any] = {"__name__": "floors", "__file__": str(DATA / "make_floors.py")}
    exec((DATA / "make_floors.py").read_text(), namespace)
    name = {
        "reading-room": "reading_room_floor",
        "boot-room": "boot_room_floor",
        "market-counter": "market_floor",
    }[demo.job.folder.name]
    supports = demo.supports
    true = np.array(
        [namespace[name](x, y) for x, y in zip(supports["x_mm"], supports["y_mm"], strict=True)]
    )
    offset = np.mean(true - supports["floor_mm"])  # the two datums differ
    off = np.abs(true - supports["floor_mm"] - offset) / supports["floor_sd_mm"]
    # 24 to 27 correlated supports: 95 % expected, 80 % is what chance may leave of it
    assert np.mean(off < 2) > 0.8


def changed(job: Job, **changes: object) -> Job:
    base = job.bases[0].model_copy(update=changes)
    return job.model_copy(update={"bases": (base, *job.bases[1:])})


@pytest.mark.parametrize(
    "changes",
    [
        {"height_mm": (54.0, 60.0)},
        {"tolerance_mm": 0.8},
        {"back_mm": 50.0},
        {"max_span_mm": 450.0},
        {"front_lift_mm": 1.5},
        {"plinth": None},
    ],
    ids=str,
)
def test_what_is_taken_over_changes_nothing(demo: Answer, changes: dict[str, object]) -> None:
    job = changed(demo.job, **changes)
    warm, cold = kit.solve(job, before=demo), kit.solve(job)
    for table in ("supports", "stacks", "screws", "checks", "take_off", "clearance", "plinth"):
        pd.testing.assert_frame_equal(getattr(warm, table), getattr(cold, table))
    assert warm.cautions == cold.cautions
    assert warm.heights is demo.heights
    moved = bool({"back_mm", "max_span_mm", "plinth"} & set(changes))
    assert (warm.ground is demo.ground) is not moved
    assert (warm.high_point is demo.high_point) is ("back_mm" not in changes)


def test_an_answer_of_another_way_of_building_is_not_taken_over(demo: Answer) -> None:
    base = demo.base.model_copy(update={"name": "apart", "method": "stacks", "moved": ()})
    # Stacks without a bearer cannot bridge the boot room's hatch.
    job = demo.job.model_copy(update={"bases": (base, *demo.job.bases), "no_go": ()})
    apart = kit.solve(job, "apart", before=demo)
    assert apart.survey is demo.survey
    assert apart.ground is not demo.ground
    assert len(apart.cuts.cuts) == 0
    fresh = kit.solve(job, "apart")
    for table in ("supports", "stacks", "screws", "checks", "take_off", "work"):
        pd.testing.assert_frame_equal(getattr(apart, table), getattr(fresh, table))
    back, cold = (kit.solve(job, demo.base.name, before=before) for before in (apart, None))
    assert back.worst_error_mm == cold.worst_error_mm
    pd.testing.assert_frame_equal(back.cuts.cuts, cold.cuts.cuts)


def test_the_bill_is_counted_from_the_answer(demo: Answer) -> None:
    bill = demo.bill
    assert bill.count_of("packer") == demo.pieces
    assert bill.count_of("screw") == int(demo.screws["length_mm"].notna().sum())
    assert bill.count_of("bearer length") == int(demo.cuts.bought["count"].sum())
    counted = dict(zip(demo.work["operation"], demo.work["count"], strict=True))
    assert counted["lay a packer"] == demo.pieces
    assert counted["cut and lay a bearer piece"] == len(demo.cuts.cuts)
    assert demo.work["minutes"].sum() == pytest.approx(bill.minutes)
    assert demo.traits.level_error_mm == demo.datum.plan.worst_error_mm
    assert len(demo.details) == 0


def test_a_stack_moved_by_hand_looks_only_at_its_own_floor_again(demo: Answer) -> None:
    second = demo.supports.iloc[1]
    at, row = float(second["own_x_mm"]), str(second["bearer"])
    move = Moved(bearer=row, from_mm=at, to_mm=at - 12.0)
    job = changed(demo.job, moved=(move,))
    warm, cold = kit.solve(job, before=demo), kit.solve(job)
    for table in ("supports", "stacks", "screws", "checks", "take_off", "clearance", "plinth"):
        pd.testing.assert_frame_equal(getattr(warm, table), getattr(cold, table))
    pd.testing.assert_frame_equal(warm.cuts.cuts, cold.cuts.cuts)
    assert warm.high_point is demo.high_point
    one = warm.supports.iloc[1]
    assert one["own_x_mm"] == at - 12.0
    assert "by_hand" in one["reasons"].split("+")
    floor = demo.surface.predict(one["x_mm"], one["y_mm"])
    assert one["floor_mm"] == pytest.approx(float(floor.height_mm[0]), abs=1e-9)


def test_heavier_units_are_looked_at_again(demo: Answer) -> None:
    run = demo.job.runs[0]
    heavy = run.units[0].model_copy(update={"mass_kg": run.units[0].mass_kg + 40.0})
    run = run.model_copy(update={"units": (heavy, *run.units[1:])})
    job = demo.job.model_copy(update={"runs": (run, *demo.job.runs[1:])})
    warm, cold = kit.solve(job, before=demo), kit.solve(job)
    pd.testing.assert_frame_equal(warm.supports, cold.supports)
    pd.testing.assert_frame_equal(warm.checks, cold.checks)
    more = warm.supports["load_N"].sum() - demo.supports["load_N"].sum()
    assert more == pytest.approx(40.0 * 9.81)


def test_the_front_row_is_lifted_as_asked(demo: Answer) -> None:
    lifted = kit.solve(changed(demo.job, front_lift_mm=2.0), before=demo)
    supports = lifted.supports
    extra = supports["target_mm"] - (lifted.datum.datum_mm - supports["floor_mm"])
    assert extra[supports["row"] == "B"].abs().max() < 1e-9  # round-off
    assert extra[supports["row"] == "F"].to_numpy() == pytest.approx(2.0)


def test_supports_outside_the_survey_are_refused_by_name(tmp_path: Path) -> None:
    folder = sloped_job(tmp_path, width_mm="width_mm = 1900")
    with pytest.raises(Refusal) as refusal:
        kit.solve(kit.read_job(folder))
    lines = str(refusal.value).splitlines()
    assert len(lines) == 2  # of five supports in each row the last two
    assert lines[0].startswith(
        "bearer B, support B4, B5: found 2 supports where the floor was not surveyed, the first at"
        " x = 1406, y = 68 mm"
    )


def test_no_screw_point_comes_near_what_lies_below(demo: Answer) -> None:
    """Points worked out anew from the stacks, limits from the job, for every screw chosen."""
    floor, stock = demo.job.floor, demo.job.stock
    stacks = demo.stacks.groupby("support")["thickness_mm"].apply(list)
    closed = floor.services == "no_fixings" or floor.kind == "solid"
    depth = 0.0 if closed else (floor.board_mm or 0.0) - floor.reserve_mm
    for support, of_support in demo.screws.groupby("support"):
        stack = stacks[support]
        heads = [sum(stack[: n + 1]) for n, mm in enumerate(stack) if mm >= 6]
        heads = [*heads, sum(stack) + demo.base.bearer.thickness_mm]
        assert len(of_support) == len(heads)
        for head, length in zip(heads, of_support["length_mm"], strict=True):
            if not np.isnan(length):
                assert length + stock.countersink_mm - head <= depth + 1e-9  # round-off


def test_a_height_that_the_floor_does_not_allow_is_refused(tmp_path: Path) -> None:
    folder = sloped_job(tmp_path, height_mm="height_mm = 22")
    with pytest.raises(Refusal, match=r"high point \+ minimum pack of 3 mm.*1.0 mm are missing"):
        kit.solve(kit.read_job(folder))


def test_a_ceiling_binds_the_height(tmp_path: Path) -> None:
    folder = sloped_job(tmp_path, height_mm="height_mm = [50, 70]")
    (folder / "job.toml").write_text(
        (folder / "job.toml").read_text() + "[room]\nceiling_mm = 958\n"
    )
    answer = kit.solve(kit.read_job(folder))
    # heights are above the highest point read, 0 at (0, 0); the high point is at -0.09
    assert answer.datum.binding_high == "ceiling over unit 'case', 900.112 mm tall"
    assert answer.datum.feasible_heights_mm[-1][1] == pytest.approx(57.9775, abs=1e-6)


def test_an_unknown_base_is_refused_by_name(demo: Answer) -> None:
    with pytest.raises(Refusal, match="--base: found 'feet'; allowed: one of 'bearers on packers'"):
        kit.solve(demo.job, "feet")


def test_the_same_job_gives_the_same_answer(demo: Answer) -> None:
    again = kit.solve(demo.job)
    pd.testing.assert_frame_equal(again.stacks, demo.stacks)
    assert again.high_point.certainty == demo.high_point.certainty


@pytest.mark.parametrize(("name", "grown"), [("market-counter", True), ("reading-room", False)])
def test_doubt_grows_with_the_scatter_only_where_asked_and_only_where_it_is_seen(
    tmp_path: Path, name: str, grown: bool
) -> None:
    shutil.copytree(DATA / name, tmp_path / "job")
    stated = survey_floor(kit.read_job(tmp_path / "job")).heights
    kit.save_job(tmp_path / "job", {"floor.doubt": "scaled"})
    asked = survey_floor(kit.read_job(tmp_path / "job")).heights
    factor = stated.sigma0 if grown else 1.0
    assert asked.points["sd_mm"].to_numpy() == pytest.approx(factor * stated.points["sd_mm"])
    words = "is multiplied by sigma0"
    assert any(words in note for note in asked.notes)
    assert not any(words in note for note in stated.notes)


def slipped(folder: Path, old: str, new: str) -> Path:
    """The reading room with one reading changed."""
    shutil.copytree(DATA / "reading-room", folder)
    text = (folder / "readings.csv").read_text()
    assert text.count(old) == 1
    (folder / "readings.csv").write_text(text.replace(old, new))
    return folder


def once_read() -> tuple[str, str]:
    """Return the line of a place that is read once, and the same 40 mm too large."""
    lines = (DATA / "reading-room" / "readings.csv").read_text().splitlines()
    line = next(one for one in lines if one.split(",")[1] == "P5")
    parts = line.split(",")
    return line, ",".join([*parts[:4], f"{float(parts[4]) + 40:g}"])


def test_a_slip_that_no_reading_contradicts_is_seen_in_the_floor(tmp_path: Path) -> None:
    answer = kit.solve(kit.read_job(slipped(tmp_path / "job", *once_read())))
    assert answer.heights.suspects == ()
    (caution,) = [c for c in answer.cautions if c.startswith("Point P5 (readings.csv row ")]
    assert "read once) lies far lower than the floor around it" in caution
    assert not any(
        "the floor around it" in c for c in kit.solve(kit.read_job(DATA / "reading-room")).cautions
    )


def test_a_refused_base_names_the_readings_in_doubt_first(tmp_path: Path) -> None:
    old, new = once_read()
    parts = new.split(",")
    new = ",".join([*parts[:4], f"{float(parts[4]) + 400:g}"])
    with pytest.raises(Refusal) as caught:
        kit.solve(kit.read_job(slipped(tmp_path / "job", old, new)))
    first, *others = caught.value.problems
    assert first.where == "a reading in doubt"
    assert "Point P5" in first.found
    assert len(others) >= 1
