"""All tables of a made floor with a step: nothing in them is measured across it."""

import math

import numpy as np
import pytest

from kit.answer import survey_floor
from kit.flatness import volumes
from kit.height_grid import HeightGrid
from kit.job import Excluded, Refusal, read_job
from kit.large_floor.floor_files import FloorAsked, floor_tables

ASKED = FloorAsked(edge_mm=1000.0, cell_mm=200.0)

JOB = """
schema = 1
title = "A made floor with a step"
units = "mm"

[floor]
kind = "solid"
services = "no_fixings"
benchmark = "x0 y0"

[[survey]]
kind = "grid"
file = "grid.csv"
sd_mm = 0.05

[[floor_step]]
name = "kerb"
from_mm = [2500, 3000]
to_mm = [2500, 0]

[[run]]
name = "A"
origin_mm = [0, 0]
direction_deg = 0

  [[run.unit]]
  name = "locker 1"
  width_mm = 600
  depth_mm = 500
  height_mm = 1900
  side_mm = 18
  mass_kg = 34
  contents_kg = 40

[[base]]
name = "bearers on packers"
method = "packers"
height_mm = [50, 70]
minimum_pack_mm = 3
back_mm = 45
front_mm = 60
end_inset_mm = 5
max_span_mm = 600
tolerance_mm = 0.5
bearer = { width_mm = 45, thickness_mm = 22, strength_class = "C24", stock_mm = [2400] }

[stock]
packers = [ {mm = 1}, {mm = 3}, {mm = 6}, {mm = 18} ]
packer_size_mm = [75, 45]
"""


def floor_mm():
    """Falls of 2 mm/m, 120 mm higher beyond x 2500; a hollow on one level, a hump on the other."""
    x, y = 200.0 * np.arange(24), 200.0 * np.arange(16)[:, None]
    height = 0.002 * x + 0.0 * y + np.where(x > 2500, 120.0, 0.0)
    for middle, high in (((1200, 1400), -9.0), ((3600, 1000), 7.0)):
        height += high * np.exp(-((x - middle[0]) ** 2 + (y - middle[1]) ** 2) / 2 / 300.0**2)
    return x, y[:, 0], height


def job_of(folder, every=1):
    x, y, height = (each[..., ::every] for each in floor_mm())
    rows = [",".join(["y_mm", *(f"{one:.0f}" for one in x)])]
    rows += [
        ",".join([f"{at:.0f}", *(f"{one:.3f}" for one in row)])
        for at, row in zip(y, height[::every], strict=True)
    ]
    (folder / "grid.csv").write_text("\n".join(rows) + "\n")
    (folder / "job.toml").write_text(JOB)
    return read_job(folder)


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    return job_of(tmp_path_factory.mktemp("stepped"))


@pytest.fixture(scope="module")
def survey(job):
    return survey_floor(job)


@pytest.fixture(scope="module")
def told(job, survey):
    shares = []
    found = floor_tables(
        job, survey, FloorAsked(1000.0, 200.0, target="SR1", ways="fill"), shares.append
    )
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    return found


def test_the_floor_is_what_was_read(told):
    _, _, height = floor_mm()
    # Readings of sd 0.05 mm, kriged at their own places.
    np.testing.assert_allclose(told.floor.grid.height_mm, height, atol=0.3)
    assert np.nanmax(told.floor.readings_mm) == pytest.approx(200, rel=1e-6)


def test_classes_know_of_the_step(told):
    classes = told.tables["classes.csv"].set_index("class")
    # A metre's edge over the hollow, 9 mm deep and 300 mm to its steepest: some of it beyond SR1.
    assert classes.loc["beyond", "area_m2"] == 0
    assert classes.loc["SR1", "share"] > 0.8
    assert told.tables["worst-places.csv"]["departure_mm"].max() < 7
    assert "The floor steps along kerb: nothing is measured across." in told.report.notes
    assert any("told from its own readings" in note for note in told.report.notes)


def test_stichmass_in_cells_that_allow_it(job, survey):
    table = floor_tables(job, survey, FloorAsked(1000.0, 100.0)).tables["din18202.csv"]
    row = table.set_index("distance_m").loc[1.0]
    assert row["state"] == "not kept"
    # In the middle of the hollow, 9 mm deep, less what is left of it 500 mm away.
    deep = 9 * (1 - np.exp(-(500**2) / 2 / 300**2))
    assert row["worst_mm"] == pytest.approx(-deep, abs=0.3)
    # 47 by 31 cells of 100 mm: 26 and 21 columns, ten places less on each line.
    assert row["positions"] == (16 + 11) * 31 + 47 * 21


def test_volumes_are_told_level_by_level(told):
    table = told.tables["volumes.csv"].set_index("zone")
    assert table.index.tolist() == ["before step 'kerb'", "beyond step 'kerb'", "whole floor"]
    grid = told.floor.grid
    for name, columns in (("before", slice(0, 13)), ("beyond", slice(13, 24))):
        part = HeightGrid(
            grid.x_mm[columns], grid.y_mm, grid.height_mm[:, columns], grid.sd_mm[:, columns],
            grid.count[:, columns],
        )  # fmt: skip
        row = table.loc[f"{name} step 'kerb'"]
        datum = float(part.height_mm.mean())
        assert row["datum_mm"] == pytest.approx(datum, abs=1e-9)
        by_hand = volumes(part, datum)
        assert row["fill_l"] == pytest.approx(by_hand.fill.litres)
        assert row["cut_l"] == pytest.approx(by_hand.cut.litres)
        assert row["net_l"] == pytest.approx(0, abs=1e-9)
        assert told.datums_mm[f"{name} step 'kerb'"] == row["datum_mm"]
    whole = table.loc["whole floor"]
    assert whole["fill_l"] == pytest.approx(table["fill_l"].iloc[:2].sum())
    assert math.isnan(whole["datum_mm"])
    # A floor of 15 m² that falls by 2 mm/m: nothing near the 120 mm of the step, 1800 l.
    assert whole["fill_l"] < 20


