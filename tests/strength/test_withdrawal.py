"""What a screw's point holds: each clause inside its range, and nothing outside it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.job import Refusal
from kit.strength.timber import C16, C24
from kit.strength.withdrawal import (
    Holds,
    Outside,
    screw_holds_N,
    withdrawal_resistance_N,
    withdrawal_strength,
)
from kit.strength.withdrawal_nds import nds_lb_per_in, nds_penetration, specific_gravity


def held(*args, **more) -> Holds:
    found = screw_holds_N(*args, **more)
    assert isinstance(found, Holds)
    return found


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"diameter_mm": 5.9}, "6 to 12"),
        ({"diameter_mm": 12.1, "length_mm": 90.0}, "6 to 12"),
        ({"length_mm": 41.9}, "6 d"),
        ({"core_ratio": 0.59}, "0.6 to 0.75"),
        ({"core_ratio": 0.76}, "0.6 to 0.75"),
        ({"angle_deg": 29.0}, "30 to 90"),
        ({"angle_deg": 91.0}, "30 to 90"),
        ({"rho_k": 0.0}, "density"),
        ({"length_mm": float("nan")}, "penetration"),
    ],
)
def test_outside_the_range_of_the_european_clause_is_refused(change, message):
    given_ = {"diameter_mm": 7.0, "length_mm": 50.0, "rho_k": 350.0, **change}
    with pytest.raises(Refusal, match=message):
        withdrawal_resistance_N(**given_)


def test_the_limits_of_the_european_clause_belong_to_it():
    for diameter, core in ((6.0, 0.6), (12.0, 0.75)):
        least = withdrawal_resistance_N(diameter, 6 * diameter, 350.0, core_ratio=core)
        assert least > 0.0
    # 6 · 6.1 is 36.599999...; a sum of decimals may miss it.
    assert withdrawal_resistance_N(6.1, 6 * 6.1 - 1e-10, 350.0) > 0.0


def test_the_angle_takes_a_little():
    across = withdrawal_resistance_N(7.0, 50.0, 350.0)
    # At 45 degrees 1.2 / 2 + 1 / 2 = 1.1; at 30 degrees 1.2 · 0.75 + 0.25 = 1.15.
    for angle, grain in ((45.0, 1.1), (30.0, 1.15)):
        found = withdrawal_resistance_N(7.0, 50.0, 350.0, angle_deg=angle)
        assert across / found == pytest.approx(grain, rel=1e-12)


def test_below_eight_millimetres_the_diameter_counts_twice():
    found = withdrawal_resistance_N(7.0, 50.0, 350.0)
    full = withdrawal_strength(7.0, 50.0, 350.0) * 7.0 * 50.0
    assert found == pytest.approx(full * 7 / 8, rel=1e-12)
    thick = withdrawal_strength(10.0, 70.0, 350.0) * 10.0 * 70.0
    assert withdrawal_resistance_N(10.0, 70.0, 350.0) == pytest.approx(thick, rel=1e-12)


@given(st.floats(200.0, 900.0))
def test_specific_gravity_gives_the_density_back(rho):
    g = specific_gravity(rho)
    assert 1000 * g * 1.12 / (1 + 0.009 * g * 12) == pytest.approx(rho, rel=1e-12)


@pytest.mark.parametrize("rho", [0.0, -310.0, 1501.0, float("nan")])
def test_a_density_that_no_wood_has_is_refused(rho):
    with pytest.raises(Refusal, match="density"):
        specific_gravity(rho)


def test_which_thread_counts_for_the_american_code():
    assert nds_penetration("wood", 5.0, 30.0, 7.0) == 30.0  # with the tip
    assert nds_penetration("lag", 5.0, 27.0, 7.0) == 20.0  # without
    for screw, thread in (("wood", 29.9), ("lag", 26.9)):
        with pytest.raises(Refusal, match=" D"):
            nds_penetration(screw, 5.0, thread, 7.0)
    with pytest.raises(Refusal, match="tip"):
        nds_penetration("lag", 5.0, 27.0, 28.0)
    with pytest.raises(Refusal, match="wood or lag"):
        nds_penetration("nail", 5.0, 30.0, 0.0)
    with pytest.raises(Refusal, match="wood or lag"):
        nds_lb_per_in("nail", 0.5, 0.2)
    for gravity, diameter in ((0.0, 0.2), (0.5, -0.2)):
        with pytest.raises(Refusal, match="more than 0"):
            nds_lb_per_in("wood", gravity, diameter)


def test_from_six_millimetres_the_european_clause_holds():
    found = held(6.0, 40.0, C24, service_class=2, duration="medium")
    resistance = withdrawal_resistance_N(6.0, 40.0, 350.0)
    assert found.force_N == pytest.approx(resistance * 0.8 / 1.3, rel=1e-12)
    assert found.clause.startswith("EN 1995-1-1 8.7.2(4)")
    assert found.against == "design load"


def test_below_six_millimetres_the_american_clause_holds():
    """By hand: G = 350 / (1120 - 37.8) = 0.323415; 2850 G^2 · 4.5 / 25.4 = 52.8135 lb/in.

    52.8135 · 0.9 · 28 / 25.4 = 52.3976 lb = 233.076 N.
    """
    found = held(4.5, 28.0, C24)
    assert found.force_N == pytest.approx(233.076, rel=2e-6)  # six figures by hand
    assert "G 0.323" in found.clause
    assert found.against == "unfactored load"
    longer = held(4.5, 28.0, C24, duration="short", service_class=2)
    assert longer == found  # load duration 0.9 whatever the duration, dry in both classes


def test_denser_timber_and_more_thread_hold_more():
    for diameter in (4.0, 8.0):
        shorter, longer = held(diameter, 50.0, C16), held(diameter, 61.0, C16)
        assert shorter.force_N < longer.force_N < held(diameter, 61.0, C24).force_N


@pytest.mark.parametrize(
    ("screw", "service_class", "says"),
    [
        ((3.0, 40.0), 1, "diameter of 3 mm"),
        ((14.0, 140.0), 1, "diameter of 14 mm"),
        ((4.0, 23.9), 1, "6 d = 24 mm, which NDS"),
        ((8.0, 47.9), 1, "6 d = 48 mm, which EN 1995-1-1 8.7.2"),
        ((4.0, 0.0), 1, "penetration of 0 mm"),
        ((4.0, 40.0), 3, "wet service factor"),
    ],
)
def test_outside_the_clauses_there_is_no_number(screw, service_class, says):
    found = screw_holds_N(*screw, C16, service_class=service_class)
    assert isinstance(found, Outside)
    assert says in found.reason


def test_what_cannot_be_is_refused_before_any_clause():
    for args in ((0.0, 40.0), (float("nan"), 40.0), (4.0, -1.0), (4.0, float("nan"))):
        with pytest.raises(Refusal):
            screw_holds_N(*args, C16)
    with pytest.raises(Refusal, match="1, 2 or 3"):
        screw_holds_N(4.0, 40.0, C16, service_class=5)
