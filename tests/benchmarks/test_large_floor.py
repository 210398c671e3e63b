"""Planes of millions of points and surfaces of thousands of readings, beside named peers."""

import time
import tracemalloc

import numpy as np
import pytest
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import ConstantKernel, Matern
from sklearn.linear_model import HuberRegressor, RANSACRegressor

from kit.floor import fit_plane_of_many, fit_plane_robust, fit_surface
from kit.floor.conditioning import Conditioned
from kit.floor.likelihood import Unevenness
from kit.floor.many import ManyReadings, untold


def took(work):
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def in_turn(count, *works):
    """Return the median time of each work [s], done alternately: a busy machine slows all alike."""
    return np.median([[took(work) for work in works] for _ in range(count)], axis=0)


def points(count, seed=1):
    generator = np.random.default_rng(seed)
    x, y = generator.uniform(0, 60_000, count), generator.uniform(0, 40_000, count)
    return x, y, 0.002 * x - 0.001 * y + generator.normal(0, 1, count)


def test_plane_with_covariance_of_ten_million_points(benchmark):
    x, y, z = points(10_000_000)

    def least_squares():
        return np.linalg.lstsq(np.column_stack([np.ones_like(x), x, y]), z, rcond=None)

    def three_sums():
        return x.sum(), y.sum(), z.sum()

    plane = benchmark.pedantic(fit_plane_of_many, args=(x, y, z), rounds=3, warmup_rounds=1)
    ours, peer, sums = in_turn(7, lambda: fit_plane_of_many(x, y, z), least_squares, three_sums)
    benchmark.extra_info["peer"] = "numpy.linalg.lstsq with its design; three numpy sums"
    benchmark.extra_info["times as fast as lstsq"] = peer / ours
    benchmark.extra_info["times three sums"] = ours / sums
    print(f"plane {ours:.4f} s, lstsq {peer:.3f} s = {peer / ours:.1f}, sums {ours / sums:.1f}")
    # 1e7 points of sd 1 mm over 60 m know the slope to 2e-5 mm/m.
    assert plane.rise_x_mm_per_m == pytest.approx(2.0, abs=1e-4)
    assert plane.rise_x_sd_mm_per_m == pytest.approx(1e3 / (60_000 * np.sqrt(1e7 / 12)), rel=0.01)
    assert peer / ours > 12
    assert ours / sums < 6


