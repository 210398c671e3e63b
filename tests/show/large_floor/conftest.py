"""A small hall with a hollow, a hump and a hole: unequal in both directions."""

import numpy as np
import pytest

from kit.height_grid import HeightGrid


@pytest.fixture(scope="session")
def hall():
    x, y = 50.0 + 100.0 * np.arange(60), 150.0 + 100.0 * np.arange(40)
    at_x, at_y = np.meshgrid(x, y)
    height = 0.002 * at_x - 0.001 * at_y
    height -= 7.0 * np.exp(-(((at_x - 1500) / 400) ** 2) - ((at_y - 1300) / 500) ** 2)
    height += 4.0 * np.exp(-(((at_x - 4200) / 500) ** 2) - ((at_y - 2900) / 300) ** 2)
    height[30:34, 8:15] = np.nan
    known = np.isfinite(height)
    return HeightGrid(x, y, height, np.where(known, 0.3, np.nan), 40 * known.astype(int))
