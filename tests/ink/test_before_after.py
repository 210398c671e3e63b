"""Supports before and after: against which level, and how far a drawing has to reach."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kit.as_built import Checked
from kit.ink.before_after import before_after, greatest_mm


def test_both_are_told_against_the_level_that_the_base_comes_to(checked: Checked) -> None:
    told = before_after(checked)
    shift = checked.changes.level_mm - checked.level.level_mm
    assert shift == pytest.approx(0.3)  # -2.9 and -3.2 mm
    assert (told["off_mm"] - told["before_mm"]).to_numpy() == pytest.approx(shift)
    assert told["support"][told["opened"]].tolist() == ["B5", "F8"]
    stay = told[~told["opened"]]
    assert (stay["after_mm"] == stay["before_mm"]).all()
    assert (told["after_mm"].abs() <= checked.tolerance_mm).all()


def test_without_changes_nothing_comes_after(checked: Checked) -> None:
    told = before_after(replace(checked, changes=replace(checked.changes, possible=False)))
    assert told["before_mm"].tolist() == checked.supports["off_mm"].tolist()
    assert told["after_mm"].isna().all()
    assert not told["opened"].any()


def test_what_was_not_read_is_left_out(checked: Checked) -> None:
    supports = checked.supports.assign(off_mm=checked.supports["off_mm"].where(
        checked.supports["row"] != "D"))  # fmt: skip
    told = before_after(replace(checked, supports=supports))
    assert {*told["row"]} == {"B", "F"}


def test_the_reach_holds_doubts_changes_and_tolerance(checked: Checked) -> None:
    told = before_after(checked)
    worst = told.set_index("support").loc["F8"]  # 3.7 mm low
    assert greatest_mm(told, 1.0) == pytest.approx(3.7 + 2 * worst["sd_mm"])
    assert greatest_mm(told.assign(after_mm=-7.5), 1.0) == 7.5
    assert greatest_mm(told.assign(after_mm=np.nan), 5.0) == 6.0
