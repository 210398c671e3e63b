"""Height and doubt of a cell against sums over its points."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from kit.scan.cells import cells_of
from kit.scan.choose import Box
from kit.scan.heights import floor_heights
from kit.scan.layers import Layers

Array = NDArray[np.float64]
LayersOf = Callable[[Array, Array, Array, float], Layers]


def row_of(layers_of: LayersOf, *cells: Array) -> Layers:
    x = np.concatenate([np.full(len(z), 100.0 * k + 50) for k, z in enumerate(cells)])
    return layers_of(x, np.full(len(x), 50.0), np.concatenate(cells), 100.0)


def test_a_clean_cell_has_the_mean_of_its_points(layers_of: LayersOf) -> None:
    rng = np.random.default_rng(6)
    cells = [rng.normal(height, 1.2, 400).clip(height - 3.9, height + 3.9) for height in (8.0, 9.1)]
    layers = row_of(layers_of, *cells)
    start = np.array([[7.2, 9.9]])
    told = floor_heights(layers, cells_of(layers), Box(0, 0, 2, 1), start, 1.2)
    # Heights are kept to 1/1024 mm.
    assert told.height_mm[0] == pytest.approx([z.mean() for z in cells], abs=1e-3)
    assert told.count.tolist() == [[400, 400]]
    # Slabs of 2 mm tell a scatter of 1.2 mm to a few per cent.
    assert told.sd_mm[0] == pytest.approx([z.std(ddof=1) / 20 for z in cells], rel=0.05)


def test_a_leg_in_the_cell_does_not_lift_it(layers_of: LayersOf) -> None:
    """On average over 300 cells: 1,000 points of floor and 1,500 on a face 150 mm high."""
    rng = np.random.default_rng(7)
    cells = [np.append(rng.normal(0, 3, 1000), 150 * rng.random(1500)) for _ in range(300)]
    layers = row_of(layers_of, *cells)
    told = floor_heights(layers, cells_of(layers), Box(0, 0, 300, 1), np.zeros((1, 300)), 3.0)
    # The mean of the points within the window would be 0.6 mm high.
    plain = np.mean([z[np.abs(z) < 11.5].mean() for z in cells])
    assert plain > 0.5
    assert abs(np.mean(told.height_mm)) < 0.04
    assert 0.8 < np.var(told.height_mm / told.sd_mm) < 1.25  # known to 8 %


def test_too_few_points_and_too_many_strange_ones_have_no_height(layers_of: LayersOf) -> None:
    rng = np.random.default_rng(8)
    mixed = np.append(rng.normal(0, 1, 60), 4 + 26 * rng.random(600))
    layers = row_of(layers_of, rng.normal(0, 1, 4), rng.normal(0, 1, 50), mixed)
    told = floor_heights(layers, cells_of(layers), Box(0, 0, 3, 1), np.zeros((1, 3)), 1.0)
    assert np.isnan(told.height_mm).tolist() == [[True, False, True]]
    assert np.isnan(told.sd_mm).tolist() == [[True, False, True]]
    assert told.count[0, [0, 2]].tolist() == [0, 0]
