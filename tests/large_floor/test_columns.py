"""What columns mean: every column that is written has a sentence, and no sentence is left over."""

import io
import re

import pandas as pd
import pytest

from kit.__main__ import main
from kit.flatness import flatness_report
from kit.flatness.along import Line
from kit.job import Refusal
from kit.large_floor.columns import COLUMNS_FILE, MEANINGS, columns_text, unit_of
from kit.large_floor.job_grid import grid_of_job
from kit.scan import make_hall, write_made_scan

RAMP = "step_mm = [60, 200], ramp_mm_per_m = 83"

#: A second base of the hall, of which the powder of the hollows is told.
COMPOUND = """
[[base]]
name = "compound"
method = "compound"
height_mm = 20

  [base.compound]
  least_mm = 3
  greatest_mm = 30
  powder_kg_per_l = 1.7
  set_kg_per_l = 2.0
  bag_kg = 25
  drying = [ {to_mm = 30, days = 1} ]
"""


@pytest.fixture(scope="module")
def folders(hall_folder, tmp_path_factory):
    """Return the folders that the three commands wrote on small jobs."""
    at = tmp_path_factory.mktemp("columns")
    job = at / "job"
    job.mkdir()
    (job / "grid.csv").write_bytes((hall_folder / "grid.csv").read_bytes())
    text = (hall_folder / "job.toml").read_text().replace("step_mm = [60, 200]", RAMP)
    assert RAMP in text
    (job / "job.toml").write_text(text + COMPOUND)
    scan = at / "scan.las"
    write_made_scan(make_hall(3, length_mm=7000, width_mm=5000), scan, 100_000)
    runs = {
        "scan": ["scan", str(scan)],
        "flatness": ["flatness", str(job), "--class", "SR1", "--edge", "1000", "--cell", "200"],
        "levels": ["levels", str(job)],
    }
    for name, words in runs.items():
        assert main([*words, "--out", str(at / name)]) == 0
    return {name: at / name for name in runs}


@pytest.fixture(scope="module")
def written(folders, hall, surveyed):
    """Return the columns of every table that is written, by the name of its file."""
    found = {
        path.name: list(pd.read_csv(path).columns)
        for folder in folders.values()
        for path in folder.glob("*.csv")
        if path.name != COLUMNS_FILE
    }
    # Only lines that a person draws are cut open; the command draws none.
    grid = grid_of_job(hall, surveyed, 200.0).grid
    line = Line("cut", (700.0, 600.0), (3100.0, 600.0))
    drawn = flatness_report(grid, edge_mm=1000.0, lines=[line]).tables()
    return found | {"sections.csv": list(drawn["sections.csv"].columns)}


def test_every_column_that_is_written_has_a_meaning_and_none_is_left_over(written):
    assert {name: sorted(told) for name, told in MEANINGS.items()} == {
        name: sorted(columns) for name, columns in written.items()
    }


def test_meanings_stand_in_the_order_of_the_columns(written):
    assert {n: list(told) for n, told in MEANINGS.items()} == written


@pytest.mark.parametrize("command", ["scan", "flatness", "levels"])
def test_each_command_writes_the_meanings_of_its_own_tables(folders, command):
    told = pd.read_csv(folders[command] / COLUMNS_FILE, keep_default_na=False)
    assert list(told.columns) == ["file", "column", "unit", "meaning"]
    files = {path.name for path in folders[command].glob("*.csv")} - {COLUMNS_FILE}
    assert set(told["file"]) == files
    assert len(told) == sum(len(MEANINGS[name]) for name in files)


def test_each_meaning_is_one_plain_sentence_that_no_spreadsheet_reckons():
    for name, told in MEANINGS.items():
        for column, meaning in told.items():
            where = f"{name}, {column}: {meaning}"
            assert re.fullmatch(r"\S.*[^.]\.", meaning), where
            assert not re.search(r"[.!?] [A-Z]", meaning), where
            assert "  " not in meaning, where
            assert meaning[0].isalpha(), where


@pytest.mark.parametrize(
    ("column", "unit"),
    [
        ("base_top_mm", "mm"), ("one_way_m2", "m²"), ("fill_sd_l", "l"), ("litres", "l"),
        ("mass_kg", "kg"), ("walk_m", "m"), ("distance_m", "m"), ("minutes", "min"),
        ("stacks_per_hour", "1/h"), ("share", "share"), ("walk_at_most_longer", "share"),
        ("axis", ""), ("F_L", ""), ("pieces", ""), ("ramp", ""),
    ],
)  # fmt: skip
def test_units_are_those_that_names_end_in(column, unit):
    assert unit_of(column) == unit


def test_a_place_and_a_level_are_told_from_lengths():
    told = pd.read_csv(io.StringIO(columns_text(["worst-places.csv", "zones.csv"])))
    meaning = told.set_index(["file", "column"])["meaning"]
    assert "not a length" in meaning["worst-places.csv", "gap_x_mm"]
    assert "underside" in meaning["zones.csv", "datum_mm"]
    assert "on which the units stand" in meaning["zones.csv", "base_top_mm"]


def test_a_file_without_meanings_is_refused():
    with pytest.raises(Refusal, match=r"'stacks\.csv'.*zones\.csv"):
        columns_text(["zones.csv", "stacks.csv"])


def test_the_sign_of_the_change_is_what_the_table_has(folders):
    cells = pd.read_csv(folders["flatness"] / "grind-fill.csv")
    patches = pd.read_csv(folders["flatness"] / "grind-patches.csv")
    filled = cells.loc[cells["change_mm"] > 1e-6, "change_mm"].sum() * 0.2**2
    assert filled > 0
    told = patches.loc[patches["work"] == "fill", "litres"].sum()
    # A cell of 200 mm by 1 mm is 0.04 l; the sums differ by round-off and by cells under 1e-6 mm.
    assert filled == pytest.approx(told, abs=1e-6)
    moved = cells["after_mm"] - cells["height_mm"]
    assert moved.to_numpy() == pytest.approx(cells["change_mm"].to_numpy(), abs=1e-9)  # round-off


def test_the_sign_of_the_step_and_what_the_base_top_counts_from(folders):
    zones = pd.read_csv(folders["levels"] / "zones.csv")
    step = pd.read_csv(folders["levels"] / "zone-steps.csv").iloc[0]
    top = zones.set_index("zone")["base_top_mm"]
    assert step["step_mm"] > 60
    # Written in the shortest form that reads back the same: only round-off of the differences.
    assert step["step_mm"] == pytest.approx(top[step["to_zone"]] - top[step["from_zone"]], abs=1e-9)
    over = zones["base_top_mm"] - zones["high_point_mm"]
    assert over.to_numpy() == pytest.approx(zones["base_height_mm"].to_numpy(), abs=1e-9)
    bearer = zones["base_top_mm"] - zones["datum_mm"]
    assert bearer.to_numpy() == pytest.approx(20.0, abs=1e-9)  # the bearer unless given: 20 mm
