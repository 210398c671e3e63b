"""The headless command and its files: names, columns, numbers, exit status."""

import csv
import io
import json
import math
import os
import re
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest

import kit
from kit.__main__ import main
from kit.readings.formulas import is_formula
from kit.results import csv_text, summary

DATA = Path(__file__).parents[1] / "data"

FILES = {
    "summary.json",
    "heights.csv",
    "residuals.csv",
    "rounds.csv",
    "ties.csv",
    "supports.csv",
    "stacks.csv",
    "screws.csv",
    "cuts.csv",
    "checks.csv",
    "reactions.csv",
    "spans.csv",
    "joists.csv",
    "units.csv",
    "takeoff.csv",
    "work.csv",
}


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("answers") / "reading room" / "out"
    assert main(["solve", str(DATA / "reading-room"), "--out", str(folder)]) == 0
    return folder


def test_exactly_the_files_of_the_contract_are_written(out: Path) -> None:
    assert {path.name for path in out.iterdir()} == FILES


@pytest.mark.parametrize(
    ("room", "base", "says", "own"),
    [
        (
            "reading-room",
            "bearers on packers",
            r"\(bearers on packer stacks\): \d+ stacks, \d+ packers,",
            (),
        ),
        ("boot-room", None, r"\(bearers on packer stacks\): \d+ stacks, \d+ packers,", ()),
        (
            "reading-room",
            "stacks without bearers",
            r"\(packer stacks alone\): \d+ stacks, \d+ packers,",
            (),
        ),
        ("reading-room", "screw feet", r"\(adjustable screw feet\): \d+ feet,", ("feet.csv",)),
        (
            "reading-room",
            "ladder frame",
            r"\(a ladder frame scribed to the floor\): \d+ places of the frame,",
            ("members.csv", "profile.csv"),
        ),
        (
            "reading-room",
            "levelling compound",
            r"\(levelling compound\): \d+ places on the compound,",
            ("zones.csv",),
        ),
    ],
)
def test_every_way_of_building_is_told_in_its_own_words(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    room: str,
    base: str | None,
    says: str,
    own: tuple[str, ...],
) -> None:
    chosen = [] if base is None else ["--base", base]
    assert main(["solve", str(DATA / room), *chosen, "--out", str(tmp_path)]) == 0
    told = capsys.readouterr().out.splitlines()
    height = r"base top \d+\.\d mm above the high point, worst error \d\.\d\d mm$"
    assert re.search(f"{base or ''} {says} {height}", told[0]), told[0]
    summary = json.loads((tmp_path / "summary.json").read_text(encoding="utf-8"))
    priced = summary["cost"] is not None
    assert priced == (summary["unpriced"] == [])
    cost = f"{summary['cost']:.2f} as priced" if priced else "no price given of "
    assert told[1].startswith(f"Material: {cost}")
    assert all(item in told[1] for item in summary["unpriced"])
    assert f". Work: {summary['minutes'] / 60:.1f} hours" in told[1]
    assert ("days of waiting" in told[1]) == (summary["traits"]["wait_days"] > 0)
    assert {path.name for path in tmp_path.iterdir()} == {*FILES, *own}


def test_what_it_takes_is_written(out: Path) -> None:
    answer = kit.solve(kit.read_job(DATA / "reading-room"))
    summary = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    work = pd.read_csv(out / "work.csv")
    assert work["minutes"].sum() == pytest.approx(summary["minutes"])
    assert work["minutes"].to_list() == (work["count"] * work["minutes_each"]).to_list()
    bought = pd.read_csv(out / "takeoff.csv")
    packers = bought[bought["item"] == "packer"]
    assert packers["count"].sum() == answer.pieces
    # The plinth board is listed and is no part of the base's cost.
    beside = bought["item"].str.startswith("plinth board")
    # 4 m of run from boards of 2.4 m: two of them.
    assert bought.loc[beside, ["item", "size_mm", "count"]].values.tolist() == [
        ["plinth board, 70 mm deep", 2400.0, 2]
    ]
    assert bought.loc[~beside, "cost"].sum() == pytest.approx(summary["cost"])


def test_tables_hold_the_answer_unrounded(out: Path) -> None:
    answer = kit.solve(kit.read_job(DATA / "reading-room"))
    supports = pd.read_csv(out / "supports.csv")
    assert list(supports) == [
        "support", "run", "row", "x_mm", "y_mm", "reasons", "floor_mm", "floor_sd_mm",
        "target_mm", "load_N",
    ]  # fmt: skip
    assert list(supports["floor_mm"]) == list(answer.supports["floor_mm"])  # shortest round trip
    residuals = pd.read_csv(out / "residuals.csv")
    assert residuals["suspect"].dtype == bool
    assert len(residuals) == 36


