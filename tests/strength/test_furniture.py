"""Lean, wind, taper and gaps by hand, by rotation in space, and under mirroring."""

import math
from dataclasses import astuple, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.base.footing import Footing
from kit.base.runs import PlacedUnit, Row, lay_out_rows
from kit.job import Base, Refusal, Run, Unit
from kit.strength.feet import Feet, feet_of, outer_rows
from kit.strength.furniture import Consequence, consequence, gaps, subject_of, together

#: Sums of a dozen terms of some mm, divided by spans of some 100 mm and multiplied by heights of
#: some 1,000 mm, in double precision: round-off of 1e-12 at most.
ROUND_OFF_MM = 1e-9


def unit(name: str = "case", **changes: object) -> Unit:
    plain = {"name": name, "width_mm": 900.0, "depth_mm": 320.0, "height_mm": 1150.0}
    return Unit.model_validate({**plain, **changes})


def placed(name: str = "case", left: float = 0.0, **changes: object) -> PlacedUnit:
    return PlacedUnit("A", unit(name, **changes), left)


#: A unit of 1000 x 1200 mm whose feet are 980 mm apart along and 200 mm out.
CASE = placed("case", 300.0, width_mm=1000.0, height_mm=1200.0, side_mm=20.0)
FEET = Feet(0.4, -0.2, 0.1, 0.7, 60.0, 260.0, 310.0, 1290.0)


def on_plane(one: PlacedUnit, at_0: float, along: float, out: float) -> Feet:
    """Return the feet of a unit on a plane with slopes along and out."""
    left, right = one.panels[0].x_mm, one.panels[-1].x_mm
    back, front = 65.0, 245.0
    heights = [at_0 + along * x + out * y for y in (back, front) for x in (left, right)]
    return Feet(*heights, back, front, left, right)


def test_closed_form_by_hand() -> None:
    found = consequence(CASE, FEET, lifted_mm=0.5)
    # along: left mean 0.25, right mean 0.25: plumb; out: back mean 0.1, front mean 0.4,
    # 0.3 in 200 mm, so 1.8 mm back at 1200 mm
    assert found.lean_along_mm == pytest.approx(0.0, abs=ROUND_OFF_MM)
    assert found.lean_out_mm == pytest.approx(-1.8, abs=ROUND_OFF_MM)
    # wind 0.4 + 0.7 + 0.2 - 0.1 = 1.2; taper 1.2 * 1200 / 1000
    assert found.wind_mm == pytest.approx(1.2, abs=ROUND_OFF_MM)
    assert found.door_taper_mm == pytest.approx(1.44, abs=ROUND_OFF_MM)
    # lift 0.5 in 200 at 1200 mm: 3 mm back
    assert found.lifted_lean_mm == pytest.approx(-3.0, abs=ROUND_OFF_MM)


def test_one_high_foot() -> None:
    """A back right foot 0.98 mm high: half of it leans the unit each way, all of it is wind."""
    found = consequence(CASE, Feet(0, 0.98, 0, 0, 60, 260, 310, 1290))
    assert found.lean_along_mm == pytest.approx(-0.6, abs=ROUND_OFF_MM)  # 0.49 / 980 * 1200
    assert found.lean_out_mm == pytest.approx(2.94, abs=ROUND_OFF_MM)  # 0.49 / 200 * 1200
    assert found.wind_mm == pytest.approx(-0.98, abs=ROUND_OFF_MM)
    assert found.door_taper_mm == pytest.approx(1.176, abs=ROUND_OFF_MM)


def test_no_lift_adds_nothing() -> None:
    found = consequence(CASE, FEET)
    assert found.lifted_lean_mm == 0.0
    assert math.copysign(1.0, found.lifted_lean_mm) == 1.0  # never written as -0


def test_an_unknown_height_is_unknown_in_all_that_depends_on_it() -> None:
    found = consequence(CASE, replace(FEET, front_left_mm=math.nan))
    assert all(math.isnan(value) for value in astuple(found)[2:6])


