"""Places of the site on paper, cut off at the edge."""

import math

import pytest
from shapely.geometry import LineString, Polygon

from kit.base.runs import Frame
from kit.paper.label_places import Box
from kit.paper.plan_view import SITE, View, clipped, clipped_line, hatched

EDGE = Box(3.0, 4.0, 21.0, 12.0)
SHAPES = [
    ((1.0, 2.0), (9.0, 2.5), (8.0, 9.0)),
    ((0.0, 0.0), (30.0, 0.0), (30.0, 30.0), (0.0, 30.0)),
    ((5.0, 5.0), (7.0, 5.0), (7.0, 8.0), (5.0, 8.0)),
    ((10.0, -3.0), (25.0, 8.0), (10.0, 19.0), (-5.0, 8.0)),
]


@pytest.mark.parametrize("shape", SHAPES)
def test_clipped_area_against_a_general_library(shape):
    want = Polygon(shape).intersection(Polygon([(3, 4), (21, 4), (21, 12), (3, 12)]))
    got = Polygon(clipped(shape, EDGE))
    # Both are exact up to a float's arithmetic.
    assert got.symmetric_difference(want).area == pytest.approx(0.0, abs=1e-9)
    assert got.area > 1.0


def test_nothing_of_what_lies_outside():
    assert clipped(((30.0, 5.0), (40.0, 5.0), (40.0, 9.0)), EDGE) == ()
    assert clipped_line((0.0, 0.0), (30.0, 2.0), EDGE) == ()
    assert clipped_line((22.0, 5.0), (22.0, 9.0), EDGE) == ()


@pytest.mark.parametrize("ends", [((0.0, 0.0), (30.0, 15.0)), ((8.0, 1.0), (8.0, 30.0))])
def test_clipped_line_against_a_general_library(ends):
    want = LineString(ends).intersection(Polygon([(3, 4), (21, 4), (21, 12), (3, 12)]))
    got = clipped_line(*ends, EDGE)
    assert sorted(got) == [pytest.approx(place, abs=1e-9) for place in sorted(want.coords)]


def test_hatching_lies_within_and_is_even():
    shape = SHAPES[3]
    lines = [LineString(one.places) for one in hatched(shape, 2.0)]
    inside = Polygon(shape).buffer(1e-6)
    assert len(lines) > 8
    assert all(inside.covers(line) for line in lines)
    levels = [sum(line.coords[0]) / math.sqrt(2) / 2.0 for line in lines]
    assert levels == pytest.approx([round(level) for level in levels], abs=1e-9)


def test_a_turned_run_lies_with_its_wall_at_the_top():
    run = Frame((3600.0, 510.0), 90.0)
    view = View(run, 20.0, (0.0, -18.0), (10.0, 30.0), Box(0.0, 0.0, 200.0, 200.0))
    # From the run's left end down the room's y is to the right on paper; out of its wall is down.
    (at,) = view.places(SITE, [3600.0 - 100.0], [510.0 + 400.0])
    assert at == pytest.approx((10.0 + 400 / 20, 30.0 + 118 / 20), abs=1e-9)
