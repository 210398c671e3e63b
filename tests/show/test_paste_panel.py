"""A pasted table is shown back before it is written, and overwrites nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

import kit
from kit.answer import survey_floor
from kit.job import Job
from kit.show.paste_panel import EXAMPLE, PastePanel

STAFF = (
    "setup;point;x [m];y [m];reading [mm];remark\n"
    "S1;Q1;0;0;1400,5;=1+1\n"
    "S1;Q5;1,99;0,03;1405,5;\n"
    "S1;Q9;2,01;0,46;1408,5;<b>\n"
)


def test_the_example_is_understood(job: Job) -> None:
    panel = PastePanel(job)
    assert panel.box.value == EXAMPLE
    assert "✓ Understood: pasted table (staff): 3 readings of 3 points from 1 set-up" in (
        panel.line.value
    )
    assert "separated by tabs, decimal comma; x, y in m, reading in mm" in panel.line.value
    assert "<td" in panel.table.value
    assert "500" in panel.table.value


def test_what_is_no_table_is_said_in_words_and_nothing_is_written(job: Job) -> None:
    before = sorted(job.folder.iterdir())
    panel = PastePanel(job)
    panel.box.value = "setup;point\nS1;A\n"
    assert "✗ Not a table of this kind" in panel.line.value
    assert "no column x_mm" in panel.line.value
    assert panel.table.value == ""
    panel.button.click()
    assert "✗" in panel.message.value
    assert sorted(job.folder.iterdir()) == before


def test_heights_of_a_floor_in_metres_are_refused_before_anything_is_written(job: Job) -> None:
    panel = PastePanel(job)
    panel.kind.value = "heights"
    panel.box.value = "point,x_mm,y_mm,height_mm\nA,0,0,0.0123\nB,900,40,0.0118\n"
    assert "✗ Not a table of this kind" in panel.line.value
    assert "look like metres" in panel.line.value
    assert panel.button.disabled


def test_another_kind_is_another_reading_of_the_same_text(job: Job) -> None:
    panel = PastePanel(job, "point;x [m];y [m];height [mm]\nA;0;0;1,5\nB;0,9;0;2\n")
    assert "✗" in panel.line.value
    panel.kind.value = "heights"
    assert "(heights): 2 heights of 2 points" in panel.line.value


def test_written_table_joins_the_job_and_is_adjusted_with_it(job: Job) -> None:
    panel = PastePanel(job, STAFF)
    panel.file.value = "more.csv"
    panel.button.click()
    assert "✓ more.csv is written and stands in job.toml" in panel.message.value
    written = (job.folder / "more.csv").read_text()
    assert written.splitlines()[0] == "setup,point,x [m],y [m],reading [mm],remark"
    assert "S1,Q5,1.99,0.03,1405.5," in written
    assert "'=1+1" in written
    again = kit.read_job(job.folder)
    assert [(s.kind, s.file) for s in again.surveys] == [
        ("heights", "heights.csv"),
        ("staff", "more.csv"),
    ]
    heights = survey_floor(again).heights
    assert len(heights.residuals) == 9 + 3
    assert heights.redundancy == 2
    assert "# kept when the panel saves" in (job.folder / "job.toml").read_text()


@pytest.mark.parametrize("name", ["heights.csv", "../x.csv", "sub/x.csv", ".csv", "x.txt", ""])
def test_no_file_is_overwritten_and_none_leaves_the_folder(job: Job, name: str) -> None:
    before = {path: path.read_bytes() for path in job.folder.iterdir()}
    panel = PastePanel(job, STAFF)
    panel.file.value = name
    panel.button.click()
    assert "✗" in panel.message.value
    assert {path: path.read_bytes() for path in job.folder.iterdir()} == before
    assert not (Path(job.folder).parent / "x.csv").exists()


def test_the_example_cannot_be_written(job: Job) -> None:
    panel = PastePanel(job)
    assert panel.button.disabled
    panel.box.value = STAFF
    assert not panel.button.disabled
    panel.box.value = "nothing"
    assert panel.button.disabled


@pytest.mark.parametrize(
    ("pasted", "words"),
    [
        (STAFF.replace("1,99;0,03", "1,5;0,03"), "another name"),  # Q5 at another place
        (STAFF.replace("Q", "Z"), "tied to the other readings by no common point"),
    ],
)
def test_a_table_that_does_not_go_with_the_others_leaves_everything_as_it_was(
    job: Job, pasted: str, words: str
) -> None:
    before = kit.read_job(job.folder)
    panel = PastePanel(job, pasted)
    panel.button.click()
    assert "✗ Nothing was written" in panel.message.value
    assert words in panel.message.value
    assert not (job.folder / "pasted.csv").exists()
    assert kit.read_job(job.folder) == before
    assert len(survey_floor(before).heights.residuals) == 9


def test_a_table_that_the_job_names_and_lacks_is_written_under_its_name(job: Job) -> None:
    (job.folder / "heights.csv").unlink()
    panel = PastePanel(job, STAFF + "S1;Q7;0,7;0,47;1404;\n")
    panel.file.value = "heights.csv"
    panel.button.click()
    assert "kind staff, where job.toml says heights" in panel.message.value
    text = (job.folder / "job.toml").read_text()
    (job.folder / "job.toml").write_text(text.replace('kind = "heights"', 'kind = "staff"'))
    panel.button.click()
    assert "✓ heights.csv is written" in panel.message.value
    assert len(kit.read_job(job.folder).surveys) == 1


def test_a_job_file_that_cannot_take_it_keeps_the_folder_clean(job: Job) -> None:
    panel = PastePanel(job, STAFF)
    (job.folder / "job.toml").write_text("not a job")
    panel.button.click()
    assert "✗" in panel.message.value
    assert not (job.folder / "pasted.csv").exists()
