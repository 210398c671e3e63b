"""Cells that the cells around them bear out, and those they do not."""

import numpy as np

from kit.scan.agree import borne_out


def plane(ny: int = 7, nx: int = 9) -> tuple[np.ndarray, np.ndarray]:
    y, x = np.mgrid[:ny, :nx]
    return 3.0 * x - 1.5 * y, np.full((ny, nx), 0.3)


def test_a_plane_bears_itself_out() -> None:
    assert np.all(borne_out(*plane(), 100.0))


def test_a_cell_off_the_plane_is_not() -> None:
    height, sd = plane()
    height[2, 5] += 9.0  # 3 mm of bend and 3 sd of the difference, at most 2.2 mm
    found = borne_out(height, sd, 100.0)
    assert not found[2, 5]
    assert np.count_nonzero(~found) == 1


def test_a_step_stands() -> None:
    height, sd = plane()
    height[:, 4:] += 120.0
    assert np.all(borne_out(height, sd, 100.0))


def test_a_cell_with_none_in_line_is_not() -> None:
    height, sd = np.full((5, 8), np.nan), np.full((5, 8), np.nan)
    height[1:3, 1:3], sd[1:3, 1:3] = 4.0, 0.2
    height[4, 4:7], sd[4, 4:7] = 1.0, 0.2
    found = borne_out(height, sd, 100.0)
    assert found[4, 4:7].all()
    assert np.count_nonzero(found) == 3
