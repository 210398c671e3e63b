"""One line says how each kind of table was read."""

from __future__ import annotations

import openpyxl
import pytest

from kit.readings import read_readings

PLACES = "point,x_m,y_m\nA,0,0\nB,1.8,0.1\nC,0.7,0.9\nD,2,1\n"


@pytest.mark.parametrize(
    ("kind", "text", "words"),
    [
        (
            "staff",
            "setup;point;x [m];y [m];reading_mm;remark\nS1;A;0;0;1402,5;\nS1;B;1,8;0;1405;by door\n"
            "S2;B;1,8;0;1391;\nS2;C;0,7;0,9;1383;\n",
            "t.csv (staff): 4 readings of 3 points from 2 set-ups; columns separated by semicolons,"
            " decimal comma; x, y in m, reading in mm; not used: remark",
        ),
        (
            "heights",
            "point\theight (in)\tx_mm\ty_mm\nA\t3 5/8\t0\t0\n",
            "t.csv (heights): 1 height of 1 point; columns separated by tabs, decimal point;"
            " height in in, x, y in mm",
        ),
        (
            "grid",
            "y \\ x [m];0;0,6;1,45\n0;0,0015;;-0,002\n0,85;0;0,00325;-0,001\n",
            "t.csv (grid): 5 heights at 3 x by 2 y; columns separated by semicolons, decimal comma;"
            " all in m",
        ),
        (
            "straightedge",
            "placement,point,x_mm,,y_mm,gap_mm,by\nE1,A,0,x,0,2,\nE1,B,450,,0,5.5,\nE1,C,900,,0,1,\n",
            "t.csv (straightedge): 3 gaps of 3 points in 1 placement; columns separated by commas,"
            " decimal point; x, y, gap in mm; not used: by, column 4 without a title",
        ),
        (
            "booking",
            "point,x_mm,y_mm,backsight_m,intermediate_m,foresight_m\nA,0,0,1.402,,\n"
            "B,900,0,,1.4005,\nC,0,700,1.391,,1.39\nD,900,700,,,1.402\n",
            "t.csv (booking): 5 readings of 4 points from 2 set-ups; columns separated by commas,"
            " decimal point; x, y in mm, backsight, intermediate, foresight in m",
        ),
    ],
    ids=["staff", "heights", "grid", "straightedge", "booking"],
)
def test_how_a_table_was_read(make_job, kind, text, words):
    assert read_readings(make_job(t={"kind": kind, "text": text})).tables[0].understood == words


def test_places_from_a_file_of_their_own(make_job, tmp_path):
    (tmp_path / "places.csv").write_text(PLACES)
    text = "from,to,packer_mm,under\nA,B,3,to\nB,C,1.5,from\nC,A,0,\n"
    job = make_job(t={"kind": "level", "text": text, "points_file": "places.csv"})
    assert read_readings(job).tables[0].understood == (
        "t.csv (level): 3 readings between 3 points; columns separated by commas, decimal point;"
        " packer in mm; places of 4 points from places.csv, columns separated by commas, decimal"
        " point, x, y in m"
    )


def test_sheets_that_were_not_read(make_job, tmp_path):
    job = make_job(t={"kind": "heights", "text": "", "file": "book.xlsx"})
    book = openpyxl.Workbook()
    for row in (["point", "x_m", "y_m", "height_mm"], ["A", 0, 0, 1.5], ["B", 1.8, 0, 2]):
        book.active.append(row)
    book.active.title = "Level"
    book.create_sheet("Notes")
    book.save(tmp_path / "book.xlsx")
    assert read_readings(job).tables[0].understood == (
        "book.xlsx, sheet Level (heights): 2 heights of 2 points; x, y in m, height in mm;"
        " other sheets, not read: Notes"
    )


def test_it_counts_what_was_read_before_rows_are_left_out(make_job):
    text = "point,x_mm,y_mm,height_mm\nA,0,0,1\nB,900,0,2\nC,0,800,1\n"
    job = make_job(t={"kind": "heights", "text": text, "leave_out": (3,)})
    assert "3 heights of 3 points" in read_readings(job).tables[0].understood
