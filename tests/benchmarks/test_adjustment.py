"""A large hall: 10,000 points, 400 set-ups, 20,000 readings, beside SciPy's sparse solvers.

Run: python -m pytest tests/benchmarks/test_adjustment.py
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest
from scipy.sparse.linalg import lsqr, splu

from kit.readings import Readings, Table, adjust
from kit.readings.equations import assemble, staff_rows
from kit.readings.factors import shared_doubt
from kit.readings.least_squares import solve
from kit.readings.loops import loops

SIDE, SD_MM = 100, 0.5


def hall(seed: int = 1) -> Readings:
    """Each point is read from the set-up of its own 5 by 5 field and from a neighbouring one."""
    rng = np.random.default_rng(seed)
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(SIDE), np.arange(SIDE)))
    column, row = x // 5, y // 5
    step = np.where(column == 19, -1, 1)
    other = np.where(
        rng.random(x.size) < 0.5, row * 20 + column + step, (row + 1) % 20 * 20 + column
    )
    setups = np.concatenate([row * 20 + column, other])
    points = np.tile(np.arange(x.size), 2)
    height = 5 * np.sin(x / 18) + 3 * np.cos(y / 14)
    line = rng.uniform(1200, 1600, 400)
    observed = line[setups] - height[points] + rng.normal(0, SD_MM, points.size)
    frame = pd.DataFrame(
        {
            "row": np.arange(2, points.size + 2),
            "point": [f"P{p}" for p in points],
            "x_mm": x[points] * 500.0,
            "y_mm": y[points] * 500.0,
            "observed_mm": observed,
            "sd_mm": SD_MM,
            "setup": [f"S{s}" for s in setups],
        }
    )
    return Readings((Table("hall.csv", "staff", "", frame, pd.DataFrame(index=frame.index)),))


@pytest.fixture(scope="module")
def readings() -> Readings:
    made = hall()
    assert made.rows.shape[0] == 20_000
    return made


def test_everything(benchmark, readings):
    heights = benchmark.pedantic(adjust, (readings, "P0", 0.0), rounds=3, warmup_rounds=1)
    assert heights.redundancy == 20_000 - 10_400 + 1
    assert heights.residuals["redundancy"].sum() == pytest.approx(heights.redundancy, abs=1e-6)
    # Asked for: under 10 s with all sd and redundancy numbers.
    assert benchmark.stats["median"] < 10


def test_heights_and_residuals_against_lsqr(benchmark, readings):
    model = assemble([staff_rows(readings.rows)])
    solution = benchmark.pedantic(solve, (model, {"P0": 0.0}), rounds=3, warmup_rounds=1)
    kept = np.flatnonzero(model.names != "P0")
    begin = time.perf_counter()
    peer = lsqr(model.design[:, kept], model.observed_mm, atol=1e-13, btol=1e-13, iter_lim=20_000)
    peer_s = time.perf_counter() - begin
    # lsqr stops at 1e-13 relative to readings of 1.4e3 mm, worsened by the network's condition.
    assert solution.values[kept] == pytest.approx(peer[0], abs=1e-4)
    ratio = benchmark.stats["median"] / peer_s
    benchmark.extra_info.update(peer="scipy.sparse.linalg.lsqr", peer_s=peer_s, ratio=ratio)
    # Asked for: under 1 s; and no slower than the peer by more than the machine's noise.
    assert benchmark.stats["median"] < 1
    assert ratio < 2


def test_sd_and_redundancy_against_solves_by_splu(benchmark, readings):
    """The peer has no selected inverse: 200 columns of it are timed and taken 52 times."""
    model = assemble([staff_rows(readings.rows)])

    def quality() -> tuple[np.ndarray, np.ndarray]:
        solution = solve(model, {"P0": 0.0})
        return solution.height_sd_mm, solution.redundancy_numbers

    sd, _ = benchmark.pedantic(quality, rounds=3, warmup_rounds=1)
    kept = np.flatnonzero(model.names != "P0")
    design = model.design[:, kept]
    begin = time.perf_counter()
    factor = splu((design.T @ design / SD_MM**2).tocsc())
    right = np.zeros((kept.size, 200))
    right[np.arange(200), np.arange(200)] = 1
    columns = factor.solve(right)
    peer_s = (time.perf_counter() - begin) * kept.size / 200
    points = np.flatnonzero(model.kinds[kept][:200] == "height")
    wanted = dict(zip(model.names[kept][points], columns[points, points], strict=True))
    found = dict(zip(model.names[model.columns("height")], sd, strict=True))
    # Two direct solvers of one well-conditioned matrix.
    assert [found[p] ** 2 for p in wanted] == pytest.approx(list(wanted.values()), rel=1e-8)
    ratio = benchmark.stats["median"] / peer_s
    benchmark.extra_info.update(peer="scipy.sparse.linalg.splu", peer_s=peer_s, ratio=ratio)
    assert ratio < 0.5


def part_of_hall(readings: Readings, fields: int) -> Readings:
    """Return the readings of so many of the rows of fields: a hall of another size."""
    table = readings.tables[0]
    below = table.readings["y_mm"] < fields * 5 * 500.0
    inside = table.readings["setup"].str[1:].astype(int) < fields * 20
    frame = table.readings[below & inside].reset_index(drop=True)
    return Readings((Table("hall.csv", "staff", "", frame, pd.DataFrame(index=frame.index)),))


def seconds(work: Callable[[], object], times: int = 3) -> float:
    """Return the median time of a piece of work [s]."""
    taken = []
    for _ in range(times):
        begin = time.perf_counter()
        work()
        taken.append(time.perf_counter() - begin)
    return float(np.median(taken))


def test_time_grows_with_the_readings(readings):
    few = part_of_hall(readings, 5)
    share = len(readings.rows) / len(few.rows)
    assert 3.9 < share < 4.3
    small = seconds(lambda: adjust(few, "P0", 0.0))
    large = seconds(lambda: adjust(readings, "P0", 0.0))
    # n log n of four times as many is five times as long; the rest is for two busy cores.
    assert large < 8 * small


def test_shared_doubt_against_the_dense_covariance(readings):
    some = part_of_hall(readings, 8)
    solution = adjust(some, "P0", 0.0).solution
    assert len(some.places) > 3900
    ours = seconds(lambda: shared_doubt(solution))
    begin = time.perf_counter()
    dense = solution.height_covariance()
    ratio = (time.perf_counter() - begin) / ours
    own, factors = shared_doubt(solution)
    rows = np.arange(0, len(own), 97)
    found = factors[rows] @ factors.T
    found[np.arange(len(rows)), rows] += own[rows]
    # Rounding of sums of some hundred numbers near 1 mm².
    assert np.abs(found - dense[rows]).max() < 1e-9
    assert own.nbytes + factors.nbytes < dense.nbytes / 10
    assert ratio > 10


def test_loops_of_a_large_hall(benchmark, readings):
    heights = adjust(readings, "P0", 0.0)
    found = benchmark.pedantic(loops, (readings.rows, heights.solution), rounds=3, warmup_rounds=1)
    assert len(found) == heights.redundancy
    # Rounds of two set-ups over two points, and now and then one round a corner.
    assert found["round"].str.count("-").mean() < 4.3
    # 1 in 20 is beyond by chance: of 9,600 that hang together, from 4 to 6 in 100.
    assert 0.04 < found["beyond"].mean() < 0.06
    assert benchmark.stats["median"] < 10
