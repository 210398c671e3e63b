"""Settlement of the rows, run by run, and the front lift that answers it."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from kit.job import Refusal
from kit.strength.joist_settlement import (
    Settlement,
    StackSag,
    lift_of,
    said_of,
    settlements_of,
)

STACKS = (
    StackSag("B1", "B", 0.5, 0.8),
    StackSag("M1", "M", 9.0, 11.0),
    StackSag("B2", "B", 1.3, 2.0),
    StackSag("F1", "F", 2.0, 3.0),
    StackSag("F2", "F", 2.2, 3.5),
    StackSag("F3", "F", 3.3, 6.4),
    StackSag("D1", "D", 7.0, 9.0),
)


def of_one(stacks) -> Settlement:
    (found,) = settlements_of(stacks)
    return found


def dropping(**drops: float) -> tuple[Settlement, ...]:
    """Runs whose front row goes down so much more than their back row, which goes down 0.25."""
    return settlements_of(
        [
            StackSag(f"{run}-{row}", row, 0.25 + mm, 0.25 + 2 * mm, run)
            for run, drop in drops.items()
            for row, mm in (("F", drop), ("B", 0.0))
        ]
    )


def test_rows_by_hand() -> None:
    found = of_one(STACKS)
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
    found = settlements_of(STACKS)
    assert lift_of(found) == pytest.approx(1.6)
    said = said_of(found)
    assert said.startswith(
        "at full contents the front row settles 2.50 mm and the back row 0.90 mm"
    )
    assert "a front lift of 1.60 mm" in said
    assert "leaves the 1.30 mm by which supports of the front row differ" in said


def test_words_in_another_unit() -> None:
    said = said_of(settlements_of(STACKS), lambda mm: f"{mm / 25.4:.3f} in")
    assert "a front lift of 0.063 in" in said
    assert "mm" not in said


def test_where_the_back_settles_more_there_is_no_lift() -> None:
    found = dropping(A=-0.7)
    assert found[0].front_drop_mm == pytest.approx(-0.7)
    assert lift_of(found) == 0.0
    assert said_of(found).endswith("the back goes down 0.70 mm more, which asks for no front lift")


def test_rows_that_go_down_alike() -> None:
    found = dropping(A=0.0)
    assert lift_of(found) == 0.0
    assert said_of(found).endswith("both go down alike, and a front lift of 0 answers it")


def test_lift_is_refused_above_ten_millimetres() -> None:
    assert lift_of(dropping(A=10.0)) == 10.0  # closed
    with pytest.raises(Refusal, match=r"base.front_lift_mm.* is 10\.1 mm; allowed: at most 10 mm"):
        lift_of(dropping(A=10.1))
    with pytest.raises(Refusal, match=r"is run D: 10\.2 mm; allowed: at most 10 mm"):
        lift_of(dropping(A=9.9, D=10.2))


def test_runs_settle_each_for_itself() -> None:
    """Unequal counts of stacks: no run's front drops, whatever mean of all rows one would take."""
    stacks = [
        *(StackSag(f"A-B{n}", "B", 0.2, 0.3, "A") for n in range(5)),
        StackSag("A-F1", "F", 0.2, 0.3, "A"),
        StackSag("C-B1", "B", 1.7, 2.5, "C"),
        *(StackSag(f"C-F{n}", "F", 1.7, 2.5, "C") for n in range(4)),
    ]
    found = settlements_of(stacks)
    assert [one.run for one in found] == ["A", "C"]
    assert [one.front_drop_mm for one in found] == pytest.approx([0.0, 0.0], abs=1e-12)
    assert lift_of(found) == pytest.approx(0.0, abs=1e-12)
    # The rows of both runs in one: 1.4 in front, 0.45 at the back.
    assert of_one([replace(one, run="") for one in stacks]).front_drop_mm == pytest.approx(0.95)


def test_runs_are_kept_in_their_order_and_named() -> None:
    found = dropping(window=0.4, alcove=-0.3)
    assert [one.run for one in found] == ["window", "alcove"]
    first, second = said_of(found).split("; run ")
    assert first.startswith("run window: at full contents the front row settles 0.65 mm")
    assert "leaves the 0.00 mm" in said_of(found)
    assert second.startswith("alcove: at full contents")


def test_one_lift_for_runs_that_want_nearly_the_same() -> None:
    assert lift_of(dropping(A=0.2, C=0.6, D=0.7)) == pytest.approx(0.5)
    assert lift_of(dropping(A=0.25, C=0.75)) == pytest.approx(0.5)  # 0.5 mm apart: closed
    # Where the back settles more the run wants none: 0 and 0.4 are 0.4 apart.
    assert lift_of(dropping(A=-30.0, C=0.4)) == pytest.approx(0.2)


def test_runs_that_want_other_lifts_are_refused_by_name() -> None:
    with pytest.raises(Refusal) as caught:
        lift_of(dropping(A=0.19, B=0.99))
    assert str(caught.value) == (
        'base.front_lift_mm: found "settlement", and the front rows drop unlike each other, run A'
        " 0.19 mm, run B 0.99 mm; allowed: runs that want lifts within 0.5 mm; set a number of"
        " millimetres"
    )


@pytest.mark.parametrize(("row", "name"), [("B", "back row"), ("F", "front row")])
def test_a_row_that_is_not_known(row: str, name: str) -> None:
    found = settlements_of([*STACKS, StackSag("X", row, math.nan, math.nan)])
    assert not found[0].known
    assert math.isnan(found[0].front_drop_mm)
    reason = f"{name}: X stands on joists that are not computed"
    assert said_of(found) == f"settlement not known: {reason}"
    with pytest.raises(Refusal, match=f"{reason}; allowed: a number"):
        lift_of(found)


def test_a_run_that_is_not_known_leaves_the_other_known() -> None:
    found = settlements_of(
        [
            *STACKS,
            StackSag("X1", "F", math.nan, math.nan, "C"),
            StackSag("X2", "F", math.nan, math.nan, "C"),
        ]
    )
    assert [one.known for one in found] == [True, False]
    reason = "front row: X1, X2 stand on joists that are not computed"
    assert found[1].why_unknown == f"back row: it has no stack; {reason}"
    with pytest.raises(Refusal, match=f"run C: back row: it has no stack; {reason}"):
        lift_of(found)


def test_rows_between_do_not_matter() -> None:
    found = of_one([*STACKS, StackSag("M2", "M", math.nan, math.nan)])
    assert found.known
    assert found.front_drop_mm == pytest.approx(1.6)


def test_a_row_without_stacks_is_not_known() -> None:
    found = of_one([stack for stack in STACKS if stack.row != "B"])
    assert not found.known
    assert found.why_unknown == "back row: it has no stack"
