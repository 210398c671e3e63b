"""Heights along a line: bilinear between cells, nothing over holes, refused outside."""

import numpy as np
import pytest
from scipy.interpolate import RegularGridInterpolator

from kit.flatness import heights_along
from kit.floor import fit_surface
from kit.job import Refusal


def test_between_cells_as_a_reference_library_has_it(grid_of):
    rng = np.random.default_rng(3)
    grid = grid_of(rng.normal(size=(7, 11)), 130.0, x0=40, y0=-300)
    line = heights_along(grid, (61.0, -290.0), (1287.0, 455.5), 17.0)
    long = np.hypot(1226, 745.5)
    assert len(line.at_mm) == int(long / 17) + 1
    assert line.x_mm[-1] == pytest.approx(61 + 1226 * line.at_mm[-1] / long)
    peer = RegularGridInterpolator((grid.y_mm, grid.x_mm), grid.height_mm)
    wanted = peer(np.column_stack([line.y_mm, line.x_mm]))
    assert line.height_mm == pytest.approx(wanted, abs=1e-12)  # round-off


def test_along_cells_it_is_the_cells(hall):
    line = heights_along(hall, (200.0, 4000.0), (15_000.0, 4000.0), 100.0)
    assert np.array_equal(line.height_mm, hall.height_mm[40, 2:])
    last = heights_along(hall, (15_000.0, 9000.0), (15_000.0, 0.0), 300.0)
    assert np.array_equal(last.height_mm, hall.height_mm[::-3, -1])


def test_a_cell_without_height_leaves_every_place_it_has_a_share_in_without_one(grid_of):
    h = np.ones((2, 5))
    h[0, 2] = np.nan
    line = heights_along(grid_of(h), (0, 0), (400, 0), 50)
    assert np.isnan(line.height_mm).tolist() == [0, 0, 0, 1, 1, 1, 0, 0, 0]
    # Along the other row the hole has no share, half way between the rows it has.
    assert np.isfinite(heights_along(grid_of(h), (0, 100), (400, 100), 50).height_mm).all()
    assert np.isnan(heights_along(grid_of(h), (200, 100), (200, 50), 50).height_mm).tolist() == [
        False, True,
    ]  # fmt: skip


def test_of_a_surface_only_where_it_was_surveyed():
    x, y = (each.ravel() for each in np.meshgrid([0.0, 700, 1500, 2000], [0.0, 900, 1600]))
    surface = fit_surface(x, y, 0.002 * x - 0.001 * y + np.sin(x / 400), np.full(12, 0.01))
    line = heights_along(surface, (-3000.0, 500.0), (1000.0, 500.0), 500.0)
    assert np.isnan(line.height_mm[:4]).all()
    there = surface.predict([1000.0], [500.0]).height_mm[0]
    assert line.height_mm[-1] == pytest.approx(
        there, abs=1e-9
    )  # round-off of sums in another order


def test_of_any_function():
    line = heights_along(lambda x, y: x + 10 * y, (1, 2), (4, 6), 2.5)
    assert line.height_mm.tolist() == pytest.approx([21, 2.5 + 40, 4 + 60])


@pytest.mark.parametrize(
    ("ends", "step", "message"),
    [
        (((0, 0), (15_001, 0)), 100,
         "line: found an end at x 15001, y 0 mm, outside the grid of heights; "
         "allowed: x 0 to 15000, y 0 to 9000 mm"),
        (((0, -1), (100, 0)), 100, "line: found an end at x 0, y -1 mm, outside the grid"),
        (((0, 0), (70, 0)), 100, "line: found 70 mm long; allowed: 100 mm or more"),
        (((0, 0), (np.nan, 0)), 100, "line: found nan mm long; allowed: 100 mm or more"),
        (((0, 0), (70, 0)), 0, "line, step: found 0 mm; allowed: more than 0 mm"),
    ],
)  # fmt: skip
def test_what_is_no_line_of_the_floor_is_refused(hall, ends, step, message):
    with pytest.raises(Refusal) as refused:
        heights_along(hall, *ends, step)
    assert message in str(refused.value)
