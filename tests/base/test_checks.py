"""Checks of a base that all ways of building share."""

import pandas as pd
import pytest

from kit.base.checks import clearance_checks, set_level_check
from kit.job import Base


def base_of(method: str, **more: float) -> Base:
    feet = ({"low_mm": 40.0, "high_mm": 65.0},)
    return Base.model_validate(
        {"name": "b", "method": method, "height_mm": 60.0, "feet": feet, **more}
    )


@pytest.mark.parametrize(
    ("within", "verdict"), [(0.3, "ok"), (0.35, "ok"), (0.35 + 1e-6, "refer"), (2.0, "refer")]
)
def test_what_is_set_by_hand_is_held_against_the_tolerance(within: float, verdict: str) -> None:
    row = set_level_check("feet.set_within_mm", within, base_of("feet", tolerance_mm=0.35))
    assert (row.subject, row.value, row.limit, row.unit) == ("b", within, 0.35, "mm")
    assert row.verdict == verdict
    assert row.source.startswith("feet.set_within_mm against base.tolerance_mm")


@pytest.mark.parametrize(("method", "along"), [("packers", "bearer"), ("stacks", "row")])
def test_room_is_that_under_what_lies_there(method: str, along: str) -> None:
    clearance = pd.DataFrame({"bearer": ["B", "F"], "least_mm": [2.5, 7.0]})
    under = pd.DataFrame({"bearer": ["B", "F", "F"], "surveyed": [True, True, False]})
    rows = list(clearance_checks(base_of(method), clearance, under))
    assert [row.check for row in rows] == [f"least room under {along}"] * 2
    assert [row.verdict for row in rows] == ["fail", "not_checked"]