def test_leans_like_a_body_turned_in_space() -> None:
    """The plane by a least-squares routine, the top by its unit normal."""
    corners = np.array([[x, y] for y in (60.0, 260.0) for x in (310.0, 1290.0)])
    heights = np.array(astuple(FEET)[:4]) + np.array([0.0, 0.9, -0.3, 0.0])
    sheet = np.column_stack([np.ones(4), corners])
    (_, along, out), residual, *_ = np.linalg.lstsq(sheet, heights, rcond=None)
    normal = np.array([-along, -out, 1.0]) / math.sqrt(1 + along**2 + out**2)
    found = consequence(CASE, Feet(*heights, *astuple(FEET)[4:]))
    # small angles: up to 5 mm/m here, so that sine and tangent differ by 1.3e-5 of some 5 mm
    assert found.lean_along_mm == pytest.approx(1200 * normal[0], abs=1e-4)
    assert found.lean_out_mm == pytest.approx(1200 * normal[1], abs=1e-4)
    # what the plane leaves over is a quarter of the wind at each of four corners
    assert residual[0] == pytest.approx(4 * (found.wind_mm / 4) ** 2, abs=ROUND_OFF_MM)


def test_mirrored_along_the_wall() -> None:
    """Left and right exchanged: the lean along and the wind change sign, nothing else does."""
    feet = replace(FEET, back_right_mm=0.9)
    mirrored = Feet(0.9, 0.4, 0.7, 0.1, 60.0, 260.0, 310.0, 1290.0)
    one, other = consequence(CASE, feet, 0.5), consequence(CASE, mirrored, 0.5)
    assert one.lean_along_mm != 0
    assert other.lean_along_mm == pytest.approx(-one.lean_along_mm, abs=ROUND_OFF_MM)
    assert other.wind_mm == pytest.approx(-one.wind_mm, abs=ROUND_OFF_MM)
    assert astuple(other)[3] == pytest.approx(one.lean_out_mm, abs=ROUND_OFF_MM)
    assert astuple(other)[5:] == pytest.approx(astuple(one)[5:], abs=ROUND_OFF_MM)


small = st.floats(-3.0, 3.0)
slope = st.floats(-0.005, 0.005)


@given(small, small, small, small, st.floats(-100, 100))
def test_a_constant_height_changes_nothing(
    bl: float, br: float, fl: float, fr: float, more: float
) -> None:
    places = astuple(FEET)[4:]
    one = consequence(CASE, Feet(bl, br, fl, fr, *places), 0.3)
    other = consequence(CASE, Feet(bl + more, br + more, fl + more, fr + more, *places), 0.3)
    assert astuple(other)[2:] == pytest.approx(astuple(one)[2:], abs=ROUND_OFF_MM)


@given(small, slope, slope)
def test_a_plane_tilt_winds_nothing_and_leaves_the_gaps(
    at_0: float, along: float, out: float
) -> None:
    units = (
        placed("low", 0.0, height_mm=860.0),
        placed("tall", 912.0, width_mm=640.0, height_mm=2100.0, gap_before_mm=12.0),
        placed("end", 1552.0, width_mm=333.0, height_mm=1150.0),
    )
    found = [consequence(one, on_plane(one, at_0, along, out)) for one in units]
    for one, its in zip(units, found, strict=True):
        assert its.wind_mm == pytest.approx(0.0, abs=ROUND_OFF_MM)
        height = one.unit.height_mm
        assert its.lean_along_mm == pytest.approx(-along * height, abs=ROUND_OFF_MM)
        assert its.lean_out_mm == pytest.approx(-out * height, abs=ROUND_OFF_MM)
    changes = [gap.change_mm for gap in gaps(units, found)]
    assert changes == pytest.approx([0.0, 0.0], abs=ROUND_OFF_MM)


def neighbours() -> tuple[PlacedUnit, PlacedUnit]:
    return placed("low", 0.0, height_mm=800.0), placed(
        "tall", 905.0, height_mm=2000.0, gap_before_mm=5.0
    )


def leaning(one: PlacedUnit, top_mm: float) -> Consequence:
    """Return the consequence of a unit whose top leans so far to the right."""
    plumb = consequence(one, on_plane(one, 0.0, 0.0, 0.0))
    return replace(plumb, lean_along_mm=top_mm)