def cluttered(seed, count=1_000_000):
    """A hall of which 15 % is one heap of clutter and 15 % is strewn with it, up to 800 mm."""
    generator = np.random.default_rng(seed)
    x, y = generator.uniform(0, 24_000, count), generator.uniform(0, 16_000, count)
    z = 0.002 * x - 0.001 * y + generator.normal(0, 1, count)
    middle = generator.uniform([2000, 2000], [22_000, 14_000])
    wrong = np.zeros(count, bool)
    wrong[np.argsort(np.hypot(x - middle[0], y - middle[1]))[: count * 15 // 100]] = True
    wrong[generator.choice(np.flatnonzero(~wrong), count * 15 // 100, replace=False)] = True
    z[wrong] += generator.uniform(5, 800, wrong.sum())
    return x, y, z


def greatest_miss(level, rise_x, rise_y):
    """Return by how much a plane misses the true one in the hall's worst corner [mm]."""
    x, y = np.meshgrid([0, 24_000], [0, 16_000])
    return np.abs(level + (rise_x - 0.002) * x + (rise_y + 0.001) * y).max()


def test_robust_plane_of_a_million_cluttered_points(benchmark):
    rows = []
    for seed in range(5):
        x, y, z = cluttered(seed)
        places = np.column_stack([x, y])
        found = {}

        def ours(x=x, y=y, z=z, found=found):
            plane = fit_plane_robust(x, y, z)
            rises = plane.rise_x_mm_per_m / 1000, plane.rise_y_mm_per_m / 1000
            found["ours"] = greatest_miss(plane.c_mm, *rises)

        def ransac(places=places, z=z, found=found, seed=seed):
            fitted = RANSACRegressor(random_state=seed).fit(places, z).estimator_
            found["ransac"] = greatest_miss(fitted.intercept_, *fitted.coef_)

        def huber(places=places, z=z, found=found):
            fitted = HuberRegressor().fit(places, z)
            found["huber"] = greatest_miss(fitted.intercept_, *fitted.coef_)

        rows.append([*in_turn(3, ours, ransac), took(huber)])
        assert found["ours"] < min(found["ransac"], found["huber"])
        # 700,000 good points of sd 1 mm know a corner to 0.004 mm.
        assert found["ours"] < 0.02
    times = np.median(rows, axis=0)
    benchmark.pedantic(fit_plane_robust, args=(x, y, z), rounds=1)
    benchmark.extra_info["peer"] = "sklearn RANSACRegressor and HuberRegressor, default settings"
    benchmark.extra_info["times as long as the faster"] = times[0] / min(times[1:])
    print(f"robust {times[0]:.3f} s, ransac {times[1]:.3f} s, huber {times[2]:.3f} s; {found}")
    assert times[0] / min(times[1:]) < 1


def wavy(count, seed=0):
    generator = np.random.default_rng(seed)
    x, y = generator.uniform(0, 24_000, count), generator.uniform(0, 16_000, count)
    z = (
        4 * np.sin(x / 2300)
        + 3 * np.cos(y / 1700 + x / 4000)
        + 0.8 * np.sin(x / 400) * np.cos(y / 500)
    )
    return x, y, z + generator.normal(0, 0.6, count)


def grid(count):
    along, across = (
        np.linspace(0, 24_000, round((1.5 * count) ** 0.5)),
        np.linspace(0, 16_000, round((count / 1.5) ** 0.5)),
    )
    return tuple(axis.ravel() for axis in np.meshgrid(along, across))


def test_five_thousand_readings_to_a_hundred_thousand_cells(benchmark):
    """The peer has no trend: it is given the readings less ours, and its doubt less ours of it.

    A trend costs either less than a hundredth. Both start from the readings with length and
    variance known: the factor of all readings' covariance counts. The peer's prediction is timed
    on 2,000 of the cells, and its time grows as the cells.
    """
    x, y, z = wavy(5000)
    found, noise = Unevenness(3000.0, 12.0), np.full(5000, 0.36)
    at_x, at_y = grid(100_000)
    kernel = ConstantKernel(found.variance_mm2) * Matern(found.length_mm, nu=1.5)
    process = GaussianProcessRegressor(kernel, alpha=0.36, optimizer=None)
    some = np.random.default_rng(1).choice(len(at_x), 2000, replace=False)
    cells, places = np.column_stack([at_x, at_y])[some], np.column_stack([x, y])
    whole = Conditioned(x, y, z, np.diag(noise), found)
    left = z - whole.frame.design(x, y) @ whole.coefficients
    answers = {}

    def ours():
        # Anew each time, so that what is kept between calls counts.
        answers["ours"] = ManyReadings(x, y, z, noise, found).predict(at_x, at_y, untold)

    def peer():
        answers["peer"] = process.predict(cells, return_std=True)

    times = in_turn(3, ours, lambda: process.fit(places, left), peer)
    benchmark.pedantic(ours, rounds=1)
    ratio = (times[1] + times[2] * len(at_x) / len(some)) / times[0]
    height, sd = (column[some] for column in answers["ours"])
    trend = whole.frame.design(*cells.T) @ whole.coefficients
    known = whole.parts(whole._alike(*cells.T), whole.frame.design(*cells.T))
    all_sd = np.sqrt(answers["peer"][1] ** 2 + np.sum(known[2] ** 2, axis=0))
    miss = np.abs(height - trend - answers["peer"][0]) / all_sd
    wide = np.abs(sd / all_sd - 1)
    benchmark.extra_info["peer"] = (
        "sklearn GaussianProcessRegressor, fit and predict with return_std"
    )
    benchmark.extra_info["times as fast as the peer"] = ratio
    print(f"{times[0]:.2f} s, ratio {ratio:.1f}, height {miss.max():.1e} sd, sd {wide.max():.4f}")
    assert ratio > 10
    assert miss.max() < 0.1
    assert wide.max() < 0.02


def growth(counts, work):
    """Return seconds and megabytes that work takes for each count."""
    rows = []
    for count in counts:
        given = work(count)
        seconds = took(given)
        tracemalloc.start()
        given()
        rows.append((count, seconds, tracemalloc.get_traced_memory()[1] / 1e6))
        tracemalloc.stop()
    for row in rows:
        print("{:10d} {:8.3f} s {:8.1f} MB".format(*row))
    return np.array(rows)


def plane_of(count):
    x, y, z = points(count)
    return lambda: fit_plane_of_many(x, y, z)


def fit_of(count):
    x, y, z = wavy(count)
    return lambda: fit_surface(x, y, z, np.full(count, 0.36))


def cells_of(count):
    x, y, z = wavy(6000)
    surface, places = fit_surface(x, y, z, np.full(6000, 0.36)), grid(count)
    return lambda: surface.predict(*places)


def readings_of(count):
    x, y, z = wavy(count)
    surface, places = fit_surface(x, y, z, np.full(count, 0.36)), grid(1000)
    return lambda: surface.predict(*places)


@pytest.mark.parametrize(
    ("counts", "work", "steepest", "most_mb"),
    [
        # Time may grow a little faster than the count where it leaves the cache; memory never.
        pytest.param((10**4, 10**5, 10**6, 10**7), plane_of, 1.3, 10, id="points of a plane"),
        pytest.param((3000, 10_000, 30_000, 100_000), fit_of, 1.1, 300, id="readings fitted"),
        pytest.param(
            (100, 1000, 10_000, 100_000), cells_of, 1.1, 400, id="cells of 6,000 readings"
        ),
        pytest.param((6000, 30_000, 100_000), readings_of, 1.1, 700, id="readings, 1,000 cells"),
    ],
)
def test_time_and_memory_grow_no_faster_than_the_count(benchmark, counts, work, steepest, most_mb):
    # Once before the clock runs: what is loaded at the first call belongs to no count.
    benchmark.pedantic(work(counts[0]), rounds=1)
    rows = growth(counts, work)
    benchmark.extra_info["count, s, MB"] = rows.tolist()
    slope = np.log(rows[-1, 1] / rows[0, 1]) / np.log(rows[-1, 0] / rows[0, 0])
    assert slope < steepest
    assert rows[:, 2].max() < most_mb
