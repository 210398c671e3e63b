"""Marks kept: whose, where, and what is said of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from kit.job import Refusal
from kit.practice.attempt import begin
from kit.practice.drills.own_error import OwnError
from kit.practice.grades import GRADES
from kit.practice.records import read_records
from kit.show.practice.keeping import Keeping

ATTEMPT = begin(OwnError(), 12, GRADES[2])
MARKED = ATTEMPT.answered({"error": 0.3})


@pytest.mark.parametrize(("name", "folder"), [("", ""), ("birch", " "), (" ", "{here}")])
def test_without_a_nickname_and_a_folder_nothing_is_kept(
    tmp_path: Path, name: str, folder: str
) -> None:
    keeping = Keeping(name, folder.format(here=tmp_path / "mine"))
    assert keeping.notice.startswith("Marks are not kept")
    keeping.keep(ATTEMPT, MARKED)
    assert keeping.notice.startswith("Marks are not kept")
    assert list(tmp_path.iterdir()) == []


def test_a_mark_is_kept_and_where_is_said_from_the_root(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    keeping = Keeping(" birch  two ", " mine ")
    assert (keeping.nickname, keeping.folder) == ("birch two", "mine")
    assert keeping.notice == f"Marks of birch two will be kept in {tmp_path / 'mine'}."
    assert list(tmp_path.iterdir()) == []
    keeping.keep(ATTEMPT, MARKED)
    said = f"{MARKED.marks} marks of birch two kept in {tmp_path / 'mine'}"
    assert keeping.notice == f"{said}."
    keeping.keep(ATTEMPT, MARKED)
    assert keeping.notice == f"{said} (try 2 on this floor; only a first try counts)."
    kept = read_records(tmp_path / "mine").attempts
    assert sorted((one.nickname, one.seed, one.grade, one.tries_before) for one in kept) == [
        ("birch two", 12, "rough", 0),
        ("birch two", 12, "rough", 1),
    ]


def test_a_persons_own_folder_is_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("USERPROFILE", str(tmp_path))  # the same on Windows
    keeping = Keeping("birch", "~/mine")
    keeping.keep(ATTEMPT, MARKED)
    assert [path.name for path in (tmp_path / "mine").iterdir()] == ["birch.csv"]


@pytest.mark.parametrize(
    ("name", "folder", "where"),
    [
        ("a@b.example", "mine", "nickname"),
        ("elm", "~nobody-of-that-name/marks", "folder for records"),
        ("elm", "mi\0ne", "folder for records"),
    ],
)
def test_what_is_refused_leaves_the_earlier(name: str, folder: str, where: str) -> None:
    keeping = Keeping("birch", "marks")
    before = keeping.notice
    with pytest.raises(Refusal, match=where):
        keeping.named(name, folder)
    assert (keeping.nickname, keeping.folder, keeping.notice) == ("birch", "marks", before)


def test_what_became_of_a_mark_stays_until_somebody_else_practises(tmp_path: Path) -> None:
    keeping = Keeping("birch", str(tmp_path))
    keeping.keep(ATTEMPT, MARKED)
    said = keeping.notice
    keeping.named("birch", f" {tmp_path} ")
    assert keeping.notice == said
    keeping.named("elm", str(tmp_path))
    assert keeping.notice == f"Marks of elm will be kept in {tmp_path}."


def test_a_folder_that_cannot_be_written_is_refused_when_it_is_typed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("in the way")
    keeping = Keeping("birch", str(tmp_path))
    before = keeping.notice
    for folder in ("not there/mine", "file", "file/mine"):
        with pytest.raises(Refusal, match=r"found .*a new one in such a folder"):
            keeping.named("birch", str(tmp_path / folder))
        assert (keeping.folder, keeping.notice) == (str(tmp_path), before)
    # Whoever runs the tests may be allowed everything.
    monkeypatch.setattr("os.access", lambda *_: False)
    for folder in (tmp_path, tmp_path / "new"):
        with pytest.raises(Refusal, match="where nothing can be written"):
            Keeping("birch", str(folder))
    assert [path.name for path in tmp_path.iterdir()] == ["file"]


def test_a_folder_that_is_gone_since_is_told(tmp_path: Path) -> None:
    home = tmp_path / "stick"
    home.mkdir()
    keeping = Keeping("birch", str(home / "mine"))
    home.rmdir()
    home.write_text("in the way")
    keeping.keep(ATTEMPT, MARKED)
    assert keeping.notice.startswith("✗ The mark was NOT kept")
    home.unlink()
    home.mkdir()
    (home / "mine").write_text("in the way")
    keeping.begun(ATTEMPT)
    assert keeping.notice.startswith("✗ No mark can be kept")


def test_a_further_try_is_told_before_it_is_made(tmp_path: Path) -> None:
    keeping = Keeping("birch", str(tmp_path / "mine"))
    plain = keeping.notice
    keeping.begun(ATTEMPT)
    assert keeping.notice == plain
    assert list(tmp_path.iterdir()) == []
    keeping.keep(ATTEMPT, MARKED)
    keeping.begun(begin(OwnError(), 13, GRADES[2]))
    assert keeping.notice == plain
    keeping.begun(ATTEMPT)
    assert keeping.notice == (
        "You have answered this floor before: this is try 2, and only a first try counts. Take"
        f" another floor. {plain}"
    )
    keeping.named("elm", str(tmp_path / "mine"))
    keeping.begun(ATTEMPT)
    assert "try 2" not in keeping.notice


def test_an_answer_that_was_shown_here_counts_as_a_try(tmp_path: Path) -> None:
    keeping = Keeping("birch", str(tmp_path))
    keeping.begun(ATTEMPT, 1)
    assert keeping.notice.startswith(
        "The answer to this floor has been shown on this page before: this is try 2, and only a"
    )
    keeping.keep(ATTEMPT, MARKED, 1)
    assert "(try 2 on this floor; only a first try counts)" in keeping.notice
    found = read_records(tmp_path)
    assert [one.tries_before for one in found.attempts] == [1]
    assert found.first_tries == ()
    nobody = Keeping()
    nobody.begun(ATTEMPT, 1)
    assert nobody.notice.startswith("Marks are not kept")


def test_a_damaged_file_costs_no_mark_and_is_told(tmp_path: Path) -> None:
    keeping = Keeping("robin", str(tmp_path))
    keeping.keep(ATTEMPT, MARKED)
    keeping.keep(ATTEMPT, MARKED)
    file = tmp_path / "robin.csv"
    file.write_bytes(file.read_bytes()[:-30])
    cut = file.read_bytes()
    keeping.begun(ATTEMPT)
    beside = f"robin 2.csv in {tmp_path}; ask your trainer."
    assert keeping.notice.endswith(
        f" ⚠ The file robin.csv is damaged in row 3; marks will be kept in {beside}"
    )
    assert "this is try 2" in keeping.notice  # one of the two is whole
    keeping.keep(ATTEMPT, MARKED)
    assert keeping.notice == (
        f"⚠ The file robin.csv is damaged in row 3; this mark is kept in {beside}"
        f" {MARKED.marks} marks (try 2 on this floor; only a first try counts)."
    )
    assert file.read_bytes() == cut
    found = read_records(tmp_path)
    assert [one.tries_before for one in found.attempts] == [0, 1]
    assert [problem.where for problem in found.refused] == ["robin.csv, row 3, attempt"]
