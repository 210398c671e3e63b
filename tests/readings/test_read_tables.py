"""Tables of surveys whose points are known by name, so that no table need give their places."""

from pathlib import Path

import pandas as pd
import pytest

from kit.job import Refusal
from kit.job.model import Survey
from kit.readings import KnownPlaces, Readings, read_tables

KNOWN = KnownPlaces(
    "the drawing",
    pd.DataFrame({"point": ["a", "b"], "x_mm": [30.0, 530.0], "y_mm": [60.0, 61.5]}),
    "not on the drawing",
    "a name that is",
)


def tables(folder: Path, text: str, **keys: object) -> Readings:
    (folder / "t.csv").write_text(text)
    survey = {"kind": "staff", "file": "t.csv", "sd_mm": 0.3, **keys}
    return read_tables(folder, (Survey.model_validate(survey),), "shed.", KNOWN)


def test_a_table_gives_its_own_places_and_the_drawing_the_others(tmp_path: Path) -> None:
    (tmp_path / "p.csv").write_text("point,x_mm,y_mm\nc,280,64\nb,530.4,61.5\n")
    text = "setup,point,reading_mm\nS,b,1203\nS,c,1201\nS,a,1200\n"
    places = tables(tmp_path, text, points_file="p.csv").places
    assert places["point"].tolist() == ["b", "c", "a"]
    # A place that a table gives goes before the drawing's.
    assert places[["x_mm", "y_mm"]].to_numpy().tolist() == [[530.4, 61.5], [280, 64], [30, 60]]


def test_what_is_not_known_is_refused_in_the_words_of_whoever_asks(tmp_path: Path) -> None:
    with pytest.raises(Refusal) as refused:
        tables(tmp_path, "setup,point,reading_mm\nS,a,1200\nS,z,1201\nS,q,1199\n")
    assert [(one.where, one.found, one.allowed) for one in refused.value.problems] == [
        ("t.csv, row 3, point z", "not on the drawing", "a name that is"),
        ("t.csv, row 4, point q", "not on the drawing", "a name that is"),
    ]


def test_a_key_is_told_under_its_prefix(tmp_path: Path) -> None:
    text = "setup,point,reading_mm\nS,a,1200\nS,b,1201\n"
    with pytest.raises(Refusal, match=r'job\.toml, shed\.survey "t\.csv", leave_out: found row 9'):
        tables(tmp_path, text, leave_out=(9,))


def test_staff_readings_in_metres_are_refused_and_level_heights_are_not(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match="look like metres"):
        tables(tmp_path, "setup,point,reading_mm\nS,a,1.2003\nS,b,1.2011\n")
    level = tables(tmp_path, "point,height_mm\na,52.31\nb,52.34\n", kind="heights")
    assert level.rows["observed_mm"].tolist() == [52.31, 52.34]


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("heights", "point,x_mm,y_mm,height_mm\na,30,60,52.31\nb,1530,61,52.36\n"),
        ("grid", "y \\ x,30,1530\n60,52.31,52.36\n"),
    ],
)
def test_heights_that_no_floor_has_may_be_those_of_a_finished_base(
    tmp_path: Path, kind: str, text: str
) -> None:
    assert tables(tmp_path, text, kind=kind).rows["observed_mm"].tolist() == [52.31, 52.36]
