"""How long volumes and least grinding and filling take, and how that grows with the cells."""

import time

import numpy as np
import pytest
from scipy.interpolate import RegularGridInterpolator
from scipy.ndimage import gaussian_filter
from scipy.optimize import linprog
from scipy.sparse import hstack
from threadpoolctl import threadpool_limits

from kit.flatness.grind import grind_and_fill
from kit.flatness.grind_chords import Chords, worst_gap_mm
from kit.flatness.grind_rules import GrindRules
from kit.flatness.volumes import volumes
from kit.height_grid import HeightGrid


@pytest.fixture(autouse=True)
def _one_thread():
    with threadpool_limits(limits=1):
        yield


def took(work):
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def hall(ny, nx, cell_mm=200.0, wave_mm=5.0):
    """A floor with waves of some cells and short roughness upon them."""
    generator = np.random.default_rng(1)
    wave = gaussian_filter(generator.normal(size=(ny, nx)), 5.0, mode="reflect")
    short = gaussian_filter(generator.normal(size=(ny, nx)), 1.5)
    height = wave_mm * wave / wave.std() + 1.6 * short
    sd = np.full((ny, nx), 0.3)
    x, y = cell_mm * np.arange(nx), cell_mm * np.arange(ny)
    return HeightGrid(x, y, height, sd, np.ones((ny, nx), dtype=int))


def sampled(grid, datum_mm, times=8):
    """The peer: scipy's bilinear interpolation at 64 places a cell, from middle to middle."""
    surface = RegularGridInterpolator((grid.y_mm, grid.x_mm), grid.height_mm - datum_mm)
    step = grid.cell_mm / times
    y, x = (np.arange(v[0] + step / 2, v[-1], step) for v in (grid.y_mm, grid.x_mm))
    depth = surface(np.stack(np.meshgrid(y, x, indexing="ij"), axis=-1).reshape(-1, 2))
    return np.maximum(depth, 0).sum() * step**2 / 1e6, np.maximum(-depth, 0).sum() * step**2 / 1e6


def test_volumes_beside_a_sampled_surface(benchmark):
    grid = hall(150, 200)
    ours, peers = [], []
    for _ in range(5):
        ours.append(took(lambda: volumes(grid, 1.0)))
        peers.append(took(lambda: sampled(grid, 1.0)))
    found = benchmark.pedantic(volumes, args=(grid, 1.0), rounds=3)
    ratio = float(np.median(ours) / np.median(peers))
    benchmark.extra_info["peer"] = "scipy RegularGridInterpolator, 64 places a cell"
    benchmark.extra_info["times as long as the peer"] = ratio
    # The peer leaves out the border's half cells: 2 (1/150 + 1/200) / 2 of the area.
    assert found.cut.litres == pytest.approx(sampled(grid, 1.0)[0], rel=0.05)
    assert ratio < 0.5


def test_volumes_grow_with_the_cells(benchmark):
    """Three decades: 1,000 to 1,000,000 cells."""
    sizes = [(25, 40), (80, 125), (250, 400), (800, 1250)]
    grids = [hall(*size) for size in sizes]
    times = [np.median([took(lambda g=g: volumes(g, 1.0)) for _ in range(3)]) for g in grids]
    benchmark.pedantic(volumes, args=(grids[-1], 1.0), rounds=1)
    benchmark.extra_info["seconds by cells"] = {
        g.height_mm.size: round(float(t), 4) for g, t in zip(grids, times, strict=True)
    }
    growth = np.log(times[-1] / times[1]) / np.log(100)
    benchmark.extra_info["power of the cells, from 10,000 on"] = round(float(growth), 2)
    assert growth < 1.3


def every_chord(shape, steps):
    place, parts = np.arange(shape[0] * shape[1]).reshape(shape), []
    for lines in (place, place.T):
        for left in range(1, steps):
            for right in range(1, steps - left + 1):
                if left + right >= lines.shape[1]:
                    continue
                middle = lines[:, left : lines.shape[1] - right].ravel()
                ends = lines[:, : -left - right].ravel(), lines[:, left + right :].ravel()
                share = np.full(middle.size, right / (left + right))
                parts.append(Chords(np.stack([ends[0], middle, ends[1]], axis=1), share))
    return Chords(
        np.concatenate([one.cells for one in parts]), np.concatenate([one.share for one in parts])
    )


def whole_programme(grid, steps, limit_mm):
    """The peer: scipy's linprog given every chord at once."""
    height = grid.height_mm.ravel()
    matrix = every_chord(grid.height_mm.shape, steps).matrix(height.size)
    both = hstack([matrix, -matrix], format="csc")
    return linprog(np.ones(2 * height.size), A_ub=both, b_ub=limit_mm - matrix @ height)


def test_grind_and_fill_beside_the_whole_programme(benchmark):
    grid = hall(24, 31)
    ours, peers = [], []
    for _ in range(3):
        ours.append(took(lambda: grind_and_fill(grid, 3.0)))
        peers.append(took(lambda: whole_programme(grid, 10, 3.0)))
    done = benchmark.pedantic(grind_and_fill, args=(grid, 3.0), rounds=1)
    ratio = float(np.median(ours) / np.median(peers))
    benchmark.extra_info["peer"] = "scipy linprog (HiGHS) with every chord at once"
    benchmark.extra_info["times as long as the peer"] = ratio
    peer = whole_programme(grid, 10, 3.0).fun * (grid.cell_mm**2 / 1e6)
    assert done.weight_l == pytest.approx(peer, rel=1e-6)
    assert ratio < 0.5


def test_grind_and_fill_grows_with_the_cells(benchmark):
    """Two and a half decades: 200 cells to a hall of 60 by 40 m in cells of 200 mm."""
    sizes = [(12, 17), (23, 30), (70, 100), (200, 300)]
    seconds = {}
    for size in sizes:
        grid = hall(*size)
        seconds[size[0] * size[1]] = round(took(lambda g=grid: grind_and_fill(g, 3.0)), 3)
    grid = hall(70, 100)
    done = benchmark.pedantic(grind_and_fill, args=(grid, 3.0), rounds=1)
    benchmark.extra_info["seconds by cells"] = seconds
    counts = list(seconds)
    growth = np.log(seconds[counts[-1]] / seconds[counts[1]]) / np.log(counts[-1] / counts[1])
    benchmark.extra_info["power of the cells"] = round(float(growth), 2)
    assert done.is_least
    assert worst_gap_mm(done.after.height_mm, 10) <= 3.0 + 1e-6
    assert growth < 1.6


def test_a_floor_that_is_rough_all_over(benchmark):
    """The hardest: 100 mm cells, 2 m edge, more than half of 7,000 cells to be changed."""
    grid = hall(70, 100, cell_mm=100.0, wave_mm=6.0)
    done = benchmark.pedantic(grind_and_fill, args=(grid, 3.0), rounds=1)
    touched = float((np.abs(done.change_mm) > 1e-6).mean())
    benchmark.extra_info["share of the cells changed, rounds"] = (round(touched, 2), done.rounds)
    assert touched > 0.5
    assert done.is_least


def test_only_filled_a_floor_needs_no_search(benchmark):
    grid, rules = hall(200, 300), GrindRules(ways="fill")
    benchmark.pedantic(grind_and_fill, args=(grid, 3.0), kwargs={"rules": rules}, rounds=3)
    searched = took(lambda: grind_and_fill(grid, 3.0))
    ratio = benchmark.stats["min"] / searched
    benchmark.extra_info["peer"] = "the same floor ground and filled, by linear programmes"
    benchmark.extra_info["times as long as the peer"] = ratio
    assert ratio < 1.0
