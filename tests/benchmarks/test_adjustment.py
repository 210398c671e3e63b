"""A large hall: 10,000 points, 400 set-ups, 20,000 readings, beside SciPy's sparse solvers.

Run: python -m pytest tests/benchmarks/test_adjustment.py
"""

from __future__ import annotations

import time

import numpy as np
import pandas as pd
import pytest
from scipy.sparse.linalg import lsqr, splu

from kit.readings import Readings, Table, adjust
from kit.readings.equations import assemble, staff_rows
from kit.readings.least_squares import solve

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
