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
    assert keeping.notice == f"{said} (try 2 on this floor)."
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


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    keeping = Keeping("birch", str(tmp_path / "not there" / "mine"))
    keeping.keep(ATTEMPT, MARKED)
    assert keeping.notice.startswith("✗ The mark was NOT kept")
    assert list(tmp_path.iterdir()) == []
