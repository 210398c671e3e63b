"""Readings in doubt: shown with and without, and left out only by the person."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

import kit
from kit.answer import Survey, survey_floor
from kit.job import Job
from kit.show.suspect_panel import NOTHING_IN_DOUBT, SuspectPanel
from kit.show.suspect_tables import (
    note_list,
    suspect_page,
    suspect_table,
    unseen_table,
    without_chart,
    without_table,
)

#: Three set-ups over six points; the reading of Q4 from S2 (row 11) is 10 mm too large.
TRUE = {"Q1": 0.0, "Q2": -1.5, "Q3": 2.0, "Q4": -4.0, "Q5": -5.0, "Q6": -2.5}
PLACES = {"Q1": (0, 0), "Q2": (610, 20), "Q3": (900, 450), "Q4": (1480, 10), "Q5": (1990, 30),
          "Q6": (15, 480)}  # fmt: skip
WRONG = 11


def staff_table(slip: float = 10.0) -> str:
    lines = ["setup,point,x_mm,y_mm,reading_mm"]
    for setup, line in (("S1", 1400.0), ("S2", 1452.5), ("S3", 1381.0)):
        for point, height in TRUE.items():
            x, y = PLACES[point]
            off = slip if (setup, point) == ("S2", "Q4") else 0.0
            lines.append(f"{setup},{point},{x},{y},{line - height + off + 0.2 * np.sin(x + line)}")
    return "\n".join(lines) + "\n"


BOOKED = """point,x_mm,y_mm,backsight_mm,intermediate_mm,foresight_mm
Q1,0,0,1400,,
Q2,610,20,,1401.5,
Q3,900,450,,1398,
Q4,1480,10,1437.4,,1427
Q6,15,480,,1443.5,
Q1,0,0,,,1435.9
"""


@pytest.fixture
def hall(job: Job) -> Path:
    """Return the market hall with staff readings, one of them wrong."""
    text = (job.folder / "job.toml").read_text()
    text = text.replace('kind = "heights"\nfile = "heights.csv"',
                        'kind = "staff"\nfile = "staff.csv"   # read twice')  # fmt: skip
    (job.folder / "job.toml").write_text(text)
    (job.folder / "staff.csv").write_text(staff_table())
    return job.folder


def opened(folder: Path) -> tuple[Job, Survey]:
    job = kit.read_job(folder)
    return job, survey_floor(job)


def test_the_suspect_is_one_row_with_its_slip(hall: Path) -> None:
    heights = opened(hall)[1].heights
    table = suspect_table(heights)
    ((number, reading, booked, error, _, slip),) = table.rows
    assert number == "1"
    assert reading == f"staff.csv row {WRONG}, point Q4, set-up S2"
    assert float(booked) == pytest.approx(1466.5, abs=0.31)
    assert float(error) == pytest.approx(10, abs=1)
    assert slip == "misread by 10 mm"
    assert "Nothing is left out unless you say so." in table.note


def test_heights_with_and_without_stand_side_by_side(hall: Path) -> None:
    heights = opened(hall)[1].heights
    (choice,) = heights.findings[0].choices
    table = without_table(heights, choice)
    # The point itself changes most: by 10 mm times the weight of one reading in three.
    assert table.rows[0][0] == "Q4"
    left = heights.without(choice).points.set_index("point")
    for row in table.rows:
        assert float(row[3]) == pytest.approx(left["without_mm"][row[0]], abs=0.051)
        assert float(row[5]) == pytest.approx(left["change_mm"][row[0]], abs=0.0051)
    assert "Actual over stated scatter" in table.note
    drawn = without_chart(heights, choice).figure.data
    assert [trace.marker.symbol for trace in drawn] == ["circle", "square-open"]
    order = [row[0] for row in table.rows]
    assert list(drawn[1].y) == pytest.approx(left["without_mm"][order].tolist())


def test_the_panel_leaves_a_reading_out_only_when_told(hall: Path) -> None:
    job, survey = opened(hall)
    before = (hall / "job.toml").read_text()
    panel = SuspectPanel(job, survey)
    assert (hall / "job.toml").read_text() == before
    assert "read it again" in panel.message.value
    panel.button.click()
    after = (hall / "job.toml").read_text()
    assert f"leave_out = [{WRONG}]" in after
    assert "# read twice" in after
    assert "✓ Saved to job.toml" in panel.message.value
    again = opened(hall)[1].heights
    assert again.findings == ()
    assert len(again.residuals) == len(survey.heights.residuals) - 1
    assert f"staff.csv: left out as the job says: row {WRONG} (point Q4)." in again.cautions
    assert again.points["height_mm"].to_numpy() == pytest.approx(
        _laid_on(survey.heights, panel.chosen), abs=1e-6
    )


def _laid_on(heights: Any, rows: tuple[int, ...]) -> np.ndarray:
    without = heights.without(rows).points["without_mm"].to_numpy()
    return without - without.max()


def test_a_second_suspect_does_not_bring_the_first_back(hall: Path) -> None:
    text = staff_table().replace("S3,Q2,610,20,13", "S3,Q2,610,20,14")  # and one of 100 mm
    (hall / "staff.csv").write_text(text)
    job, survey = opened(hall)
    panel = SuspectPanel(job, survey)
    assert len(panel.choices) == 2
    panel.button.click()
    panel.choice.value = 1
    panel.button.click()
    assert "leave_out = [11, 15]" in (hall / "job.toml").read_text()


def test_doubts_with_and_without_follow_the_same_rule(hall: Path) -> None:
    scaled = opened(hall)[1].heights.scaled()
    (choice,) = scaled.findings[0].choices
    left = scaled.without(choice)
    plain = opened(hall)[1].heights.without(choice)
    # What is left agrees with its stated sd: nothing of it is scaled.
    assert left.global_test_p > 0.001
    assert left.points["without_sd_mm"].tolist() == plain.points["without_sd_mm"].tolist()
    assert left.points["sd_mm"].to_numpy() == pytest.approx(
        scaled.sigma0 * plain.points["sd_mm"].to_numpy()
    )


def test_a_change_point_goes_as_a_whole_row(hall: Path) -> None:
    text = (hall / "job.toml").read_text()
    (hall / "job.toml").write_text(
        text.replace('"staff"\nfile = "staff.csv"', '"booking"\nfile = "b.csv"')
    )
    (hall / "b.csv").write_text(BOOKED)
    job, survey = opened(hall)
    panel = SuspectPanel(job, survey)
    rows = survey.heights.further.rows
    shown = rows.iloc[list(panel._whole_rows((3,)))]
    assert shown["row"].tolist() == [5, 5]
    assert shown["setup"].tolist() == ["S1", "S2"]


def test_a_file_that_another_writer_changed_is_not_overwritten(hall: Path) -> None:
    job, survey = opened(hall)
    panel = SuspectPanel(job, survey)
    (hall / "job.toml").write_text("not a job")
    panel.button.click()
    assert "✗ Nothing was saved" in panel.message.value
    assert (hall / "job.toml").read_text() == "not a job"


def test_nothing_in_doubt_is_said(job: Job) -> None:
    panel = SuspectPanel(job, survey_floor(job))
    assert panel.choices == []
    assert NOTHING_IN_DOUBT in panel.message.value


def test_undecided_readings_stand_under_one_number(hall: Path) -> None:
    lines = staff_table().splitlines()
    # S1 alone and two points of S2: nothing tells which of the four ties is wrong.
    few = [lines[0], *lines[1:7], *[line for line in lines if line.startswith(("S2,Q4", "S2,Q2"))]]
    (hall / "staff.csv").write_text("\n".join(few) + "\n")
    heights = opened(hall)[1].heights
    table = suspect_table(heights)
    assert {row[0] for row in table.rows} == {"1"}
    assert len(table.rows) == 4
    assert "the others do not tell which" in table.note


def test_of_undecided_readings_none_stands_ready_to_be_left_out(hall: Path) -> None:
    lines = staff_table().splitlines()
    few = [lines[0], *lines[1:7], *[line for line in lines if line.startswith(("S2,Q4", "S2,Q2"))]]
    (hall / "staff.csv").write_text("\n".join(few) + "\n")
    panel = SuspectPanel(*opened(hall))
    assert panel.button.disabled
    assert panel.chart.layout.display == "none"
    assert "the kit proposes none" in panel.message.value
    panel.choice.value = 1
    assert not panel.button.disabled
    assert panel.chart.layout.display == ""
    assert "Heights without" in panel.table.value


def test_where_a_slip_would_hide(hall: Path) -> None:
    (hall / "staff.csv").write_text(staff_table() + "S3,Q9,700,900,1383\n")
    table = unseen_table(opened(hall)[1].heights)
    assert table.rows[0] == ("staff.csv row 20, point Q9, set-up S3", "0.00", "any")
    # 4.13·sd/sqrt(r) of the others, r about 1/2: 3 mm.
    assert 2.0 < float(table.rows[1][2]) < 4.5
    assert "One further reading would check it" in table.note


def test_names_are_shown_as_text_and_cautions_are_marked(hall: Path) -> None:
    text = staff_table().replace("Q4", "<b>Q4</b>")
    (hall / "staff.csv").write_text(text)
    heights = opened(hall)[1].heights
    html = suspect_page(heights).html + note_list(heights).html
    assert "<b>Q4</b>" not in html
    assert "&lt;b&gt;Q4" in html
    assert "⚠ The readings agree less well" in html
