import os
from pathlib import Path

import pytest

from kit.job import Job, Refusal, amend, differences, read_job, save_differences, save_job_as

TEXT = """\
# The wall that the boots stand at.
schema = 1
title = "Boot room"

[floor]
kind = "solid"   # slate

[[survey]]
kind = "level"
file = "tables/monday/level.csv"
points_file = "places.csv"

[[survey]]
kind = "heights"
file = "more.xlsx"
sheet = "one"

[[survey]]
kind = "heights"
file = "more.xlsx"
sheet = "two"

[[run]]
[[run.unit]]
name = "bench"   # oak
width_mm = 900
depth_mm = 300
height_mm = 450

[[base]]
name = "low"
height_mm = 40

[stock]
packers = [ {mm = 3} ]
"""


@pytest.fixture
def job(tmp_path: Path) -> Job:
    home = tmp_path / "boot-room"
    (home / "tables" / "monday").mkdir(parents=True)
    (home / "job.toml").write_bytes(TEXT.encode())
    (home / "tables" / "monday" / "level.csv").write_bytes(b"from,to\r\n\xff\x00")
    (home / "places.csv").write_bytes(b"point,x_mm,y_mm\n")
    (home / "more.xlsx").write_bytes(bytes(range(256)))
    (home / "notes.txt").write_text("not named by the job")
    return read_job(home)


def files(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_a_job_with_its_tables_and_changes(job: Job) -> None:
    before = files(job.folder)
    now = amend(job, {"base[0].height_mm": 52})
    saved = save_job_as(now, "boot-room-2")
    assert saved.folder == job.folder.parent / "boot-room-2"
    found = files(saved.folder)
    assert found.pop("job.toml").decode() == TEXT.replace("height_mm = 40", "height_mm = 52")
    assert set(found) == {"tables/monday/level.csv", "places.csv", "more.xlsx"}
    assert all(before[name] == content for name, content in found.items())
    assert files(job.folder) == before
    assert saved == read_job(saved.folder)
    assert differences(saved, now) == ()
    assert {p.name for p in job.folder.parent.iterdir()} == {"boot-room", "boot-room-2"}


@pytest.mark.skipif(os.name != "posix", reason="who may read it is POSIX's")
def test_the_same_people_may_read_it(job: Job) -> None:
    job.folder.chmod(0o750)
    assert save_job_as(job, "copy").folder.stat().st_mode & 0o777 == 0o750


def test_names_of_folders(job: Job, tmp_path: Path) -> None:
    assert save_job_as(job, tmp_path / "whole name").folder == tmp_path / "whole name"
    (tmp_path / "yard").mkdir()
    assert save_job_as(job, "yard/shed").folder == tmp_path / "yard" / "shed"
    (tmp_path / "empty").mkdir()
    assert save_job_as(job, "empty").folder == tmp_path / "empty"


def refused(job: Job, folder: str | Path) -> str:
    before = {path: path.lstat().st_mtime_ns for path in job.folder.parent.rglob("*")}
    with pytest.raises(Refusal) as refusal:
        save_job_as(job, folder)
    assert {path: path.lstat().st_mtime_ns for path in job.folder.parent.rglob("*")} == before
    return str(refusal.value)


def test_places_that_are_taken(job: Job, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    (tmp_path / "link").symlink_to(tmp_path / "gone")
    taken = "found a folder of that name already, and it is not empty; allowed: a name that is free"
    assert refused(job, "boot-room") == f"{job.folder}: {taken}"
    assert refused(job, ".") == f"{tmp_path}: {taken}"
    assert "found a file of that name already" in refused(job, "file")
    assert "found a file of that name already" in refused(job, "link")
    assert refused(job, "nowhere/copy") == (
        f"{tmp_path / 'nowhere'}: found no such folder; allowed: a folder that is there"
    )
    assert "it cannot be written" in refused(job, "x" * 300)
    assert "it cannot be written" in refused(job, "a\0b")


def test_a_place_that_cannot_be_written(
    job: Job, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(Refusal) as refusal:
        save_job_as(job, "copy")
    assert str(refusal.value) == (
        f"{tmp_path / 'copy'}: found it cannot be written (No space left on device); "
        "allowed: a new folder in a place with room"
    )
    assert [path.name for path in tmp_path.iterdir()] == ["boot-room"]


def test_a_table_that_is_missing(job: Job, tmp_path: Path) -> None:
    (job.folder / "places.csv").unlink()
    with pytest.raises(Refusal) as refusal:
        save_job_as(job, "copy")
    assert str(refusal.value) == (
        "places.csv: found a table of the job that cannot be read (No such file or directory); "
        "nothing was written; allowed: every table that the job names"
    )
    assert [path.name for path in tmp_path.iterdir()] == ["boot-room"]


def test_comments_of_the_version_that_was_opened(job: Job) -> None:
    now = amend(job, {"base[0].height_mm": 52})
    save_differences(job, amend(job, {"run[0].unit[0].width_mm": 880, "run[0].unit[0].name": "b"}))
    # The version that was opened lies beside the file.
    copy = save_job_as(now, "copy").folder / "job.toml"
    assert copy.read_text() == TEXT.replace("height_mm = 40", "height_mm = 52")


def test_a_file_that_was_changed_gives_its_comments(job: Job) -> None:
    (job.folder / "job.toml").write_text(TEXT.replace("40", "41").replace("oak", "ash"))
    copy = save_job_as(amend(job, {"title": "Other"}), "copy").folder / "job.toml"
    assert copy.read_text() == TEXT.replace("oak", "ash").replace("Boot room", "Other")


@pytest.mark.parametrize("spoilt", ["nothing", "schema = 2\n", ""])
def test_a_job_whose_file_is_no_more(job: Job, spoilt: str) -> None:
    (job.folder / "job.toml").unlink()
    if spoilt != "nothing":
        (job.folder / "job.toml").write_text(spoilt)
    saved = save_job_as(amend(job, {"base[0].bearer.width_mm": 38.5}), "copy")
    assert differences(job, saved)[0].words == 'base "low", bearer.width_mm from 45 to 38.5'
    assert len(differences(job, saved)) == 1
    assert "[[run.unit]]" in (saved.folder / "job.toml").read_text()


def test_a_file_of_many_pieces_is_copied_whole(job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("kit.job.save_as.PIECE_BYTES", 7)
    before = files(job.folder)
    found = files(save_job_as(job, "copy").folder)
    assert found["more.xlsx"] == before["more.xlsx"] == bytes(range(256))
