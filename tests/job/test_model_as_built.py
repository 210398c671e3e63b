"""What is said of the finished base, read and written again."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest

from kit.job import Refusal, read_job, save_differences, save_job_as
from kit.job.amend import amend
from kit.job.changed_text import text_of
from kit.job.read import read_text

NOTES = "Key at the porter's.\n=HYPERLINK(1) <script> \u05e9\u05dc\u05d5\u05dd \U0001f600"

SAID = f'''
notes = """{NOTES}"""
'''

BUILT = """
[as_built]
date = 2026-11-20
by = "the fitter"
instrument = "laser and staff"
left = [ {mm = 1, count = 3} ]
[[as_built.survey]]
kind = "staff"
file = "tops.csv"
sd_mm = 0.3
"""


def with_as_built(boot_room: str) -> str:
    return boot_room.replace('units = "mm"', f'units = "mm"{SAID}', 1) + BUILT


def test_date_bag_and_tables_are_read(boot_room: str) -> None:
    job = read_text(with_as_built(boot_room), Path("/nowhere"))
    assert job.notes == NOTES
    assert job.as_built is not None
    assert job.as_built.date == datetime.date(2026, 11, 20)
    assert [(one.mm, one.count) for one in job.as_built.left] == [(1.0, 3)]
    assert job.as_built.surveys[0].sd_mm == 0.3


def test_a_date_in_quotes_is_the_same_day(boot_room: str) -> None:
    quoted = with_as_built(boot_room).replace("2026-11-20", '"2026-11-20"')
    plain = read_text(with_as_built(boot_room), Path("/nowhere"))
    assert read_text(quoted, Path("/nowhere")) == plain


def test_a_time_is_no_date(boot_room: str) -> None:
    with pytest.raises(Refusal, match=r"as_built\.date"):
        read_text(with_as_built(boot_room).replace("11-20", "11-20T08:00:00"), Path("/nowhere"))


def test_saving_keeps_notes_and_day(boot_room: str, tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(with_as_built(boot_room), encoding="utf-8")
    job = read_job(tmp_path)
    changes = {"base[0].max_pieces": 7, "notes": "two\nlines", "as_built.by": "another"}
    now = save_differences(job, amend(job, changes))
    again = read_job(tmp_path)
    assert again == now
    assert again.notes == "two\nlines"
    assert again.as_built is not None
    assert (again.as_built.by, again.as_built.date) == ("another", datetime.date(2026, 11, 20))


def test_a_job_made_anew_says_the_same(boot_room: str) -> None:
    job = read_text(with_as_built(boot_room), Path("/nowhere"))
    assert read_text(text_of(job), Path("/nowhere")) == job


def test_a_long_title_is_whole_and_its_head_is_short(boot_room: str) -> None:
    long = "Boot room, east wall " * 476
    text = boot_room.replace('"Boot room, east wall"', f'"{long.strip()}"', 1)
    job = read_text(text, Path("/nowhere"))
    assert job.title == long.strip()
    assert len(job.title) == 9995
    assert job.short_title == long[:79].rstrip() + "…"
    assert read_text(boot_room, Path("/nowhere")).short_title == "Boot room, east wall"


def test_tables_of_floor_and_finished_base_are_named(boot_room: str) -> None:
    said = with_as_built(boot_room).replace("left =", 'stacks_file = "stood.csv"\nleft =')
    job = read_text(said, Path("/nowhere"))
    assert job.tables == read_text(boot_room, Path("/nowhere")).tables
    assert job.tables_as_built == ("tops.csv", "stood.csv")


def test_saved_as_another_job_the_finished_base_goes_along(boot_room: str, tmp_path: Path) -> None:
    old = tmp_path / "old"
    old.mkdir()
    (old / "job.toml").write_text(with_as_built(boot_room), encoding="utf-8")
    for name in read_job(old).tables:
        (old / name).write_text("point,x_mm,y_mm,height_mm\n", encoding="utf-8")
    (old / "tops.csv").write_text("setup,point,reading_mm\n", encoding="utf-8")
    save_job_as(read_job(old), tmp_path / "new")
    assert (tmp_path / "new" / "tops.csv").read_text() == "setup,point,reading_mm\n"


def test_keys_of_other_kinds_are_refused_there_too(boot_room: str) -> None:
    text = with_as_built(boot_room).replace("sd_mm = 0.3", "cell_mm = 100")
    with pytest.raises(Refusal, match=r'as_built.*cell_mm: .*kind "scan"; allowed: no cell_mm'):
        read_text(text, Path("/nowhere"))
