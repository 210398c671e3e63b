"""The straight edge laid everywhere: where it is booked, holes, contacts, refusals."""

import numpy as np
import pytest

from kit.flatness import straight_edge_map
from kit.job import Refusal

H = [
    [0.0, 2.0, -1.0, 0.5, 3.0, 0.0, 1.0],
    [1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0],
    [0.0, -2.0, 0.0, np.nan, 0.0, -4.0, 0.0],
    [5.0, 0.0, 0.0, 0.0, 0.0, 0.0, 5.0],
]


def test_an_even_edge_is_booked_at_its_middle_cell(grid_of):
    found = straight_edge_map(grid_of(H, 500.0, x0=40, y0=70), 1000, "x")
    assert found.x_mm.tolist() == [40, 540, 1040, 1540, 2040, 2540, 3040]
    assert found.y_mm.tolist() == [70, 570, 1070, 1570]
    nan = np.nan
    wanted = [
        [nan, 0.0, 2.25, 0.5, 0.0, 2.0, nan],  # -1 under (2 + 0.5)/2; 0.5 under (-1 + 3)/2; ...
        [nan, 0.0, 0.0, 0.0, 0.0, 0.0, nan],
        [nan, 2.0, nan, nan, nan, 4.0, nan],
        [nan, 2.5, 0.0, 0.0, 0.0, 2.5, nan],
    ]
    for each in (found.departure_mm, found.by_cell_mm):
        assert np.allclose(each, wanted, rtol=0, atol=1e-9, equal_nan=True)  # round-off
    assert found.checked.sum() == 17


def test_an_odd_edge_is_booked_half_way(grid_of):
    found = straight_edge_map(grid_of(H, 500.0), 1500, "y")
    assert found.y_mm.tolist() == [250, 750, 1250]
    assert found.departure_mm.shape == (3, 7)
    # Only one place fits: column 0 from 0 to 5, with 1 and 0 below 5/3 and 10/3.
    assert found.departure_mm[1, 0] == pytest.approx(10 / 3, abs=1e-9)
    # Column 1: hull 2, 1, 0 on one line; -2 lies 2.0 + 2/3 under the line from 1 (2 - 2/3) to 0.
    assert found.departure_mm[1, 1] == pytest.approx(2 - 4 / 3 + 2, abs=1e-9)
    assert np.isnan(found.departure_mm[[0, 2]]).all()
    assert np.isnan(found.departure_mm[1, 3])  # the hole
    # It counts for both its middle cells, and for no other.
    assert np.isfinite(found.by_cell_mm[:, 0]).tolist() == [False, True, True, False]
    assert found.by_cell_mm[2, 0] == found.departure_mm[1, 0]


def test_of_two_odd_edges_a_cell_takes_the_larger(grid_of):
    found = straight_edge_map(grid_of([[0.0, -1.0, 0.0, 0.0, -4.0, 0.0]]), 300, "x")
    # From cell 0 and from 1: 1 and 0; from 2: 4.
    assert found.departure_mm[0].tolist()[1:4] == [1.0, 0.0, 4.0]
    assert found.by_cell_mm[0].tolist()[1:5] == [1.0, 1.0, 4.0, 4.0]


def test_along_y_is_along_x_of_the_floor_turned(hall, grid_of):
    along_y = straight_edge_map(hall, 2000, "y").departure_mm
    turned = straight_edge_map(grid_of(hall.height_mm.T), 2000, "x").departure_mm
    assert np.array_equal(along_y, turned.T, equal_nan=True)
    assert np.nanmax(along_y) > 0.5


def test_no_place_over_a_hole_and_none_where_it_does_not_fit(hall):
    found = straight_edge_map(hall, 2000, "x")
    wanted = np.zeros((91, 151), dtype=bool)
    wanted[:, 10:141] = True
    wanted[28:33, 38:63] = False  # half an edge to either side of the hole
    assert np.array_equal(found.checked, wanted)
    nowhere = straight_edge_map(hall, 9200, "y")
    assert nowhere.departure_mm.shape == (91, 151)
    assert not nowhere.checked.any()


