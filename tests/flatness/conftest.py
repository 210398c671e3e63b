"""Floors known by cells: unequal along x and y, with holes."""

import numpy as np
import pytest

from kit.height_grid import HeightGrid


def grid_of(height_mm, cell_mm=100.0, x0=0.0, y0=0.0):
    """Return a grid of these heights (ny, nx), its first cell's middle at x0, y0."""
    h = np.asarray(height_mm, dtype=float)
    known = np.isfinite(h)
    return HeightGrid(
        x0 + cell_mm * np.arange(h.shape[1]),
        y0 + cell_mm * np.arange(h.shape[0]),
        h,
        np.where(known, 0.5, np.nan),
        known.astype(np.int64),
    )


@pytest.fixture(name="grid_of")
def _grid_of():
    return grid_of


@pytest.fixture
def hall(grid_of):
    """A hall of 15.1 by 9.1 m in cells of 100 mm: falls, waves, a column's hole at x 5, y 3 m."""
    x, y = 100.0 * np.arange(151), 100.0 * np.arange(91)
    h = 0.0008 * x - 0.0013 * y[:, None] + 2.5 * np.sin(x / 900) + 1.5 * np.cos(y[:, None] / 700)
    h[28:33, 48:53] = np.nan
    return grid_of(h)
