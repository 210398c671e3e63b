"""The commands for large floors: what they write, say and refuse."""

import pandas as pd
import pytest

import kit
from kit.__main__ import main
from kit.results import result_texts


def test_levels_writes_zones_and_says_them(hall_folder, tmp_path, capsys):
    out = tmp_path / "levels"
    assert main(["levels", str(hall_folder), "--out", str(out)]) == 0
    said = capsys.readouterr().out
    zones = pd.read_csv(out / "zones.csv")
    assert [f"{row.zone}: {row.from_unit} to {row.to_unit}" in said for row in zones.itertuples()]
    assert "stacks an hour" in said
    assert (out / zones["zone"].iloc[0] / "stacks.csv").is_file()


def test_levels_in_one_zone_is_refused_with_the_reason(hall_folder, tmp_path, capsys):
    out = tmp_path / "one"
    assert main(["levels", str(hall_folder), "--zones", "1", "--out", str(out)]) == 2
    assert "stack" in capsys.readouterr().err
    assert not out.exists()


def test_levels_takes_a_number_for_each_run_that_is_named(hall_folder, tmp_path, capsys):
    for number, words in enumerate((["2"], ["A=2"])):
        out = tmp_path / f"two-{number}"
        assert main(["levels", str(hall_folder), "--zones", *words, "--out", str(out)]) == 0
        assert len(pd.read_csv(out / "zones.csv")) == 2
    capsys.readouterr()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["B=2"], "zones: found run 'B'; allowed: the job's runs: A"),
        (["A=0"], "zones of run A: found 0; allowed: a whole number, 1 or more"),
        (["-1"], "zones: found -1; allowed: a whole number, 1 or more"),
        (["A=2", "A=3"], "--zones: found run 'A' twice"),
        (["A=1_0"], "--zones: found 'A=1_0'; allowed: one number, or RUN=NUMBER"),
        (["2", "A=2"], "--zones: found '2'"),
        (["=2"], "--zones: found '=2'"),
        (["two"], "--zones: found 'two'"),
    ],
)
def test_zones_that_are_no_numbers_of_runs_are_refused(hall_folder, tmp_path, capsys, words, said):
    out = tmp_path / "no"
    assert main(["levels", str(hall_folder), "--zones", *words, "--out", str(out)]) == 2
    assert said in capsys.readouterr().err
    assert not out.exists()


def test_flatness_says_classes_and_writes_tables(hall_folder, tmp_path, capsys):
    out = tmp_path / "flat"
    asked = ["--edge", "1000", "--cell", "200", "--class", "SR1", "--out", str(out)]
    assert main(["flatness", str(hall_folder), *asked]) == 0
    said = capsys.readouterr().out
    classes = pd.read_csv(out / "classes.csv").set_index("class")
    assert f"SR1: {classes.loc['SR1', 'area_m2']:.1f} m²" in said
    assert "grind" in said
    changed = pd.read_csv(out / "grind-fill.csv")
    assert changed["change_mm"].abs().max() > 0
    assert {
        "straight-edge.csv",
        "din18202.csv",
        "e1155.csv",
        "volumes.csv",
        "worst-places.csv",
    } <= {path.name for path in out.iterdir()}


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (["--class", "SR9"], "--class: found 'SR9'; allowed: SR1, SR2, SR3"),
        (["--edge", "930", "--cell", "200"], "a whole number of 200 mm steps"),
        (["--cell", "90000"], "cell"),
    ],
)
def test_flatness_refuses_and_writes_nothing(hall_folder, tmp_path, capsys, asked, said):
    out = tmp_path / "no"
    assert main(["flatness", str(hall_folder), *asked, "--out", str(out)]) == 2
    assert said in capsys.readouterr().err
    assert not out.exists()


def test_a_made_hall_is_scanned_and_found_again(tmp_path, capsys):
    scan, out = tmp_path / "hall.csv", tmp_path / "cells"
    made = ["made-hall", "--seed", "5", "--points", "60000", "--out", str(scan)]
    assert main(made) == 0
    assert main(made) == 2  # nothing is written over
    assert "there already" in capsys.readouterr().err
    assert main(["scan", str(scan), "--cell", "400", "--out", str(out)]) == 0
    assert "60,000 points" in capsys.readouterr().out
    assert len(pd.read_csv(out / "scan-grid.csv")) > 500


def test_a_scan_is_not_written_over(tmp_path, capsys):
    scan = tmp_path / "scan-grid.csv"
    assert main(["made-hall", "--points", "30000", "--out", str(scan)]) == 0
    before = scan.read_bytes()
    assert main(["scan", str(scan), "--cell", "500", "--out", str(tmp_path)]) == 2
    assert "--out" in capsys.readouterr().err
    assert scan.read_bytes() == before


