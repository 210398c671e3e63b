"""A pour over a floor that is not known exactly: too thin, too deep, and what can be done."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
import pytest

import kit
from kit.base.datum import Bound, Datum, Window
from kit.base.stack_plan import without_stacks
from kit.job import Base, Compound, Job
from kit.methods.pour_doubt import (
    SURE_DEEPEST,
    SURE_DEPTH,
    SurePour,
    doubt_cautions,
    doubt_checks,
    sure_pour,
)
from kit.parts import Answer

KNOWN = pd.DataFrame(
    {
        "bearer": ["press", "press", "chest", "chest"],
        "height_mm": [7.0, 3.0, -1.0, -10.0],
        "sd_mm": [0.4, 0.3, 0.5, 0.6],
    }
)
ELSE = "Read that place again, or take another compound or another way of building."


def compound(greatest_mm: float) -> Compound:
    made = {"least_mm": 3.0, "powder_kg_per_l": 1.7, "set_kg_per_l": 2.0}
    drying = ({"to_mm": 40.0, "days": 3.0},)
    return Compound.model_validate({**made, "greatest_mm": greatest_mm, "drying": drying})


def pour(greatest_mm: float, most_mm: float = 30.0, level_mm: float = 10.0) -> SurePour:
    window = Window(Bound(level_mm, "low"), Bound(most_mm, "high"))
    plan = without_stacks(level_mm, 2, [(level_mm, most_mm)])
    return sure_pour(compound(greatest_mm), KNOWN, Datum(window, plan, 7.0, 0.0, 0.0))


def said(greatest_mm: float, **level: float) -> list[str]:
    return list(doubt_cautions(compound(greatest_mm), pour(greatest_mm, **level)))


def test_both_ends_by_hand() -> None:
    # 10 - 7 - 1.645 x 0.4; 10 + 10 + 1.645 x 0.6. Round-off.
    least, greatest = doubt_checks(compound(21.0), pour(21.0))
    assert (least.check, least.subject, least.verdict) == (SURE_DEPTH, "press", "refer")
    assert least.value == pytest.approx(2.342)
    assert (greatest.check, greatest.subject, greatest.verdict) == (SURE_DEEPEST, "chest", "ok")
    assert greatest.value == pytest.approx(20.987)
    assert (least.limit, greatest.limit) == (3.0, 21.0)
    assert [row.verdict for row in doubt_checks(compound(20.9), pour(20.9))] == ["refer", "refer"]


def test_higher_is_said_only_where_it_then_is_nowhere_too_deep() -> None:
    # 0.658 mm are missing, and 20.987 + 0.658 = 21.645 mm would be the deepest.
    (high,) = said(21.65)
    assert high.endswith("Pour 0.7 mm higher, or read that place again.")
    (low,) = said(21.64)
    assert low.endswith(f"wants 3 mm. {ELSE}")
    thin, _ = doubt_checks(compound(21.64), pour(21.64))
    assert "more of height_mm" not in thin.source
    thin, _ = doubt_checks(compound(21.65), pour(21.65))
    assert "0.7 mm more of height_mm make it as sure" in thin.source


def test_higher_is_said_only_where_the_window_allows_it() -> None:
    assert "Pour 0.7 mm higher" in said(30.0, most_mm=10.66)[0]
    assert said(30.0, most_mm=10.65)[0].endswith(ELSE)


def test_too_deep_says_by_how_much_and_never_to_pour_higher() -> None:
    thin, deep = said(20.9)
    assert thin.endswith(ELSE)
    assert "(chest) 5 of 100 floors that fit the readings take 21.0 mm of compound or more" in deep
    assert deep.endswith(f"allows 20.9 mm. {ELSE}")
    assert not said(30.0, level_mm=11.0)


def test_the_greatest_depth_is_that_of_drawn_floors(poured: Answer) -> None:
    row = poured.checks.set_index("check").loc[SURE_DEEPEST]
    known = poured.ground.known
    x, y = known["x_mm"].to_numpy(), known["y_mm"].to_numpy()
    depths = poured.datum.datum_mm - poured.surface.draws(x, y, 4000, 5)
    # The 95 % quantile of 4,000 draws of sd 0.5 mm is good to about 0.02 mm; the greatest over
    # some 800 places that hang together is higher by a few of those.
    assert row["value"] == pytest.approx(np.quantile(depths, 0.95, axis=0).max(), abs=0.08)
    assert (row["limit"], row["verdict"]) == (30.0, "ok")


def test_a_job_of_which_the_maker_allows_hardly_more_than_is_expected(
    poured: Answer, pour_of: Callable[..., Base], job_with: Callable[..., Job]
) -> None:
    expected: Any = poured.details["zones.csv"]["greatest_mm"].max()
    base = pour_of({"greatest_mm": float(expected) + 0.1, "drying": ({"to_mm": expected + 0.1,
                                                                    "days": 2.0},)})  # fmt: skip
    answer = kit.solve(job_with("reading-room", base))
    assert answer.checks.set_index("check").loc[SURE_DEEPEST, "verdict"] == "refer"
    doubts = [one for one in answer.cautions if one.startswith("The floor is not known")]
    assert len(doubts) == 2
    assert all(one.endswith(ELSE) for one in doubts)
    (dries,) = [one for one in answer.cautions if one.startswith("Nothing stands on it")]
    assert "for 2 days, longer than its maker says where the floor lies" in dries


def test_drying_says_what_a_lower_floor_asks_for_and_the_bill_stays(
    poured: Answer, pour_of: Callable[..., Base], job_with: Callable[..., Job]
) -> None:
    expected: Any = poured.details["zones.csv"]["greatest_mm"].max()
    steps = ({"to_mm": float(expected) + 0.1, "days": 2.0}, {"to_mm": 30.0, "days": 6.0})
    answer = kit.solve(job_with("reading-room", pour_of({"drying": steps})))
    (dries,) = [one for one in answer.cautions if one.startswith("Nothing stands on it")]
    assert dries.startswith("Nothing stands on it for 2 days, 6 where the floor lies ")
    assert answer.bill.wait_days == 2.0
    assert answer.details["zones.csv"]["dry_days"].max() == 2.0
