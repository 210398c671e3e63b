"""How long scans take to be gathered and reduced, beside named peers in the same run.

``KIT_SCAN_POINTS`` sets how many points the LAZ files have (10 million unless given).
"""

import json
import os
import subprocess
import sys
import time
from pathlib import Path
from statistics import median

import laspy
import numpy as np
import pandas as pd
import pytest
from scipy.stats import binned_statistic_2d

from kit.scan.cloud import open_cloud
from kit.scan.gather import gather
from kit.scan.median_grid import median_grid
from kit.scan.medians import medians

POINTS = int(os.environ.get("KIT_SCAN_POINTS", "10_000_000"))
PIECE = 1_000_000
CELL = 50.0


def took(work):
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def in_turn(ours, peer, rounds=5):
    """Return the median times [s] of two works that are done alternately."""
    times = [(took(ours), took(peer)) for _ in range(rounds)]
    return median(t[0] for t in times), median(t[1] for t in times)


def swept(first, count, total, generator):
    """Return points [m] of a hall of 20 by 15 by 3.2 m, column by column from one place."""
    i = np.arange(first, first + count)
    azimuth = 2 * np.pi * (i // 2000) * 2000 / total
    rise = np.radians(-65 + 130 * (i % 2000) / 2000 + 1e-3)
    level = np.cos(rise)
    ray = np.stack([level * np.cos(azimuth), level * np.sin(azimuth), np.sin(rise)])
    at = np.array([[8.0], [6.0], [1.6]])
    size = np.array([[20.0], [15.0], [3.2]])
    with np.errstate(divide="ignore", invalid="ignore"):
        far = np.where(ray > 0, (size - at) / ray, np.where(ray < 0, -at / ray, np.inf))
    place = at + (far.min(axis=0) + generator.normal(0, 0.0015, count)) * ray
    place[2] += 0.004 * np.sin(place[0]) + 0.003 * np.cos(0.7 * place[1])
    return place


def write(path, points, point_format):
    header = laspy.LasHeader(
        point_format=point_format, version="1.4" if point_format > 5 else "1.2"
    )
    header.scales = [1e-4] * 3
    generator = np.random.default_rng(4)
    with laspy.open(path, "w", header=header) as file:
        for first in range(0, points, PIECE):
            count = min(PIECE, points - first)
            records = laspy.ScaleAwarePointRecord.zeros(count, header=header)
            whole = np.rint(swept(first, count, points, generator) * 1e4).astype(np.int32)
            records.X, records.Y, records.Z = whole
            records.intensity = generator.integers(200, 900, count)
            records.gps_time = (first + np.arange(count)) * 1e-5
            file.write_points(records)
    return path


@pytest.fixture(scope="module", params=[3, 7])
def laz(request, tmp_path_factory):
    path = tmp_path_factory.mktemp("hall") / f"hall-{request.param}.laz"
    yield write(path, POINTS, request.param)
    path.unlink()


def read_with_laspy(path):
    with laspy.open(path) as file:
        for records in file.chunk_iterator(PIECE):
            np.asarray(records.x), np.asarray(records.y), np.asarray(records.z)


def test_laz_to_layers_beside_laspy_reading_it(benchmark, laz):
    layers = gather(open_cloud(laz, laz.name, None), CELL, None)
    assert (layers.points, layers.left_out) == (POINTS, 0)
    ours, peer = in_turn(
        lambda: gather(open_cloud(laz, laz.name, None), CELL, None, points_at_once=PIECE),
        lambda: read_with_laspy(laz),
    )
    benchmark.extra_info["peer"] = "laspy chunk_iterator, same pieces, x, y, z as floats"
    benchmark.extra_info["share of the peer's speed"] = peer / ours
    benchmark.pedantic(lambda: gather(open_cloud(laz, laz.name, None), CELL, None), rounds=1)
    assert peer / ours >= 0.6


#: Linux hands a parent's ru_maxrss on to its child: the child's own peak stands in its status.
SCRIPT = """
import json, resource, sys
from pathlib import Path
from kit.scan.cloud import open_cloud
from kit.scan.gather import gather
path = Path(sys.argv[1])
layers = gather(open_cloud(path, path.name, None), 50.0, None)
status = Path("/proc/self/status")
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
if status.exists():
    peak = next(int(l.split()[1]) for l in status.open() if l.startswith("VmHWM"))
print(json.dumps({"peak_mb": peak / 1024, "points": layers.points, "boxes": len(layers.ix)}))
"""


def test_memory_of_a_laz_to_layers(benchmark, laz):
    def run():
        command = [sys.executable, "-c", SCRIPT, str(laz)]
        return json.loads(subprocess.run(command, check=True, capture_output=True).stdout)

    found = benchmark.pedantic(run, rounds=1)
    benchmark.extra_info.update(found)
    assert found["points"] == POINTS
    assert found["peak_mb"] < 1000


def floor(count):
    generator = np.random.default_rng(0)
    x, y = generator.uniform(0, 9000, count), generator.uniform(0, 6000, count)
    z = 0.002 * x + generator.normal(0, 1.5, count)
    other = generator.random(count) < 0.1
    z[other] = generator.uniform(0, 3000, count)[other]
    return x, y, z


def numbered(x, y):
    return np.floor(y / CELL).astype(np.int64) * 180 + np.floor(x / CELL).astype(np.int64)


@pytest.fixture(scope="module")
def ten_million():
    return floor(10_000_000)


def test_medians_beside_pandas(benchmark, ten_million):
    x, y, z = ten_million
    kept = {}

    def ours():
        cell = numbered(x, y)
        count = np.bincount(cell, minlength=180 * 120)
        kept["ours"] = medians(cell, z, 180 * 120, count)

    def peer():
        kept["peer"] = pd.Series(z).groupby(numbered(x, y)).median().to_numpy()

    mine, other = in_turn(ours, peer)
    assert np.array_equal(kept["ours"], kept["peer"])
    benchmark.extra_info["peer"] = "pandas groupby median, cells numbered alike"
    benchmark.extra_info["times as fast as the peer"] = other / mine
    benchmark.pedantic(ours, rounds=1)
    assert other / mine >= 1.0


def test_whole_grid_beside_pandas(benchmark, ten_million):
    x, y, z = ten_million

    def peer():
        cell = numbered(x, y)
        groups = pd.Series(z).groupby(cell)
        middle = groups.median().to_numpy()
        groups.count()
        pd.Series(np.abs(z - middle[cell])).groupby(cell).median()

    mine, other = in_turn(lambda: median_grid(x, y, z, CELL), peer, 3)
    benchmark.extra_info["peer"] = "pandas groupby: median, count, median absolute deviation"
    benchmark.extra_info["times as fast as the peer"] = other / mine
    benchmark.pedantic(lambda: median_grid(x, y, z, CELL), rounds=1)
    assert other / mine >= 1.0


def test_medians_and_whole_grid_beside_scipy(benchmark, ten_million):
    x, y, z = ten_million
    edges = [np.arange(121) * CELL, np.arange(181) * CELL]
    kept = {}

    def alone():
        cell = numbered(x, y)
        medians(cell, z, 180 * 120, np.bincount(cell, minlength=180 * 120))

    def whole():
        kept["ours"] = median_grid(x, y, z, CELL).height_mm

    def peer():
        kept["peer"] = binned_statistic_2d(y, x, z, "median", bins=edges).statistic

    times = [(took(alone), took(whole), took(peer)) for _ in range(3)]
    mine, grid, other = (median(column) for column in zip(*times, strict=True))
    assert np.array_equal(kept["ours"], kept["peer"])
    benchmark.extra_info["peer"] = "scipy binned_statistic_2d, median alone, all ten million"
    benchmark.extra_info["times as fast as the peer, median alone"] = other / mine
    benchmark.extra_info["times as fast as the peer, with the doubt"] = other / grid
    benchmark.pedantic(whole, rounds=1)
    assert other / mine >= 10
    # Two medians a cell, of heights and of how far they lie from it, where the peer makes one.
    assert other / grid >= 5


def test_points_grow_and_time_with_them(benchmark, tmp_path):
    """From 10^5 to 10^7 points, time grows no faster than points, within what a machine wavers."""
    took_of = {}
    for points in (100_000, 1_000_000, 10_000_000):
        path = write(Path(tmp_path) / f"{points}.laz", points, 3)
        took_of[points] = min(
            took(lambda p=path: gather(open_cloud(p, p.name, None), CELL, None)) for _ in range(2)
        )
    benchmark.extra_info["seconds"] = {str(k): round(v, 3) for k, v in took_of.items()}
    benchmark.pedantic(lambda: gather(open_cloud(path, path.name, None), CELL, None), rounds=1)
    assert took_of[10_000_000] < 1.5 * 100 * took_of[100_000]
