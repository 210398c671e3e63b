"""The way through the plan, drawn and tabled."""

import dataclasses
from pathlib import Path

import pytest

import kit
from kit.job import FloorStep, MovementJoint
from kit.show.large_floor.floor_marks import FloorMarks
from kit.show.large_floor.plan_outlines import (
    crate_places,
    crate_words,
    outlines,
    stack_words,
    way_trace,
)
from kit.show.large_floor.walk_chart import crate_table, pace_table, walk_chart
from kit.work_order import order_of_work

ROOM = Path(__file__).parents[3] / "data" / "boot-room"
START = (0.0, 2600.0)


@pytest.fixture(scope="module")
def built():
    job = kit.read_job(ROOM)
    stock = job.stock.model_copy(update={"crate_kg": 1.0})
    zones = {"lockers": kit.solve(job.model_copy(update={"stock": stock}))}
    return zones, order_of_work(zones, START)


def test_the_way_begins_at_the_door_and_visits_every_stack_in_order(built):
    zones, ordered = built
    trace = way_trace(ordered, START)
    assert (trace["x"][0], trace["y"][0]) == START
    assert trace["x"][1:] == ordered.steps["x_mm"].tolist()
    third = ordered.steps.iloc[2]
    assert f"3. {third['support']}" in trace["hovertext"][3]
    assert f"{third['packers']} from the floor up" in trace["hovertext"][3]
    assert len(trace["x"]) == 1 + len(zones["lockers"].supports)


def test_units_lie_where_they_stand(built):
    answer = built[0]["lockers"]
    shapes = outlines(answer)
    assert len(shapes) == len(answer.layout.units)
    # The first unit's back lies on the wall of the run along x; the return runs along y.
    assert shapes[0][0] == pytest.approx(answer.layout.frames["A"].to_site(0.0, 0.0))
    deep = answer.layout.units[0].unit.depth_mm
    assert shapes[0][2][1] - shapes[0][1][1] == pytest.approx(deep)


def test_each_crate_is_opened_at_its_first_stack(built):
    _, ordered = built
    places, texts = crate_places(ordered)
    assert len(places) == len(ordered.crates) >= 3
    for place, text, crate in zip(places, texts, ordered.crates["crate"], strict=True):
        first = ordered.steps[ordered.steps["crate"] == crate].iloc[0]
        assert place == (first["x_mm"], first["y_mm"])
        assert f"crate {crate}" in text


def test_the_picture_says_how_long_it_takes(built):
    zones, ordered = built
    chart = walk_chart(ordered, zones, START)
    every = ordered.pace.iloc[-1]
    title = chart.figure.layout.title.text
    assert f"{every['stacks']} stacks, {every['packers']} packers" in title
    assert f"{every['stacks_per_hour']:.1f} stacks an hour" in title.replace("<br>", " ")


def test_tables_hold_the_figures(built):
    _, ordered = built
    table = pace_table(ordered)
    assert [row[0] for row in table.rows] == ["lockers", "all"]
    assert table.rows[0][1] == str(ordered.pace["stacks"].iloc[0])
    assert table.rows[0][8] == f"{ordered.pace['stacks_per_hour'].iloc[0]:.1f}"
    crates = crate_table(ordered)
    assert [row[5] for row in crates.rows] == ordered.crates["packers"].tolist()


def test_packers_of_inch_jobs_are_told_as_printed(built):
    # 19.05 and 1.5875 mm are 3/4 and 1/16 in; 9.525 mm is 3/8; 18 mm is no 64th of an inch.
    assert crate_words("51 x 19.05, 20 x 1.5875", "in") == "51 x 3/4 in, 20 x 1/16 in"
    assert stack_words("19.05 1.5875", "in") == "3/4 + 1/16 in"
    assert stack_words("9.525 18", "in") == "3/8 in + 18 mm"
    assert stack_words("0.3969", "in") == "1/64 in"  # 0.396875 mm, rounded in the table
    assert crate_words("3 x 18, 1 x 2", "mm") == "3 x 18, 1 x 2"
    inch = dataclasses.replace(built[1], units="in")
    table = crate_table(inch)
    assert table.heads[5].text == "packers, as printed"
    assert table.rows[0][5] == crate_words(inch.crates["packers"].iloc[0], "in")
    assert " mm" in way_trace(inch, START)["hovertext"][1]


def test_what_lies_in_the_floor_is_drawn_and_named(built):
    zones, ordered = built
    step = FloorStep(name="sill", from_mm=(1800.0, 0.0), to_mm=(1800.0, 500.0))
    joint = MovementJoint(name="J1", from_mm=(900.0, 0.0), to_mm=(900.0, 2000.0))
    figure = walk_chart(ordered, zones, START, FloorMarks((joint,), (step,))).figure
    drawn = {trace.meta: trace for trace in figure.data}
    assert list(drawn["joints"].x)[:2] == [900.0, 900.0]
    assert any("sill" in note.text for note in figure.layout.annotations)
    steps = [trace for meta, trace in drawn.items() if "step" in str(meta)]
    assert {x for trace in steps for x in trace.x if x is not None} == {1800.0}
