"""``python -m kit practice``: the sheet of a class, and its trainer's table."""

import csv
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

import kit.practice.drills
from kit.__main__ import main
from kit.practice.drill import Drill
from kit.practice.moves import Move
from kit.practice.on_paper import PLANS, OnPaper
from kit.practice.record import Record
from kit.practice.records_file import keep

Make = Callable[..., Record]


@pytest.fixture(autouse=True)
def only_fakes(monkeypatch: pytest.MonkeyPatch, fakes: Sequence[Drill]) -> None:
    monkeypatch.setattr(kit.practice.drills, "DRILLS", tuple(fakes))


@pytest.fixture
def folder(tmp_path: Path, unnamed: Make) -> Path:
    home = tmp_path / "class"
    keep(home, unnamed(marks=85))
    keep(home, unnamed(marks=64, seed=9, mistakes=("never_turned",)))
    keep(home, unnamed(marks=97, nickname="bo", drill="booking", mistakes=()))
    return home


def test_the_sheet_and_its_answers_are_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "new" / "set"
    assert main(["practice", "sheet", "--seed", "20", "--grade", "rough", "--out", str(out)]) == 0
    names = ["answers-20-rough.html", "sheet-20-rough.html"]
    assert sorted(path.name for path in out.iterdir()) == names
    assert capsys.readouterr().out.split() == [str(out / name) for name in names[::-1]]
    for name in names:
        text = (out / name).read_text(encoding="utf-8")
        assert "seed 20, grade rough" in text
        assert "Sight on two posts" in text
        assert "Book a line" in text
    assert "146.375" not in (out / names[1]).read_text(encoding="utf-8")
    # 223.875 + 2 x 20 + 5 letters less 101.5 + 20
    assert "147.375 mm" in (out / names[0]).read_text(encoding="utf-8")


def test_some_drills_only(tmp_path: Path) -> None:
    words = ["practice", "sheet", "--seed", "3", "--drills", "booking", "--out", str(tmp_path)]
    assert main(words) == 0
    text = (tmp_path / "sheet-3-ordinary.html").read_text(encoding="utf-8")
    assert "1. Book a line" in text
    assert "Sight on" not in text


def test_help_names_the_drills_and_other_help_does_not_wait_for_them(
    capsys: pytest.CaptureFixture[str],
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["practice", "sheet", "--help"])
    assert ended.value.code == 0
    lines = capsys.readouterr().out.splitlines()
    assert "  sighting  Sight on two posts" in lines
    assert "  booking   Book a line" in lines
    quick = "import sys; from kit.__main__ import main\n"
    quick += "try: main(['practice', '--help'])\n"
    quick += "finally: print('kit.practice.drills' in sys.modules, 'pandas' in sys.modules)"
    told = subprocess.run(
        [sys.executable, "-c", quick], capture_output=True, text=True, check=True
    ).stdout
    assert told.endswith("False False\n")


def test_a_set_on_paper_leaves_out_what_wants_the_screen(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    words = ["practice", "sheet", "--seed", "3", "--on-paper", "--out", str(tmp_path)]
    assert main(words) == 2
    assert "without a screen: found sighting, booking; allowed: " in capsys.readouterr().err
    looked = OnPaper(lambda *_: (Move("sight", {"post": "A"}),))
    monkeypatch.setitem(PLANS, "booking", looked)
    assert main(words) == 0
    names = ["paper-3-ordinary.html", "paper-answers-3-ordinary.html"]
    assert sorted(path.name for path in tmp_path.iterdir()) == names
    text, answers = ((tmp_path / name).read_text(encoding="utf-8") for name in names)
    assert "1. Book a line" in text
    assert "the mark stands at 104.5 mm" in text
    assert "Left out, because they want the screen: Sight on two posts." in text
    assert "1. Book a line" in answers
    assert "Sight on" not in answers


def test_nothing_is_written_over_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    mine = tmp_path / "answers-3-ordinary.html"
    mine.write_text("mine")
    assert main(["practice", "sheet", "--seed", "3", "--out", str(tmp_path)]) == 2
    assert "a file answers-3-ordinary.html already" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == [mine.name]
    assert mine.read_text() == "mine"


@pytest.mark.parametrize(
    ("more", "found"),
    [
        (["--seed", "-1"], "seed: found -1"),
        (["--seed", "1", "--grade", "awful"], "grade: found 'awful'"),
        (["--seed", "1", "--drills", "sewing"], "--drills: found 'sewing'"),
    ],
)
def test_a_set_that_cannot_be_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], more: list[str], found: str
) -> None:
    assert main(["practice", "sheet", *more, "--out", str(tmp_path / "set")]) == 2
    assert capsys.readouterr().err.startswith(found)
    assert not list(tmp_path.iterdir())


def test_the_trainers_table_is_printed(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["practice", "records", str(folder)]) == 0
    said = capsys.readouterr()
    assert said.out.startswith("3 tries of 2 apprentices from 2 files.\n")
    assert "- bo: Sight on two posts, fair: not tried yet" in said.out
    assert said.err == ""
    assert sorted(path.name for path in folder.iterdir()) == ["ann.csv", "bo.csv"]


def test_the_trainers_table_is_written(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "tables" / "may.csv"
    assert main(["practice", "records", str(folder), "--out", str(out)]) == 0
    assert sorted(path.name for path in out.parent.iterdir()) == [
        "may-class-mistakes.csv", "may-mistakes.csv", "may-next.csv", "may.csv",
    ]  # fmt: skip
    with out.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [(row["nickname"], row["drill"], row["best_marks"]) for row in rows] == [
        ("ann", "sighting", "85"), ("bo", "booking", "97"),
    ]  # fmt: skip


def test_a_damaged_row_is_told_once_as_an_error_and_the_others_are_shown(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (folder / "bo.csv").read_text()
    (folder / "bo.csv").write_text(text.replace(",97,", ",=97,"))
    out = tmp_path / "may.csv"
    assert main(["practice", "records", str(folder), "--out", str(out)]) == 2
    said = capsys.readouterr()
    assert said.out.startswith("2 tries of 1 apprentice from 2 files.\n")
    assert "bo.csv" not in said.out
    assert said.err.startswith("bo.csv, row 2, marks: found the formula '=97'")
    assert said.err.count("\n") == 1
    refused = (tmp_path / "may-refused.csv").read_text(encoding="utf-8")
    assert '"bo.csv, row 2, marks"' in refused


def test_tables_go_neither_among_the_records_nor_over_a_file(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for place in (folder / "may.csv", folder / "may" / "may.csv"):
        assert main(["practice", "records", str(folder), "--out", str(place)]) == 2
        assert "a place among the records" in capsys.readouterr().err
    assert main(["practice", "records", str(folder), "--out", str(tmp_path / "may.txt")]) == 2
    assert "a file ending in .csv" in capsys.readouterr().err
    (tmp_path / "may-next.csv").write_text("mine")
    assert main(["practice", "records", str(folder), "--out", str(tmp_path / "may.csv")]) == 2
    assert "a file may-next.csv already" in capsys.readouterr().err
    assert not (tmp_path / "may.csv").exists()
    assert main(["practice", "records", str(tmp_path / "none")]) == 2
