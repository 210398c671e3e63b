"""Hollow and hump against closed forms and numerical integrals."""

import math

import numpy as np
import pytest
from scipy.integrate import dblquad

from kit.flatness.volumes import Fall, datum_of_balance, volumes
from kit.floor import fit_plane
from kit.height_grid import HeightGrid
from kit.job import Refusal


def made(height, cell=100.0, sd=0.3, corner=(0.0, 0.0)):
    """Return the grid of a function of x and y, or of heights, with its corner at a place."""
    ny, nx = height[1:] if isinstance(height, tuple) else height.shape
    x, y = corner[0] + (np.arange(nx) + 0.5) * cell, corner[1] + (np.arange(ny) + 0.5) * cell
    z = height[0](*np.meshgrid(x, y)) if isinstance(height, tuple) else height
    known = np.isfinite(z)
    return HeightGrid(x, y, z, np.where(known, sd, np.nan), known.astype(int))


def test_a_ramp_against_a_level_datum():
    """Slope s over n cells of a, datum at 0.3 of it: triangles, the border's own rule included."""
    n, a, s, wide = 20, 100.0, 0.002, 700.0
    grid = made((lambda x, _: s * x, 7, n), a)
    datum = s * 0.3 * n * a
    found = volumes(grid, datum)
    # True triangles, less s a²/8 a width at each end, where the outermost depth is carried on.
    missing = s * a**2 / 8 * wide / 1e6
    fill, cut = s * (0.3 * n * a) ** 2 / 2 * wide / 1e6, s * (0.7 * n * a) ** 2 / 2 * wide / 1e6
    assert found.fill.litres == pytest.approx(fill - missing, rel=1e-12)  # sums of 140 numbers
    assert found.cut.litres == pytest.approx(cut - missing, rel=1e-12)
    assert missing / fill == pytest.approx(1 / (2 * 6) ** 2)  # of 6 cells' hollow with one end
    assert found.fill.area_m2 == pytest.approx(0.3 * n * a * wide / 1e6, rel=1e-12)
    assert (found.fill.x_mm, found.cut.x_mm) == (50.0, 1950.0)
    assert found.cut.greatest_mm == pytest.approx(s * 1950 - datum, rel=1e-12)


def test_a_floor_along_its_own_plane_is_neither():
    grid = made((lambda x, y: 4 + 0.003 * x - 0.001 * y, 5, 8))
    found = volumes(grid, Fall(4.0, 3.0, -1.0))
    assert (found.fill.litres, found.cut.litres) == (0.0, 0.0)
    assert math.isnan(found.cut.mean_mm)


def test_a_fitted_plane_is_a_datum_and_leaves_as_much_hump_as_hollow():
    grid = made(np.random.default_rng(3).normal(0, 2, (9, 6)))
    table = grid.table()
    found = volumes(grid, fit_plane(table["x_mm"], table["y_mm"], table["height_mm"]))
    assert found.net_l == pytest.approx(0.0, abs=1e-12)  # residuals of a fit sum to 0
    assert found.fill.litres > 0.1


