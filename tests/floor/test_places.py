import numpy as np
import pytest

from kit.floor.places import columns, distances, require_plane
from kit.job.refusal import Refusal


def test_columns_of_one_length_come_back_as_floats():
    x, y = columns(x_mm=[1, 2, 4], y_mm=(0, -3, 5))
    assert x.dtype == float
    assert y.tolist() == [0.0, -3.0, 5.0]


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"x_mm": [1, 2], "y_mm": [1, 2, 3]}, r"x_mm \(2,\), y_mm \(3,\)"),
        ({"x_mm": [[1, 2]], "y_mm": [[1, 2]]}, r"x_mm \(1, 2\)"),
        ({"x_mm": [1, 2], "y_mm": [1, np.nan]}, "y_mm, row 2"),
        ({"x_mm": [np.inf, 2], "y_mm": [1, 0]}, "x_mm, row 1"),
    ],
)
def test_columns_refuse_by_name_and_row(given, message):
    with pytest.raises(Refusal, match=message):
        columns(**given)


@pytest.mark.parametrize("turn_deg", [0.0, 17.0, 90.0])
@pytest.mark.parametrize("away_mm", [0.0, 1e5])
def test_places_on_a_line_are_refused_wherever_and_however_it_lies(turn_deg, away_mm):
    s = np.array([0.0, 130.0, 900.0, 2750.0])
    turn = np.radians(turn_deg)
    with pytest.raises(Refusal, match="on one line"):
        require_plane(away_mm + s * np.cos(turn), s * np.sin(turn) - away_mm)


def test_places_a_millimetre_off_a_line_of_five_metres_pass():
    x, y = np.array([0.0, 2500.0, 5000.0]), np.array([60.0, 61.0, 60.0])
    assert require_plane(x, y) is None
    with pytest.raises(Refusal, match="on one line"):
        require_plane(x, np.full(3, 60.0))


@pytest.mark.parametrize("count", [0, 1, 2])
def test_fewer_than_three_places_are_refused(count):
    with pytest.raises(Refusal, match="at least 3 points"):
        require_plane(np.arange(count) * 1.0, np.arange(count) ** 2.0)


def test_three_readings_of_one_place_are_refused():
    with pytest.raises(Refusal, match="on one line"):
        require_plane(np.full(3, 700.0), np.full(3, 200.0))


def test_distances_are_rows_from_columns():
    apart = distances(np.array([0.0, 3.0]), np.array([0.0, 4.0]), np.array([3.0]), np.array([0.0]))
    assert apart.tolist() == [[3.0], [4.0]]
