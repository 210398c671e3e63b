"""Distances from movement joints, against shapely."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from kit.base.joint_distances import apart_mm, crossed_at_mm, inside_mm
from kit.base.overlaps import corners
from kit.base.runs import Frame
from kit.job import MovementJoint

FRAMES = (
    Frame((0.0, 0.0), 0.0),
    Frame((300.0, -40.0), 90.0),
    Frame((-700.0, 512.0), 33.0),
)
COORDINATE = st.floats(-400.0, 1500.0)
#: A joint is a line: one that ends where it begins is refused by the job, and one that ends a
#: millionth of a millimetre further does so once it is turned.
ENDS = st.tuples(COORDINATE, COORDINATE, COORDINATE, COORDINATE).filter(
    lambda e: abs(e[0] - e[2]) + abs(e[1] - e[3]) > 1e-6
)


def joint(*ends: float) -> MovementJoint:
    return MovementJoint(name="J", from_mm=ends[:2], to_mm=ends[2:])


@given(
    ends=ENDS,
    box=st.tuples(COORDINATE, st.floats(1.0, 900.0), COORDINATE, st.floats(1.0, 900.0)),
    frame=st.sampled_from(FRAMES),
)
def test_distances_are_those_of_a_general_geometry_library(
    ends: tuple[float, float, float, float],
    box: tuple[float, float, float, float],
    frame: Frame,
) -> None:
    left, wide, back, deep = box
    edges = np.array([(left, left + wide, back, back + deep)])
    outline = shapely.Polygon(corners(frame, left, left + wide, back, back + deep))
    line, one = shapely.LineString([ends[:2], ends[2:]]), joint(*ends)
    # Round-off of turned places.
    assert apart_mm(edges, frame, one)[0] == pytest.approx(outline.distance(line), abs=1e-6)
    inside = outline.intersection(line).length
    assert inside_mm(edges, frame, one)[0] == pytest.approx(inside, abs=1e-6)
    assert math.isnan(crossed_at_mm(tuple(edges[0]), frame, one)) == (
        inside_mm(edges, frame, one)[0] == 0 and apart_mm(edges, frame, one)[0] > 0
    )


def test_where_a_joint_crosses_a_board_is_told_in_its_middle() -> None:
    box = (0.0, 3000.0, 440.0, 460.0)
    assert crossed_at_mm(box, FRAMES[0], joint(1000.0, 400.0, 1100.0, 500.0)) == 1050.0
    assert math.isnan(crossed_at_mm(box, FRAMES[0], joint(1000.0, 300.0, 1100.0, 400.0)))
