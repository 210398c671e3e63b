import numpy as np
import pytest
from scipy.spatial import ConvexHull

from kit.floor import Extent
from kit.floor.extent import convex_hull, distance_outside


def grid(columns, rows, step_x, step_y):
    x, y = np.meshgrid(np.arange(columns) * step_x, np.arange(rows) * step_y)
    return x.ravel(), y.ravel()


def test_the_hull_is_that_of_a_reference_library():
    places = np.random.default_rng(3).uniform(0, 4000, (60, 2))
    hull = convex_hull(places)
    assert {tuple(p) for p in hull} == {tuple(p) for p in places[ConvexHull(places).vertices]}
    # Anticlockwise with y up: a positive area by the shoelace formula.
    x, y = hull.T
    area = (x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
    assert area == pytest.approx(ConvexHull(places).volume, rel=1e-12)


def test_points_along_a_side_are_no_corners():
    x, y = grid(4, 3, 700.0, 500.0)
    hull = convex_hull(np.column_stack([x, y]))
    assert sorted(map(tuple, hull)) == [(0, 0), (0, 1000), (2100, 0), (2100, 1000)]


def test_the_distance_outside_is_to_the_nearest_side_or_corner():
    hull = np.array([[0.0, 0.0], [2000.0, 0.0], [2000.0, 900.0], [0.0, 900.0]])
    x = np.array([500.0, 500.0, 2300.0, -300.0, 2000.0])
    y = np.array([400.0, 1000.0, 1300.0, -400.0, 450.0])
    assert distance_outside(hull, x, y) == pytest.approx([0, 100, 500, 500, 0])


def test_the_median_spacing_counts_each_place_once():
    x = np.array([0.0, 400.0, 1000.0, 1000.0, 0.0])
    y = np.array([0.0, 0.0, 0.0, 0.0, 900.0])
    # Nearest neighbours of the four places: 400, 400, 600, 900.
    assert Extent(x, y).median_spacing_mm == pytest.approx(500.0)


def test_half_a_spacing_outside_the_hull_is_surveyed_and_more_is_not():
    x, y = grid(5, 3, 600.0, 700.0)
    extent = Extent(x, y)
    assert extent.median_spacing_mm == 600.0
    at = np.array([-300.0, -300.1, 1250.0, 1250.0])
    of = np.array([650.0, 650.0, 1700.0, 1700.2])
    assert extent.surveyed(at, of).tolist() == [True, False, True, False]


def test_an_unread_corner_of_an_l_shaped_room_is_not_invented():
    x, y = grid(9, 9, 400.0, 400.0)
    read = (x < 1300) | (y < 1300)
    extent = Extent(x[read], y[read])
    # Inside the hull (a triangle across the corner), 800 mm and more from every reading.
    assert distance_outside(extent.hull_mm, np.array([2100.0]), np.array([2050.0]))[0] == 0
    inside = extent.surveyed([2100.0, 1900.0, 2800.0, 600.0], [2050.0, 1700.0, 2600.0, 2900.0])
    assert inside.tolist() == [False, True, False, True]


def test_close_readings_still_reach_six_hundred_millimetres():
    x, y = grid(11, 3, 100.0, 100.0)
    extent = Extent(np.append(x, 4000.0), np.append(y, 100.0))
    # Twice the spacing would be 200 mm. The lone reading keeps the hull wide.
    assert extent.surveyed([1590.0, 1610.0], [100.0, 100.0]).tolist() == [True, False]


def test_repeated_places_change_nothing():
    x, y = grid(4, 3, 500.0, 650.0)
    once, twice = Extent(x, y), Extent(np.tile(x, 2), np.tile(y, 2))
    assert once.median_spacing_mm == twice.median_spacing_mm
    assert np.array_equal(once.hull_mm, twice.hull_mm)
