"""How long the floor's sums take, beside a named peer in the same run."""

import time

import numpy as np
import pytest
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import ConstantKernel, Matern
from threadpoolctl import threadpool_limits

from kit.floor import find_high_point, fit_plane, fit_plane_robust, fit_surface


def best_of(count, work):
    """Return the shortest of some runs [s]: what the machine can do, not what disturbed it."""
    took = []
    for _ in range(count):
        start = time.perf_counter()
        work()
        took.append(time.perf_counter() - start)
    return min(took)


def reading_room(count=36):
    generator = np.random.default_rng(0)
    x, y = generator.uniform(0, 4200, count), generator.uniform(0, 2900, count)
    return x, y, 2 * np.sin(x / 700) + np.cos(y / 900) + generator.normal(0, 0.5, count)


def test_plane_of_a_million_points(benchmark):
    generator = np.random.default_rng(1)
    x, y = generator.uniform(0, 20_000, (2, 1_000_000))
    z = 0.002 * x - 0.001 * y + generator.normal(0, 1, 1_000_000)
    plane = benchmark.pedantic(fit_plane, args=(x, y, z), rounds=5)
    design = np.column_stack([np.ones_like(x), x, y])
    peer = best_of(3, lambda: np.linalg.lstsq(design, z, rcond=None))
    benchmark.extra_info["peer"] = "numpy.linalg.lstsq, coefficients only"
    benchmark.extra_info["times as long as the peer"] = benchmark.stats["min"] / peer
    # 1e6 readings of sd 1 mm over 20 m know the slope to 1.7e-4 mm/m.
    assert plane.rise_x_mm_per_m == pytest.approx(2.0, abs=1e-3)
    assert benchmark.stats["min"] / peer < 5


def test_robust_plane_of_a_hundred_thousand_points(benchmark):
    generator = np.random.default_rng(2)
    x, y = generator.uniform(0, 20_000, (2, 100_000))
    z = 0.002 * x + generator.normal(0, 1, 100_000)
    z[:30_000] += 40
    plane = benchmark.pedantic(fit_plane_robust, args=(x, y, z), rounds=3)
    assert plane.rise_x_mm_per_m == pytest.approx(2.0, abs=0.01)


def test_surface_predicted_at_five_thousand_places(benchmark):
    x, y, z = reading_room(180)
    generator = np.random.default_rng(3)
    at_x, at_y = generator.uniform(0, 4200, 5000), generator.uniform(0, 2900, 5000)
    surface = fit_surface(x, y, z, np.full(180, 0.25))
    benchmark.pedantic(surface.predict, args=(at_x, at_y), rounds=3, warmup_rounds=1)
    kernel = ConstantKernel(surface.variance_mm2) * Matern(surface.length_mm, nu=1.5)
    process = GaussianProcessRegressor(kernel, alpha=0.25, optimizer=None)
    process.fit(np.column_stack([x, y]), z)
    places = np.column_stack([at_x, at_y])
    peer = best_of(3, lambda: process.predict(places, return_std=True))
    benchmark.extra_info["peer"] = "sklearn GaussianProcessRegressor, no trend, one length"
    benchmark.extra_info["times as long as the peer"] = benchmark.stats["min"] / peer
    # Twelve plausible lengths and variances besides the likeliest: thirteen surfaces.
    assert benchmark.stats["min"] / peer < 26


def test_reading_room_from_readings_to_high_point(benchmark):
    x, y, z = reading_room()
    along = np.arange(0, 4150, 25.0)
    under = np.tile(along, 3), np.repeat([67.0, 250.0, 300.0], len(along))

    def whole():
        fit_plane(x, y, z)
        fit_plane_robust(x, y, z)
        surface = fit_surface(x, y, z, 0.25 * np.eye(36) + 0.1)
        surface.predict(*under)
        return find_high_point(surface, *under, reading_sd_mm=0.5)

    found = benchmark.pedantic(whole, rounds=5)
    assert 0 <= found.certainty <= 1
    benchmark.extra_info["readings, places, draws"] = "36, 498, 4000"


def draw_everywhere(surface, under):
    """The sums that a high point would need if every place were drawn, in single precision."""
    height, covariance = surface.joint(*under)
    root = np.linalg.cholesky(covariance + 1e-10 * np.eye(len(height))).astype(np.float32)
    drawn = np.random.default_rng(0).standard_normal((4000, len(height)), np.float32) @ root.T
    return (drawn + (height - height.max()).astype(np.float32)).argmax(axis=1)


def long_room(size_mm, bumps_mm, readings, places):
    """A floor with bumps of some height, read with an sd of 0.4 mm, and three bearer lines."""
    generator = np.random.default_rng(3)
    x, y = generator.uniform(0, size_mm, readings), generator.uniform(0, 1200, readings)
    z = bumps_mm * (2 * np.sin(x / 1700) + np.cos(y / 900)) + generator.normal(0, 0.4, readings)
    along = np.linspace(0, size_mm, places // 3)
    under = np.tile(along, 3), np.repeat([67.0, 250.0, 300.0], len(along))
    return fit_surface(x, y, z, np.full(readings, 0.16)), under


@pytest.mark.parametrize(
    ("room", "limit"),
    [
        # Places are left out: a half and a fifth of the peer's time are usual.
        pytest.param((4150, 3.0, 36, 555), 0.8, id="555 places"),
        pytest.param((20_000, 3.0, 60, 3000), 0.5, id="3,000 places"),
        # Nothing stands out, so every place is drawn, and the next reading is sought on top.
        pytest.param((4150, 0.0, 36, 555), 2.0, id="555 places, level floor"),
    ],
)
def test_high_point_under_moved_bearers(benchmark, room, limit):
    """A moved bearer row asks for it at every press of a key."""
    surface, under = long_room(*room)
    with threadpool_limits(limits=1):
        asked = {"reading_sd_mm": 0.4}
        benchmark.pedantic(find_high_point, (surface, *under), asked, rounds=7, warmup_rounds=1)
        peer = best_of(5, lambda: draw_everywhere(surface, under))
    benchmark.extra_info["peer"] = "joint covariance, Cholesky and 4,000 draws of all places"
    benchmark.extra_info["times as long as the peer"] = benchmark.stats["min"] / peer
    assert benchmark.stats["min"] / peer < limit


@pytest.mark.parametrize("count", [500, 2000])
def test_hundreds_of_readings_are_fitted(benchmark, count):
    x, y, z = reading_room(count)
    fitted = benchmark.pedantic(fit_surface, args=(x, y, z, np.full(count, 0.25)), rounds=1)
    assert len(fitted.left_out()) == count


def test_ten_thousand_readings_to_high_point(benchmark):
    x, y, z = reading_room(10_000)
    along = np.arange(0, 4150, 25.0)

    def whole():
        surface = fit_surface(x, y, z, np.full(10_000, 0.25))
        return find_high_point(surface, along, np.full(len(along), 90.0), reading_sd_mm=0.5)

    found = benchmark.pedantic(whole, rounds=1)
    assert 0 <= found.certainty <= 1
    assert found.x_mm in along
