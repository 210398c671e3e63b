"""The plan to carry: every reading has its row, every place its mark."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from kit.base.reading_plan import reading_plan
from kit.job import Job, read_job
from kit.show.floor_map import floor_map
from kit.show.plan_tables import (
    EMPTY,
    read_next_table,
    reading_plan_chart,
    reading_plan_page,
    reading_plan_table,
)
from kit.where_next import where_next

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture
def plan(job: Job) -> Any:
    return reading_plan(job, job.bases[0])


def test_every_reading_has_a_row_with_room_to_write(plan: Any) -> None:
    table = reading_plan_table(plan)
    assert [row[:2] for row in table.rows] == plan.readings[["setup", "point"]].apply(
        tuple, axis=1
    ).tolist()
    assert all(row[-1] == EMPTY for row in table.rows)
    assert all(note in reading_plan_page(plan).html for note in plan.notes if "'" not in note)


def test_inches_are_shown_in_sixteenths(inch_job: Job) -> None:
    table = reading_plan_table(reading_plan(inch_job, inch_job.bases[0]), "in")
    assert any("/" in row[3] for row in table.rows)
    assert table.heads[3].unit == "in"


def test_every_place_is_drawn_once_by_its_sort(job: Job, plan: Any) -> None:
    drawn = reading_plan_chart(job, plan).figure.data
    marks = [t for t in drawn if t.mode == "markers+text"]
    assert len({t.marker.symbol for t in marks}) == len(marks) >= 2
    places = sorted((x, y) for t in marks for x, y in zip(t.x, t.y, strict=True))
    assert places == sorted(zip(plan.points["x_mm"], plan.points["y_mm"], strict=True))
    (rings,) = [t for t in drawn if t.meta == "rings"]
    assert len(rings.x) == plan.readings.loc[plan.readings.duplicated("point"), "point"].nunique()


def test_numbers_of_the_plinth_stand_clear_of_the_row_behind_it(job: Job, plan: Any) -> None:
    drawn = {t.meta: t for t in reading_plan_chart(job, plan).figure.data}
    assert set(drawn["plinth line"].textposition) == {"bottom center"}
    assert set(drawn["support"].textposition) == {"top center"}


def test_numbers_beside_a_return_wall_stand_to_the_side() -> None:
    job = read_job(DATA / "boot-room")
    drawn = {
        t.meta: t for t in reading_plan_chart(job, reading_plan(job, job.bases[0])).figure.data
    }
    assert {"bottom center", "middle left"} == set(drawn["plinth line"].textposition)
    assert {"top center", "middle right"} == set(drawn["support"].textposition)


def test_next_readings_are_numbered_in_table_and_map(answer: Any) -> None:
    found = where_next(answer.job, answer.survey, answer.ground)
    table = read_next_table(found)
    assert [row[0] for row in table.rows] == [f"{n}" for n in found["order"]]
    drawn = floor_map(answer.job, answer.survey, answer.ground, next_readings=found).figure.data
    (marks,) = [t for t in drawn if t.meta == "read next"]
    assert list(marks.x) == pytest.approx(found["x_mm"].tolist())
    assert list(marks.text) == [f"<b>{n}</b>" for n in found["order"]]


def test_nothing_worth_reading_is_said(answer: Any) -> None:
    none = pd.DataFrame(columns=where_next(answer.job, answer.survey, answer.ground).columns)
    assert "No further reading would lower" in read_next_table(none).note
