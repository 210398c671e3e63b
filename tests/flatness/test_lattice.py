"""Heights given one by one come together as a grid, holes and all."""

import numpy as np
import pytest

from kit.flatness.lattice import grid_of_lattice
from kit.job import Refusal


def test_cells_in_any_order_with_a_hole():
    x = [350.0, 150.0, 250.0, 150.0, 350.0]
    y = [75.0, 75.0, 75.0, 175.0, 175.0]
    grid = grid_of_lattice(x, y, [5.0, 1.0, 3.0, 2.0, 6.0], [0.1, 0.2, 0.3, 0.4, 0.5], 100.0)
    assert grid.x_mm.tolist() == [150.0, 250.0, 350.0]
    assert grid.y_mm.tolist() == [75.0, 175.0]
    np.testing.assert_array_equal(grid.height_mm, [[1, 3, 5], [2, np.nan, 6]])
    np.testing.assert_array_equal(grid.sd_mm, [[0.2, 0.3, 0.1], [0.4, np.nan, 0.5]])
    np.testing.assert_array_equal(grid.count, [[1, 1, 1], [1, 0, 1]])
    assert grid.area_m2 == pytest.approx(0.05)
    assert grid.cell_mm == 100.0
    assert grid.table()["height_mm"].tolist() == [1.0, 3.0, 5.0, 2.0, 6.0]


def test_refusals_name_the_place():
    with pytest.raises(Refusal, match=r"x 240 mm; allowed: 150 mm and steps of 100"):
        grid_of_lattice([150, 240], [0, 0], [1, 2], [1, 1], 100.0)
    with pytest.raises(Refusal, match=r"2 heights at x 250 mm, y 0 mm"):
        grid_of_lattice([150, 250, 250], [0, 0, 0], [1, 2, 3], [1, 1, 1], 100.0)
    with pytest.raises(Refusal, match="1 places"):
        grid_of_lattice([150], [0], [1], [1], 100.0)