def test_a_datum_that_is_asked_for_holds_everywhere(job, survey):
    asked = FloorAsked(1000.0, 200.0, datum_mm=50.0)
    table = floor_tables(job, survey, asked).tables["volumes.csv"]
    assert table["datum_mm"].tolist() == [50.0] * 3
    assert table["cut_l"].iloc[0] == 0
    assert table["fill_l"].iloc[1] == 0


def test_the_least_fill_is_on_each_level_by_itself(told):
    (change,) = told.change
    assert change.is_least
    assert change.limit_mm == 3.0
    assert change.departure_before_mm > 3.5
    assert change.departure_after_mm <= 3.0 + 1e-6
    work = told.tables["grind-patches.csv"]
    assert set(work["work"]) == {"fill"}
    # Filled up to the step it would take over a hundred millimetres beside it.
    assert work["deepest_mm"].max() < 8
    assert ((work["to_x_mm"] <= 2500) | (work["from_x_mm"] >= 2500)).all()
    cells = told.tables["grind-fill.csv"]
    assert len(cells) == 24 * 16
    assert cells["change_mm"].sum() * 0.04 == pytest.approx(change.filled.litres)
    assert any("approves no floor" in one for one in told.cautions)


def test_without_a_target_nothing_is_ground(job, survey):
    found = floor_tables(job, survey, ASKED)
    assert found.change == found.cautions == ()
    assert "grind-fill.csv" not in found.tables


def test_without_a_step_there_is_one_row(job, survey):
    flat = job.model_copy(update={"floor_steps": ()})
    table = floor_tables(flat, survey, ASKED).tables["volumes.csv"]
    assert table["zone"].tolist() == ["whole floor"]
    # Of the surface told level by level, all the same: the mean of what was read.
    assert table["datum_mm"].iloc[0] == pytest.approx(float(floor_mm()[2].mean()), abs=0.05)


def test_what_cannot_be_told_is_refused(job, survey, tmp_path):
    with pytest.raises(Refusal, match="--class: found 'SR9'; allowed: SR1, SR2, SR3"):
        floor_tables(job, survey, FloorAsked(1000.0, 200.0, target="SR9"))
    with pytest.raises(Refusal, match="straight edge: found 1000 mm"):
        floor_tables(job, survey, FloorAsked(1000.0, 300.0))
    for datum in (math.nan, -math.inf, 1e300):
        with pytest.raises(Refusal, match="--datum: found"):
            floor_tables(job, survey, FloorAsked(1000.0, 200.0, datum))
    far = job_of(tmp_path, every=4)
    read = survey_floor(far)
    with pytest.raises(Refusal) as refused:
        floor_tables(far, read, FloorAsked(1000.0, 200.0, target="SR1"))
    said = str(refused.value)
    assert "--class: found 'SR1', and readings up to" in said
    assert "allowed: readings 500 mm apart or less, or a scan" in said
    # Asked for no class, what such readings do not tell is not checked.
    found = floor_tables(far, read, ASKED)
    assert found.tables["classes.csv"].set_index("class").loc["not checked", "share"] == 1


def test_what_is_excluded_or_not_checked_is_no_part_of_the_work(job, survey):
    hump = Excluded(name="hump", corner_mm=(2900, 300), size_mm=(1400, 1400))
    less = job.model_copy(update={"excluded": (hump,)})
    told = floor_tables(less, survey, FloorAsked(1000.0, 200.0, target="SR1", ways="grind"))
    classes = told.tables["classes.csv"].set_index("class")
    assert classes.loc["excluded", "area_m2"] == pytest.approx(7 * 7 * 0.04)
    assert classes["area_m2"].sum() == pytest.approx(24 * 16 * 0.04)
    assert told.tables["volumes.csv"]["area_m2"].iloc[-1] == pytest.approx((24 * 16 - 49) * 0.04)
    work = told.tables["grind-patches.csv"]
    assert not ((work["x_mm"] > 2900) & (work["x_mm"] < 4300) & (work["y_mm"] < 1700)).any()
    unchecked = classes.loc["not checked", "area_m2"]
    assert told.cautions[0].startswith(f"No straight edge could be laid about {unchecked:.1f} m²")


def test_a_patch_too_far_from_readings_is_left_out_of_the_work(tmp_path):
    part = job_of(tmp_path)
    lines = (tmp_path / "grid.csv").read_text().splitlines()
    for row in range(10, 16):  # y 1800 to 2800, x 0 to 1000
        cells = lines[row].split(",")
        lines[row] = ",".join([cells[0], *[""] * 6, *cells[7:]])
    lines[16] = ",".join([lines[16].split(",")[0], *lines[16].split(",")[1:]])
    (tmp_path / "grid.csv").write_text("\n".join(lines) + "\n")
    told = floor_tables(part, survey_floor(part), FloorAsked(1000.0, 200.0, target="SR1"))
    (change,) = told.change
    lost = told.report.grid.known & ~change.grid.known
    assert 0 < lost.sum() < 30
    assert told.floor.grid.x_mm[np.nonzero(lost)[1]].max() <= 1000
    assert f"{lost.sum() * 0.04:.1f} m² lie too far from readings" in told.cautions[0]
