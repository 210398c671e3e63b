"""What the buying list takes: exact stacks floor by floor, against an integer programme."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

import kit
from kit.buying import buying_list
from kit.buying.floors import demand
from kit.methods.drawn import draw_floors
from kit.parts import Answer

DATA = Path(__file__).parents[2] / "data"
FLOORS = 200


@pytest.fixture(scope="module")
def answer() -> Answer:
    return kit.solve(kit.read_job(DATA / "reading-room"))


def fewest_packers(answer: Answer, targets_mm: np.ndarray) -> int:
    """Fewest packers that meet every target, by SciPy's integer programme (HiGHS)."""
    thick = np.array([one.thickness_mm for one in answer.job.stock.packers])
    off, supports = answer.base.tolerance_mm, len(targets_mm)
    rows = np.kron(np.eye(supports), thick)
    within = LinearConstraint(rows, targets_mm - off, targets_mm + off)
    whole = np.ones(rows.shape[1])
    found = milp(whole, constraints=within, integrality=whole, bounds=Bounds(0, 9))
    return round(float(found.fun))


def test_two_thousand_floors_against_an_integer_programme_each(
    benchmark: Any, answer: Answer
) -> None:
    """The peer finds only the fewest packers at the planned level, one programme a floor."""
    bought = benchmark.pedantic(buying_list, args=(answer,), rounds=3)
    assert bought.floors == 2000
    lies = [*draw_floors((answer,), FLOORS, 20).lies(answer.ground)]
    start = time.perf_counter()
    peer = [fewest_packers(answer, answer.datum.datum_mm - lie.supports_mm) for lie in lies]
    seconds = (time.perf_counter() - start) * 2000 / FLOORS
    found = demand(answer, FLOORS, 20)
    packers = [place for place, one in enumerate(found.things) if one.item == "packer"]
    assert found.counts[:, packers].sum(axis=1).tolist() == peer
    ratio = benchmark.stats.stats.median / seconds
    benchmark.extra_info.update(peer="scipy.optimize.milp on every floor", ratio=ratio)
    assert ratio < 1
