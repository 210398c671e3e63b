"""Whatever stands in a table: heights come out, or a refusal, and nothing else."""

from __future__ import annotations

import re
import tempfile
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kit.job.model import Survey
from kit.job.refusal import Refusal
from kit.readings import adjust, read_readings
from kit.readings.pasted import pasted_csv, read_pasted
from kit.readings.tables import READERS
from kit.readings.understood import understood

HEADS = {
    "heights": ["point", "x_mm", "y [m]", "height_mm", "sd_mm"],
    "staff": ["Set-up", "point", "x (cm)", "y_mm", "reading_in"],
    "grid": ["", "0", "700", "1400.5", "3000"],
    "booking": ["point", "backsight_mm", "intermediate [mm]", "foresight_mm", "rise_mm"],
    "level": ["from", "to", "packer_mm", "under", "reversed"],
    "straightedge": ["placement", "point", "x_mm", "y_ft", "gap_mm"],
}
PLACES = "point,x_mm,y_mm\nA,0,0\nB,900,20\nS1,410,730\n0,1800,40\n1.5,700,1350\n"
PIECES = ["", " ", "A", "B", "S1", "0", "1.5", "-3", "1e5", "1e-300", "3 5/8", "nan", "inf"]
PIECES += ["1e400", "\u22122", "=1+1", "1,5", "'", '"', "\x00", "\x1c", "é", "e\u0301", "1_0"]
PIECES += ["9" * 400, "1.234,5", "1,234", "-B2", "@x", "2030-05-08", "to", "from", "true"]
MARKS = st.sampled_from([",", ";", "\t"])
NUMBERS = st.floats(-3000, 3000).map(repr) | st.integers(-3, 5000).map(str)
CELLS = st.sampled_from(PIECES) | st.text(max_size=6) | NUMBERS
KINDS = st.sampled_from(sorted(HEADS))
ONE = settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)


def answered_or_refused(job_of, kind, raw, name="t.csv", benchmark=None):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        if callable(raw):
            raw(path)
        else:
            path.write_bytes(raw)
        survey = {"kind": kind, "file": name}
        if kind in {"booking", "level"}:
            (Path(folder) / "places.csv").write_text(PLACES)
            survey["points_file"] = "places.csv"
        job = job_of(Path(folder), [survey])
        try:
            heights = adjust(read_readings(job), benchmark, -1e5)
        except Refusal as caught:
            problems = caught.problems
        else:
            check(heights, 0 if benchmark is None else -1e5)
            return True
    return 0 < len(problems) <= 21 and all(p.where and p.found and p.allowed for p in problems)


def check(heights, reference):
    points = heights.points
    assert np.isfinite(points[["x_mm", "y_mm", "height_mm", "sd_mm"]].to_numpy()).all()
    assert (points["height_mm"] == reference).any()
    assert heights.residuals["redundancy"].between(0, 1).all()
    # sd from 0.001 to 1000: weights 1e12 apart, times 2e-16 of a double, over 14 readings
    assert heights.residuals["redundancy"].sum() == pytest.approx(heights.redundancy, abs=0.01)


@ONE
@given(kind=KINDS, raw=st.binary(max_size=200))
def test_any_bytes(job_of, kind, raw):
    assert answered_or_refused(job_of, kind, raw)


@ONE
@given(kind=KINDS, text=st.text(max_size=200), code=st.sampled_from(["utf-8", "utf-16"]))
def test_any_text(job_of, kind, text, code):
    assert answered_or_refused(job_of, kind, text.encode(code, "surrogatepass"))


@settings(ONE, max_examples=120)
@given(kind=KINDS, mark=MARKS, rows=st.lists(st.lists(CELLS, min_size=3, max_size=6), max_size=8))
def test_any_cells_under_a_right_header(job_of, kind, mark, rows):
    lines = [mark.join(HEADS[kind]), *(mark.join(row) for row in rows)]
    assert answered_or_refused(job_of, kind, "\n".join(lines).encode("utf-8", "surrogatepass"))


@ONE
@given(
    kind=KINDS,
    mark=MARKS,
    head=st.lists(st.sampled_from(sorted({t for h in HEADS.values() for t in h})), max_size=7),
    rows=st.lists(st.lists(CELLS, min_size=1, max_size=7), min_size=1, max_size=4),
)
def test_any_titles(job_of, kind, mark, head, rows):
    lines = [mark.join(head), *(mark.join(row) for row in rows)]
    assert answered_or_refused(job_of, kind, "\n".join(lines).encode("utf-8", "surrogatepass"))