def test_a_scan_is_set_into_the_plan_by_words(tmp_path, capsys):
    scan = tmp_path / "hall.csv"
    assert main(["made-hall", "--seed", "5", "--points", "60000", "--out", str(scan)]) == 0
    assert main(["scan", str(scan), "--cell", "400", "--out", str(tmp_path / "own")]) == 0
    assert "those of the file's own axes" in capsys.readouterr().out
    words = ["--origin", "3200", "-800", "--x-towards", "90", "--mirrored"]
    words += ["--own-zero", "0", "0", "0.25", "--height", "1200"]
    asked = ["scan", str(scan), "--cell", "400", *words, "--out", str(tmp_path / "plan")]
    assert main(asked) == 0
    assert "own axes" not in capsys.readouterr().out
    own, plan = (pd.read_csv(tmp_path / name / "scan-grid.csv") for name in ("own", "plan"))
    # Its x runs along the plan's y; mirrored, its y then runs along the plan's x.
    turned = own.assign(x_mm=own["y_mm"] + 3200, y_mm=own["x_mm"] - 800)
    both = plan.merge(turned, on=["x_mm", "y_mm"])
    assert len(both) > 0.98 * len(own)
    assert (both["height_mm_x"] - both["height_mm_y"]).median() == pytest.approx(950, abs=0.01)


def test_a_frame_that_none_can_have_is_refused(tmp_path, capsys):
    asked = ["scan", str(tmp_path / "gone.laz"), "--x-towards", "400", "--out", str(tmp_path / "x")]
    assert main(asked) == 2
    assert "--x-towards: found 400.0; allowed:" in capsys.readouterr().err


def test_no_scan_there(tmp_path, capsys):
    assert main(["scan", str(tmp_path / "gone.laz"), "--out", str(tmp_path / "x")]) == 2
    assert "gone.laz" in capsys.readouterr().err


def test_many_writes_each_answer_into_its_folder(hall_folder, tmp_path, capsys):
    import shutil

    broken, out = tmp_path / "broken", tmp_path / "out"
    shutil.copytree(hall_folder, broken)
    (broken / "grid.csv").write_text("y_mm,0,100\n0,1,wide\n")
    room = hall_folder.parents[1] / "reading-room"
    shutil.copytree(kit_data() / "reading-room", room, dirs_exist_ok=True)
    assert main(["many", str(room), str(broken), "--out", str(out)]) == 2
    told = capsys.readouterr()
    assert "reading-room: answered" in told.out
    assert "broken: refused" in told.out
    assert "wide" in told.err
    expected = result_texts(kit.solve(kit.read_job(room)))
    for name, text in expected.items():
        assert (out / "reading-room" / name).read_text(encoding="utf-8") == text
    assert not (out / "broken").exists()


def test_many_names_the_folder_of_each_job_that_cannot_be_read(hall_folder, tmp_path, capsys):
    typo, none, out = tmp_path / "typo", tmp_path / "none", tmp_path / "out"
    typo.mkdir()
    none.mkdir()
    (typo / "job.toml").write_text('schema = 1\ntitle = "x"\nunits = "furlong"\n')
    assert main(["many", str(hall_folder), str(typo), str(none), "--out", str(out)]) == 2
    said = capsys.readouterr().err.splitlines()
    assert [line for line in said if line.startswith(f"{typo}: job.toml, units: found")]
    assert [line for line in said if f"no such file in {none}" in line]
    assert not out.exists()


def test_many_that_are_all_refused_leave_no_folder(hall_folder, tmp_path, capsys):
    out = tmp_path / "out"
    assert main(["many", str(hall_folder), "--base", "none such", "--out", str(out)]) == 2
    assert "none such" in capsys.readouterr().err
    assert not out.exists()


@pytest.mark.parametrize("circle", [False, True])
def test_a_scan_is_not_sought_where_links_lead_in_a_circle(tmp_path, capsys, circle):
    scan, out = tmp_path / "hall.csv", tmp_path / "round"
    assert main(["made-hall", "--points", "30000", "--out", str(scan)]) == 0
    if circle:
        out.symlink_to(out)
    code = main(["scan", str(scan), "--cell", "500", "--out", str(out)])
    assert code == (2 if circle else 0)
    assert ("--out" in capsys.readouterr().err) == circle


def kit_data():
    from pathlib import Path

    return Path(__file__).parents[2] / "data"


def test_levels_writes_the_papers_of_every_zone(hall_folder, tmp_path, capsys):
    out = tmp_path / "papers"
    assert main(["levels", str(hall_folder), "--sheets", "--out", str(out)]) == 0
    capsys.readouterr()
    zones = pd.read_csv(out / "zones.csv")["zone"]
    assert len(zones) == 2
    for zone in zones:
        for name in ("job-sheet.pdf", "labels.pdf", "tape-strips.pdf", "buying.pdf"):
            assert (out / zone / name).read_bytes().startswith(b"%PDF")
        page = (out / zone / "job-sheet.html").read_text(encoding="utf-8")
        assert f"Boot hall, zone {zone}" in page
        assert (out / zone / "stacks.csv").is_file()