def test_the_summary_has_every_key_and_no_nan(out: Path) -> None:
    text = (out / "summary.json").read_text(encoding="utf-8")
    found = json.loads(text, parse_constant=lambda word: pytest.fail(f"{word} is not JSON"))
    assert {
        "title", "base", "method", "datum_mm", "base_top_mm", "high_point", "plane", "adjustment",
        "supports", "pieces", "worst_error_mm", "checks", "cautions",
    } <= set(found)  # fmt: skip
    assert found["base_top_mm"] == pytest.approx(found["datum_mm"] + 20)
    assert set(found["checks"]) == {"ok", "refer", "fail", "not_checked"}
    assert sum(found["checks"].values()) == len(pd.read_csv(out / "checks.csv"))


def test_what_carries_the_base_is_written(out: Path) -> None:
    answer = kit.solve(kit.read_job(DATA / "reading-room"))
    reactions = pd.read_csv(out / "reactions.csv", index_col="support")
    assert list(reactions.index) == list(answer.supports["support"])
    # Units and contents of all four bookcases come down on the stacks, and 18.9 N of bearers:
    # three rows of 45 x 20 mm, 4 + 4 + 1.1 m long, at 370 kg/m3.
    timber = 9.1 * 0.045 * 0.020 * 370 * 9.81
    assert reactions["laid_N"].sum() == pytest.approx(timber, rel=1e-9)
    assert reactions["full_N"].sum() == pytest.approx(timber + 618 * 9.81, rel=1e-9)
    idle = reactions.index[reactions["idle"]]
    summary = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    assert [one["support"] for one in summary["idle"]] == list(idle)
    assert (reactions.loc[idle, "gap_mm"] > 0).all()
    assert "approves no floor" in summary["approval"]
    joists = pd.read_csv(out / "joists.csv")
    assert joists["sag_final_mm"].max() > 0
    back = reactions["settlement_mm"][reactions["bearer"] == "B"].mean()
    assert summary["settlement"]["back_mm"] == pytest.approx(back, rel=1e-9)
    (run,) = summary["settlement"]["runs"]
    assert run["back_mm"] == summary["settlement"]["back_mm"]
    assert run["front_mm"] == summary["settlement"]["front_mm"]
    assert run["run"] == answer.layout.rows[0].run
    units = pd.read_csv(out / "units.csv")
    assert list(units["unit"]) == [placed.unit.name for placed in answer.layout.units]
    assert units["gap_after_mm"].isna().to_list() == [False, False, False, True]


def test_several_runs_settle_each_for_itself() -> None:
    answer = kit.solve(kit.read_job(DATA / "reading-room"))
    joists = answer.strength.joists
    (one,) = joists.settlements
    nan = math.nan
    back = replace(one.back, inst_mm=(3.0, 2.5, 3.5))
    unknown = replace(one.front, inst_mm=(nan, nan, nan), unknown=("C-F2",))
    other = replace(one, run="C", back=back, front=unknown)
    work = replace(joists, settlements=(one, other))
    found = summary(replace(answer, strength=replace(answer.strength, joists=work)))["settlement"]
    assert found["back_mm"] == pytest.approx((one.back.mean_inst_mm + 3.0) / 2)
    assert found["front_mm"] is None
    assert found["runs"][1] == {"run": "C", "back_mm": 3.0, "front_mm": None}
    assert found["runs"][0]["front_mm"] == one.front.mean_inst_mm
    assert "run C: settlement not known: front row: C-F2 stands" in found["said"]


def test_without_joists_settlement_is_null_and_said(tmp_path: Path) -> None:
    assert main(["solve", str(DATA / "boot-room"), "--out", str(tmp_path)]) == 0
    settlement = json.loads((tmp_path / "summary.json").read_text())["settlement"]
    assert settlement["front_mm"] is None
    assert settlement["runs"] == []
    assert "solid floor" in settlement["said"]
    assert len(pd.read_csv(tmp_path / "joists.csv")) == 0


def test_a_job_without_redundancy_writes_null(tmp_path: Path) -> None:
    assert main(["solve", str(DATA / "boot-room"), "--out", str(tmp_path)]) == 0
    assert json.loads((tmp_path / "summary.json").read_text())["adjustment"]["sigma0"] is None


def test_a_refusal_exits_with_2_one_line_each_and_writes_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = tmp_path / "job"
    job.mkdir()
    text = (DATA / "reading-room" / "job.toml").read_text()
    text = text.replace("board_mm = 21 ", "board_mm = -1 ").replace(
        "back_mm = 45", "bakc_mm = 45", 1
    )
    (job / "job.toml").write_text(text)
    assert main(["solve", str(job), "--out", str(tmp_path / "out")]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 2
    assert any("board_mm" in line and "-1" in line for line in lines)
    assert any("bakc_mm" in line and "back_mm" in line for line in lines)
    assert not (tmp_path / "out").exists()


def test_an_output_folder_that_is_a_file_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "out").write_text("taken")
    assert main(["solve", str(DATA / "boot-room"), "--out", str(tmp_path / "out")]) == 2
    assert "a folder that can be written to" in capsys.readouterr().err
    assert (tmp_path / "out").read_text() == "taken"


