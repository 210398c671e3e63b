"""What the practice floor takes: ratios against a general library doing the same."""

from __future__ import annotations

import time
from typing import Any

import numpy as np
from scipy.optimize import linprog
from scipy.spatial import ConvexHull

from kit.practice.attempt import begin
from kit.practice.drills import DRILLS
from kit.practice.floors import make_floor
from kit.practice.grades import GRADES
from kit.practice.rest import rest
from kit.practice.tools import lay
from kit.show.practice.panel import Practice

AT_MM = np.linspace(0.0, 1800.0, 361)
HEIGHTS_MM = make_floor(41, GRADES[2]).heights_mm(700.0 + AT_MM, np.full(361, 480.0))


def seconds(work: Any, rounds: int = 5) -> float:
    """Least time of a few rounds [s]."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def test_a_level_comes_to_rest_against_a_linear_programme(benchmark: Any) -> None:
    """The peer: the lowest middle of a line above all places, by HiGHS."""
    lies = benchmark(rest, AT_MM, HEIGHTS_MM)
    above = np.column_stack([-np.ones(361), -(AT_MM - 900.0)])

    def lowest() -> Any:
        return linprog([1.0, 0.0], A_ub=above, b_ub=-HEIGHTS_MM, bounds=[(None, None)] * 2)

    # The same line, to what the programme calls solved.
    assert abs(float(lies.height_mm(900.0)) - lowest().x[0]) < 1e-6
    ratio = benchmark.stats.stats.median / seconds(lowest)
    benchmark.extra_info.update(peer="scipy.optimize.linprog", ratio=ratio)
    assert ratio < 1


def test_a_level_is_laid_against_the_hull_alone(benchmark: Any) -> None:
    """All of a first move, the heights under it too; the peer is Qhull on given heights."""
    move = lay("long", (700.0, 480.0), (2500.0, 480.0))

    def fresh() -> Any:  # a task keeps what lay once
        return (begin(DRILLS[0], 41, GRADES[2]),), {}

    seen = benchmark.pedantic(lambda attempt: attempt.after(move), setup=fresh, rounds=30)
    assert len(seen.done) == 1
    points = np.column_stack([AT_MM, HEIGHTS_MM])
    ratio = benchmark.stats.stats.median / seconds(lambda: ConvexHull(points))
    benchmark.extra_info.update(peer="scipy.spatial.ConvexHull", ratio=ratio)


def test_a_message_is_answered_against_the_move_alone(benchmark: Any) -> None:
    """What the kernel takes from a hand on the plan to the new page; the peer is the move."""
    panel = Practice("own_error", 41, "rough")
    typed = {"level": "long", "from": "700 480", "towards": "2500 480",
             "under_from": "", "under_to": ""}  # fmt: skip

    def once() -> None:
        panel.answer_hand({"kind": "begin", "drill": "own_error", "seed": "41", "grade": "rough",
                           "nickname": "", "folder": ""})  # fmt: skip
        panel.answer_hand({"kind": "move", "form": "lay", "typed": typed,
                           "task": panel.desk.begun})  # fmt: skip

    benchmark(once)
    assert len(panel.desk.attempt.done) == 1
    attempt = begin(DRILLS[1], 41, GRADES[2])
    move = lay("long", (700.0, 480.0), (2500.0, 480.0))
    ratio = benchmark.stats.stats.median / seconds(lambda: attempt.after(move))
    benchmark.extra_info.update(peer="the move without a page, begun anew", ratio=ratio)
