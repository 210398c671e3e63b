"""States of cells and patches of what was taken away, point by point."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from kit.scan.cells import cells_of
from kit.scan.choose import Box
from kit.scan.clutter import patches, sort_points, states
from kit.scan.heights import Heights
from kit.scan.layers import Layers
from kit.scan.states import COVERED, DOUBTFUL, FLOOR, UNSEEN

Array = NDArray[np.float64]
NAN = float("nan")


def six_cells(layers_of: Callable[..., Layers]) -> tuple[Layers, Heights, Box]:
    """Two rows of three cells of 100 mm from x = 200, y = -100; floor at 30 in the left two."""
    points = [
        (250, -50, [30.5] * 6 + [90.5, 92.5, 700.5]),  # floor, and something over it
        (350, -50, [31.5] * 3),  # three points near the floor: doubtful
        (450, -50, [30.5, 401.5, 410.5, 440.5]),  # covered, one point near the floor
        (250, 50, [30.5] * 6 + [-300.5] * 4),  # floor, and a reflection under it
        (350, 50, [2900.5] * 7),  # roof only: unseen
        (950, 50, [30.5] * 2),  # beyond the grid
    ]
    x, y, z = (
        np.array([one[axis] if axis < 2 else height for one in points for height in one[2]], float)
        for axis in range(3)
    )
    height = np.array([[30.5, NAN, NAN], [30.5, NAN, NAN]])
    known = np.isfinite(height)
    heights = Heights(
        height, np.where(known, 0.5, NAN), np.where(known, 1.2, NAN), np.where(known, 6, 0)
    )
    return layers_of(x, y, z, 100.0), heights, Box(2, -1, 3, 2)


def test_points_are_sorted_by_where_they_are(layers_of: Callable[..., Layers]) -> None:
    layers, heights, box = six_cells(layers_of)
    found = sort_points(layers, cells_of(layers), box, heights)
    assert found.near.tolist() == [[6, 3, 1], [6, 0, 0]]
    assert found.over.tolist() == [[3, 0, 3], [0, 0, 0]]
    assert found.under.tolist() == [[0, 0, 0], [4, 0, 0]]
    assert (found.overhead, found.outside) == (7, 2)


def test_states(layers_of: Callable[..., Layers]) -> None:
    layers, heights, box = six_cells(layers_of)
    found = sort_points(layers, cells_of(layers), box, heights)
    two = np.zeros((2, 3), dtype=bool)
    expected = [[FLOOR, DOUBTFUL, COVERED], [FLOOR, UNSEEN, UNSEEN]]
    assert states(heights, found, two).tolist() == expected
    two[0, 2] = True
    assert states(heights, found, two)[0, 2] == DOUBTFUL


def test_patches(layers_of: Callable[..., Layers]) -> None:
    layers, heights, box = six_cells(layers_of)
    found = sort_points(layers, cells_of(layers), box, heights)
    table = patches(box, 100.0, found)
    assert table["where"].tolist() == ["under", "over", "over"]
    assert table["x_mm"].tolist() == [250, 250, 450]
    assert table["y_mm"].tolist() == [50, -50, -50]
    assert table["points"].tolist() == [4, 3, 3]
    assert table["area_m2"].tolist() == pytest.approx([0.01] * 3)
    # To the middle of a slab of 2 mm, over the floor at 30.5.
    assert table["low_mm"].tolist() == pytest.approx([-331, 60, 371], abs=1.01)
    assert table["high_mm"].tolist() == pytest.approx([-331, 670, 410], abs=1.01)
