"""Booking sheets as tables of a job."""

from __future__ import annotations

import pytest

from kit.job.refusal import Refusal
from kit.readings import adjust, read_readings

SHEET = """point,x_mm,y_mm,backsight_mm,intermediate_mm,foresight_mm,remark
BM,0,0,1412,,,door sill
P1,900,0,,1409.5,,
P2,1900,100,,1415,,hollow
T1,2600,300,1502,,1411,change point
P3,3300,0,,1498,,
P1,900,0,,,1501,back again
"""


@pytest.fixture
def booked(make_job):
    def make(text=SHEET, **keys):
        return read_readings(make_job(sheet={"kind": "booking", "text": text, **keys}))

    return make


def test_lines_become_staff_readings_by_set_up(booked):
    rows = booked().tables[0].readings
    assert rows[["row", "point", "setup", "observed_mm"]].to_numpy().tolist() == [
        [2, "BM", "S1", 1412.0], [3, "P1", "S1", 1409.5], [4, "P2", "S1", 1415.0],
        [5, "T1", "S1", 1411.0], [5, "T1", "S2", 1502.0], [6, "P3", "S2", 1498.0],
        [7, "P1", "S2", 1501.0],
    ]  # fmt: skip
    assert booked().tables[0].extra["remark"].tolist()[3:5] == ["change point", "change point"]


def test_the_sheet_is_adjusted_with_its_closure(booked):
    heights = adjust(booked(), "BM", 500.0)
    at = heights.points.set_index("point")["height_mm"]
    # P1: +2.5 from set-up 1; from set-up 2 T1 (+1) + 1502 - 1501 = +2.0. Set-up 1 twice as good
    # (2 readings against 4 on the way round): 2.5 - 0.5 * 2/4 = 2.25 with T1 at 1 + 0.125... The
    # three unknown loops share 0.5 mm over 4 readings: each takes 0.125.
    assert at["P1"] == pytest.approx(500 + 2.5 - 0.125)
    assert at["T1"] == pytest.approx(500 + 1 + 0.125)
    assert at["P2"] == pytest.approx(497.0)
    assert heights.redundancy == 1
    assert any("share P1, T1: differences spread 0.5 mm" in note for note in heights.notes)


def test_the_same_sheet_with_its_points_elsewhere(booked, tmp_path):
    (tmp_path / "places.csv").write_text(
        "point,x_mm,y_mm\nBM,0,0\nP1,900,0\nP2,1900,100\nT1,2600,300\nP3,3300,0\n"
    )
    lines = [line.split(",") for line in SHEET.splitlines()]
    bare = "\n".join(",".join([line[0], *line[3:6]]) for line in lines)
    with_places = adjust(booked(bare, points_file="places.csv"), "BM", 0.0)
    assert with_places.points.equals(adjust(booked(), "BM", 0.0).points)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("BM,0,0,1412", "BM,0,0,", "sheet.csv, row 2: found no reading; allowed: a line with a"
         " reading, or no line"),
        ("T1,2600,300,1502", "T1,2600,300,", "sheet.csv, row 5: found a foresight without a"
         " backsight before the last line; allowed: both on one line: a change point is read from"
         " the old and from the new set-up"),
        (",,1409.5,", ",,-1409.5,", "sheet.csv, row 3, intermediate_mm: found -1409.5 mm; allowed:"
         " readings down to the floor, 0 or more: a number, from 0 to 200000 mm"),
        ("backsight_mm", "back_mm", "sheet.csv, row 1: found no column backsight_mm;"
         " nearest: 'back_mm'; allowed: a header row with the column backsight_mm"),
    ],
    ids=["no reading", "no backsight", "negative", "no column"],
)  # fmt: skip
def test_bad_sheets(booked, old, new, message):
    assert old in SHEET
    with pytest.raises(Refusal) as caught:
        booked(SHEET.replace(old, new))
    assert message in str(caught.value)


def test_a_line_can_be_left_out(booked):
    heights = adjust(booked(leave_out=(4,)), "BM", 0.0)
    assert heights.points["point"].tolist() == ["BM", "P1", "T1", "P3"]
    with pytest.raises(Refusal, match="row 8, which holds no reading"):
        booked(leave_out=(8,))


def test_what_was_worked_out_on_the_sheet_is_checked_and_the_readings_count(booked):
    lines = SHEET.splitlines()
    heights = ["height_mm", "500", "502.5", "497", "501", "505", "502"]
    plain = [",".join(line.split(",")[:6]) for line in lines]
    good = "\n".join(f"{line},{h}" for line, h in zip(plain, heights, strict=True))
    found = adjust(booked(good), "BM", 500.0)
    assert any("arithmetic check of the sheet holds" in note for note in found.notes)
    assert not any("stands there" in caution for caution in found.cautions)
    # P1 is 2.5 higher than BM: booked as lower.
    turned = adjust(booked(good.replace("502.5", "497.5")), "BM", 500.0)
    (caution,) = [c for c in turned.cautions if "stands there" in c]
    assert "Row 3 (P1), height: 497.5 mm stands there, the readings give 502.5 mm" in caution
    assert "a rise booked as a fall" in caution
    assert turned.points.equals(found.points)


def test_what_is_left_out_is_said(booked):
    heights = adjust(booked(leave_out=(4,)), "BM", 0.0)
    assert "sheet.csv: left out as the job says: row 4 (point P2)." in heights.cautions
