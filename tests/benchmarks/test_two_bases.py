"""What two bases side by side take: ratios against solving, and against drawing the floors."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import kit
from kit.methods import as_expected, method_of
from kit.parts import Answer

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture(scope="module")
def answers() -> dict[str, Answer]:
    job = kit.read_job(DATA / "reading-room")
    first = kit.solve(job)
    return {base.name: kit.solve(job, base.name, before=first) for base in job.bases}


def seconds(work: Any, rounds: int = 3) -> float:
    """Least time of a few rounds [s]."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def test_comparing_on_200_floors_against_solving_200_times(
    benchmark: Any, answers: dict[str, Answer]
) -> None:
    """Only level and bill are worked out anew on each floor; a whole answer is the peer."""
    a, b = answers["bearers on packers"], answers["screw feet"]
    compared = benchmark(kit.compare, a, b)
    assert compared.doubt.floors == 200
    peer = 200 * seconds(lambda: kit.solve(a.job, b.base.name, before=b))
    ratio = benchmark.stats.stats.median / peer
    benchmark.extra_info.update(peer="a re-solved answer for every floor", ratio=ratio)
    assert ratio < 1


@pytest.mark.parametrize(
    "base",
    ["bearers on packers", "screw feet", "ladder frame", "levelling compound",
     "stacks without bearers"],
)  # fmt: skip
def test_a_level_and_a_bill_against_one_draw_of_the_floor(
    benchmark: Any, answers: dict[str, Answer], base: str
) -> None:
    """What each way of building asks of every floor drawn; the peer is drawing those places."""
    answer = answers[base]
    job, ground, method = answer.job, answer.ground, method_of(answer.base)
    expected = as_expected(ground)

    def once() -> int:
        datum = method.set_level(job, answer.base, ground, expected)
        bill = method.bill(job, answer.base, ground, expected, datum, answer.screws)
        return len(bill.items)

    assert benchmark(once) > 0
    x, y = (ground.known[name].to_numpy(dtype=float) for name in ("x_mm", "y_mm"))
    one_draw = seconds(lambda: answer.surface.draws(x, y, 200, 1)) / 200
    ratio = float(np.median(benchmark.stats.stats.median) / one_draw)
    benchmark.extra_info.update(peer="one of 200 draws of the floor under it", ratio=ratio)
    assert ratio < 100
