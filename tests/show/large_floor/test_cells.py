"""Many cells drawn as few: what stands for several of them."""

import numpy as np
import pytest

from kit.show.large_floor.cells import fewer


def made(rows, columns, seed=3):
    draw = np.random.default_rng(seed)
    value = draw.normal(0, 4, (rows, columns))
    value[draw.random((rows, columns)) < 0.3] = np.nan
    return 25.0 + 50.0 * np.arange(columns), -75.0 + 50.0 * np.arange(rows), value


def test_few_cells_are_drawn_as_they_are():
    x, y, value = made(4, 7)
    cells = fewer(x, y, value, "mean", most=7)
    assert cells.together == 1
    assert cells.value is value
    assert cells.box == (0.0, 350.0, -100.0, 100.0)


@pytest.mark.parametrize("how", ["mean", "greatest", "largest"])
def test_each_drawn_cell_against_a_loop(how):
    x, y, value = made(11, 17)
    cells = fewer(x, y, value, how, most=6)
    assert cells.together == 3
    assert cells.value.shape == (4, 6)
    for row in range(4):
        for column in range(6):
            part = value[3 * row : 3 * row + 3, 3 * column : 3 * column + 3].ravel()
            part = part[~np.isnan(part)]
            if not len(part):
                assert np.isnan(cells.value[row, column])
                continue
            expected = {
                "mean": part.mean(),
                "greatest": part.max(),
                "largest": part[np.argmax(abs(part))],
            }[how]
            assert cells.value[row, column] == pytest.approx(expected, abs=1e-12)  # rounding
    # The drawn cells lie where the cells lie that they stand for.
    assert cells.x_mm[1] == pytest.approx(x[3:6].mean())
    assert cells.y_mm[2] == pytest.approx(y[6:9].mean())


def test_a_hole_stays_a_hole():
    x, y, value = made(8, 8)
    value[4:8, 0:4] = np.nan
    cells = fewer(x, y, value, "mean", most=2)
    assert np.isnan(cells.value[1, 0])
    assert np.isfinite(cells.value[0, 1])
