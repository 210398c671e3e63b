"""Tilting up by turning the unit in steps; tipping by equilibrium about another point."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from kit.base.footing import Footing
from kit.base.runs import PlacedUnit, lay_out_rows
from kit.job import Base, Refusal, Run, Unit
from kit.strength.standing import (
    CHILD_KG,
    FRICTION,
    PERSON_KG,
    PUSH_HEIGHT_MM,
    PUSH_N,
    pivot_mm,
    tilt_up,
    tipping,
)

#: Products and quotients of a few numbers in double precision, relative.
ROUND_OFF = 1e-12


def placed(**changes: object) -> PlacedUnit:
    plain = {"name": "case", "width_mm": 900.0, "depth_mm": 320.0, "height_mm": 1150.0}
    return PlacedUnit("A", Unit.model_validate({**plain, "mass_kg": 38.0, **changes}), 0.0)


def test_constants_are_what_their_sources_say() -> None:
    # 10 lbf = 10 * 0.45359237 * 9.80665 N; 56 in; 60 lb (from memory, rounded as written)
    assert pytest.approx(10 * 0.45359237 * 9.80665, abs=0.05) == PUSH_N
    assert pytest.approx(56 * 25.4, abs=0.5) == PUSH_HEIGHT_MM
    assert pytest.approx(60 * 0.45359237, abs=0.05) == CHILD_KG


def test_the_diagonal_is_the_highest_that_the_unit_reaches_as_it_turns() -> None:
    """Every corner of the section, turned about the lower back edge in steps of 0.01 degree."""
    turned = np.radians(np.arange(0.0, 90.005, 0.01))  # 0: upright, 90: on its back
    corners = [(320.0, 0.0), (320.0, 1150.0), (0.0, 1150.0)]
    highest = max(float((y * np.sin(turned) + z * np.cos(turned)).max()) for y, z in corners)
    # the top of a cosine, missed by half a step at most: 1193.7 * (0.000087)**2 / 2 = 5e-6
    assert tilt_up(placed(), 60.0, 4.0).diagonal_mm == pytest.approx(highest, abs=1e-5)


def test_room_is_counted_from_base_and_floor() -> None:
    found = tilt_up(placed(height_mm=2000.0, depth_mm=600.0), 71.0, 4.0, 2150.0)
    assert found.diagonal_mm == pytest.approx(math.sqrt(4_360_000), rel=ROUND_OFF)  # 2088.06
    assert (found.room_on_base_mm, found.room_on_floor_mm) == (2069.0, 2136.0)
    assert (found.ceiling_known, found.on_base, found.on_floor) == (True, False, True)


@pytest.mark.parametrize(("ceiling", "fits"), [(1571.0, True), (1570.999, False)])
def test_the_limit_is_closed(ceiling: float, fits: bool) -> None:
    # 900 x 1200 has a diagonal of 1500 exactly; 1500 + 61 + 10 = 1571
    found = tilt_up(placed(height_mm=1200.0, depth_mm=900.0), 61.0, 0.0, ceiling)
    assert found.on_base is fits
    assert found.on_floor


def test_without_a_ceiling_nothing_is_said() -> None:
    found = tilt_up(placed(), 60.0, 0.0)
    assert (found.ceiling_known, found.on_base, found.on_floor) == (False, False, False)


def test_a_base_below_the_floor_is_refused() -> None:
    with pytest.raises(Refusal, match="base top 3 mm below"):
        tilt_up(placed(), -3.0, 0.0, 2400.0)


def test_pivot_is_the_front_edge_of_the_frontmost_bearer() -> None:
    units = (
        Unit(name="case", width_mm=900.0, depth_mm=320.0, height_mm=1150.0),
        Unit(name="deep", width_mm=700.0, depth_mm=620.0, height_mm=1150.0),
    )
    base = Base.model_validate({"name": "b", "height_mm": 60.0, "front_mm": 40.0})
    rows = lay_out_rows(
        Run(name="A", unit=units), base, Footing(45.0, (75.0, 45.0)), several_runs=False
    )
    case, deep = rows[0].units
    assert pivot_mm(case, rows, 45.0) == 280.0  # 320 - 40
    assert pivot_mm(deep, rows, 45.0) == 580.0  # its further row: 620 - 40
    # a bearer of 145 mm on the same line would come out beyond the unit
    assert pivot_mm(case, rows, 145.0) == 320.0


def test_closed_form_by_hand() -> None:
    one = placed(mass_kg=40.0, contents_kg=110.0, centre_of_gravity_mm=140.0)
    found = tipping(one, 260.0)
    # 40 * 9.81 = 392.4 N, lever 120 mm, at 1150 mm
    assert found.push_height_mm == 1150.0
    assert found.tips_empty_N == pytest.approx(392.4 * 120 / 1150, rel=ROUND_OFF)
    assert found.tips_full_N == pytest.approx(1471.5 * 120 / 1150, rel=ROUND_OFF)
    assert found.slides_empty_N == pytest.approx(0.3 * 392.4, rel=ROUND_OFF)
    assert found.slides_full_N == pytest.approx(0.3 * 1471.5, rel=ROUND_OFF)
    # the child: 266.832 N, 60 mm in front: 16,010 N mm; the push: 44.5 * 1150 = 51,175 N mm, of
    # which the unit holds 392.4 * 120 = 47,088
    assert found.fixing_N == pytest.approx((51175 - 47088) / 1150, rel=ROUND_OFF)
    # 80 * 9.81 = 784.8 N, 60 mm in front: one and no more
    assert found.person_ratio == pytest.approx(1.0, rel=ROUND_OFF)


def test_a_person_on_the_edge_of_a_bench_by_hand() -> None:
    # 29 kg, 420 deep, tipping about 360 mm, its middle at 210: 80 * 60 over 29 * 150
    bench = placed(mass_kg=29.0, depth_mm=420.0, height_mm=430.0)
    assert tipping(bench, 360.0).person_ratio == pytest.approx(4800 / 4350, rel=ROUND_OFF)
    # a front bearer 20 mm further out: 80 * 40 over 29 * 170
    assert tipping(bench, 380.0).person_ratio == pytest.approx(3200 / 4930, rel=ROUND_OFF)
    assert tipping(bench, 420.0).person_ratio == 0.0  # nothing stands out before the bearer


def test_a_heavy_unit_asks_for_no_fixing_by_the_sums() -> None:
    # 392.4 * 131 = 51,404 N mm, just over the 51,175 of the push
    one = placed(mass_kg=40.0, centre_of_gravity_mm=129.0)
    assert tipping(one, 260.0).fixing_N == 0.0


def test_the_greater_of_child_and_push_governs() -> None:
    # depth 700, about 300 mm: the child tips by 266.832 * 400 = 106,733 N mm, the push by
    # 44.5 * 900 = 40,050; 20 kg about 100 mm hold 19,620
    deep = placed(mass_kg=20.0, depth_mm=700.0, height_mm=900.0, centre_of_gravity_mm=200.0)
    found = tipping(deep, 300.0)
    assert found.fixing_N == pytest.approx((106732.8 - 19620) / 900, rel=ROUND_OFF)
    # about 600 mm: the child's moment is 26,683, the push's is greater; 196.2 * 50 = 9,810 hold
    found = tipping(placed(mass_kg=20.0, depth_mm=700.0, height_mm=900.0,
                           centre_of_gravity_mm=550.0), 600.0)  # fmt: skip
    assert found.fixing_N == pytest.approx((40050 - 9810) / 900, rel=ROUND_OFF)


def test_a_light_unit_needs_its_fixing() -> None:
    one = placed(mass_kg=9.0, depth_mm=400.0, height_mm=2000.0, centre_of_gravity_mm=180.0)
    found = tipping(one, 300.0)
    # the child: 27.2 * 9.81 * 100 = 26,683 N mm; the push: 44.5 * 1422 = 63,279, of which the
    # unit holds 9 * 9.81 * 120 = 10,594.8
    assert found.fixing_N == pytest.approx((63279 - 10594.8) / 2000, rel=ROUND_OFF)
    assert found.push_height_mm == 1422.0  # the push is not higher, the fixing is at the top
    assert found.tips_empty_N == pytest.approx(10594.8 / 1422, rel=ROUND_OFF)


masses = st.floats(1.0, 200.0)


def balance(
    loads: list[tuple[float, float, float, float]], at: tuple[float, float], pivot: float
) -> NDArray[np.float64]:
    """Solve for a level force at a place and the two forces at the pivot, by three equations.

    Moments are taken about a point that is none of the places, so that nothing drops out of them.
    """
    y0, z0 = 37.0, -211.0

    def column(y: float, z: float, fy: float, fz: float) -> list[float]:
        return [fy, fz, (y - y0) * fz - (z - z0) * fy]

    unknowns = [column(*at, 1, 0), column(pivot, 0, 1, 0), column(pivot, 0, 0, 1)]
    known = np.sum([column(*load) for load in loads], axis=0)
    return np.linalg.solve(np.array(unknowns).T, -known)


@given(masses, st.floats(0, 300), st.floats(50, 240), st.floats(700, 2400), st.floats(0, 1))
def test_the_push_balances_the_unit_on_its_pivot(
    mass: float, contents: float, gravity: float, height: float, up: float
) -> None:
    """Any height of the centre of gravity gives the same push."""
    one = placed(mass_kg=mass, contents_kg=contents, centre_of_gravity_mm=gravity, height_mm=height)
    found = tipping(one, 265.0)
    for weight, push in (
        (mass * 9.81, found.tips_empty_N),
        ((mass + contents) * 9.81, found.tips_full_N),
    ):
        at = (0.0, min(height, 1422.0))
        needed, _, upward = balance([(gravity, up * height, 0, -weight)], at, 265.0)
        # 1e-9: a solve of 3 equations whose terms reach 1e6 N mm, in double precision
        assert push == pytest.approx(needed, rel=1e-9)
        assert upward == pytest.approx(weight, rel=1e-9)


@given(masses, st.floats(50, 320), st.floats(700, 2400), st.floats(150, 320))
def test_the_fixing_balances_a_hanging_child_or_a_push(
    mass: float, gravity: float, height: float, pivot: float
) -> None:
    one = placed(mass_kg=mass, centre_of_gravity_mm=gravity, height_mm=height)
    own = (gravity, height / 3, 0.0, -mass * 9.81)
    child = (320.0, height / 2, 0.0, -27.2 * 9.81)
    push = (320.0, min(height, 1422.0), 44.5, 0.0)
    # the solved force is positive into the room: negative = pull to the wall
    pulls = [-balance([own, load], (0.0, height), pivot)[0] for load in (child, push)]
    # 1e-7 N: differences of moments of up to 6e5 N mm over 700 mm, solved in double precision
    assert tipping(one, pivot).fixing_N == pytest.approx(max(*pulls, 0.0), abs=1e-7)


@given(masses, st.floats(50, 240))
def test_a_person_at_the_ratio_is_in_balance(mass: float, gravity: float) -> None:
    """A person lighter by the ratio: the push that tips the unit then is none."""
    one = placed(mass_kg=mass, centre_of_gravity_mm=gravity)
    lighter = PERSON_KG * 9.81 / tipping(one, 265.0).person_ratio
    loads = [(gravity, 400.0, 0.0, -mass * 9.81), (320.0, 0.0, 0.0, -lighter)]
    # moments of up to 5e5 N mm over 1150 mm, solved in double precision
    assert balance(loads, (0.0, 1150.0), 265.0)[0] == pytest.approx(0.0, abs=1e-7)


def test_a_unit_beyond_its_pivot_tips_by_itself() -> None:
    one = placed(mass_kg=25.0, contents_kg=60.0, centre_of_gravity_mm=280.0)
    found = tipping(one, 265.0)
    assert (found.tips_empty_N, found.tips_full_N) == (0.0, 0.0)
    # nothing holds: the push (more than the child) and the unit's own moment go to the fixing
    moment = 44.5 * 1150 + 25 * 9.81 * (280 - 265)
    assert found.person_ratio == math.inf
    assert found.fixing_N == pytest.approx(moment / 1150, rel=ROUND_OFF)
    assert found.slides_empty_N == pytest.approx(FRICTION * 25 * 9.81, rel=ROUND_OFF)


def test_no_mass_gives_no_force() -> None:
    found = tipping(placed(mass_kg=0.0, contents_kg=80.0), 265.0)
    assert not found.mass_known
    assert all(
        math.isnan(force)
        for force in (
            found.tips_empty_N,
            found.tips_full_N,
            found.slides_empty_N,
            found.slides_full_N,
            found.fixing_N,
            found.person_ratio,
        )
    )


@pytest.mark.parametrize("pivot", [0.0, -4.0, 320.5, math.nan])
def test_a_pivot_that_is_not_under_the_unit_is_refused(pivot: float) -> None:
    with pytest.raises(Refusal, match="pivot"):
        tipping(placed(), pivot)


def test_a_fixing_holds_a_person_where_people_sit() -> None:
    """80 kg on the front edge, 60 mm before the bearer; 29 kg hold it 150 mm behind that."""
    bench = placed(
        mass_kg=29.0, depth_mm=420.0, height_mm=430.0, centre_of_gravity_mm=210.0,
        contents_are="people", contents_kg=160.0,
    )  # fmt: skip
    wanted = (80 * 9.81 * 60 - 29 * 9.81 * 150) / 430
    assert tipping(bench, 360.0).fixing_N == pytest.approx(wanted, rel=ROUND_OFF)
    stored = replace(bench, unit=bench.unit.model_copy(update={"contents_are": "stored"}))
    assert tipping(stored, 360.0).fixing_N == 0.0  # the child and the push it holds by itself
