"""How long the floor in gathered layers takes, and that it grows with the cells alone."""

import time
from typing import Any

import numpy as np
import pandas as pd

from kit.scan.layers import Layers
from kit.scan.lowest import find_floor


def hall(n: int, seed: int = 0) -> Layers:
    """n by n cells of 50 mm, about 100 points of floor in each, stray ones and some tables."""
    rng = np.random.default_rng(seed)
    iy, ix = np.divmod(np.arange(n * n), n)
    floor = 0.25 * ix + 0.15 * iy + 8 * np.sin(ix / 40) * np.cos(iy / 50)
    bottom = np.floor(floor / 2).astype(np.int64)
    slabs = bottom[:, None] + np.arange(-3, 4)
    near = rng.poisson(40 * np.exp(-((slabs * 2 + 1 - floor[:, None]) ** 2) / 8))
    stray = bottom[:, None] + rng.integers(10, 350, (n * n, 4))
    table = (ix // 20 % 5 == 0) & (iy // 20 % 4 == 0)
    tops = bottom[:, None] + 360 + np.arange(3)
    on = rng.poisson(60, (n * n, 3)) * table[:, None]
    iz = np.concatenate([slabs, stray, tops], axis=1)
    count = np.concatenate([near, rng.poisson(0.7, (n * n, 4)), on], axis=1)
    cell = np.repeat(np.arange(n * n), iz.shape[1])
    rows = pd.DataFrame({"cell": cell, "iz": iz.ravel(), "n": count.ravel()})
    rows = rows[rows["n"] > 0].groupby(["cell", "iz"], as_index=False)["n"].sum()
    where, held = rows["cell"].to_numpy(), rows["n"].to_numpy()
    y, x = np.divmod(where, n)
    return Layers(50.0, 2.0, x, y, rows["iz"].to_numpy(), held, held * 1024, int(held.sum()), 0)


def median_s(layers: Layers, times: int) -> float:
    took = []
    for _ in range(times):
        begin = time.perf_counter()
        find_floor(layers)
        took.append(time.perf_counter() - begin)
    return float(np.median(took))


def test_time_grows_with_the_cells_alone(benchmark: Any) -> None:
    """Peer: the same on a tenth of the cells. Per cell it takes no more than 2.2 times as long."""
    small, large = hall(316), hall(1000)
    one = median_s(small, 5)
    found = benchmark.pedantic(find_floor, args=(large,), rounds=3, iterations=1)
    ratio = benchmark.stats.stats.median / one / (1000**2 / 316**2)
    benchmark.extra_info["ratio"] = ratio
    assert found.grid.known.mean() > 0.999
    assert ratio < 2.2, ratio