def test_a_hollow_as_long_as_the_edge_shows_its_depth(grid_of):
    """Closed form: a parabola of bend b under an edge L is b (L/2)² / 2 deep."""
    x = 25.0 * np.arange(161)
    found = straight_edge_map(grid_of(np.tile(3e-6 * (x - 900) ** 2, (2, 1)), 25.0), 2000, "x")
    assert found.departure_mm[:, 40:121] == pytest.approx(np.full((2, 81), 1.5 * 2), abs=1e-9)
    # The other way up it is a dome: the edge stands on its middle, on two steps of 25 mm.
    dome = straight_edge_map(grid_of(np.tile(-3e-6 * (x - 900) ** 2, (2, 1)), 25.0), 2000, "x")
    assert np.nanmax(dome.departure_mm) == pytest.approx(0, abs=1e-9)


def test_contacts_of_one_place_in_plan(grid_of):
    h = np.tile([0, 1, 2, 0, -1, 0.5, 2, 0, -9.0], (2, 1))
    grid = grid_of(h, 250.0, x0=1000, y0=60)
    one = straight_edge_map(grid, 2000, "x").placement(1, 4)
    assert (one.axis, one.middle_mm) == ("x", (2000, 310))
    assert (one.from_mm, one.to_mm, one.gap_at_mm) == ((1500, 310), (2500, 310), (2000, 310))
    assert one.departure_mm == pytest.approx(3)
    turned = straight_edge_map(grid_of(h.T, 250.0, x0=1000, y0=60), 2000, "y").placement(4, 0)
    assert turned.middle_mm == (1000, 1060)
    assert (turned.from_mm, turned.to_mm, turned.gap_at_mm) == (
        (1000, 560), (1000, 1560), (1000, 1060),
    )  # fmt: skip
    odd = straight_edge_map(grid, 1750, "x").placement(0, 3)
    assert (odd.middle_mm, odd.from_mm, odd.to_mm) == ((1875, 60), (1500, 60), (2500, 60))


def test_every_place_of_a_map_is_that_of_its_placement(hall):
    for axis in ("x", "y"):
        found = straight_edge_map(hall, 2000, axis)
        for row, column in np.argwhere(found.checked)[::1500]:
            one = found.placement(row, column)
            assert one.departure_mm == pytest.approx(found.departure_mm[row, column], abs=1e-9)
            ends = sum(one.from_mm), sum(one.middle_mm), sum(one.to_mm)
            assert ends[0] <= ends[1] <= ends[2]


def test_it_tells_how_far_it_is(hall):
    told = []
    straight_edge_map(hall, 2000, "x", told.append)
    assert told[-1] == 1.0


@pytest.mark.parametrize(
    ("ask", "message"),
    [
        (lambda g: straight_edge_map(g, 2050, "x"),
         "straight edge: found 2050 mm; allowed: a whole number of 100 mm steps, two or more"),
        (lambda g: straight_edge_map(g, 100, "x"),
         "straight edge: found 100 mm; allowed: a whole number of 100 mm steps, two or more"),
        (lambda g: straight_edge_map(g, np.nan, "x"),
         "straight edge: found nan mm; allowed: a whole number of 100 mm steps, two or more"),
        (lambda g: straight_edge_map(g, 2000, "z"),
         "straight edge, axis: found 'z'; allowed: 'x' or 'y'"),
        (lambda g: straight_edge_map(g, 2000, "x").placement(30, 50),
         "straight edge along x at x 5000, y 3000 mm: found no room for it, or a hole below it; "
         "allowed: a place that was checked"),
    ],
)  # fmt: skip
def test_what_cannot_be_laid_is_refused(hall, ask, message):
    with pytest.raises(Refusal) as refused:
        ask(hall)
    assert str(refused.value) == message
