"""Workbooks as spreadsheet programs and other writers save them."""

from __future__ import annotations

import contextlib
import datetime
import io
import zipfile

import numpy as np
import openpyxl
import pytest

from kit.job.refusal import Refusal
from kit.readings import read_readings
from kit.readings.files import read_sheet
from kit.readings.workbook import MOST_CELLS

HEAD = ["point", "x_mm", "y_mm", "height_mm"]
ROWS = [HEAD, ["A", 0, 0, 1.5], ["B", 1800, 100, -3], ["C", 700, 900, 2.25]]


def book(path, **sheets):
    written = openpyxl.Workbook()
    written.remove(written.active)
    for title, rows in sheets.items():
        sheet = written.create_sheet(title)
        for row in rows:
            sheet.append(row)
    written.save(path)
    return written


def refused(path, sheet=None):
    with pytest.raises(Refusal) as caught:
        read_sheet(path, "book.xlsx", sheet)
    return str(caught.value)


def stored(path, values, kind=""):
    """Put stored values behind the formulas of a workbook, as spreadsheet programs do."""
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    name = "xl/worksheets/sheet1.xml"
    for value in values:
        new = f"<v>{value}</v>".encode()
        assert b"<v />" in parts[name]
        parts[name] = parts[name].replace(b"<v />", new, 1)
    if kind:
        parts[name] = parts[name].replace(b"><f>", f' t="{kind}"><f>'.encode())
    with zipfile.ZipFile(path, "w") as archive:
        for part, raw in parts.items():
            archive.writestr(part, raw)


def test_the_first_sheet_that_is_not_empty_is_read_and_the_others_are_told(tmp_path):
    book(tmp_path / "b.xlsx", Cover=[], Level=ROWS, Notes=[["bought", "milk"]])
    sheet = read_sheet(tmp_path / "b.xlsx", "book.xlsx")
    assert sheet.name == "book.xlsx, sheet Level"
    assert sheet.not_read == ("Cover", "Notes")
    assert sheet.rows[2] == (4, ("C", "700", "900", "2.25"))


def test_a_named_sheet_is_read(tmp_path):
    book(tmp_path / "b.xlsx", Notes=[["bought", "milk"]], Level=ROWS)
    sheet = read_sheet(tmp_path / "b.xlsx", "book.xlsx", "Level")
    assert (sheet.name, sheet.not_read) == ("book.xlsx, sheet Level", ())
    assert sheet.header == tuple(HEAD)


def test_hidden_sheets_are_read_by_name_only(tmp_path):
    written = book(tmp_path / "b.xlsx", Old=ROWS[:3], Level=ROWS)
    written["Old"].sheet_state = "hidden"
    written.save(tmp_path / "b.xlsx")
    assert len(read_sheet(tmp_path / "b.xlsx", "book.xlsx").rows) == 3
    assert len(read_sheet(tmp_path / "b.xlsx", "book.xlsx", "Old").rows) == 2


def test_an_only_sheet_has_no_part_in_the_name(tmp_path):
    book(tmp_path / "b.xlsx", Level=ROWS)
    assert read_sheet(tmp_path / "b.xlsx", "book.xlsx").name == "book.xlsx"
    assert read_sheet(tmp_path / "b.xlsx", "book.xlsx", "Level").name == "book.xlsx"


def test_no_such_sheet(tmp_path):
    book(tmp_path / "b.xlsx", Notes=[["x"]], Level=ROWS)
    assert refused(tmp_path / "b.xlsx", "level") == (
        "book.xlsx: found no sheet 'level'; allowed: one of its sheets: Notes, Level"
    )


@pytest.mark.parametrize("sheet", [None, "Two"])
def test_nothing_on_any_sheet(tmp_path, sheet):
    book(tmp_path / "b.xlsx", One=[], Two=[["", " "]])
    assert refused(tmp_path / "b.xlsx", sheet) == (
        "book.xlsx: found an empty table; allowed: a header row and one row a reading"
    )


