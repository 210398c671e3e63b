"""The window of heights: what can be made, what stops it, how many packers each needs."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from kit.job.amend import amend
from kit.show.window import height_window_table, reach


def test_reach_goes_beyond_the_wish_and_says_what_stops_it(answer: Any) -> None:
    found = reach(answer)
    assert found.asked_mm == (48, 66)
    assert found.low_mm < 48
    assert found.high_mm > 66
    assert "pack" in found.binding_low
    assert "longest stack" in found.binding_high


def test_curve_holds_the_chosen_height_at_its_fewest(answer: Any) -> None:
    curve = reach(answer).curve
    height = answer.datum.base_height_mm
    at = curve[(curve["from_mm"] <= height + 1e-6) & (curve["to_mm"] >= height - 1e-6)]
    assert at["pieces"].min() == answer.pieces
    asked = curve[(curve["to_mm"] >= 48) & (curve["from_mm"] <= 66)]
    assert asked["pieces"].min() == answer.pieces


def test_solving_at_other_heights_lies_on_the_curve(answer: Any) -> None:
    import kit

    curve = reach(answer).curve
    for height in (50.3, 57.9, 64.2):
        fixed = kit.solve(amend(answer.job, {"base[0].height_mm": height}))
        at = curve[(curve["from_mm"] <= height) & (curve["to_mm"] >= height)]
        assert fixed.pieces == at["pieces"].min()


def test_the_table_begins_with_what_was_chosen(answer: Any) -> None:
    rows = height_window_table(answer).rows
    assert int(rows[0][2]) == answer.pieces
    packers = [int(row[2]) for row in rows]
    assert packers == sorted(packers)
    assert answer.datum.binding_low in height_window_table(answer).note


def test_curve_has_no_two_values_inside_one_run(answer: Any) -> None:
    curve = reach(answer).curve
    assert (np.diff(curve["from_mm"]) > -1e-9).all()
    assert (curve["to_mm"] >= curve["from_mm"]).all()
    assert curve["pieces"].min() == pytest.approx(curve["pieces"].astype(int).min())
