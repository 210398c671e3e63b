"""Contacts across the grain: what limits the spread on each side, and which factor applies."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.job import Refusal
from kit.strength.bearing import Contact, bearing_ratio, effective_length_mm, kc90, pressure
from kit.strength.timber import C16, C24

INF = math.inf


@pytest.mark.parametrize(
    ("contact", "ends", "clears", "expected"),
    [
        (60.0, (INF, INF), (INF, INF), 120.0),  # 30 on both sides
        (60.0, (0.0, INF), (INF, INF), 90.0),  # the member ends at the contact
        (60.0, (11.0, 500.0), (INF, INF), 101.0),  # 11 mm of end, then 30
        (18.0, (INF, INF), (INF, INF), 54.0),  # a side panel: at most its own length each side
        (60.0, (INF, INF), (50.0, 400.0), 115.0),  # half of 50 to the neighbour, then 30
        (18.0, (7.0, 25.0), (INF, 34.0), 42.0),  # 7 by the end, 17 by the neighbour
        (60.0, (INF, INF), (0.0, 0.0), 60.0),  # contact to contact: nothing to spread into
    ],
)
def test_what_limits_the_spread(contact, ends, clears, expected):
    assert effective_length_mm(contact, *ends, *clears) == expected  # whole and half mm: exact


lengths = st.floats(0.0, 500.0)


@given(st.floats(1.0, 300.0), lengths, lengths, lengths, lengths)
def test_turned_round_it_is_as_long(contact, left_end, right_end, left_clear, right_clear):
    one = effective_length_mm(contact, left_end, right_end, left_clear, right_clear)
    other = effective_length_mm(contact, right_end, left_end, right_clear, left_clear)
    assert one == pytest.approx(other, rel=1e-12)  # the sum in another order
    assert contact <= one <= min(3 * contact, contact + 60) + 1e-9


@pytest.mark.parametrize("bad", [-1.0, float("nan")])
@pytest.mark.parametrize("place", range(4))
def test_a_distance_that_cannot_be_is_refused(place, bad):
    beside = [10.0, 20.0, 30.0, 40.0]
    beside[place] = bad
    with pytest.raises(Refusal, match="beside the contact"):
        effective_length_mm(60.0, *beside)


@pytest.mark.parametrize(
    ("clear", "support", "expected"),
    [
        (189.99, "discrete", 1.0),
        (190.0, "discrete", 1.5),  # l1 = 2 h is enough
        (62.8 + 65.6 + 61.6, "discrete", 1.5),  # 190 less round-off
        (INF, "continuous", 1.25),
        (189.99, "continuous", 1.0),
    ],
)
def test_factor_of_the_arrangement(clear, support, expected):
    assert kc90(clear, 95.0, support=support) == expected


def test_an_arrangement_that_cannot_be_is_refused():
    with pytest.raises(Refusal, match="discrete or continuous"):
        kc90(200.0, 95.0, support="floating")
    with pytest.raises(Refusal, match="depth of the member"):
        kc90(200.0, 0.0, support="discrete")
    with pytest.raises(Refusal, match="clear distance"):
        kc90(-1.0, 95.0, support="discrete")


STACK = Contact(60.0, 44.0, 95.0, left_end_mm=12.0, left_clear_mm=INF, right_clear_mm=340.0)


def test_ratio_by_hand():
    """60 + 12 + 30 = 102 mm by 44; 1.5 · 2.2 · 0.6 / 1.3 N/mm2: 6835.57 N allowed."""
    assert STACK.effective_area_mm2 == 102.0 * 44.0
    assert STACK.kc90 == 1.5
    assert bearing_ratio(6835.57, STACK, C16, 0.6) == pytest.approx(1.0, rel=1e-6)  # six figures
    assert bearing_ratio(6835.57, STACK, C24, 0.6) == pytest.approx(2.2 / 2.5, rel=1e-6)


def test_the_nearer_neighbour_sets_the_factor():
    near_right = Contact(60.0, 44.0, 95.0, left_clear_mm=700.0, right_clear_mm=150.0)
    near_left = Contact(60.0, 44.0, 95.0, left_clear_mm=150.0, right_clear_mm=700.0)
    assert near_right.kc90 == near_left.kc90 == 1.0
    assert bearing_ratio(1000.0, near_right, C16, 0.6) == pytest.approx(
        1000.0 / (120.0 * 44.0 * 2.2 * 0.6 / 1.3), rel=1e-12
    )


def test_a_contact_that_cannot_be_is_refused():
    for change in ({"length_mm": 0.0}, {"width_mm": -44.0}, {"depth_mm": INF}, {"support": "x"}):
        with pytest.raises(Refusal):
            Contact(**{"length_mm": 60.0, "width_mm": 44.0, "depth_mm": 95.0, **change})


def test_a_contact_does_not_pull():
    with pytest.raises(Refusal, match="only presses"):
        bearing_ratio(-1.0, STACK, C16, 0.6)
    with pytest.raises(Refusal, match="only presses"):
        pressure(-1.0, 60.0, 44.0)


def test_pressure():
    assert pressure(1320.0, 60.0, 44.0) == 0.5
    assert pressure(0.0, 60.0, 44.0) == 0.0
    for sides in ((0.0, 44.0), (60.0, 0.0)):
        with pytest.raises(Refusal, match="of the contact"):
            pressure(1320.0, *sides)
