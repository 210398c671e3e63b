"""A person's own weights: the score by hand, and where the ranking turns."""

from __future__ import annotations

import math

import pytest

from kit.job import Refusal
from kit.side_by_side import weigh

WEIGHTS = {"cost": 2.0, "hours": 1.0, "fixing_m": 0.25, "floor_screws": 0.5}


def test_shares_and_score_by_hand(packers_and_feet) -> None:
    weighing = weigh(packers_and_feet, WEIGHTS)
    a = {row.key: row.a.value for row in packers_and_feet.rows}
    b = {row.key: row.b.value for row in packers_and_feet.rows}
    shares = {one.row.key: one.share for one in weighing.weighed}
    # The feet cost more, take less time, give no line to screw to, and put no screw in the floor.
    assert shares["cost"] == pytest.approx((b["cost"] - a["cost"]) / b["cost"])
    assert shares["hours"] == pytest.approx((b["hours"] - a["hours"]) / a["hours"])
    assert (shares["fixing_m"], shares["floor_screws"]) == (1.0, -1.0)
    by_hand = 2 * shares["cost"] + shares["hours"] + 0.25 - 0.5
    assert weighing.score == pytest.approx(by_hand)
    assert weighing.winner == packers_and_feet.names[0 if by_hand > 0 else 1]
    assert weighing.table()["part"].sum() == pytest.approx(by_hand)


def test_at_the_weight_where_it_turns_both_come_out_alike(packers_and_feet) -> None:
    weighing = weigh(packers_and_feet, WEIGHTS)
    turning = [one for one in weighing.weighed if not math.isnan(one.turns_at)]
    assert len(turning) >= 2
    for one in turning:
        there = weigh(packers_and_feet, {**WEIGHTS, one.row.key: one.turns_at})
        # A sum of four products of order 1: round-off only.
        assert there.score == pytest.approx(0.0, abs=1e-12)
        for change in (-0.01, 0.01):
            beside = weigh(packers_and_feet, {**WEIGHTS, one.row.key: one.turns_at + change})
            assert (beside.score > 0) == (change * one.share > 0)


def test_swapped_the_score_changes_its_sign(comparison_of) -> None:
    one, other = "bearers on packers", "screw feet"
    forth = weigh(comparison_of("reading-room", one, other), WEIGHTS)
    back = weigh(comparison_of("reading-room", other, one), WEIGHTS)
    assert (back.score, back.winner) == (-forth.score, forth.winner)
    assert [w.turns_at for w in back.weighed] == pytest.approx(
        [w.turns_at for w in forth.weighed], nan_ok=True
    )


def test_what_does_not_differ_weighs_nothing(packers_and_feet) -> None:
    weighing = weigh(packers_and_feet, {"fail": 5.0})
    (one,) = weighing.weighed
    assert (one.share, weighing.score, weighing.winner) == (0.0, 0.0, "")
    assert math.isnan(one.turns_at)


def test_what_is_not_known_is_left_out_by_name(packers_and_feet) -> None:
    weights = {"margin bearer bending": 3.0, "hours": 1.0, "packers": 2.0}
    weighing = weigh(packers_and_feet, weights)
    # Packers too: feet have none, which makes them no better.
    assert weighing.left_out == ("least margin: bearer bending", "packers")
    assert weighing.score == weigh(packers_and_feet, {"hours": 1.0}).score


@pytest.mark.parametrize(
    ("weights", "message"),
    [
        ({"beauty": 1.0}, "measure: found 'beauty'"),
        ({"cost": -1.0}, "weight of 'cost': found -1; allowed: 0 to 1e\\+06"),
        ({"cost": math.nan}, "weight of 'cost': found nan; allowed: 0 to 1e\\+06"),
        ({"cost": 1e308}, "weight of 'cost': found 1e\\+308; allowed: 0 to 1e\\+06"),
        ({"top_mm": 1.0}, "zero, of which neither more nor less is better"),
    ],
)
def test_bad_weights_are_refused(packers_and_feet, weights, message: str) -> None:
    with pytest.raises(Refusal, match=message):
        weigh(packers_and_feet, weights)
