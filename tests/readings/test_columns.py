"""Titles in any of their spellings lead to the same columns, and say in which unit."""

from __future__ import annotations

import pytest

from kit.job.refusal import Refusal
from kit.readings import read_readings
from kit.readings.columns import Column, find_columns
from kit.readings.faults import Faults
from kit.readings.files import sheet_of_text
from kit.readings.table import PLACE, SD
from kit.readings.tables import READING

ROWS = [("S1", "A", 0, 0, 1402.5), ("S1", "B", 1800, 120, 1405.25), ("S2", "B", 1800, 120, 1391)]
ROWS += [("S2", "C", 700, 930, 1383.75)]

# One foot is 304.8 mm exactly: NIST SP 811 (2008), appendix B.8 (from memory).
UNITS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}


def staff_text(
    unit, titles=("setup", "point", "x_{}", "y_{}", "reading_{}"), mark=",", comma=False
):
    one = UNITS[unit]
    lines = [mark.join(title.format(unit) for title in titles)]
    for setup, point, *lengths in ROWS:
        cells = [f"{length / one:.12f}" for length in lengths]
        cells = [cell.replace(".", ",") for cell in cells] if comma else cells
        lines.append(mark.join((setup, point, *cells)))
    return "\n".join(lines)


@pytest.mark.parametrize("unit", sorted(UNITS))
@pytest.mark.parametrize(
    "titles",
    [
        ("setup", "point", "x_{}", "y_{}", "reading_{}"),
        ("Set-up", "Point", "x [{}]", "y [{}]", "Reading [{}]"),
        ("SET UP", "POINT", "X ({})", "Y({})", "Reading ({})"),
        ("set_up", "point", "x {}", "y  {}", "reading in {}"),
        ("setup", "point", "x/{}", "y / {}", "reading/{}"),
    ],
)
def test_units_and_spellings(make_job, unit, titles):
    job = make_job(readings={"kind": "staff", "text": staff_text(unit, titles)})
    rows = read_readings(job).rows
    got = rows[["setup", "point", "x_mm", "y_mm", "observed_mm"]].to_numpy().tolist()
    for one, (setup, point, *lengths) in zip(got, ROWS, strict=True):
        assert one[:2] == [setup, point]
        # 12 digits behind the point were written: in feet, 3e-10 mm
        assert one[2:] == pytest.approx(lengths, abs=1e-9)


@pytest.mark.parametrize(("mark", "comma"), [(",", False), (";", True), (";", False), ("\t", True)])
@pytest.mark.parametrize("unit", ["mm", "m"])
def test_separators_and_decimal_marks(make_job, unit, mark, comma):
    text = staff_text(unit, mark=mark, comma=comma)
    plain = read_readings(make_job(readings={"kind": "staff", "text": staff_text("mm")}))
    other = read_readings(make_job(readings={"kind": "staff", "text": text}))
    assert other.rows.equals(plain.rows)


def test_quoted_decimal_commas_between_commas(make_job):
    text = 'point,x_mm,y_mm,height_mm\nA,"0,5",0,"-3,25"\nB,900,0,2\nC,0,"800,0","1,125"\n'
    rows = read_readings(make_job(readings={"kind": "heights", "text": text})).rows
    assert rows["observed_mm"].tolist() == [-3.25, 2, 1.125]
    assert rows["y_mm"].tolist() == [0, 0, 800]


def test_sd_has_its_own_unit(make_job):
    text = "point;x [m];y [m];height [mm];sd (cm)\nA;0;0;1,5;0,05\nB;1,8;0;2;\nC;0;1,2;3;0,1\n"
    job = make_job(readings={"kind": "heights", "text": text, "sd_mm": 0.7})
    assert read_readings(job).rows["sd_mm"].tolist() == [0.5, 0.7, 1.0]


def test_a_comma_in_metres_is_no_thousands_mark(make_job):
    """Read as thousands, 1,402 m would be 1402 m: longer than any floor."""
    text = "setup;point;x_m;y_m;reading_m\nS;A;0;0;1,402\nS;B;1,800;0;1,405\nS;C;0;1,200;1,399\n"
    rows = read_readings(make_job(readings={"kind": "staff", "text": text})).rows
    assert rows["observed_mm"].tolist() == [1402, 1405, 1399]


@pytest.mark.parametrize("proof", ["0,402", "1402,5", "1,6025", "12,5"])
def test_one_number_may_prove_the_decimal_comma(make_job, proof):
    text = f"point;x_mm;y_mm;height_mm\nA;0;0;1,402\nB;900;0;{proof}\nC;0;800;1,399\n"
    rows = read_readings(make_job(readings={"kind": "heights", "text": text})).rows
    assert rows["observed_mm"].tolist()[::2] == [1.402, 1.399]


def test_names_and_remarks_have_no_part_in_the_decimal_mark(make_job):
    text = "point;x_mm;y_mm;height_mm;remark\n1.1;0;0;1,5;2.5\n1.2;900;0;2;1.234,5\n"
    rows = read_readings(make_job(readings={"kind": "heights", "text": text})).rows
    assert rows["point"].tolist() == ["1.1", "1.2"]


def test_metres_are_no_metres_by_mistake(make_job):
    """The check for metres under _mm asks nothing of columns that say metres."""
    text = "point,x_m,y_m,height_m\nA,0,0,0\nB,0.04,0,0.00001\nC,0,0.03,0.00002\n"
    assert len(read_readings(make_job(readings={"kind": "heights", "text": text})).rows) == 3


def test_a_name_that_is_a_number_is_no_formula(make_job):
    text = "point,x_mm,y_mm,height_mm\n-1,0,0,1\n+2,900,0,2\n-,0,800,1\n"
    rows = read_readings(make_job(readings={"kind": "heights", "text": text})).rows
    assert rows["point"].tolist() == ["-1", "+2", "-"]


def test_titles_that_only_look_like_a_quantity_are_left_alone():
    text = "point,x_mm,y_mm,reading_mm,reading time,x remark,sd estimate\nA,1,2,3,,,\n"
    faults = Faults("t.csv")
    columns = find_columns(sheet_of_text(text, "t.csv"), ("point",), (*PLACE, READING, SD), faults)
    faults.stop()
    assert columns["point"] == Column(0, "point")
    assert {key: column.index for key, column in columns.items()} == {
        "point": 0, "x": 1, "y": 2, "reading": 3,
    }  # fmt: skip


def test_extra_formulas_are_kept_as_text(make_job):
    text = "point,x_mm,y_mm,height_mm,remark\nA,0,0,1,=1+1\nB,900,0,2,@x\n"
    table = read_readings(make_job(readings={"kind": "heights", "text": text})).tables[0]
    assert table.extra["remark"].tolist() == ["=1+1", "@x"]


def test_a_table_in_two_units_at_once(make_job):
    text = "setup,point,x (ft),y [m],reading_cm\nS,A,0,0,140.2\nS,B,5.5,0.4,140.5\n"
    rows = read_readings(make_job(readings={"kind": "staff", "text": text})).rows
    assert rows[["x_mm", "y_mm", "observed_mm"]].to_numpy().tolist() == [
        [0, 0, 1402], [1676.4, 400, 1405],
    ]  # fmt: skip


def test_millimetres_in_places_are_checked_beside_metres_in_heights(make_job):
    text = "point,x_mm,y_mm,height_m\nA,0,0,0.001\nB,1.8,0.2,0.002\nC,0.7,0.9,0.003\n"
    with pytest.raises(Refusal, match="which looks like metres"):
        read_readings(make_job(readings={"kind": "heights", "text": text}))
