"""Tables of packers and screws of a base on stacks."""

from pathlib import Path

import pandas as pd
import pytest

import kit
from kit.methods.method import with_targets
from kit.methods.stacking import into_the_floor, screw_table, stack_table
from kit.parts import Answer

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture(scope="module")
def answer() -> Answer:
    return kit.solve(kit.read_job(DATA / "reading-room"), "bearers on packers")


def test_packers_are_listed_from_the_floor_with_what_they_measure(answer: Answer) -> None:
    job, datum = answer.job, answer.datum
    table = stack_table(job, answer.supports, datum)
    for support, stack in zip(answer.supports["support"], datum.plan.stacks, strict=True):
        rows = table[table["support"] == support]
        assert rows["position"].tolist() == list(range(1, len(stack) + 1))
        assert rows["nominal_mm"].tolist() == [job.stock.packers[kind].mm for kind in stack]
    # the 18 mm ones were measured at 17.8
    assert set(table[table["nominal_mm"] == 18.0]["thickness_mm"]) == {17.8}
    assert set(table[table["nominal_mm"] == 6.0]["thickness_mm"]) == {6.0}


def test_without_a_bearer_no_screw_goes_through_one(answer: Answer) -> None:
    supports = with_targets(answer.ground, answer.datum)
    with_bearer = screw_table(answer.job, supports, answer.datum, 20.0)
    without = screw_table(answer.job, supports, answer.datum, 0.0)
    assert with_bearer.equals(answer.screws)
    assert "bearer" in set(with_bearer["step"])
    assert "bearer" not in set(without["step"])
    assert set(without["support"]) == set(supports["support"])


def test_screws_into_the_floor_are_those_whose_point_is_below_it() -> None:
    points = [3.5, 0.0, -2.0, float("nan"), 12.25]
    assert into_the_floor(pd.DataFrame({"point_below_floor_mm": points})) == 2
