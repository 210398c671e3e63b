"""Distances in plan against shapely."""

import numpy as np
import pytest
import shapely

from kit.flatness import Line
from kit.flatness.plan_distance import (
    apart_mm,
    direction_degrees,
    places_to_rectangle_mm,
    to_places_mm,
    to_rectangle_mm,
    turned_degrees,
)
from kit.job import NoGo


def lines(rng, count):
    for ends in rng.integers(-5, 6, (count, 2, 2)).astype(float):
        if (ends[0] != ends[1]).any():
            yield Line("L", tuple(ends[0]), tuple(ends[1]))


def of(line):
    return shapely.LineString([line.from_mm, line.to_mm])


def test_lines_to_lines_places_and_rectangles():
    rng = np.random.default_rng(2)
    x, y = rng.integers(-6, 7, (2, 20)).astype(float)
    for one, other in zip(lines(rng, 300), lines(rng, 300), strict=False):
        assert apart_mm(one, other) == pytest.approx(of(one).distance(of(other)), abs=1e-9)
        wanted = shapely.distance(of(one), shapely.points(x, y))
        assert to_places_mm(one, x, y) == pytest.approx(wanted, abs=1e-9)
        column = NoGo(name="column", corner_mm=other.from_mm, size_mm=(2.0, 3.5))
        (a, b), (wide, deep) = column.corner_mm, column.size_mm
        box = shapely.box(a, b, a + wide, b + deep)
        assert to_rectangle_mm(one, column) == pytest.approx(of(one).distance(box), abs=1e-9)
        away = shapely.distance(box, shapely.points(x, y))
        assert places_to_rectangle_mm(column, x, y) == pytest.approx(away, abs=1e-9)


def test_directions_have_no_arrow():
    assert direction_degrees(Line("a", (0, 0), (-3, 0))) == 0
    assert direction_degrees(Line("a", (0, 0), (1, 1))) == pytest.approx(45)
    assert direction_degrees(Line("a", (2, 2), (1, 3))) == pytest.approx(135)
    assert turned_degrees(179.8, 0.1) == pytest.approx(0.3)
    assert turned_degrees(20, 135) == pytest.approx(65)
