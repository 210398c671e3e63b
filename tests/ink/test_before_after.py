"""Supports before and after: against which level, and how far a drawing has to reach."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from kit.as_built import Checked
from kit.as_built.changes import no_changes
from kit.as_built.feet_turns import NO_TURNS
from kit.ink.before_after import before_after, greatest_mm, to_change


def test_both_are_told_against_the_level_that_the_base_comes_to(checked: Checked) -> None:
    told = before_after(checked)
    shift = checked.changes.level_mm - checked.level.level_mm
    assert shift
    assert (told["off_mm"] - told["before_mm"]).to_numpy() == pytest.approx(shift)
    assert told["support"][told["changed"]].tolist() == ["B5", "F8"]
    stay = told[~told["changed"]]
    assert (stay["after_mm"] == stay["before_mm"]).all()
    assert (told["after_mm"].abs() <= checked.tolerance_mm).all()


def test_without_changes_nothing_comes_after(checked: Checked) -> None:
    told = before_after(replace(checked, changes=replace(checked.changes, possible=False)))
    assert told["before_mm"].tolist() == checked.supports["off_mm"].tolist()
    assert told["after_mm"].isna().all()
    assert not told["changed"].any()


def test_what_was_not_read_is_left_out(checked: Checked) -> None:
    supports = checked.supports.assign(off_mm=checked.supports["off_mm"].where(
        checked.supports["row"] != "D"))  # fmt: skip
    told = before_after(replace(checked, supports=supports))
    assert {*told["row"]} == {"B", "F"}


def test_the_reach_holds_doubts_changes_and_tolerance(checked: Checked) -> None:
    told = before_after(checked)
    worst = told.set_index("support").loc["F8"]  # the lowest; B5 is less high
    assert greatest_mm(told, 1.0) == pytest.approx(-worst["before_mm"] + 2 * worst["sd_mm"])
    assert greatest_mm(told.assign(after_mm=-7.5), 1.0) == 7.5
    assert greatest_mm(told.assign(after_mm=np.nan), 5.0) == 6.0


def test_feet_are_turned_and_stacks_are_opened(checked: Checked) -> None:
    assert (to_change(checked).word, to_change(checked).names) == ("opened", ("B5", "F8"))
    names = checked.supports["support"]
    table = pd.DataFrame({
        "support": names, "turned": names == "F8", "off_before_mm": checked.supports["off_mm"],
        "off_after_mm": 0.1,
    })  # fmt: skip
    turns = replace(NO_TURNS, table=table, level_mm=checked.level.level_mm)
    feet = replace(no_changes(1.0), turns=turns)
    told = before_after(replace(checked, changes=feet)).set_index("support")
    assert told["changed"].sum() == 1
    assert told.loc["F8", ["word", "after_mm"]].tolist() == ["turned", 0.1]
    assert told["before_mm"].tolist() == checked.supports["off_mm"].tolist()
    none = replace(feet, turns=replace(turns, level_mm=math.nan))
    assert to_change(replace(checked, changes=none)).names == ()
