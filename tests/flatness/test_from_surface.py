"""A grid from the surface between readings, and what readings so far apart do not tell."""

import numpy as np
import pytest

from kit.flatness import grid_of_surface, readings_apart_mm, why_too_far
from kit.floor import fit_surface
from kit.floor.stepped import StepLine, fit_stepped_surface
from kit.job import Refusal


def surface_of(x, y):
    z = 0.002 * x - 0.001 * y + 2 * np.sin(x / 700)
    return fit_surface(x, y, z, np.full(len(x), 0.09))


@pytest.fixture
def readings():
    """An L of readings every 500 mm: the corner beyond x 2000, y 1000 was not read."""
    x, y = (each.ravel() for each in np.meshgrid(500.0 * np.arange(10), 500.0 * np.arange(7)))
    read = (x <= 2000) | (y <= 1000)
    return surface_of(x[read] + 70, y[read] - 20)


def test_cells_are_what_the_surface_predicts(readings):
    grid = grid_of_surface(readings, 240.0)
    assert grid.cell_mm == pytest.approx(240)
    # 4500 mm hold 18 steps of 240 and 180 over, half of them at either end; 3000: 12 and 120.
    assert (grid.x_mm[0], grid.x_mm[-1]) == pytest.approx((70 + 90, 4570 - 90))
    assert (grid.y_mm[0], grid.y_mm[-1]) == pytest.approx((-20 + 60, 2980 - 60))
    across, out = np.meshgrid(grid.x_mm, grid.y_mm)
    surveyed = readings.surveyed(across.ravel(), out.ravel()).reshape(across.shape)
    assert np.array_equal(grid.known, surveyed)
    assert 0 < np.count_nonzero(~surveyed) < surveyed.size / 2
    height, sd = readings.predict(across[surveyed], out[surveyed])
    assert grid.height_mm[surveyed] == pytest.approx(height, abs=1e-9)
    assert grid.sd_mm[surveyed] == pytest.approx(sd, abs=1e-9)
    assert set(grid.count[surveyed]) == {len(readings.x_mm)}
    assert set(grid.count[~surveyed]) == {0}
    assert "smoother than the floor" in grid.notes[-1]


def test_readings_on_a_grid_lie_its_spacing_apart():
    """Closed form: the cell in the middle of four readings is spacing / √2 from each."""
    x, y = (each.ravel() for each in np.meshgrid(400.0 * np.arange(6), 400.0 * np.arange(5)))
    surface = surface_of(x, y)
    assert readings_apart_mm(surface, grid_of_surface(surface, 50.0)) == pytest.approx(400)


def test_cells_as_wide_as_the_readings_hide_nothing():
    """Every cell's middle is a reading; the corners between four of them are not."""
    x, y = (each.ravel() for each in np.meshgrid(400.0 * np.arange(6), 400.0 * np.arange(5)))
    surface = surface_of(x, y)
    for cell in (400.0, 200.0):
        assert readings_apart_mm(surface, grid_of_surface(surface, cell)) == pytest.approx(400)


def test_readings_across_a_step_do_not_count():
    """Beyond x 1900 a column of readings is left out: its cells are nearest to the one before."""
    x, y = (each.ravel() for each in np.meshgrid(200.0 * np.arange(20), 200.0 * np.arange(16)))
    read = x != 2000
    x, y = x[read], y[read]
    z = 0.002 * x - 0.001 * y + 2 * np.sin(x / 700)
    step = StepLine("kerb", (1900, 0), (1900, 1))
    plain = fit_surface(x, y, z, np.full(len(x), 0.0009))
    stepped = fit_stepped_surface(x, y, z, np.full(len(x), 0.0009), [step])
    grid = grid_of_surface(plain, 100.0)
    # Cells at x 1950 are none here: 2000 lies 200 from its own level's 2200, off the rows by 100.
    own, either = (readings_apart_mm(one, grid) for one in (stepped, plain))
    assert own == pytest.approx(np.sqrt(2) * np.hypot(200, 100))
    assert either == own
    grid = grid_of_surface(plain, 50.0)
    # Now 1950 lies 250 from 2200, and 150 from 1800 across the step.
    assert readings_apart_mm(stepped, grid) == pytest.approx(np.sqrt(2) * np.hypot(250, 100))
    assert readings_apart_mm(plain, grid) == pytest.approx(np.sqrt(2) * np.hypot(200, 100))


def test_pairs_of_readings_are_no_nearer_than_their_pairs():
    x, y = (each.ravel() for each in np.meshgrid(800.0 * np.arange(4), 800.0 * np.arange(4)))
    surface = surface_of(np.append(x, x + 30), np.append(y, y))
    assert readings_apart_mm(surface, grid_of_surface(surface, 50.0)) > 750


def test_what_readings_do_not_allow_is_said():
    assert why_too_far(300, 300) == ""
    assert why_too_far(301, 300) == ("readings lie up to 301 mm apart; 300 mm at most are needed")
    assert why_too_far(0, 50) == ""


@pytest.mark.parametrize("cell", [0.0, 3001.0, np.nan])
def test_cells_that_are_none_are_refused(readings, cell):
    with pytest.raises(Refusal, match="cells of a grid"):
        grid_of_surface(readings, cell)


@pytest.mark.parametrize("cell", [1e-9, 0.01, 1.4])
def test_more_cells_than_can_be_worked_out_are_refused_before_they_are_made(readings, cell):
    with pytest.raises(Refusal, match=r"cells of a grid: .* larger cells, 2,000,000 of them"):
        grid_of_surface(readings, cell)


def test_a_grid_without_heights_is_refused(readings, grid_of):
    with pytest.raises(Refusal, match="no cell with a height"):
        readings_apart_mm(readings, grid_of(np.full((3, 3), np.nan)))
