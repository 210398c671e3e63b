"""What stood on a clipboard becomes a plain table in the job folder that reads the same."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kit.job.refusal import Refusal
from kit.readings import read_readings
from kit.readings.files import sheet_of_text
from kit.readings.formulas import is_formula
from kit.readings.pasted import pasted_csv, read_pasted


def refused(text):
    with pytest.raises(Refusal) as caught:
        pasted_csv(read_pasted(text))
    return str(caught.value)


def test_from_a_spreadsheet_with_decimal_commas():
    text = "setup\tpoint\tx [m]\tReading (mm)\tremark\r\nS1\tA\t1,8\t1402,5\tby door, left\r\n"
    assert pasted_csv(read_pasted(text)) == (
        'setup,point,x [m],Reading (mm),remark\nS1,A,1.8,1402.5,"by door, left"\n'
    )


def test_only_lengths_change_their_decimal_mark():
    text = "point;x_mm;y_mm;height_mm;read at\n1,2;0,5;0;1,25;8,5\n"
    assert pasted_csv(read_pasted(text)) == (
        'point,x_mm,y_mm,height_mm,read at\n"1,2",0.5,0,1.25,"8,5"\n'
    )


def test_a_grid_with_numbers_in_its_header():
    text = "y\\x [m]\t0\t0,6\t1,45\n0\t0,0015\t\t-0,002\n0,85\t0\t0,003\t-0,001\n"
    assert pasted_csv(read_pasted(text)) == (
        "y\\x [m],0,0.6,1.45\n0,0.0015,,-0.002\n0.85,0,0.003,-0.001\n"
    )


def test_fractions_of_inches_and_negative_numbers_stay():
    text = "point\tx_in\ty_in\theight_in\nA\t35 1/2\t0\t-5/8\nB\t0\t-3.5\t0\n"
    assert pasted_csv(read_pasted(text)).splitlines()[1:] == ["A,35 1/2,0,-5/8", "B,0,-3.5,0"]


def test_nothing_live_is_written():
    text = "point\tx_mm\ty_mm\theight_mm\t=cmd\n=A1\t0\t0\t=B2\t@x\n-P\t0\t-0,5\t+1\t+1\n"
    assert pasted_csv(read_pasted(text)) == (
        "point,x_mm,y_mm,height_mm,'=cmd\n'=A1,0,0,'=B2,'@x\n'-P,0,-0.5,+1,+1\n"
    )


def test_a_line_end_in_a_cell_begins_no_row():
    written = pasted_csv(read_pasted('point\tx_mm\tremark\nA\t0\t"by door\r=A1"\n'))
    assert written == 'point,x_mm,remark\nA,0,"by door\n=A1"\n'


def test_a_title_with_semicolons_stays_one_title():
    text = "point\tx_mm\ty_mm\theight_mm\tby;when;where;how;why\nA\t0\t0\t1\tx\n"
    written = pasted_csv(read_pasted(text))
    assert sheet_of_text(written, "t.csv").header[4] == "by;when;where;how;why"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "pasted table: found an empty table; allowed: a header row and one row a reading"),
        ("point\tx_mm\n", "pasted table: found a header row and no readings; allowed: one row a"
         " reading below the header"),
        ("a\0b", "pasted table: found a binary file; allowed: a CSV text file, or a workbook ending"
         " in .xlsx"),
        ("a\ud800", "pasted table: found half a character (U+D800); allowed: text"),
        ("p\tx_mm\nA\t1,5\nB\t2.5\n", "pasted table, row 2, x_mm: found '1,5', and '2.5' in row 3,"
         " x_mm; allowed: one decimal mark in the whole table, and none between thousands"),
        ("p\tx_mm\nA\t1,500\n", "pasted table, row 2, x_mm: found '1,500', which is 1500 mm or"
         " 1.500 mm, and no other number of the table tells which; allowed: 1500 if the comma"
         " stands between thousands, 1.500 if it is the decimal mark"),
    ],
    ids=["empty", "header", "nul", "surrogate", "two marks", "thousands"],
)  # fmt: skip
def test_what_cannot_be_pasted(text, message):
    assert refused(text) == message


@pytest.mark.parametrize("mark", ["\t", ";", ","])
def test_it_reads_like_what_was_pasted(make_job, mark):
    text = "point,x_m,y_m,height_mm\nA,0,0,1.5\nB,1.8,0.2,-3.25\nC,0.7,0.9,2\n".replace(",", mark)
    pasted = pasted_csv(read_pasted("\ufeff" + text))
    straight = read_readings(make_job(t={"kind": "heights", "text": text})).rows
    assert read_readings(make_job(t={"kind": "heights", "text": pasted})).rows.equals(straight)


CELL = st.sampled_from(["", "0", "1,5", "2.5", "-3", "=1", "-x", "a;b", 'a"b', "x_mm", "y [m]"])


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.lists(CELL | st.text(max_size=4), min_size=1, max_size=4), max_size=5))
def test_any_pasted_cells_come_back_and_none_is_live(rows):
    try:
        sheet = read_pasted("\n".join("\t".join(row) for row in rows))
        written = pasted_csv(sheet)
        again = read_pasted(written)
    except Refusal:
        return
    assert len(again.rows) <= len(sheet.rows)
    for _, cells in again.rows:
        assert not any(is_formula(cell) for cell in cells)