def test_the_gap_is_taken_at_the_top_of_the_lower_one() -> None:
    low, tall = neighbours()
    (gap,) = gaps((low, tall), (leaning(low, 0.6), leaning(tall, -1.5)))
    # the tall one leans 1.5 * 800 / 2000 = 0.6 to the left at 800 mm, the low one 0.6 right
    assert (gap.run, gap.left, gap.right, gap.height_mm) == ("A", "low", "tall", 800.0)
    assert gap.top_mm == pytest.approx(5.0 - 0.6 - 0.6, abs=ROUND_OFF_MM)
    assert gap.change_mm == pytest.approx(-1.2, abs=ROUND_OFF_MM)


def test_neighbours_that_lean_together_press_on_each_other() -> None:
    low, tall = neighbours()
    (gap,) = gaps((low, tall), (leaning(low, 2.0), leaning(tall, -10.0)))
    assert gap.top_mm == pytest.approx(5.0 - 2.0 - 4.0, abs=ROUND_OFF_MM)  # -1: they press


def test_together_holds_units_and_their_gaps() -> None:
    low, tall = neighbours()
    found = (leaning(low, 0.5), leaning(tall, 2.0))
    all_of = together((low, tall), found)
    assert all_of.units == found
    # 5 + 2.0 * 800 / 2000 - 0.5
    assert [gap.top_mm for gap in all_of.gaps] == pytest.approx([5.3], abs=ROUND_OFF_MM)


def test_a_subject_names_the_run_where_there_are_more() -> None:
    assert subject_of(CASE, several_runs=True) == "A: case"
    assert subject_of(CASE, several_runs=False) == "case"


def test_a_mirrored_pair_has_the_same_gap() -> None:
    low, tall = neighbours()
    (gap,) = gaps((low, tall), (leaning(low, 0.7), leaning(tall, -1.9)))
    first, second = placed("tall", height_mm=2000.0), placed("low", 905.0, height_mm=800.0)
    second = replace(second, unit=second.unit.model_copy(update={"gap_before_mm": 5.0}))
    (mirrored,) = gaps((first, second), (leaning(first, 1.9), leaning(second, -0.7)))
    assert mirrored.top_mm == pytest.approx(gap.top_mm, abs=ROUND_OFF_MM)


def test_no_gap_from_one_run_to_the_next() -> None:
    low, tall = neighbours()
    other = replace(tall, run="B")
    found = [leaning(one, 0.4) for one in (low, tall, other)]
    assert [(gap.run, gap.left) for gap in gaps((low, tall, other), found)] == [("A", "low")]


def test_consequences_of_other_units_are_refused() -> None:
    low, tall = neighbours()
    with pytest.raises(Refusal, match="gaps between units"):
        gaps((low, tall), (leaning(tall, 0.1), leaning(low, 0.2)))


def rows(units: tuple[Unit, ...]) -> tuple[Row, ...]:
    base = Base.model_validate({"name": "b", "height_mm": 60.0})
    return lay_out_rows(
        Run(name="A", unit=units), base, Footing(45.0, (75.0, 45.0)), several_runs=False
    )


def test_feet_stand_under_the_outer_sides_in_the_outermost_rows() -> None:
    """A deeper unit has a further row, on which its front stands; its neighbour has none."""
    deep = unit("deep", depth_mm=620.0, width_mm=700.0, side_mm=24.0)
    under = rows((unit("case"), deep))
    assert [row.name for row in under] == ["B", "F", "D"]
    at = {"B": 100.0, "F": 150.0, "D": 300.0}
    tops = {
        one.unit.name: feet_of(one, under, lambda bearer, x: at[bearer] + x / 1000)
        for one in under[0].units
    }
    # sides of the deep one: 900 + 12 and 1600 - 12; rows: 45 + 22.5, 620 - 55 - 22.5
    assert tops["deep"] == Feet(100.912, 101.588, 300.912, 301.588, 67.5, 542.5, 912.0, 1588.0)
    assert tops["case"].front_right_mm == pytest.approx(150.891, abs=ROUND_OFF_MM)
    assert [row.name for row in outer_rows(under[0].units[0], under)] == ["B", "F"]


def test_a_unit_on_one_row_is_refused() -> None:
    under = rows((unit("case"),))
    with pytest.raises(Refusal, match="1 rows of bearers"):
        outer_rows(under[0].units[0], under[:1])


@pytest.mark.parametrize("wrong", [{"front_y_mm": 60.0}, {"right_x_mm": 310.0}])
def test_feet_without_width_or_depth_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(Refusal, match="unit 'case'"):
        consequence(CASE, replace(FEET, **wrong))
