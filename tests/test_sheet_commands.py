"""``kit sheet``, ``as-built`` and ``plan --as-built``: what they write, say and refuse."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest

from kit.__main__ import main
from kit.paper.record import RECORD_FILES
from kit.paper.sheets import PAPERS

#: One stool box on a slab that falls to the right and rises into the room.
JOB = """schema = 1
title = "Market hall, stool box"
units = "mm"
[floor]
kind = "solid"
services = "unknown"
[[survey]]
kind = "heights"
file = "heights.csv"
sd_mm = 0.3
[[run]]
name = "A"
[[run.unit]]
name = "stool box"
width_mm = 430
depth_mm = 350
height_mm = 500
mass_kg = 12
contents_kg = 20
[[base]]
name = "low base"
method = "packers"
height_mm = [50, 75]
tolerance_mm = 1.0
[stock]
packers = [{mm = 1}, {mm = 3}, {mm = 6}, {mm = 18}]
screws_mm = [20, 30, 40, 50]
"""

AS_BUILT = """
[as_built]
date = 2026-11-21
by = "Ada Fell"
instrument = "staff and level"
[[as_built.survey]]
kind = "staff"
file = "tops.csv"
sd_mm = 0.1
"""

#: How far each support was built off level [mm], the back left one too high.
OFF = {"B1": 3.2, "B2": 0.1, "F1": -0.2, "F2": 0.0}


@pytest.fixture
def job(tmp_path: Path) -> Path:
    folder = tmp_path / "job"
    folder.mkdir()
    (folder / "job.toml").write_text(JOB)
    places = [(x, y) for x in (0, 240, 480) for y in (20, 200, 380)]
    lines = [f"P{n},{x},{y},{y / 120 - x / 150:.2f}" for n, (x, y) in enumerate(places)]
    (folder / "heights.csv").write_text("\n".join(["point,x_mm,y_mm,height_mm", *lines]))
    return folder


def run(*words: Any) -> int:
    return main([str(word) for word in words])


def test_sheet_writes_the_papers_and_says_which(
    job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "papers"
    assert run("sheet", job, "--out", out) == 0
    said = capsys.readouterr()
    written = {path.name for path in out.iterdir()}
    assert written == {*PAPERS} - {"plinth.pdf", "plinth.csv"}
    assert said.out.startswith(f"Market hall, stool box, low base: {len(written)} papers in {out}")
    assert all(f"  {name}: {PAPERS[name]}" in said.out for name in written)
    assert "Print at 100 %" in said.out
    assert said.err == ""  # progress is for those who look on


def test_options_that_cannot_be_kept_are_named_as_they_were_given(
    job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "papers"
    assert run("sheet", job, "--pitch", 0, "--certainty", 2, "--out", out) == 2
    assert capsys.readouterr().err == (
        "--pitch: found 0 mm; allowed: 10 to 1000 mm\n--certainty: found 2; allowed: 0.5 to 0.995\n"
    )
    assert run("sheet", job, "--base", "high base", "--out", out) == 2
    assert "--base: found 'high base'; allowed: one of 'low base'" in capsys.readouterr().err
    (tmp_path / "file").write_text("")
    assert run("sheet", job, "--out", tmp_path / "file") == 2
    assert f"--out {tmp_path / 'file'}: found" in capsys.readouterr().err
    assert not out.exists()


def fill_in(plan: Path, off: dict[str, float]) -> None:
    """Write a reading into each row of a plan, from an instrument 1250 mm above the level."""
    rows = list(csv.DictReader(io.StringIO(plan.read_text(encoding="utf-8"))))
    assert all(row["reading_mm"] == "" for row in rows)
    above = {setup: 1250.0 + 31.5 * n for n, setup in enumerate({row["setup"]: 0 for row in rows})}
    for row in rows:
        row["reading_mm"] = f"{above[row['setup']] - off[row['point']]:.1f}"
    with plan.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, [*rows[0]])
        writer.writeheader()
        writer.writerows(rows)


def test_a_plan_that_is_filled_in_comes_back_as_a_record(
    job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan, out = job / "tops.csv", tmp_path / "record"
    assert run("plan", job, "--as-built", "--again", "all", "--out", plan) == 0
    said = capsys.readouterr().out
    assert "Read the top of the base over each support" in said
    assert "Everything is read from two set-ups, T1 and T2" in said
    assert run("plan", job, "--as-built", "--out", plan.with_name("once.csv")) == 0
    assert "cannot tell a slip from a stack that is wrong: read twice" in capsys.readouterr().out
    assert run("plan", job, "--as-built", "--out", plan) == 2  # it is not written over
    fill_in(plan, OFF)
    (job / "job.toml").write_text(JOB + AS_BUILT)
    capsys.readouterr()
    assert run("as-built", job, "--out", out) == 0
    said = capsys.readouterr().out
    assert said.startswith("supports within 1 mm of one level: ✗ outside (1 outside")
    assert "to change: open 1 stack (B1)" in said
    assert f"{len(RECORD_FILES)} files in {out}" in said
    assert {path.name for path in out.iterdir()} == {*RECORD_FILES}
    told = json.loads((out / "as-built.json").read_text(encoding="utf-8"))
    assert (told["date"], told["by"], told["verdict"]) == ("2026-11-21", "Ada Fell", "outside")
    with (out / "as-built.csv").open(encoding="utf-8", newline="") as file:
        off = {row["support"]: float(row["off_mm"]) for row in csv.DictReader(file)}
    # Against each other as they were built; which level they are told against is another matter.
    assert {name: round(one - off["F2"], 6) for name, one in off.items()} == OFF


def test_what_is_wrong_with_the_readings_is_named(
    job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("as-built", job, "--out", tmp_path / "no") == 2
    assert capsys.readouterr().err.startswith("job.toml, as_built: found no such table; allowed: ")
    (job / "job.toml").write_text(JOB + AS_BUILT)
    assert run("as-built", job, "--out", tmp_path / "no") == 2
    assert "tops.csv" in capsys.readouterr().err
    (job / "tops.csv").write_text("setup,point,reading_mm\nT1,B1,1250\nT1,B2,high\n")
    assert run("as-built", job, "--out", tmp_path / "no") == 2
    assert "tops.csv, row 3, reading_mm: found 'high'" in capsys.readouterr().err
    (job / "job.toml").write_text((JOB + AS_BUILT).replace('by = "Ada Fell"', 'by = ""'))
    assert run("as-built", job, "--out", tmp_path / "no") == 2
    assert "as_built.by: found" in capsys.readouterr().err
    assert not (tmp_path / "no").exists()


def test_a_record_is_not_written_over_its_readings(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (job / "job.toml").write_text(JOB + AS_BUILT.replace("tops.csv", "as-built.csv"))
    readings = "setup,point,reading_mm\n" + "".join(
        f"{setup},{name},{above - off:.1f}\n"
        for setup, above in (("T1", 1250.0), ("T2", 1281.5))
        for name, off in OFF.items()
    )
    (job / "as-built.csv").write_text(readings)
    before = {path.name for path in job.iterdir()}
    assert run("as-built", job, "--out", job) == 2
    assert "the job's own readings, as-built.csv" in capsys.readouterr().err
    assert (job / "as-built.csv").read_text() == readings
    assert {path.name for path in job.iterdir()} == before
