"""A grid of heights refuses what is none."""

import numpy as np
import pytest

from kit.height_grid import HeightGrid
from kit.job import Refusal


def made(x, y, shape=None):
    cells = np.zeros(shape or (len(y), len(x)))
    return HeightGrid(np.array(x, float), np.array(y, float), cells, cells, cells.astype(int))


def test_one_row_of_cells_is_a_grid():
    assert made([0, 50, 100], [30]).cell_mm == 50.0
    assert made([30], [0, 40]).cell_mm == 40.0


@pytest.mark.parametrize(
    ("x", "y", "shape", "said"),
    [
        ([0, 100, 250], [0, 100], None, "steps from 100 to 150 mm"),
        ([0, 100], [0, 50], None, "steps from 50 to 100 mm"),
        ([100, 0], [0, 100], None, "steps from -100 to 100 mm"),
        ([0, 100, 200], [0, 100], (3, 2), r"shape \(3, 2\); allowed: \(2, 3\)"),
        ([0], [0], None, "1 by 1 cells"),
    ],
)
def test_what_is_no_grid(x, y, shape, said):
    with pytest.raises(Refusal, match=said):
        made(x, y, shape)
