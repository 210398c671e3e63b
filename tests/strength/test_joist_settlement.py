"""Settlement of the rows, and the front lift that answers it."""

from __future__ import annotations

import math

import pytest

from kit.job import Refusal
from kit.strength.joist_settlement import Settlement, StackSag, settlement_of

STACKS = (
    StackSag("B1", "B", 0.5, 0.8),
    StackSag("M1", "M", 9.0, 11.0),
    StackSag("B2", "B", 1.3, 2.0),
    StackSag("F1", "F", 2.0, 3.0),
    StackSag("F2", "F", 2.2, 3.5),
    StackSag("F3", "F", 3.3, 6.4),
    StackSag("D1", "D", 7.0, 9.0),
)


def fronts(front: float, back: float = 0.25) -> Settlement:
    return settlement_of([StackSag("F1", "F", front, front), StackSag("B1", "B", back, back)])


def test_rows_by_hand() -> None:
    found = settlement_of(STACKS)
    assert found.back.inst_mm == pytest.approx((0.9, 0.5, 1.3))
    assert found.back.final_mm == pytest.approx((1.4, 0.8, 2.0))
    assert found.front.inst_mm == pytest.approx((2.5, 2.0, 3.3))
    assert found.front.final_mm == pytest.approx((4.3, 3.0, 6.4))
    assert found.front_drop_mm == pytest.approx(1.6)
    assert found.front_drop_final_mm == pytest.approx(2.9)
    assert (found.front.differs_mm, found.back.differs_mm) == pytest.approx((1.3, 0.8))
    assert (found.front.differs_final_mm, found.back.differs_final_mm) == pytest.approx((3.4, 1.2))
    assert (found.front.mean_final_mm, found.back.mean_inst_mm) == pytest.approx((4.3, 0.9))


def test_lift_is_the_drop_at_once() -> None:
    found = settlement_of(STACKS)
    assert found.front_lift_mm() == pytest.approx(1.6)
    assert "a front lift of 1.60 mm" in found.said
    assert "leaves the 1.30 mm by which stacks of the front row differ" in found.said


def test_where_the_back_settles_more_there_is_no_lift() -> None:
    found = fronts(0.2, 0.9)
    assert found.front_drop_mm == pytest.approx(-0.7)
    assert found.front_lift_mm() == 0.0
    assert "a front lift of 0 answers it" in found.said


def test_lift_is_refused_above_ten_millimetres() -> None:
    assert fronts(10.25).front_lift_mm() == 10.0  # closed
    with pytest.raises(Refusal, match=r"base.front_lift_mm.* 10\.1 mm; allowed: at most 10 mm"):
        fronts(10.35).front_lift_mm()


@pytest.mark.parametrize("row", ["B", "F"])
def test_a_row_that_is_not_known(row: str) -> None:
    found = settlement_of([*STACKS, StackSag("X", row, math.nan, math.nan)])
    assert not found.known
    assert math.isnan(found.front_drop_mm)
    assert "not known" in found.said
    with pytest.raises(Refusal, match=r"joists that are not computed; allowed: a number"):
        found.front_lift_mm()


def test_rows_between_do_not_matter() -> None:
    found = settlement_of([*STACKS, StackSag("M2", "M", math.nan, math.nan)])
    assert found.known
    assert found.front_drop_mm == pytest.approx(1.6)


def test_a_row_without_stacks_is_not_known() -> None:
    assert not settlement_of([stack for stack in STACKS if stack.row != "B"]).known
