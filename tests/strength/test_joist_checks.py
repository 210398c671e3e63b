"""The rows of checks that joists give."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from kit.base.checks import Check
from kit.job import Joists
from kit.strength.joist_checks import joist_checks
from kit.strength.joists import Pressed, joists_under

JOISTS = Joists(
    along="y",
    width_mm=47.0,
    depth_mm=195.0,
    centres_mm=400.0,
    first_mm=150.0,
    bearing_mm=(0.0, 3600.0),
    strength_class="C16",
)

# The heaviest stack, F2, stands on the joist at 550.
BASE = (
    Pressed("B1", "B", 150.0, 67.0, 110.0, 330.0),
    Pressed("B2", "B", 560.0, 67.0, 180.0, 420.0),
    Pressed("F1", "F", 160.0, 720.0, 120.0, 310.0),
    Pressed("F2", "F", 550.0, 720.0, 190.0, 910.0),
    Pressed("F3", "F", 910.0, 720.0, 20.0, 60.0),
)


def rows_of(pressed=BASE, joists: Joists | None = JOISTS, kind="boarded") -> dict[str, Check]:
    checks = list(joist_checks(joists_under(joists, kind, pressed, 1)))
    assert len({row.check for row in checks}) == len(checks)
    return {row.check: row for row in checks}


def heavier(factor: float) -> list[Pressed]:
    return [replace(stack, stored_n=factor * stack.stored_n) for stack in BASE]


def test_rows_and_their_order() -> None:
    assert list(rows_of()) == [
        "first and last joist",
        "joist bending",
        "joist shear",
        "joist deflection, final",
        "bearing of joist",
        "front row settles more than the back row",
        "settlement differs along the front row",
        "boards between joists",
    ]


def test_the_worst_joist_is_named_with_its_loads() -> None:
    rows, work = rows_of(), joists_under(JOISTS, "boarded", BASE, 1)
    for check in ("joist bending", "joist shear", "joist deflection, final"):
        assert rows[check].subject == "joist at x = 550 mm"
        assert rows[check].verdict == "ok"
    worst = work.joists[1]
    assert rows["joist bending"].value == worst.bending.ratio
    assert rows["joist shear"].value == worst.shear.ratio
    assert (rows["joist bending"].limit, rows["joist bending"].unit) == (1.0, "ratio")
    assert "EN 1995-1-1 6.1.6" in rows["joist bending"].source
    assert "room 1.5 kN/m2" in rows["joist bending"].source
    assert "kmod 0.8, ksys 1.1; ok approves no floor" in rows["joist bending"].source
    assert "EN 1995-1-1 6.1.7" in rows["joist shear"].source
    assert "the room's use comes on top" in rows["joist deflection, final"].source


def test_ratios_above_one_are_referred_never_failed() -> None:
    rows = rows_of(heavier(25.0))
    for check in ("joist bending", "joist shear"):
        assert rows[check].value > 1
        assert rows[check].verdict == "refer"
    assert "1.5 stored, kmod 0.7" in rows["joist bending"].source


def test_permanent_loads_may_govern() -> None:
    bare = JOISTS.model_copy(update={"imposed_kn_per_m2": 0.0})
    source = rows_of(heavier(0.0), bare)["joist bending"].source
    assert "1.35 (furniture's own mass, floor 0.5 kN/m2), kmod 0.6" in source


def test_deflection_against_its_own_span() -> None:
    rows = rows_of()
    row = rows["joist deflection, final"]
    assert (row.limit, row.unit) == (3600.0 / 250, "mm")
    assert 0 < row.value < row.limit
    # Sag is linear: with the loads at which it comes to the limit it is still ok, beyond not.
    just = [
        replace(
            stack,
            permanent_n=stack.permanent_n * row.limit / row.value,
            stored_n=stack.stored_n * row.limit / row.value,
        )
        for stack in BASE
    ]
    assert rows_of(just)["joist deflection, final"].verdict == "ok"
    more = [replace(stack, permanent_n=stack.permanent_n * 1.001) for stack in just]
    assert rows_of(more)["joist deflection, final"].verdict == "refer"


def test_deflection_of_the_span_that_sags_most_for_its_length() -> None:
    """A stack in a short span on one joist, and one in a long span that sags more on the other."""
    joists = JOISTS.model_copy(update={"bearing_mm": (0.0, 900.0, 4500.0)})
    short = Pressed("B1", "B", 150.0, 450.0, 30000.0)
    long = Pressed("F1", "F", 550.0, 2700.0, 1500.0)
    work = joists_under(joists, "boarded", [short, long], 1)
    first, second = work.joists
    assert first.greatest_final_mm < second.greatest_final_mm
    row = rows_of([short, long], joists)["joist deflection, final"]
    assert (row.subject, row.limit) == ("joist at x = 150 mm", 900.0 / 250)
    assert row.value == first.greatest_final_mm


def test_settlement_rows() -> None:
    rows, work = rows_of(), joists_under(JOISTS, "boarded", BASE, 1)
    drop = rows["front row settles more than the back row"]
    assert drop.value == work.settlement.front_drop_mm
    assert (drop.limit, drop.verdict, drop.subject) == (2.0, "ok", "front row")
    assert drop.source == f"common practice, no source; {work.said}"
    along = rows["settlement differs along the front row"]
    assert along.value == work.settlement.front.differs_mm
    assert (along.limit, along.verdict) == (2.0, "ok")
    rows = rows_of(heavier(25.0))
    assert rows["front row settles more than the back row"].verdict == "refer"
    assert rows["settlement differs along the front row"].verdict == "refer"


def test_where_the_back_settles_more_the_value_is_negative_and_ok() -> None:
    turned = [replace(stack, row="F" if stack.row == "B" else "B") for stack in heavier(25.0)]
    row = rows_of(turned)["front row settles more than the back row"]
    assert row.value < -2
    assert row.verdict == "ok"


def test_what_is_taken_for_granted_is_said() -> None:
    row = rows_of()["first and last joist"]
    assert row.verdict == "not_checked"
    assert row.source == "a joist is taken to lie beyond the last stack, at x = 950 mm: B2, F3"
    before = [*BASE, Pressed("B0", "B", 20.0, 67.0, 5.0), Pressed("F4", "F", 950.0, 720.0, 5.0)]
    source = rows_of(before)["first and last joist"].source
    assert source.startswith("the first joist is taken to carry all of what stands before it: B0")


def test_nothing_is_taken_for_granted_where_all_stand_between_joists() -> None:
    on_joists = [replace(stack, x_mm=150.0 + 400.0 * (stack.x_mm > 300.0)) for stack in BASE]
    assert "first and last joist" not in rows_of(on_joists)


def test_joists_with_stacks_beyond_their_bearings() -> None:
    pressed = [*BASE, Pressed("B3", "B", 910.0, -40.0, 800.0)]
    rows = rows_of(pressed)
    assert rows["joists"].subject == "joists at x = 550, 950 mm"
    assert rows["joists"].source == "B3: beyond the outermost bearings, 0 to 3600 mm"
    assert rows["joists"].verdict == "not_checked"
    # The one that is left is checked, and does not speak for the others.
    assert rows["joist bending"].subject == "joist at x = 150 mm"
    for check in ("front row settles more", "settlement differs along"):
        (row,) = [row for name, row in rows.items() if name.startswith(check)]
        assert row.verdict == "not_checked"
        assert math.isnan(row.value)


def test_no_joist_left_to_check() -> None:
    rows = rows_of([replace(stack, y_mm=-stack.y_mm) for stack in BASE])
    for check in ("joist bending", "joist shear", "joist deflection, final"):
        assert rows[check].verdict == "not_checked"
        assert "beyond its outermost bearings" in rows[check].source


def test_a_joist_that_carries_nothing_does_not_speak_for_one_that_is_not_checked() -> None:
    rows = rows_of([Pressed("B1", "B", 950.0, -40.0, 800.0)])
    assert rows["joists"].subject == "joist at x = 950 mm"
    assert rows["joist bending"].verdict == "not_checked"


def test_boards() -> None:
    far = [*BASE, Pressed("F9", "F", 741.0, 720.0, 5.0)]
    row = rows_of(far)["boards between joists"]
    assert (row.subject, row.verdict) == ("F9", "not_checked")
    assert row.source.startswith("its middle is 168 mm from the edge")  # 191 - 23.5, rounded
    over = rows_of([replace(stack, x_mm=555.0) for stack in BASE])["boards between joists"]
    assert over.source.startswith("like all others it stands over a joist")


def test_bearing_is_not_checked() -> None:
    row = rows_of()["bearing of joist"]
    assert (row.verdict, row.source) == ("not_checked", "their bearing length is not given")
    assert math.isnan(row.value)
    assert math.isnan(row.limit)


@pytest.mark.parametrize(
    ("joists", "kind", "said"),
    [
        (None, "boarded", "no [floor.joists] given"),
        (
            None,
            "solid",
            "a solid floor has none: its bearing capacity is for others to judge",
        ),
    ],
)
def test_without_joists_one_row(joists, kind, said) -> None:
    (row,) = rows_of(BASE, joists, kind).values()
    assert (row.check, row.subject, row.verdict) == ("joists", "floor", "not_checked")
    assert row.source == said
