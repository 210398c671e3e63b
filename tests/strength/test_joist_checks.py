"""The rows of checks that joists give."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from kit.base.checks import Check
from kit.job import Joists, Refusal
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


AGAINST = "front row against back row, settled"
ALONG = "settlement differs along the front row"


def rows_of(
    pressed=BASE, joists: Joists | None = JOISTS, kind="boarded", lift: float = 0.0
) -> dict[str, Check]:
    """Checks by their names; of one run each comes once."""
    checks = list(joist_checks(joists_under(joists, kind, pressed, 1), lift))
    assert len({row.check for row in checks}) == len(checks)
    return {row.check: row for row in checks}


def heavier(factor: float) -> list[Pressed]:
    return [replace(stack, stored_n=factor * stack.stored_n) for stack in BASE]


def test_rows_and_their_order() -> None:
    assert list(rows_of()) == [
        "first and last joist",
        "joist bending",
        "joist shear",
        "joist deflection, final, furniture alone",
        "bearing of joist",
        AGAINST,
        ALONG,
        "boards between joists",
    ]


def test_the_worst_joist_is_named_with_its_loads() -> None:
    rows, work = rows_of(), joists_under(JOISTS, "boarded", BASE, 1)
    for check in ("joist bending", "joist shear", "joist deflection, final, furniture alone"):
        assert rows[check].subject == "joist at x = 550 mm"
        assert rows[check].verdict == "ok"
    worst = work.joists[1]
    assert rows["joist bending"].value == worst.bending.ratio
    assert rows["joist shear"].value == worst.shear.ratio
    assert (rows["joist bending"].limit, rows["joist bending"].unit) == (1.0, "ratio")
    assert "EN 1995-1-1 6.1.6" in rows["joist bending"].source
    assert "room 1.5 kN/m2" in rows["joist bending"].source
    assert (
        "kmod 0.8, ksys 1.1; without the furniture 0.59; ok approves no floor"
        in rows["joist bending"].source
    )
    assert "EN 1995-1-1 6.1.7" in rows["joist shear"].source
    assert "the room's use comes on top" in rows["joist deflection, final, furniture alone"].source


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
    row = rows["joist deflection, final, furniture alone"]
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
    assert rows_of(just)["joist deflection, final, furniture alone"].verdict == "ok"
    more = [replace(stack, permanent_n=stack.permanent_n * 1.001) for stack in just]
    assert rows_of(more)["joist deflection, final, furniture alone"].verdict == "refer"


def test_deflection_of_the_span_that_sags_most_for_its_length() -> None:
    """A stack in a short span on one joist, and one in a long span that sags more on the other."""
    joists = JOISTS.model_copy(update={"bearing_mm": (0.0, 900.0, 4500.0)})
    short = Pressed("B1", "B", 150.0, 450.0, 30000.0)
    long = Pressed("F1", "F", 550.0, 2700.0, 1500.0)
    work = joists_under(joists, "boarded", [short, long], 1)
    first, second = work.joists
    assert first.greatest_final_mm < second.greatest_final_mm
    row = rows_of([short, long], joists)["joist deflection, final, furniture alone"]
    assert (row.subject, row.limit) == ("joist at x = 150 mm", 900.0 / 250)
    assert row.value == first.greatest_final_mm


def test_settlement_rows() -> None:
    rows, work = rows_of(), joists_under(JOISTS, "boarded", BASE, 1)
    (found,) = work.settlements
    drop, final = found.front_drop_mm, found.front_drop_final_mm
    row = rows[AGAINST]
    assert row.value == drop
    assert (row.limit, row.verdict, row.subject) == (2.0, "ok", "front row")
    assert row.source == (
        "common practice, no source; with a front lift of 0.00 mm the front row comes to lie"
        f" {drop:.2f} mm lower than the back row, in the end {final:.2f} mm lower than the back"
        f" row; {work.said}"
    )
    assert final > 1.3 * drop > 0.01
    along = rows[ALONG]
    assert along.value == found.front.differs_mm
    assert (along.limit, along.verdict) == (2.0, "ok")
    assert along.source.endswith(f"in the end {found.front.differs_final_mm:.2f} mm")
    rows = rows_of(heavier(25.0))
    assert rows[AGAINST].verdict == "refer"
    assert rows[ALONG].verdict == "refer"


def test_where_the_back_settles_far_more_it_is_referred_too() -> None:
    """A front that comes to lie high leans what stands there as a low one does."""
    turned = [replace(stack, row="F" if stack.row == "B" else "B") for stack in heavier(25.0)]
    row = rows_of(turned)[AGAINST]
    assert row.value < -2
    assert row.verdict == "refer"
    assert f"{-row.value:.2f} mm higher than the back row" in row.source
    assert "asks for no front lift" in row.source


def test_a_lift_is_taken_off_the_settlement() -> None:
    pressed = heavier(8.0)
    (found,) = joists_under(JOISTS, "boarded", pressed, 1).settlements
    drop = found.front_drop_mm
    answered = rows_of(pressed, lift=drop)[AGAINST]
    assert answered.value == 0.0
    assert answered.verdict == "ok"
    left = found.front_drop_final_mm - drop
    assert f"lie level with the back row, in the end {left:.2f} mm lower" in answered.source
    # The limit is closed on both sides of what the lift answers.
    assert [
        rows_of(pressed, lift=drop + off)[AGAINST].verdict for off in (-2.01, -2.0, 2.0, 2.01)
    ] == ["refer", "ok", "ok", "refer"]
    high = rows_of(pressed, lift=drop + 3.0)[AGAINST]
    assert high.value == pytest.approx(-3.0)
    assert "comes to lie 3.00 mm higher than the back row" in high.source
    # What stacks of one row settle unlike each other no lift answers.
    assert rows_of(pressed, lift=drop)[ALONG] == rows_of(pressed)[ALONG]


def test_each_run_has_its_rows() -> None:
    """Two runs, one with its front over the middle of the joists, one by the far bearing."""
    own = [replace(stack, run="window") for stack in heavier(6.0)]
    far = [
        replace(stack, support=f"b{stack.support}", run="alcove", y_mm=3550.0 - stack.y_mm / 20)
        for stack in BASE[:4]
    ]
    work = joists_under(JOISTS, "boarded", [*own, *far], 1)
    rows = list(joist_checks(work, 0.5))
    subjects = ["run window, front row", "run alcove, front row"]
    for check in (AGAINST, ALONG):
        assert [row.subject for row in rows if row.check == check] == subjects
    values = [row.value for row in rows if row.check == AGAINST]
    drops = [one.front_drop_mm for one in work.settlements]
    assert values == pytest.approx([drop - 0.5 for drop in drops])
    assert drops[0] > drops[1] + 0.5
    with pytest.raises(Refusal, match=f"run window {drops[0]:.2f} mm, run alcove"):
        work.front_lift_mm()


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
    for check in (AGAINST, ALONG):
        assert rows[check].verdict == "not_checked"
        assert math.isnan(rows[check].value)
    stand = "stand on joists that are not computed"
    assert rows[AGAINST].source == f"back row: B2, B3 {stand}; front row: F1, F2, F3 {stand}"
    assert rows[ALONG].source == f"F1, F2, F3 {stand}"


def test_stacks_too_far_before_the_first_joist() -> None:
    """B1 stands 2.9 m before it: not worked out, and the back row's settlement is not known."""
    pressed = [
        Pressed("B1", "B", 100.0, 67.0, 110.0, 330.0),
        Pressed("B2", "B", 2749.5, 67.0, 180.0, 420.0),
        Pressed("F1", "F", 3500.0, 720.0, 120.0, 310.0),
    ]
    joists = JOISTS.model_copy(update={"first_mm": 3000.0})
    rows = rows_of(pressed, joists)
    assert "joists" not in rows
    row = rows["stacks before the first joist"]
    assert (row.subject, row.verdict) == ("joist at x = 3000 mm", "not_checked")
    assert row.source == (
        "B1 stands 2.9 m, B2 stands 250 mm before the first joist (at most half the centres, 200"
        " mm, are taken as on it): look at first_mm"
    )
    assert rows[AGAINST].source == "back row: B1, B2 stand on joists that are not computed"
    assert rows[AGAINST].verdict == "not_checked"
    assert rows[ALONG].verdict == "ok"
    assert rows["joist bending"].subject == "joist at x = 3400 mm"
    # Nothing is taken for granted about the first joist where it is not computed.
    assert rows["first and last joist"].source.startswith("a joist is taken to lie beyond")


