"""Layers in one cell, counted by hand."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from kit.scan import cells as cells_module
from kit.scan.cells import cells_of
from kit.scan.layers import Layers
from kit.scan.peaks import find_peaks, half_window, scatter_mm

Array = NDArray[np.float64]
LayersOf = Callable[[Array, Array, Array, float], Layers]


def one_cell(layers_of: LayersOf, *z: float) -> Layers:
    place = np.full(len(z), 150.0)
    return layers_of(place, place + 200, np.array(z, dtype=float), 100.0)


def test_mean_and_scatter_are_those_of_the_points(layers_of: LayersOf) -> None:
    z = [-5.5, -3.25, -3.0, -2.5, -1.75, -0.5, 1.25]
    layers = one_cell(layers_of, *z, 41.0, 700.0)
    peaks = find_peaks(layers, cells_of(layers), 4)
    assert peaks.count.tolist() == [7]
    assert peaks.height_mm[0] == pytest.approx(np.mean(z), abs=1e-9)  # sums are exact
    # Within a slab only the mean is known: the scatter is told to a tenth.
    assert peaks.scatter_mm[0] == pytest.approx(np.std(z, ddof=1), rel=0.1)


def test_two_layers_of_a_cell_are_both_found(layers_of: LayersOf) -> None:
    layers = one_cell(layers_of, *[0.5] * 6, *[40.5] * 9)
    peaks = find_peaks(layers, cells_of(layers), 3)
    assert peaks.height_mm.tolist() == [0.5, 40.5]
    assert peaks.count.tolist() == [6, 9]


def test_four_points_are_stray(layers_of: LayersOf) -> None:
    layers = one_cell(layers_of, *[0.5] * 4, *[60.5] * 5)
    assert find_peaks(layers, cells_of(layers), 3).height_mm.tolist() == [60.5]


def test_a_wall_makes_no_layer(layers_of: LayersOf) -> None:
    """Walls of 20 to 600 points a cell, 200 of each: points at all heights alike."""
    rng = np.random.default_rng(4)
    cell = np.repeat(np.arange(600), np.repeat([20, 120, 600], 200))
    z = 2000 * rng.random(len(cell))
    layers = layers_of(cell * 100.0 + 50, np.full(len(cell), 50.0), z, 100.0)
    peaks = find_peaks(layers, cells_of(layers), 4)
    # Of 600 cells with 110 windows each, chance crowds points in one of 5,000 windows.
    assert len(peaks) < 13


def test_cells_do_not_mix(layers_of: LayersOf, monkeypatch: pytest.MonkeyPatch) -> None:
    """Cells side by side, at heights far apart, worked on piece by piece or at once."""
    rng = np.random.default_rng(9)
    cell = np.repeat(np.arange(40), 30)
    height = np.where(np.arange(40) % 3 == 0, -90_000.0, 17.0 * np.arange(40))
    z = height[cell] + rng.normal(0, 1.5, len(cell))
    layers = layers_of(cell % 8 * 100.0 + 50, cell // 8 * 100.0 + 50, z, 100.0)
    whole = find_peaks(layers, cells_of(layers), 3)
    assert whole.cell.tolist() == list(range(40))
    assert np.abs(whole.height_mm - height).max() < 2.0  # 30 points: 7 sd
    monkeypatch.setattr(cells_module, "ROWS_AT_ONCE", 11)
    told: list[float] = []
    pieces = find_peaks(layers, cells_of(layers), 3, told.append)
    assert len(told) > 10
    assert pieces.count.tolist() == whole.count.tolist()
    # Heights are put together from slab and rest: 90 m leave 1e-11 mm of a double.
    assert np.abs(pieces.height_mm - whole.height_mm).max() < 1e-9


@pytest.mark.parametrize("noise", [1.0, 2.0, 4.0])
def test_the_scatter_of_a_scan(layers_of: LayersOf, noise: float) -> None:
    rng = np.random.default_rng(2)
    x, y = rng.random((2, 40_000)) * 2000
    layers = layers_of(x, y, rng.normal(0.7, noise, len(x)), 100.0)
    # 400 cells of 100 points: a median known to 0.5 %; 16 mm cut 4 sd at most.
    assert scatter_mm(layers, cells_of(layers)) == pytest.approx(noise, rel=0.03)


def test_the_window_grows_with_scatter_and_cell() -> None:
    assert half_window(2.0, 100.0, 2.0, 0.1) == 4  # (4.5 + 2.5)/2 = 3.5
    assert half_window(1.0, 50.0, 2.0, 0.1) == 2  # (2.25 + 1.25)/2 = 1.75
