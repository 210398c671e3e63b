"""Joints, steps, lines and excluded areas over the map of a floor."""

from types import SimpleNamespace

import pytest

from kit.flatness import Line
from kit.job import FloorStep, MovementJoint
from kit.show.large_floor.floor_marks import (
    FloorMarks,
    clipped,
    excluded_names,
    excluded_traces,
    line_names,
    line_trace,
    marks_of,
    step_names,
    step_traces,
)

BOX = (0.0, 6000.0, 100.0, 4100.0)
STEP = FloorStep(name="old wall", from_mm=(2050.0, -100.0), to_mm=(2050.0, 5000.0))
RAMP = SimpleNamespace(name="ramp", corner_mm=(3000.0, 500.0), size_mm=(1200.0, 800.0))


@pytest.mark.parametrize(
    ("ends", "kept"),
    [
        (((0.0, 0.0), (4.0, 8.0)), [((0.5, 1.0), (2.5, 5.0))]),
        (((4.0, 8.0), (0.0, 0.0)), [((2.5, 5.0), (0.5, 1.0))]),
        (((0.0, 2.0), (9.0, 2.0)), [((0.0, 2.0), (3.0, 2.0))]),
        (((1.0, 2.0), (2.0, 3.0)), [((1.0, 2.0), (2.0, 3.0))]),
        (((4.0, 0.0), (4.0, 9.0)), []),
        (((2.0, 0.0), (8.0, 3.0)), []),
    ],
)
def test_a_line_is_clipped_to_a_box(ends, kept):
    # Box x 0 to 3, y 1 to 5; worked out by hand.
    assert clipped(*ends, (0.0, 3.0, 1.0, 5.0)) == kept


def test_a_step_is_drawn_within_the_map_and_named():
    ground, line = step_traces([STEP], BOX)
    assert line["x"] == ground["x"] == [2050.0, 2050.0, None]
    assert line["y"] == [100.0, 4100.0, None]
    assert line["showlegend"]
    assert not ground["showlegend"]
    (note,) = step_names([STEP], BOX)
    assert note["text"] == "<b>old wall</b>"
    assert (note["x"], note["y"]) == (2050.0, 4100.0)
    beside = FloorStep(name="far", from_mm=(7000.0, 0.0), to_mm=(7000.0, 900.0))
    assert step_traces([beside], BOX)[1]["showlegend"] is False
    assert step_names([beside], BOX) == []


def test_an_excluded_area_is_hatched_and_named():
    (trace,) = excluded_traces([RAMP])
    assert (min(trace["x"]), max(trace["x"])) == (3000.0, 4200.0)
    assert (min(trace["y"]), max(trace["y"])) == (500.0, 1300.0)
    assert trace["fillpattern"]["shape"] == "/"
    (note,) = excluded_names([RAMP])
    assert (note["x"], note["y"], note["text"]) == (3600.0, 900.0, "<b>ramp</b>")


def test_lines_are_named_near_their_beginning():
    line = Line("L3", (1000.0, 2000.0), (6000.0, 2000.0))
    assert line_trace([line], "line")["x"] == [1000.0, 6000.0, None]
    (note,) = line_names([line])
    assert (note["x"], note["y"]) == pytest.approx((1200.0, 2000.0))


def test_names_are_escaped():
    odd = SimpleNamespace(name="<b>&", corner_mm=(0.0, 0.0), size_mm=(1.0, 2.0))
    assert "&lt;b&gt;&amp;" in excluded_names([odd])[0]["text"]


def test_a_job_has_its_marks(stalls):
    job, _ = stalls
    marks = marks_of(job)
    assert [one["meta"] for one in marks.traces(BOX)] == [
        "excluded", "joints", "step ground", "floor steps",
    ]  # fmt: skip
    assert marks.traces(BOX)[1]["hovertext"][0] == "J1"
    assert [note["text"] for note in marks.names(BOX)] == ["<b>old wall</b>"]
    joint = MovementJoint(name="J9", from_mm=(1.0, 2.0), to_mm=(3.0, 5.0))
    assert FloorMarks([joint]).traces(BOX)[1]["x"] == [1.0, 3.0, None]
