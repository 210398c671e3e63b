"""Connected patches of work, counted by hand."""

import numpy as np
import pytest

from kit.flatness.grind_patches import gathered, patches


def test_patches_of_a_small_plan(grid_of):
    change = np.zeros((4, 6))
    change[0, 0:2] = [1.0, 2.5]
    change[1, 2] = 0.5  # meets the one before at a corner only: a patch of its own
    change[2:4, 4] = [-3.0, -4.0]
    change[2, 5] = 1.0  # beside what is ground, but filled
    table = patches(grid_of(np.zeros((4, 6)), x0=50.0, y0=1050.0), change)
    assert table["patch"].tolist() == [1, 2, 3, 4]
    assert table["work"].tolist() == ["grind", "fill", "fill", "fill"]
    assert table["litres"].tolist() == pytest.approx([0.07, 0.035, 0.01, 0.005])
    assert table["area_m2"].tolist() == pytest.approx([0.02, 0.02, 0.01, 0.01])
    assert table["deepest_mm"].tolist() == [4.0, 2.5, 1.0, 0.5]
    places = ["x_mm", "y_mm", "from_x_mm", "to_x_mm", "from_y_mm", "to_y_mm"]
    assert table.loc[0, places].tolist() == [450.0, 1350.0, 400.0, 500.0, 1200.0, 1400.0]
    assert table.loc[1, places].tolist() == [150.0, 1050.0, 0.0, 200.0, 1000.0, 1100.0]


def test_no_work_is_an_empty_table(grid_of):
    table = patches(grid_of(np.zeros((3, 2))), np.zeros((3, 2)))
    assert table.empty
    assert list(table.columns)[:3] == ["patch", "work", "area_m2"]


def test_small_patches_stand_together(grid_of):
    change = np.zeros((7, 12))
    change[1, 1:4] = 4.0  # 0.12 l: a patch
    change[3, 5] = 0.9  # 0.009 l
    change[5, 8:11] = 0.4  # 0.012 l, nowhere 0.5 mm
    change[6, 0] = -0.3
    table = patches(grid_of(change), change)
    told = gathered(table)
    assert told["patch"].tolist() == [1, "small patches", "small patches"]
    assert told["work"].tolist() == ["fill", "grind", "fill"]
    assert told["count"].tolist() == [1, 1, 2]
    assert told["litres"].sum() == pytest.approx(table["litres"].sum())
    assert told["area_m2"].sum() == pytest.approx(table["area_m2"].sum())
    last = told.iloc[-1]
    assert (last["deepest_mm"], last["x_mm"], last["y_mm"]) == (0.9, 500, 300)
    assert (last["from_x_mm"], last["to_x_mm"]) == (450, 1050)
    assert (last["from_y_mm"], last["to_y_mm"]) == (250, 550)