def test_a_sheet_of_a_text_file(tmp_path):
    (tmp_path / "t.csv").write_text("point\nA\n")
    with pytest.raises(Refusal) as caught:
        read_sheet(tmp_path / "t.csv", "t.csv", "Level")
    assert str(caught.value) == (
        "t.csv: found a text file, and the sheet 'Level' of it; allowed: no key sheet, or a"
        " workbook ending in .xlsx"
    )


def test_blank_and_merged_rows_count_but_are_not_read(tmp_path):
    rows = [["Boot room, window wall"], [], HEAD, [], *ROWS[1:]]
    written = book(tmp_path / "b.xlsx", Level=rows[1:])
    written["Level"].merge_cells("A2:A3")
    written.save(tmp_path / "b.xlsx")
    sheet = read_sheet(tmp_path / "b.xlsx", "book.xlsx")
    assert sheet.header_row == 2
    assert [row for row, _ in sheet.rows] == [4, 5, 6]


@pytest.mark.parametrize("kind", ["heights", "grid"])
def test_a_formula_without_a_stored_value_is_refused_by_cell(make_job, tmp_path, kind):
    rows = {"heights": [HEAD, ["A", 0, 0, 1], ["B", 900, 0, "=D2*1000"]],
            "grid": [["", 0, 900], [0, 1, 2], [700, 1, "=B2+1"]]}[kind]  # fmt: skip
    job = make_job(readings={"kind": kind, "text": "", "file": "book.xlsx"})
    book(tmp_path / "book.xlsx", Level=rows)
    with pytest.raises(Refusal) as caught:
        read_readings(job)
    where, formula = {"heights": ("height_mm", "=D2*1000"), "grid": ("column 3", "=B2+1")}[kind]
    assert str(caught.value) == (
        f"book.xlsx, row 3, {where}: found the formula '{formula}'; allowed: the value itself:"
        " open the workbook and save it once in a spreadsheet program, or type the value"
    )


def test_a_formula_with_a_stored_value_is_that_value(tmp_path):
    book(tmp_path / "b.xlsx", Level=[HEAD, ["A", 0, 0, "=1+1.5"], ["B", "=3*300", 0, 2]])
    stored(tmp_path / "b.xlsx", ["2.5", "900"])
    sheet = read_sheet(tmp_path / "b.xlsx", "book.xlsx")
    assert [cells for _, cells in sheet.rows] == [("A", "0", "0", "2.5"), ("B", "900", "0", "2")]


def test_a_formula_whose_value_is_no_text_at_all_is_an_empty_cell(tmp_path):
    """Templates fill rows ahead with formulas that show nothing as long as nothing is typed."""
    book(tmp_path / "b.xlsx", Level=[*ROWS, ["", "", "", '=IF(A5="","",1)']])
    stored(tmp_path / "b.xlsx", [""], "str")
    assert len(read_sheet(tmp_path / "b.xlsx", "book.xlsx").rows) == 3


def test_a_formula_that_failed_is_refused(make_job, tmp_path):
    job = make_job(readings={"kind": "heights", "text": "", "file": "book.xlsx"})
    book(tmp_path / "book.xlsx", Level=[HEAD, ["A", 0, 0, "=1/0"]])
    stored(tmp_path / "book.xlsx", ["#DIV/0!"], "e")
    with pytest.raises(Refusal, match=r"row 2, height_mm: found '#DIV/0!'"):
        read_readings(job)


def test_dates_truth_values_and_times_in_number_cells(make_job, tmp_path):
    job = make_job(readings={"kind": "heights", "text": "", "file": "book.xlsx"})
    typed = [datetime.datetime(2030, 5, 8), datetime.time(8, 30), True,
             datetime.datetime(2030, 5, 8, 14, 30)]  # fmt: skip
    book(tmp_path / "book.xlsx", Level=[HEAD, *([f"P{i}", 0, 0, v] for i, v in enumerate(typed))])
    with pytest.raises(Refusal) as caught:
        read_readings(job)
    # Several finds of one column are told as one.
    assert str(caught.value) == (
        "book.xlsx, rows 2, 3, 4 and 1 more, height_mm: found the date or time '2030-05-08', which"
        " a spreadsheet may have made of it, the date or time '08:30:00', which a spreadsheet may"
        " have made of it, 'True' and 1 more; allowed: a number, from -200000 to 200000 mm"
    )