def test_the_command_runs_as_a_module(tmp_path: Path) -> None:
    words = [sys.executable, "-m", "kit", "solve", str(tmp_path / "nowhere"), "--out", "x"]
    found = subprocess.run(words, capture_output=True, text=True, check=False, cwd=tmp_path)
    assert found.returncode == 2
    assert found.stderr.count("\n") == 1
    assert not (tmp_path / "x").exists()


def test_readings_are_never_written_over(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = tmp_path / "job"
    shutil.copytree(DATA / "boot-room", job)
    text = (job / "job.toml").read_text().replace('"grid.csv"', '"heights.csv"')
    (job / "job.toml").write_text(text)
    readings = (job / "grid.csv").rename(job / "heights.csv").read_bytes()
    assert main(["solve", str(job), "--out", str(tmp_path / "job" / ".." / "job")]) == 2
    assert "the job's own readings, heights.csv" in capsys.readouterr().err
    assert (job / "heights.csv").read_bytes() == readings
    assert {path.name for path in job.iterdir()} == {"job.toml", "heights.csv"}


def test_a_terminal_that_cannot_show_a_name_still_gets_its_answer(tmp_path: Path) -> None:
    job = tmp_path / "job"
    shutil.copytree(DATA / "boot-room", job)
    text = (job / "job.toml").read_text(encoding="utf-8")
    text = text.replace("Boot room, lockers round the corner", "Sala de botas, armários, 厨房")
    (job / "job.toml").write_text(text, encoding="utf-8")
    words = [sys.executable, "-m", "kit", "solve", str(job), "--out", str(tmp_path / "out")]
    terminal = os.environ | {"PYTHONIOENCODING": "ascii"}
    found = subprocess.run(words, capture_output=True, text=True, check=False, env=terminal)
    assert found.returncode == 0, found.stderr
    assert json.loads((tmp_path / "out" / "summary.json").read_text("utf-8"))["title"].endswith(
        "厨房"
    )


def test_notes_of_the_adjustment_are_in_the_summary(out: Path) -> None:
    notes = json.loads((out / "summary.json").read_text(encoding="utf-8"))["adjustment"]["notes"]
    assert any("S1 and S2 share" in note for note in notes)


def test_no_name_from_the_job_file_is_written_as_a_formula(tmp_path: Path) -> None:
    """OWASP, "CSV Injection": a cell that begins with = + - @ or a control may be run."""
    job = tmp_path / "job"
    shutil.copytree(DATA / "boot-room", job)
    text = (job / "job.toml").read_text(encoding="utf-8")
    live = "=HYPERLINK(''http://x.invalid'',''see'')"
    # The name of a run is letters and digits only, and of one letter here.
    text = re.sub(r'(?m)^(\s*name = ")(?=[^"]{2})', r"\1" + live, text)
    text = re.sub(r'(?m)^(title = ")', r"\1@SUM(A1) ", text)
    text = text.replace('"grid.csv"', '"-2+3.csv"')
    (job / "grid.csv").rename(job / "-2+3.csv")
    (job / "job.toml").write_text(text, encoding="utf-8")
    assert main(["solve", str(job), "--out", str(tmp_path / "out")]) == 0
    seen = 0
    for path in sorted((tmp_path / "out").glob("*.csv")):
        for row in csv.reader(path.read_text(encoding="utf-8").splitlines()):
            for cell in row:
                assert not is_formula(cell), (path.name, cell)
                seen += "HYPERLINK" in cell or "-2+3" in cell
    assert seen
    residuals = pd.read_csv(tmp_path / "out" / "residuals.csv")
    assert set(residuals["survey"]) == {"'-2+3.csv"}
    assert residuals["residual_mm"].dtype == float


def test_tables_of_any_text_are_written_inert_and_numbers_stay() -> None:
    table = pd.DataFrame(
        {"=title": ["=1", "@x", "-P", "+P", "\t=1", "\r=1", "-3.5", "plain", None],
         "x_mm": [-1.5, 2, -3, 0.1, 1e-9, -1e300, float("nan"), 1, 2],
         "said": pd.Series([True, False] * 4 + [True])}
    )  # fmt: skip
    rows = list(csv.reader(io.StringIO(csv_text(table), newline="")))
    assert [row[0] for row in rows] == [
        "'=title", "'=1", "'@x", "'-P", "'+P", "'\t=1", "'\n=1", "-3.5", "plain", "",
    ]  # fmt: skip
    assert [row[1] for row in rows[1:8]] == ["-1.5", "2.0", "-3.0", "0.1", "1e-09", "-1e+300", ""]
    assert [row[2] for row in rows[1:3]] == ["true", "false"]
