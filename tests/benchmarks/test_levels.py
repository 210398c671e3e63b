"""How long it takes to part long runs into zones, beside a general solver in the same run."""

import time
from itertools import pairwise

import numpy as np
import pytest

from kit.base.stack_rules import PackerKind, StackRules, to_units
from kit.levels.bay import Bay, StepRule, Tie, Way
from kit.levels.packing import Packing
from kit.levels.row_of_bays import best_of, part_row
from kit.levels.rows_together import level_together

PACKING = Packing.of(
    tuple(PackerKind(t, t) for t in (1.0, 3.0, 6.0, 18.0)), StackRules(0.5, 12, 160.0, 3.0)
)
STEP = StepRule(int(to_units(60)), int(to_units(200)))


def falling(count, fall_mm, seed=4):
    """Bays of 6 supports on a rough floor that falls by so much in all; each of 4 ways differs."""
    rng = np.random.default_rng(seed)
    bays = []
    for number in range(count):
        middle = -fall_mm * number / count
        floors = np.round(middle + rng.normal(0, 2, 8), 3)
        ways = tuple(Way(("",) * 6, to_units(floors[start : start + 6])) for start in (0, 1, 2, 2))
        low = float(floors.max())
        limits = (int(to_units(low + each)) for each in (3, 120, 500))
        bays.append(Bay(f"U{number}", ways, *limits))
    return bays


@pytest.mark.parametrize("count", [10, 100, 1000])
def test_a_run_is_parted(benchmark, count):
    bays = falling(count, 300)
    plans = benchmark.pedantic(part_row, args=(bays, PACKING, STEP, 4), rounds=3, warmup_rounds=1)
    benchmark.extra_info["seconds a bay"] = benchmark.stats["median"] / count
    assert best_of(plans) >= 3
    assert benchmark.stats["median"] < {10: 1, 100: 5, 1000: 60}[count]


def test_two_hundred_bays_in_seconds():
    start = time.process_time()
    plans = part_row(falling(200, 300), PACKING, STEP, 4)
    took = time.process_time() - start
    assert best_of(plans) >= 3
    assert took < 5


def test_beside_the_integer_programme(benchmark):
    bays = falling(8, 140)
    plans = benchmark.pedantic(part_row, args=(bays, PACKING, STEP, 2), rounds=3, warmup_rounds=1)
    start = time.perf_counter()
    peer = level_together(bays, [Tie(a, b) for a, b in pairwise(range(8))], PACKING, STEP, 2)
    took = time.perf_counter() - start
    ratio = benchmark.stats["min"] / took
    benchmark.extra_info["peer"] = "scipy.optimize.milp (HiGHS), the same row as a graph"
    benchmark.extra_info["times as long as the peer"] = ratio
    assert peer.packing == plans[best_of(plans)].packing
    assert ratio < 1