def test_texts_with_decimal_commas(make_job, tmp_path):
    job = make_job(readings={"kind": "heights", "text": "", "file": "book.xlsx"})
    book(tmp_path / "book.xlsx", Level=[HEAD, ["A", 0, 0, "1,5"], ["B", 900, 0, 2], ["C", 0, 7, 1]])
    assert read_readings(job).rows["observed_mm"].tolist() == [1.5, 2, 1]
    book(tmp_path / "book.xlsx", Level=[HEAD, ["A", 0, 0, "1,5"], ["B", 900, 0, 2.5]])
    with pytest.raises(Refusal, match=r"found '1,5', and '2\.5' in row 3"):
        read_readings(job)


def test_two_sheets_of_one_workbook_are_two_surveys(make_job, tmp_path):
    book(tmp_path / "book.xlsx", Old=ROWS, New=ROWS)
    raw = (tmp_path / "book.xlsx").read_bytes()
    keys = {"kind": "heights", "text": raw, "file": "book.xlsx"}
    tables = read_readings(make_job(one={**keys, "sheet": "Old"}, two={**keys, "sheet": "New"}))
    assert [t.survey for t in tables.tables] == ["book.xlsx, sheet Old", "book.xlsx, sheet New"]
    for second in ({}, {"sheet": "Old"}):
        with pytest.raises(Refusal, match="of a workbook, each its own sheet"):
            read_readings(make_job(one={**keys, "sheet": "Old"}, two={**keys, **second}))


def test_a_workbook_that_unpacks_to_gigabytes(tmp_path):
    with (
        zipfile.ZipFile(tmp_path / "b.xlsx", "w", zipfile.ZIP_DEFLATED) as archive,
        archive.open("xl/worksheets/sheet1.xml", "w", force_zip64=True) as part,
    ):
        for _ in range(210):
            part.write(b" " * 1_000_000)
    assert refused(tmp_path / "b.xlsx") == (
        "book.xlsx: found 210000000 bytes when unpacked; allowed: at most 200000000 bytes"
    )


@pytest.mark.parametrize("cell", ["A1048576", "A99999999999"])
def test_a_cell_far_down_is_no_table(tmp_path, cell):
    book(tmp_path / "b.xlsx", Level=ROWS)
    swap(tmp_path / "b.xlsx", b'r="A4"', f'r="{cell}"'.encode())
    assert refused(tmp_path / "b.xlsx") == (
        f"book.xlsx: found more than {MOST_CELLS} cells; allowed: a table of readings"
    )


def swap(path, old, new):
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    name = "xl/worksheets/sheet1.xml"
    number = new.split(b'"')[1].lstrip(b"A")
    raw = parts[name].replace(old, new).replace(b'<row r="4"', b'<row r="' + number + b'"')
    with zipfile.ZipFile(path, "w") as archive:
        for part, content in parts.items():
            archive.writestr(part, raw if part == name else content)


def test_entities_that_would_grow_are_not_read(tmp_path):
    book(tmp_path / "b.xlsx", Level=ROWS)
    bomb = b'<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]><worksheet>&b;'
    with zipfile.ZipFile(tmp_path / "b.xlsx") as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    parts["xl/worksheets/sheet1.xml"] = bomb + b"</worksheet>"
    with zipfile.ZipFile(tmp_path / "b.xlsx", "w") as archive:
        for part, raw in parts.items():
            archive.writestr(part, raw)
    assert refused(tmp_path / "b.xlsx").startswith("book.xlsx: found ")


@pytest.mark.parametrize("seed", range(8))
def test_any_bytes_may_be_broken(tmp_path, seed):
    rng = np.random.default_rng(seed)
    written = io.BytesIO()
    book(written, Level=ROWS, Notes=[["x"]])
    for _ in range(12):
        raw = bytearray(written.getvalue())
        for at in rng.integers(0, len(raw), rng.integers(1, 30)):
            raw[at] = rng.integers(0, 256)
        (tmp_path / "b.xlsx").write_bytes(bytes(raw[: rng.integers(1, 2 * len(raw))]))
        with contextlib.suppress(Refusal):
            read_sheet(tmp_path / "b.xlsx", "book.xlsx")