def test_a_paraboloid_hump_and_its_convergence():
    """Height H (1 - r²/R²) over a floor at 0: pi R² H / 2, exact for a paraboloid."""
    high, radius = 12.0, 1500.0

    def hump(x, y):
        return np.maximum(high * (1 - ((x - 1690) ** 2 + (y - 1840) ** 2) / radius**2), -1.0)

    exact = math.pi * radius**2 * high / 2 / 1e6
    off = [
        abs(volumes(made((hump, 3600 // a, 3400 // a), float(a)), 0.0).cut.litres / exact - 1)
        for a in (200, 100, 50, 25)
    ]
    # With the square of the cell: each halving a quarter; the rim makes the figure jitter.
    assert off[0] < 0.02
    assert off[3] < off[0] / 20
    assert off[3] < 4e-4


def test_a_spherical_cap():
    """Volume of a cap pi h² (3 R - h) / 3 (Bronstein, Handbook of Mathematics, from memory)."""
    sphere, cap = 250_000.0, 9.0

    def dome(x, y):
        return np.sqrt(sphere**2 - (x - 2500) ** 2 - (y - 2600) ** 2) - sphere + cap

    found = volumes(made((dome, 260, 250), 20.0), 0.0)
    exact = math.pi * cap**2 * (3 * sphere - cap) / 3 / 1e6
    # Its rim is a circle of 2.1 m: 106 cells of 20 mm; 1/106² is 1e-4.
    assert found.cut.litres == pytest.approx(exact, rel=2e-4)
    assert found.cut.area_m2 == pytest.approx(math.pi * cap * (2 * sphere - cap) / 1e6, rel=1e-3)


def test_a_floor_in_waves_against_a_numerical_integral():
    def wave(x, y):
        return 3 * math.sin(x / 400) * math.cos(y / 300) + 0.4 * math.sin(y / 170)

    # Quadrature to 2 mm³ in each of 16 parts of a volume of some 1e6 mm³.
    exact = (
        sum(
            dblquad(lambda y, x: max(wave(x, y) - 0.5, 0), x0, x0 + 300, y0, y0 + 250, epsabs=2)[0]
            for x0 in range(0, 1200, 300)
            for y0 in range(0, 1000, 250)
        )
        / 1e6
    )
    off = [
        volumes(made((np.vectorize(wave), 1000 // a, 1200 // a), float(a)), 0.5).cut.litres / exact
        - 1
        for a in (100, 50, 25)
    ]
    # With the square of the cell, 100 mm being a quarter of the shortest bend.
    assert abs(off[0]) < 0.05
    assert abs(off[2]) < 0.003
    assert abs(off[2]) < abs(off[1]) < abs(off[0])


def test_another_floor_is_a_datum_and_its_doubt_counts():
    floor, top = made(np.full((2, 3), 1.0)), made(np.full((2, 3), 5.0), sd=0.4)
    found = volumes(floor, top)
    assert found.fill.litres == pytest.approx(4.0 * 0.06, rel=1e-12)
    # Six cells of 0.01 m², each 0.5 mm from 0.3 and 0.4.
    assert found.fill.litres_sd == pytest.approx(math.sqrt(6) * 0.01 * 0.5, rel=1e-12)
    with pytest.raises(Refusal, match="cells elsewhere"):
        volumes(floor, made(np.full((2, 3), 5.0), corner=(10.0, 0.0)))


def test_holes_are_not_counted_and_said():
    height = np.full((4, 5), 2.0)
    height[1, 2] = height[3, 0] = np.nan
    found = volumes(made(height), 0.0)
    assert found.cut.litres == pytest.approx(18 * 0.01 * 2.0, rel=1e-12)
    assert found.holes_m2 == pytest.approx(0.02)
    assert any("0.02 m² of 0.20 m² have no height" in note for note in found.notes)


def test_doubts_against_many_drawn_floors():
    generator = np.random.default_rng(8)
    x, y = np.meshgrid(np.arange(18), np.arange(15))
    height = 6 * np.sin(x / 4.0) * np.cos(y / 3.0) + 0.15 * x
    told = volumes(made(height, sd=0.05), 0.5, common_sd_mm=0.03)
    drawn = []
    for _ in range(400):
        floor = height + generator.normal(0, 0.05, height.shape)
        one = volumes(made(floor), 0.5 + generator.normal(0, 0.03))
        drawn.append([one.fill.litres, one.fill.area_m2, one.fill.mean_mm, one.cut.litres])
    fill, area, mean, cut = np.std(drawn, axis=0)
    # An sd of 400 draws is good to 3.5 %; three times that is allowed.
    assert told.fill.litres_sd == pytest.approx(fill, rel=0.1)
    assert told.cut.litres_sd == pytest.approx(cut, rel=0.1)
    assert told.fill.area_sd_m2 == pytest.approx(area, rel=0.1)
    assert told.fill.mean_sd_mm == pytest.approx(mean, rel=0.1)


def test_a_shift_of_the_datum_counts_by_the_area():
    grid = made(np.full((3, 4), -2.0), sd=0.0)
    found = volumes(grid, 0.0, common_sd_mm=0.7)
    assert found.fill.litres_sd == pytest.approx(0.7 * 0.12, rel=1e-12)
    assert found.fill.mean_sd_mm == pytest.approx(0.7, rel=1e-12)
    assert found.fill.greatest_sd_mm == pytest.approx(0.7, rel=1e-12)


def test_the_balance_leaves_nothing_over():
    height = np.random.default_rng(1).gamma(2.0, 3.0, (11, 7))
    height[4, 3] = np.nan
    grid = made(height)
    found = volumes(grid, datum_of_balance(grid))
    assert found.net_l == pytest.approx(0.0, abs=1e-12)
    assert found.cut.litres > 0.5


def test_a_thin_hollow_is_said_to_be_in_doubt():
    found = volumes(made(np.full((1, 4), -0.1), sd=0.3), 0.0)
    assert any("they may be none" in note for note in found.notes)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"datum": math.nan}, "no number"),
        ({"datum": 0.0, "common_sd_mm": -1.0}, "0 mm or more"),
        ({"datum": 0.0, "cells": np.zeros((2, 3), dtype=bool)}, "no cell"),
        ({"datum": 0.0, "cells": np.zeros((3, 2), dtype=bool)}, "as the grid"),
    ],
)
def test_what_cannot_be_told_is_refused(asked, said):
    with pytest.raises(Refusal, match=said):
        volumes(made(np.ones((2, 3))), **asked)


def test_a_floor_against_its_own_balance_has_no_net_volume(hall):
    told = volumes(hall, datum_of_balance(hall))
    assert told.cut.litres > 10
    assert told.net_l == 0.0  # round-off of the sums is no volume
    assert volumes(hall, datum_of_balance(hall) - 0.001).net_l > 0.1
