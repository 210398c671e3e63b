"""Cells and their rows."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from kit.scan import cells as cells_module
from kit.scan.cells import cells_of
from kit.scan.layers import Layers

Array = NDArray[np.float64]


def test_cells_hold_their_rows(
    layers_of: Callable[..., Layers], monkeypatch: pytest.MonkeyPatch
) -> None:
    x = np.array([250.0, 250.0, 50.0, 50.0, 250.0, -20.0])
    y = np.array([10.0, 10.0, 10.0, 120.0, 120.0, 120.0])
    z = np.array([0.0, 90.0, 0.0, 0.0, 0.0, 0.0])
    cells = cells_of(layers_of(x, y, z, 100.0))
    assert list(zip(cells.iy.tolist(), cells.ix.tolist(), strict=True)) == [
        (0, 0), (0, 2), (1, -1), (1, 0), (1, 2),
    ]  # fmt: skip
    assert cells.start.tolist() == [0, 1, 3, 4, 5, 6]
    assert cells.of_rows(0, 3).tolist() == [0, 1, 1, 2]
    assert list(cells.pieces()) == [(0, 5)]
    monkeypatch.setattr(cells_module, "ROWS_AT_ONCE", 2)
    pieces = list(cells.pieces())
    assert pieces == [(0, 1), (1, 2), (2, 4), (4, 5)]
