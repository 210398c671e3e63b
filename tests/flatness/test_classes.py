"""Areas by class: every cell once, by the worse of both directions."""

import numpy as np
import pytest

from kit.flatness import BS_8204, classes_by_area, straight_edge_map, worse_of
from kit.job import Refusal


@pytest.fixture
def maps(grid_of):
    """Rows of which the middle one lies 3, 5, 5.001, 10, 10.5 and 2 mm low; a hole at the end."""
    h = np.zeros((3, 7))
    h[1] = [-3, -5, -5.001, -10, -10.5, -2, -2]
    h[0, 6] = np.nan
    grid = grid_of(h, 500.0)
    return straight_edge_map(grid, 1000, "x"), straight_edge_map(grid, 1000, "y")


def test_a_limit_is_kept_and_every_cell_counts_once(maps):
    table = classes_by_area(maps[1]).set_index("class")
    assert table.index.tolist() == ["SR1", "SR2", "SR3", "beyond", "not checked"]
    # 0.25 m² a cell: 3 and 2 mm; 5; 5.001 and 10; 10.5; two outer rows and the column of the hole.
    assert table["area_m2"].tolist() == [0.5, 0.25, 0.5, 0.25, 3.5]
    assert table["share"].tolist() == pytest.approx([0.1, 0.05, 0.1, 0.05, 0.7])
    assert table["area_m2"].sum() == pytest.approx(maps[1].grid.area_m2)
    assert table["one_way_m2"].tolist() == [0] * 5
    assert table["limit_mm"].tolist()[:3] == [3, 5, 10]


def test_both_directions_count_by_the_worse(maps):
    both = worse_of(maps)
    assert both[1, :6].tolist() == pytest.approx([3, 5, 5.001, 10, 10.5, 2], abs=1e-9)
    table = classes_by_area(maps).set_index("class")
    # Outer rows are level along x: nine cells more, and the last of the middle row is not checked.
    assert table["area_m2"].tolist() == [0.5 + 9 * 0.25, 0.25, 0.5, 0.25, 5 * 0.25]
    # Along y alone: the first cell of the middle row (3 mm); along x alone: the outer rows.
    assert table["one_way_m2"].tolist() == [10 * 0.25, 0, 0, 0, 0]


def test_other_limits_in_any_order(maps):
    table = classes_by_area(maps[1], {"rough": 8.0, "fine": 4.0})
    assert table["class"].tolist() == ["fine", "rough", "beyond", "not checked"]
    assert table["area_m2"].tolist() == [0.5, 0.5, 0.5, 3.5]


def test_an_odd_edge_is_counted_too(hall):
    maps = [straight_edge_map(hall, 1900, axis) for axis in ("x", "y")]
    table = classes_by_area(maps)
    assert table["area_m2"].sum() == pytest.approx(hall.area_m2)
    assert table["share"].sum() == pytest.approx(1)
    assert 0 < table["share"].iloc[-1] < 0.2


def test_limits_of_bs_8204():
    assert dict(BS_8204) == {"SR1": 3.0, "SR2": 5.0, "SR3": 10.0}


@pytest.mark.parametrize(
    ("limits", "found"), [({}, "none"), ({"a": 0.0}, "a 0 mm"), ({"a": np.nan}, "a nan mm")]
)
def test_limits_that_are_none_are_refused(maps, limits, found):
    with pytest.raises(Refusal, match=f"limits of classes: found {found}"):
        classes_by_area(maps, limits)


def test_maps_of_two_floors_are_refused(maps, hall):
    with pytest.raises(Refusal, match="maps of different floors"):
        classes_by_area([maps[0], straight_edge_map(hall, 2000, "x")])
    with pytest.raises(Refusal, match="found none"):
        worse_of([])