@ONE
@given(
    kind=KINDS,
    rows=st.lists(st.lists(CELLS, min_size=3, max_size=6), max_size=6),
    text=st.text(max_size=40),
    any_text=st.booleans(),
)
def test_any_pasted_text(kind, rows, text, any_text):
    lines = ["\t".join(HEADS[kind]), *("\t".join(row) for row in rows)]
    survey = Survey(kind=kind, file="pasted.csv", points_file="places.csv")
    try:
        sheet = read_pasted(text if any_text else "\n".join(lines))
        table = READERS[kind](sheet, survey)
        assert understood(sheet, table).startswith("pasted table (")
    except Refusal:
        return
    # What could be read is written, and reads the same.
    again = READERS[kind](read_pasted(pasted_csv(sheet)), survey)
    numbers = ["x_mm", "y_mm", "observed_mm", "sd_mm"]
    assert again.readings[numbers].equals(table.readings[numbers])


@settings(ONE, max_examples=30)
@given(
    kind=KINDS,
    unit=st.sampled_from(["mm", "cm", "m", "in", "ft"]),
    numbers=st.lists(st.floats(0, 0.4), min_size=12, max_size=12),
    count=st.integers(1, 6),
)
def test_any_numbers_in_any_unit(job_of, kind, unit, numbers, count):
    """Rows in good order, with decimal commas: most of these tables are read to the end."""
    n = [f"{number:.4f}" for number in numbers]
    span = {"mm": 1000, "cm": 100, "m": 1, "in": 36, "ft": 3}[unit]
    places = [f"{i * span};{i % 2 * span / 2}" for i in range(count)]
    ends = ["A", "B", "S1", "0"]
    lines = {
        "heights": [f"P{i};{at};{n[i]};0.5" for i, at in enumerate(places)],
        "staff": [f"S{i % 2};P{i // 2};{places[i // 2]};{n[i]}" for i in range(count)],
        "grid": [f"{i * span};{n[i]};{n[i + 1]};{n[i + 2]};" for i in range(count)],
        "booking": [
            f"A;{n[0]};;;", *(f"{ends[i % 4]};;{n[i]};;" for i in range(count)), f"B;;;{n[9]};"
        ],
        "level": [f"{ends[i % 4]};{ends[(i * i + 1) % 4]};{n[i]};to;" for i in range(count)],
        "straightedge": [f"E{i % 2};P{i};{i * span};0;{n[i]}" for i in range(count)],
    }[kind]  # fmt: skip
    head = [re.sub(r"(?<=_)(mm|in|ft)|(?<=[\[(])(mm|cm|m)(?=[\])])", unit, t) for t in HEADS[kind]]
    if kind == "grid":
        head = [f"x [{unit}]", "0", f"{0.7 * span}", f"{1.4 * span}", f"{3 * span}"]
    text = ";".join(head) + "\n" + "\n".join(lines)
    assert answered_or_refused(job_of, kind, text.replace(".", ",").encode())


@ONE
@given(data=st.data(), kind=st.sampled_from(["heights", "staff"]))
def test_any_numbers_and_ties(job_of, kind, data):
    """Well-formed rows: loose set-ups, repeats, benchmarks of any size, sd far apart."""
    row = st.tuples(
        st.integers(1, 3), st.integers(0, 5), NUMBERS, st.sampled_from(["0.001", "0.5", "1000"])
    )
    rows = data.draw(st.lists(row, min_size=1, max_size=14))
    lines = ["setup,point,x_mm,y_mm,height_mm,reading_mm,sd_mm"]
    lines += [f"S{s},P{p},{p * 350},{p * p * 90},{n},{n.lstrip('-')},{sd}" for s, p, n, sd in rows]
    benchmark = data.draw(st.sampled_from([None, "P0", "P1"]))
    assert answered_or_refused(job_of, kind, "\n".join(lines).encode(), benchmark=benchmark)


@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    kind=KINDS,
    rows=st.lists(
        st.lists(
            st.none() | st.booleans() | st.floats() | st.integers(-9, 9)
            | st.dates(pd.Timestamp("1950-01-01").date()) | st.sampled_from(["A", "3 5/8", "x"]),
            min_size=4, max_size=5,
        ),
        max_size=5,
    ),
)  # fmt: skip
def test_any_workbook(job_of, kind, rows):
    def write(path):
        pd.DataFrame([HEADS[kind], *rows]).to_excel(path, header=False, index=False)

    assert answered_or_refused(job_of, kind, write, "t.xlsx")


@pytest.fixture(name="job_of")
def job_of_fixture(make_job):
    return make_job.of