def test_continuous_joists_say_where_the_rooms_use_lies() -> None:
    joists = JOISTS.model_copy(update={"bearing_mm": (0.0, 2100.0, 3900.0)})
    source = rows_of(BASE, joists)["joist bending"].source
    assert "room 1.5 kN/m2 on those spans where it asks most" in source
    assert "all along the joist" in rows_of()["joist bending"].source


def test_no_joist_left_to_check() -> None:
    rows = rows_of([replace(stack, y_mm=-stack.y_mm) for stack in BASE])
    for check in ("joist bending", "joist shear", "joist deflection, final, furniture alone"):
        assert rows[check].verdict == "not_checked"
        assert rows[check].source == "no joist that carries anything is computed"


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


def test_what_the_floor_asks_without_the_furniture_is_told() -> None:
    """By hand: 1.35 * 0.5 + 1.5 * 1.5 kN/m2 at 0.4 m centres over one span, kmod 0.8."""
    work = joists_under(JOISTS, "boarded", BASE, 1)
    (first, last), width, depth = work.given.bearing_mm, work.given.width_mm, work.given.depth_mm
    each = (1.35 * work.given.dead_kn_per_m2 + 1.5 * work.given.imposed_kn_per_m2) * 1e-3
    moment = each * work.given.centres_mm * (last - first) ** 2 / 8
    stress = moment / (width * depth**2 / 6)
    ratio = stress / (16.0 * 0.8 * 1.1 / 1.3 * max(1.0, min(1.3, (150 / depth) ** 0.2)))
    assert work.unloaded.bending.ratio == pytest.approx(ratio, rel=1e-9)
    source = rows_of()["joist bending"].source
    assert f"without the furniture {ratio:.2f};" in source
