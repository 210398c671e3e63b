"""The map of cells: wall at the top, tones that read in grey, holes crossed."""

import numpy as np
import pytest

from kit.ink.paint import HOLLOW_TO_HUMP, PAPER, lightness
from kit.job import MovementJoint
from kit.show.large_floor.cell_map import (
    LITTLE_TO_MUCH,
    Key,
    Over,
    cell_drawing,
    cell_trace,
    hole_trace,
    joint_trace,
    numbered_trace,
)
from kit.show.large_floor.cells import Cells

VALUE = np.array([[1.0, -2.5, np.nan], [0.5, 3.25, 4.0]])
CELLS = Cells(np.array([50.0, 150.0, 250.0]), np.array([50.0, 150.0]), VALUE, 1)
KEY = Key("departure", "little", "much", LITTLE_TO_MUCH)


def test_cells_keep_their_places_and_values():
    trace = cell_trace(CELLS, KEY, "mm")
    assert trace["z"] == [[1.0, -2.5, None], [0.5, 3.25, 4.0]]
    assert (trace["zmin"], trace["zmax"]) == (-2.5, 4.0)


def test_inches_are_inches_in_cells_and_key():
    trace = cell_trace(CELLS, Key("gap", "little", "much", low=0.0, high=25.4), "in")
    assert trace["z"][1][2] == pytest.approx(4 / 25.4, abs=5e-5)  # four digits are drawn
    assert (trace["zmin"], trace["zmax"]) == (0.0, 1.0)


def test_cells_of_one_value_have_a_scale():
    flat = Cells(CELLS.x_mm, CELLS.y_mm, np.full((2, 3), 7.0), 1)
    trace = cell_trace(flat, KEY, "mm")
    assert trace["zmax"] > trace["zmin"]


def test_the_hole_is_crossed_where_it_is():
    trace = hole_trace(CELLS)
    assert (trace["x"], trace["y"]) == ([250.0], [50.0])
    none = hole_trace(Cells(CELLS.x_mm, CELLS.y_mm, np.zeros((2, 3)), 1))
    assert not none["showlegend"]


@pytest.mark.parametrize("scale", [HOLLOW_TO_HUMP, LITTLE_TO_MUCH])
def test_tones_read_in_grey(scale):
    tones = [lightness(colour) for _, colour in scale]
    steps = np.diff(tones)
    # A step of lightness that an eye tells on a printed page: 6 of 100 (common practice).
    assert (steps > 6).all() or (steps < -6).all()


def test_what_is_not_known_is_lighter_than_every_tone_of_departures():
    # A hole is as white as the page; the nearest tone, 0 mm, is told from it in grey.
    tones = [lightness(colour) for _, colour in LITTLE_TO_MUCH]
    assert lightness(PAPER) - max(tones) > 8


def test_the_wall_is_at_the_top_and_both_axes_share_one_scale():
    drawn = cell_drawing(CELLS, KEY, "mm", "Hall", ["It falls."], Over([joint_trace([])]))
    assert drawn.layout["yaxis"]["range"] == [200.0, 0.0]
    assert drawn.layout["yaxis"]["scaleanchor"] == "x"
    assert "It falls." in drawn.layout["title"]["text"]
    assert [trace["meta"] for trace in drawn.traces] == ["cells", "holes", "joints"]
    (words,) = drawn.layout["annotations"]
    assert words["text"] == "departure [mm]: little light, much dark"


def test_cells_drawn_together_are_said():
    some = Cells(CELLS.x_mm, CELLS.y_mm, VALUE, 4)
    assert "4 by 4 cells together" in cell_drawing(some, KEY, "mm", "", []).layout["title"]["text"]


def test_joints_and_numbered_places():
    joint = MovementJoint(name="J1", from_mm=(80.0, 0.0), to_mm=(90.0, 200.0))
    lines = joint_trace([joint])
    assert lines["x"] == [80.0, 90.0, None]
    assert lines["hovertext"][0] == "J1"
    worst = numbered_trace([(10.0, 20.0), (30.0, 40.0)], ["a", "b"], "worst", "worst")
    assert worst["text"] == ["<b>1</b>", "<b>2</b>"]
    assert (worst["x"], worst["y"]) == ([10.0, 30.0], [20.0, 40.0])


def test_a_long_key_has_room_below_the_map():
    few = cell_drawing(CELLS, KEY, "mm", "Hall", []).layout
    joint = MovementJoint(name="J1", from_mm=(80.0, 0.0), to_mm=(90.0, 200.0))
    many = cell_drawing(CELLS, KEY, "mm", "Hall", [], Over([joint_trace([joint])] * 9)).layout
    # Holes and nine more: four rows of three, 19 px each, 6 px below them.
    assert many["legend"]["y"] * many["height"] == pytest.approx(4 * 19 + 6 + 10, abs=12)
    drawn = [one["height"] - one["margin"]["t"] - one["margin"]["b"] for one in (few, many)]
    assert drawn[0] == drawn[1]  # the map itself stays as high
    assert many["height"] > few["height"]
