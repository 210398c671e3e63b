"""Which joist carries which stack: by hand."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.job import Joists, Refusal
from kit.strength.joist_places import Grid, Pressed, why_not

ALONG_Y = Grid("y", 150.0, 400.0)
ALONG_X = Grid("x", -30.0, 450.0)


def stack(x: float, y: float, name: str = "B1") -> Pressed:
    return Pressed(name, "B", x, y, 100.0, 300.0, 20.0)


def joists(**other) -> Joists:
    given = {
        "along": "y",
        "width_mm": 47.0,
        "depth_mm": 195.0,
        "centres_mm": 400.0,
        "first_mm": 150.0,
        "bearing_mm": (0.0, 3600.0),
        "strength_class": "C16",
    }
    return Joists(**(given | other))


@pytest.mark.parametrize(
    ("across", "shares"),
    [
        (-80.0, {1: 1.0}),  # before the first joist: all on it
        (150.0, {1: 1.0}),
        (250.0, {1: 0.75, 2: 0.25}),
        (550.0, {2: 1.0}),
        (549.9999999, {2: 1.0}),  # on it but for round-off
        (550.0000001, {2: 1.0}),
        (870.0, {2: 0.2, 3: 0.8}),
        (2950.0, {8: 1.0}),
    ],
)
def test_lever_by_hand(across: float, shares: dict[int, float]) -> None:
    assert dict(ALONG_Y.lever(across)) == pytest.approx(shares, abs=1e-12)  # round-off


@given(
    across=st.floats(-3000.0, 9000.0),
    first=st.floats(-500.0, 500.0),
    centres=st.floats(47.0, 900.0),
)
def test_the_parts_balance_the_stack(across: float, first: float, centres: float) -> None:
    grid = Grid("y", first, centres)
    parts = grid.lever(across)
    assert math.fsum(share for _, share in parts) == pytest.approx(1.0, abs=1e-12)
    assert all(0 < share <= 1 and number >= 1 for number, share in parts)
    middle = math.fsum(share * grid.across_mm(number) for number, share in parts)
    # What stands on a joist within 1e-6 mm of its middle is put there.
    assert middle == pytest.approx(max(across, first), abs=2e-6)


def test_axes() -> None:
    assert (ALONG_Y.across, ALONG_X.across) == ("x", "y")
    assert ALONG_Y.place_of(stack(700.0, 60.0)) == (60.0, 700.0)
    assert ALONG_X.place_of(stack(700.0, 60.0)) == (700.0, 60.0)
    assert [ALONG_X.across_mm(number) for number in (1, 3)] == [-30.0, 870.0]


def test_before_the_first() -> None:
    assert ALONG_Y.before_first_mm(stack(149.0, 60.0)) == 1.0
    assert ALONG_Y.before_first_mm(stack(150.0, 60.0)) == 0.0
    assert ALONG_X.before_first_mm(stack(149.0, 60.0)) == 0.0
    assert ALONG_X.before_first_mm(stack(149.0, -31.0)) == 1.0


def test_too_far_before_the_first_is_more_than_half_the_centres() -> None:
    assert ALONG_Y.too_far_before_mm(stack(-50.0, 60.0)) == 0.0  # 200 mm: closed
    assert ALONG_Y.too_far_before_mm(stack(-50.5, 60.0)) == 200.5
    assert ALONG_X.too_far_before_mm(stack(-50.5, -254.0)) == 0.0
    assert ALONG_X.too_far_before_mm(stack(-50.5, -256.0)) == 226.0


@pytest.mark.parametrize(
    ("x", "distance"), [(40.0, 86.5), (173.5, 0.0), (240.0, 66.5), (480.0, 46.5), (550.0, 0.0)]
)
def test_distance_from_the_edge_of_the_nearest_joist(x: float, distance: float) -> None:
    assert ALONG_Y.edge_distance_mm(stack(x, 0.0), 47.0) == pytest.approx(distance, abs=1e-9)


def test_total() -> None:
    assert stack(0.0, 0.0).total_n == 420.0


@pytest.mark.parametrize(
    ("numbers", "said"),
    [
        ((math.nan, 0.0, 10.0, 0.0, 0.0), "all numbers"),
        ((0.0, math.inf, 10.0, 0.0, 0.0), "all numbers"),
        ((0.0, 0.0, 10.0, math.nan, 0.0), "all numbers"),
        ((0.0, 0.0, 10.0, -12.0, 0.0), "a stack only presses"),
    ],
)
def test_what_cannot_press(numbers: tuple[float, ...], said: str) -> None:
    with pytest.raises(Refusal, match=f"stack B4.*{said}"):
        Pressed("B4", "B", *numbers)


def test_one_part_may_pull_and_round_off_may() -> None:
    assert Pressed("B4", "B", 0.0, 0.0, 10.0, -4.0).total_n == 6.0
    assert Pressed("B4", "B", 0.0, 0.0, -1e-9).total_n == -1e-9


@pytest.mark.parametrize(
    ("other", "said"),
    [
        ({"centres_mm": 46.0}, "47 mm wide at centres of 46 mm would overlap"),
        ({"bearing_mm": (0.0, 100.0, 3600.0)}, "bearings 100 mm apart are no span .* 195 mm deep"),
        ({"first_mm": -60000.0, "centres_mm": 50.0}, "1217 joists .* at most 1000"),
    ],
)
def test_what_is_no_row_of_beams(other: dict, said: str) -> None:
    pressed = [stack(300.0, 60.0), stack(790.0, 60.0, "B2")]
    assert why_not(joists(), pressed) == ""
    assert re.search(said, why_not(joists(**other), pressed))


def test_nothing_pressed() -> None:
    assert why_not(joists(), []) == "no stack presses on the floor"


def test_limits_of_a_row_of_beams_are_closed() -> None:
    edge = joists(centres_mm=47.0, bearing_mm=(0.0, 195.0, 3600.0))
    assert why_not(edge, [stack(300.0, 60.0)]) == ""
