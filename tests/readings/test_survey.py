"""Tables through the front door: what is accepted, and what is refused with which words."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from kit.job.refusal import Refusal
from kit.readings import read_readings

HEIGHTS = "point,x_mm,y_mm,height_mm\nP1,0,0,0\nP2,1800,100,-3.5\nP3,700,900,2.25\n"
STAFF = (
    "setup,point,x_mm,y_mm,reading_mm\n"
    "S1,P1,0,0,1402.0\nS1,P2,1800,100,1405.5\nS2,P2,1800,100,1391.0\nS2,P3,700,900,1383.0\n"
)
GRID = "y \\ x,0,600,1450\n0,1.5,,-2\n850,0,3.25,-1\n"


def refused(make_job, kind, text, **keys):
    with pytest.raises(Refusal) as caught:
        read_readings(make_job(readings={"kind": kind, "text": text, **keys}))
    return str(caught.value)


def test_heights_are_read(make_job):
    table = read_readings(make_job(readings={"kind": "heights", "text": HEIGHTS})).tables[0]
    assert table.readings.to_dict("list") == {
        "row": [2, 3, 4],
        "point": ["P1", "P2", "P3"],
        "x_mm": [0, 1800, 700],
        "y_mm": [0, 100, 900],
        "observed_mm": [0, -3.5, 2.25],
        "sd_mm": [0.5, 0.5, 0.5],
        "setup": ["", "", ""],
    }


def test_columns_in_any_order_extra_kept_sd_overrides(make_job):
    text = "remark,reading_mm,y_mm,sd_mm,point,X_mm,setup\nby door,10,2,0.3,A,5,S\n,11,900,,B,7,S\n"
    job = make_job(readings={"kind": "staff", "text": text, "sd_mm": 0.8})
    table = read_readings(job).tables[0]
    assert table.readings["sd_mm"].tolist() == [0.3, 0.8]
    assert table.readings[["point", "x_mm", "y_mm", "observed_mm"]].to_numpy().tolist() == [
        ["A", 5, 2, 10],
        ["B", 7, 900, 11],
    ]
    assert table.extra.to_dict("list") == {"remark": ["by door", ""]}


def test_inches(make_job):
    text = 'point,x_in,y_mm,height_in,sd_in\nA,0,0,"3 5/8",1/64\nB,35-1/2,0,-5/8,0.02\n'
    rows = read_readings(make_job(readings={"kind": "heights", "text": text})).tables[0].readings
    # Conversion is exact to the picometre: 25.4 mm an inch.
    assert rows["observed_mm"].tolist() == pytest.approx([92.075, -15.875], abs=1e-9)
    assert rows["x_mm"].tolist() == pytest.approx([0, 901.7], abs=1e-9)
    assert rows["sd_mm"].tolist() == pytest.approx([25.4 / 64, 0.508], abs=1e-9)


def test_grid(make_job):
    table = read_readings(make_job(readings={"kind": "grid", "text": GRID})).tables[0]
    assert table.readings[["row", "point", "x_mm", "y_mm", "observed_mm"]].to_numpy().tolist() == [
        [2, "x0 y0", 0, 0, 1.5],
        [2, "x1450 y0", 1450, 0, -2],
        [3, "x0 y850", 0, 850, 0],
        [3, "x600 y850", 600, 850, 3.25],
        [3, "x1450 y850", 1450, 850, -1],
    ]


def test_grid_in_inches(make_job):
    text = "y_in \\ x_in,0,24\n0,1/8,0\n12 1/2,0,-1/4\n"
    rows = read_readings(make_job(readings={"kind": "grid", "text": text})).tables[0].readings
    assert rows["point"].tolist() == ["x0 y0", "x609.6 y0", "x0 y317.5", "x609.6 y317.5"]
    assert rows["observed_mm"].tolist() == pytest.approx([3.175, 0, 0, -6.35], abs=1e-9)


@pytest.mark.parametrize(("kind", "text"), [("heights", HEIGHTS), ("staff", STAFF), ("grid", GRID)])
def test_marks_blank_rows_and_line_ends_change_nothing(make_job, kind, text):
    plain = read_readings(make_job(readings={"kind": kind, "text": text})).tables[0].readings
    lines = text.splitlines()
    dressed = "\ufeff" + "\r\n".join([lines[0], "", *lines[1:], ",,,", ""])
    other = read_readings(make_job(readings={"kind": kind, "text": dressed})).tables[0].readings
    assert other.drop(columns="row").equals(plain.drop(columns="row"))
    assert (other["row"] - plain["row"] == 1).all()


@pytest.mark.parametrize(("kind", "text"), [("heights", HEIGHTS), ("staff", STAFF), ("grid", GRID)])
def test_workbook_reads_like_csv(make_job, tmp_path, kind, text):
    plain = read_readings(make_job(readings={"kind": kind, "text": text})).tables[0].readings
    typed = pd.read_csv(tmp_path / "readings.csv", header=None, dtype=object)
    cells = typed.map(lambda c: pd.to_numeric(c) if str(c).lstrip("-")[:1].isdigit() else c)
    job = make_job(readings={"kind": kind, "text": "", "file": "book.XLSX"})
    with pd.ExcelWriter(tmp_path / "book.xlsx") as book:
        cells.to_excel(book, header=False, index=False)
    os.replace(tmp_path / "book.xlsx", tmp_path / "book.XLSX")
    assert read_readings(job).tables[0].readings.equals(plain)


HEAD = "point,x_mm,y_mm,height_mm\n"


def test_every_fault_is_told_at_once_up_to_a_limit(make_job):
    text = "".join(f"A{i},0,{i},1,2,3,4,5\n" for i in range(2)) + ",9e9,0\n"
    grid = "," + ",".join(str(600 * i) for i in range(25)) + "\n0," + "low," * 24 + "low\n"
    message = refused(make_job, "grid", grid)
    assert message.count("\n") == 20
    assert "row 2, column 2: found 'low'" in message.split("\n")[0]
    assert "5 more faults" in message.split("\n")[-1]
    assert "rows 2, 3" in refused(make_job, "heights", HEAD + text)


def test_equal_faults_of_one_column_are_one(make_job):
    message = refused(make_job, "heights", HEAD + "A,x,2,low\n" * 15 + "B,4,y,6\n")
    assert message.split("\n") == [
        "readings.csv, rows 2, 3, 4 and 12 more, x_mm: found 'x'; allowed: a number, from -200000"
        " to 200000 mm",
        "readings.csv, row 17, y_mm: found 'y'; allowed: a number, from -200000 to 200000 mm",
        "readings.csv, rows 2, 3, 4 and 12 more, height_mm: found 'low'; allowed: a number, from"
        " -200000 to 200000 mm",
    ]


def test_a_bad_column_of_sd_is_one_fault(make_job):
    head = HEAD.replace("height_mm", "height_mm,sd_mm")
    text = head + "".join(f"P{i},{i * 400},0,1,±{i}\n" for i in range(9))
    assert refused(make_job, "heights", text) == (
        "readings.csv, rows 2, 3, 4 and 6 more, sd_mm: found '±0', '±1', '±2' and 6 more;"
        " allowed: a number, from 0.001 to 1000 mm"
    )
    inches = text.replace("sd_mm", "sd_in").replace("±", "50")
    assert "found 500 in, 501 in, 502 in and 6 more" in refused(make_job, "heights", inches)


def test_a_staff_reading_is_0_or_more(make_job):
    assert refused(make_job, "staff", STAFF.replace("1405.5", "-1405.5")) == (
        "readings.csv, row 3, reading_mm: found -1405.5 mm; allowed: readings down to the floor,"
        " 0 or more: a number, from 0 to 200000 mm"
    )
    job = make_job(readings={"kind": "staff", "text": STAFF.replace("1402.0", "0")})
    assert read_readings(job).tables[0].readings["observed_mm"].iloc[0] == 0


METRES = (
    "setup,point,x_mm,y_mm,reading_mm\n"
    "S1,P1,0,0,1.402\nS1,P2,1800,100,1.4055\nS2,P2,1800,100,0.891\nS2,P3,700,900,0.883\n"
)


def test_staff_in_metres_from_setups_at_different_heights(make_job):
    message = refused(make_job, "staff", METRES)
    assert "set-up S1: found readings from 1.402 to 1.4055 mm" in message
    assert "metres" in message


@pytest.mark.parametrize(
    "readings",
    [
        (5, 5, 7, 7),  # a line 5 mm above a level floor
        (0.2, 0.2, 3.4, 3.4),
        (1.402, 1.7, 0.891, 1.2),  # no floor booked in metres, unless it falls 300 mm
        (1402.02, 1402.05, 891, 883),
    ],
)
def test_readings_close_to_the_line_are_no_metres(make_job, readings):
    text = METRES
    for old, new in zip(("1.402", "1.4055", "0.891", "0.883"), readings, strict=True):
        text = text.replace(f",{old}\n", f",{new}\n")
    job = make_job(readings={"kind": "staff", "text": text})
    assert read_readings(job).tables[0].readings["observed_mm"].tolist() == list(readings)


def test_inches_are_no_metres(make_job):
    # 3/8 in is 9.525 mm, below 10 and no whole tenth.
    text = STAFF.replace("reading_mm", "reading_in")
    for old in ("1402.0", "1405.5", "1391.0", "1383.0"):
        text = text.replace(old, "3/8")
    assert len(read_readings(make_job(readings={"kind": "staff", "text": text})).rows) == 4
    small = "point,x_in,y_in,height_in\nA,0,0,1/8\nB,3,0,0\nC,0,2 1/2,1/4\n"
    assert len(read_readings(make_job(readings={"kind": "heights", "text": small})).rows) == 3
    grid = "y (in) \\ x (in),0,3\n0,0,1/8\n2,1/16,0\n"
    assert len(read_readings(make_job(readings={"kind": "grid", "text": grid})).rows) == 4


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("heights", HEAD + "P1,0,0,0\nP2,1800,100,-0.0035\nP3,700,900,0.00225\n"),
        ("grid", ",0,600\n0,12.0010,12.0042\n900,12.0005,\n"),
    ],
)
def test_heights_in_metres(make_job, kind, text):
    message = refused(make_job, kind, text)
    assert "height" in message
    assert "metres" in message


@pytest.mark.parametrize(
    "heights",
    [("0.0", "0.0", "0.0"), ("0.1", "0", "0"), ("7.77", "7.77", "7.77"), ("0", "0.123", "0")],
)
def test_a_flat_floor_is_no_floor_in_metres(make_job, heights):
    text = HEAD + "P1,0,0,{}\nP2,1800,100,{}\nP3,700,900,{}\n".format(*heights)
    rows = read_readings(make_job(readings={"kind": "heights", "text": text})).rows
    assert rows["observed_mm"].tolist() == [float(h) for h in heights]


def test_a_small_survey_with_small_heights_is_no_floor_in_metres(make_job):
    text = HEAD + "P1,0,0,0.01\nP2,180,100,0.035\nP3,70,90,0.02\n"
    assert len(read_readings(make_job(readings={"kind": "heights", "text": text})).rows) == 3


@pytest.mark.parametrize(
    ("corner", "mm"),
    [
        ("", 1), ("y \\ x", 1), ("y_mm \\ x_mm", 1), ("y [mm] / x [mm]", 1), ("heights in mm", 1),
        ("readings in chapel", 1), ("room plan", 1), ("y in room (mm)", 1),
        ("y_in \\ x_in", 25.4), ("y_in x_in", 25.4), ("y (in)", 25.4), ("(IN)", 25.4), ("in", 25.4),
        ("y [in] \\ x [in]", 25.4), ("y in \\ x in", 25.4), ("y (inches)", 25.4),
        ("y_cm \\ x_cm", 10), ("heights in cm", 10), ("[ft]", 304.8), ("y feet", 304.8),
    ],
)  # fmt: skip
def test_the_corner_of_a_grid_names_its_unit(make_job, corner, mm):
    text = f"{corner},0,160\n0,1,2\n170,3,5\n"
    rows = read_readings(make_job(readings={"kind": "grid", "text": text})).tables[0].readings
    # Conversion is exact to the picometre.
    assert rows["x_mm"].tolist() == pytest.approx([0, 160 * mm, 0, 160 * mm], abs=1e-9)
    assert rows["observed_mm"].tolist() == pytest.approx([mm, 2 * mm, 3 * mm, 5 * mm], abs=1e-9)


@pytest.mark.parametrize(
    ("corner", "unit"),
    [
        ("y_km \\ x_km", "km"), ("y (dm)", "dm"), ("[yd]", "yd"), ("y yards", "yards"),
        ("heights in thou", "thou"), ("y_mm \\ x_mil", "mil"), ("y_ells", "ells"),
        ("x [µm]", "μm"),
    ],
)  # fmt: skip
def test_a_grid_in_another_unit_is_refused_by_name(make_job, corner, unit):
    message = refused(make_job, "grid", f"{corner},0,600\n0,1,2\n700,3,5\n")
    assert message.startswith(f"readings.csv, row 1, first cell: found the unit {unit} in")
    assert "mm, cm, m, in or ft" in message


def test_faults_of_all_tables_are_told(make_job):
    job = make_job(
        one={"kind": "heights", "text": HEAD + "A,1,2,low\n"},
        two={"kind": "grid", "text": ",0\n0,high\n"},
    )
    with pytest.raises(Refusal, match=r"(?s)one\.csv.*'low'.*two\.csv.*'high'"):
        read_readings(job)


def test_one_name_at_two_places_in_two_tables(make_job):
    job = make_job(
        one={"kind": "heights", "text": HEIGHTS},
        two={"kind": "staff", "text": STAFF.replace("1800,100", "1801.1,100")},
    )
    with pytest.raises(Refusal, match=r"two\.csv, row 3, point P2: .*1801\.1.*one\.csv, row 3"):
        read_readings(job)


def test_a_millimetre_is_one_place_and_the_first_counts(make_job):
    job = make_job(
        one={"kind": "heights", "text": HEIGHTS},
        two={"kind": "staff", "text": STAFF.replace("1800,100", "1801,100")},
    )
    places = read_readings(job).places
    assert places.to_numpy().tolist() == [["P1", 0, 0], ["P2", 1800, 100], ["P3", 700, 900]]


@pytest.mark.parametrize("name", ["../other.csv", "/etc/hostname", "a/../../b.csv"])
def test_path_out_of_the_folder(make_job, tmp_path, name):
    (tmp_path.parent / "other.csv").write_text(HEIGHTS)
    job = make_job(readings={"kind": "heights", "text": HEIGHTS})
    survey = job.surveys[0].model_copy(update={"file": name})
    with pytest.raises(Refusal, match=r'job\.toml, survey ".*", file: .*inside the job folder'):
        read_readings(job.model_copy(update={"surveys": (survey,)}))


def test_link_out_of_the_folder(make_job, tmp_path):
    outside = tmp_path.parent / "outside.csv"
    outside.write_text(HEIGHTS)
    job = make_job(readings={"kind": "heights", "text": HEIGHTS})
    (tmp_path / "readings.csv").unlink()
    (tmp_path / "readings.csv").symlink_to(outside)
    with pytest.raises(Refusal, match="inside the job folder"):
        read_readings(job)


@pytest.mark.parametrize(
    ("name", "words"),
    [("none.csv", "not there"), ("folder", "the folder 'folder'"), ("a\0b", "a file that can be")],
)
def test_no_ordinary_file(make_job, tmp_path, name, words):
    (tmp_path / "folder").mkdir()
    job = make_job(readings={"kind": "heights", "text": HEIGHTS})
    survey = job.surveys[0].model_copy(update={"file": name})
    with pytest.raises(Refusal, match=words):
        read_readings(job.model_copy(update={"surveys": (survey,)}))


def test_loop_of_links(make_job, tmp_path):
    job = make_job(readings={"kind": "heights", "text": HEIGHTS})
    (tmp_path / "readings.csv").unlink()
    (tmp_path / "readings.csv").symlink_to(tmp_path / "readings.csv")
    with pytest.raises(Refusal, match=r"readings\.csv"):
        read_readings(job)


@pytest.mark.parametrize("raw", [b"no workbook", b"PK\x03\x04 broken", b""])
def test_damaged_workbook(make_job, raw):
    job = make_job(readings={"kind": "heights", "text": raw, "file": "book.xlsx"})
    with pytest.raises(Refusal, match=r"book\.xlsx: found no readable workbook"):
        read_readings(job)


def test_archive_that_is_no_workbook(make_job, tmp_path):
    import zipfile

    job = make_job(readings={"kind": "heights", "text": "", "file": "book.xlsx"})
    with zipfile.ZipFile(tmp_path / "book.xlsx", "w") as archive:
        archive.writestr("letter.txt", "not a sheet")
    with pytest.raises(Refusal, match=r"book\.xlsx: found a damaged workbook"):
        read_readings(job)


def test_a_date_in_a_workbook_is_refused_by_cell(make_job, tmp_path):
    job = make_job(readings={"kind": "heights", "text": "", "file": "book.xlsx"})
    rows = [HEAD.strip().split(","), ["A", 0, 0, pd.Timestamp("2030-05-08")], ["B", 900, 0, True]]
    pd.DataFrame(rows).to_excel(tmp_path / "book.xlsx", header=False, index=False)
    with pytest.raises(Refusal, match=r"(?s)row 2, height_mm: .*2030-05-08.*row 3.*'True'"):
        read_readings(job)


def test_file_named_twice_and_doubt_too_small(make_job):
    twice = {"kind": "heights", "text": HEIGHTS, "file": "a.csv"}
    with pytest.raises(Refusal, match=r"job\.toml, survey 2, file: found 'a\.csv' a second"):
        read_readings(make_job(one=twice, two=twice))
    assert "0.001 mm or more" in refused(make_job, "heights", HEIGHTS, sd_mm=1e-9)


def test_setups_of_two_tables_are_two_unless_they_share_a_datum(make_job):
    tables = {"kind": "staff", "text": STAFF}
    apart = read_readings(make_job(one=tables, two=tables)).rows
    assert apart["station"].nunique() == 4
    assert set(apart["station_name"]) == {
        "S1 (one.csv)", "S2 (one.csv)", "S1 (two.csv)", "S2 (two.csv)",
    }  # fmt: skip
    shared = read_readings(
        make_job(one={**tables, "datum": "line"}, two={**tables, "datum": "line"})
    ).rows
    assert shared["station"].nunique() == 2
    assert shared["station_name"].tolist() == ["S1", "S1", "S2", "S2"] * 2


def test_names_are_compared_in_one_unicode_form(make_job):
    text = HEAD + "Fene\u0302tre,0,0,1\nFen\u00eatre,0.4,0,2\nB,900,10,3\n"
    places = read_readings(make_job(readings={"kind": "heights", "text": text})).places
    assert places["point"].tolist() == ["Fen\u00eatre", "B"]
    assert np.isfinite(places[["x_mm", "y_mm"]].to_numpy()).all()


def test_nothing_is_written(make_job, tmp_path):
    job = make_job(readings={"kind": "heights", "text": HEIGHTS})
    before = {p: Path(p).read_bytes() for p in tmp_path.iterdir()}
    read_readings(job)
    assert {p: Path(p).read_bytes() for p in tmp_path.iterdir()} == before


@pytest.mark.parametrize(
    ("kind", "text", "words"),
    [
        ("staff", "setup,point,reading_mm\nS1,A,1.4111\nS1,B,1.4182\nS1,C,1.4153\n", "readings"),
        ("heights", "point,height_mm\nA,0.0011\nB,0.0082\nC,0.0053\n", "heights"),
    ],
)
def test_metres_are_found_out_where_places_stand_elsewhere(make_job, tmp_path, kind, text, words):
    (tmp_path / "places.csv").write_text("point,x_mm,y_mm\nA,0,0\nB,900,0\nC,900,700\n")
    job = make_job(table={"kind": kind, "text": text, "points_file": "places.csv"})
    with pytest.raises(Refusal, match=f"{words} from .* look like metres"):
        read_readings(job)


def test_the_place_of_a_row_that_is_left_out_stays_known(make_job):
    staff = "setup,point,x_mm,y_mm,reading_mm\nS1,A,0,0,1400\nS1,B,900,0,1401\nS1,C,0,700,1402\n"
    level = {"kind": "level", "text": "from,to,packer_mm,under\nA,B,1,from\n"}
    job = make_job(staff={"kind": "staff", "text": staff, "leave_out": (2,)}, level=level)
    places = read_readings(job).places.set_index("point")
    assert places.loc["A"].tolist() == [0, 0]
