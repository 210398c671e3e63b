from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest

from kit.as_built.read import read_tops
from kit.job import Job, Refusal
from kit.job.model import AsBuilt
from kit.parts import Answer
from kit.readings import Readings

KNOWN = pd.DataFrame(
    {"point": ["B1", "B2", "F1"], "x_mm": [30.0, 530.0, 31.0], "y_mm": [60.0, 61.0, 240.0]}
)


def read(job: Job) -> Readings:
    assert job.as_built is not None
    return read_tops(job.folder, job.as_built, KNOWN)


def test_a_table_without_places_takes_those_of_the_plan(
    reading_room: Answer, as_read: Callable[..., Job]
) -> None:
    job = as_read(reading_room, [("T", "F1", 1200.5), ("T", "B2", 1201), ("T", "B1", 1200)])
    places = read(job).places.set_index("point")
    assert places.loc[["B1", "B2", "F1"]].to_numpy().tolist() == [[30, 60], [530, 61], [31, 240]]


def test_a_point_elsewhere_carries_its_place(
    reading_room: Answer, as_read: Callable[..., Job], tmp_path: Path
) -> None:
    (tmp_path / "places.csv").write_text("point,x_mm,y_mm\nmid,280,60\n")
    job = as_read(
        reading_room,
        [("T", "B1", 1200), ("T", "mid", 1201), ("T", "B2", 1199)],
        survey={"points_file": "places.csv"},
    )
    places = read(job).places.set_index("point")
    assert places.loc["mid"].tolist() == [280, 60]
    assert places.loc["B2"].tolist() == [530, 61]


def test_a_point_without_a_place_is_refused_by_name(
    reading_room: Answer, as_read: Callable[..., Job]
) -> None:
    job = as_read(reading_room, [("T", "B1", 1200), ("T", "B7x", 1201), ("T", "B2", 1199)])
    with pytest.raises(Refusal, match=r"read\.csv, row 3, point B7x: found no place"):
        read(job)


def test_one_name_at_two_places_is_refused(
    reading_room: Answer, as_read: Callable[..., Job]
) -> None:
    header = ("setup", "point", "x_mm", "y_mm", "reading_mm")
    rows = [("T", "a", 10, 60, 1200), ("U", "a", 14, 60, 1201), ("T", "b", 500, 60, 1199)]
    with pytest.raises(Refusal, match=r"row 3, point a: found the place \(14, 60\)"):
        read(as_read(reading_room, rows, header))


@pytest.mark.parametrize(
    ("survey", "found"),
    [
        ({"file": "gone.csv"}, r'as_built\.survey "gone\.csv", file: found'),
        ({"kind": "scan"}, r'as_built\.survey "read\.csv", kind: found'),
        ({"sd_mm": 0.0001}, r'as_built\.survey "read\.csv", sd_mm: found'),
        ({"leave_out": (99,)}, r'as_built\.survey "read\.csv", leave_out: found row 99'),
    ],
)
def test_messages_name_the_survey_of_the_finished_base(
    reading_room: Answer, as_read: Callable[..., Job], survey: dict[str, object], found: str
) -> None:
    rows = [("T", "B1", 1200), ("T", "B2", 1201)]
    with pytest.raises(Refusal, match=found):
        read(as_read(reading_room, rows, survey=survey))


def test_a_table_named_twice_is_refused(reading_room: Answer, as_read: Callable[..., Job]) -> None:
    job = as_read(reading_room, [("T", "B1", 1200), ("T", "B2", 1201)])
    assert job.as_built is not None
    (one,) = job.as_built.surveys
    twice = AsBuilt.model_validate({**job.as_built.model_dump(by_alias=True), "survey": (one, one)})
    with pytest.raises(Refusal, match=r"as_built\.survey 2, file: found 'read\.csv' a second time"):
        read_tops(job.folder, twice, KNOWN)


def test_a_row_that_is_left_out_is_not_read(
    reading_room: Answer, as_read: Callable[..., Job]
) -> None:
    rows = [("T", "B1", 1200), ("T", "B2", 9999), ("T", "B2", 1201), ("T", "F1", 1200)]
    readings = read(as_read(reading_room, rows, survey={"leave_out": (3,)}))
    assert readings.rows["observed_mm"].tolist() == [1200, 1201, 1200]


def test_a_base_level_to_a_tenth_is_believed_and_a_staff_in_metres_is_not(
    reading_room: Answer, as_read: Callable[..., Job]
) -> None:
    level = [("B1", 52.31), ("B2", 52.33), ("F1", 52.36)]
    job = as_read(reading_room, level, ("point", "height_mm"), survey={"kind": "heights"})
    assert len(read(job).rows) == 3
    metres = [("T", "B1", 1.2005), ("T", "B2", 1.2011), ("T", "F1", 1.2002)]
    with pytest.raises(Refusal, match="look like metres"):
        read(as_read(reading_room, metres))
