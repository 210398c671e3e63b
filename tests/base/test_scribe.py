"""The cut profile: depths, boards, straight cuts."""

import math

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog

from kit.base.scribe import (
    Ways,
    cut_profile,
    deepest_bound,
    mean_depth_mm,
    scribe_table,
    shallowest_board,
    straight_gap_mm,
)


def places(**changes: object) -> pd.DataFrame:
    told = {
        "member": ["B", "B", "B", "F", "F"],
        "along_mm": [0.0, 40.0, 100.0, 5.0, 55.0],
        "x_mm": [10.0, 50.0, 110.0, 15.0, 65.0],
        "y_mm": [54.0, 54.0, 54.0, 300.0, 300.0],
        "lift_share": [0.0, 0.0, 0.0, 1.0, 1.0],
        "over": ["", "hatch", "", "", ""],
        "floor_mm": [-2.0, -7.0, 1.5, -4.0, math.nan],
        "floor_sd_mm": [0.2, 0.3, 0.4, 0.5, math.nan],
    }
    return pd.DataFrame({**told, **changes})


def test_what_is_left_and_what_comes_off() -> None:
    profile = cut_profile(places(), 50.0, 2.0, 70.0, 3.0)
    # top - floor; over the hatch 3 less; the front 2 higher.
    assert profile["depth_mm"].tolist()[:4] == pytest.approx([52.0, 54.0, 48.5, 56.0])
    assert profile["cut_mm"].tolist()[:4] == pytest.approx([18.0, 16.0, 21.5, 14.0])
    assert math.isnan(profile["depth_mm"][4])
    assert list(profile["over"]) == ["", "hatch", "", "", ""]


def test_over_a_pit_that_is_no_go_the_board_is_left_whole() -> None:
    floor = [-2.0, -70.0, 1.5, -4.0, 0.0]
    profile = cut_profile(places(floor_mm=floor), 50.0, 0.0, 70.0, 3.0)
    assert (profile["depth_mm"][1], profile["cut_mm"][1]) == (70.0, 0.0)


def test_the_window_from_below_and_above() -> None:
    table = places().rename(columns={"member": "bearer"}).assign(own_x_mm=[0, 40, 100, 5, 55])
    table["lies"] = ["member", "member", "member", "rung", "rung"]
    heights = np.array([-2.0, -70.0, 1.5, -4.0, 2.0])
    ways = Ways.under(table, heights, 2.0, 3.0)
    # The pit under the bridge counts neither way: -67 is not highest, and need not be reached.
    assert ways.left_mm(50.0) == pytest.approx(50.0 - 1.5)
    assert ways.depth_mm(50.0) == pytest.approx(50.0 + 4.0 + 2.0)
    bound = deepest_bound(ways, table, [45.0, 70.0])
    assert bound.datum_mm == pytest.approx(-4.0 - 2.0 + 70.0)
    assert bound.reason == "deepest board, 70 mm, over the lowest floor (rung F at x = 5 mm)"
    # A hump under the bridge binds by its clearance.
    heights[1] = 0.0
    assert Ways.under(table, heights, 2.0, 3.0).left_mm(50.0) == pytest.approx(50.0 - 3.0)


@pytest.mark.parametrize(
    ("depth", "index"), [(44.9, 2), (45.0, 2), (45.1, 0), (70.0, 0), (95.0, 1), (95.1, None)]
)
def test_the_shallowest_board(depth: float, index: int | None) -> None:
    assert shallowest_board([70.0, 95.0, 45.0], depth, [2.6, 1.0, math.nan]) == index


def test_of_equally_deep_boards_the_cheapest_is_taken() -> None:
    depths, nan = [95.0, 70.0, 70.0, 70.0], math.nan
    assert shallowest_board(depths, 60.0, [0.5, 9.0, 1.25, nan]) == 2
    assert shallowest_board(depths, 60.0, [0.5, nan, nan, 4.0]) == 3
    assert shallowest_board(depths, 60.0, [nan, nan, nan, nan]) == 1


def test_the_table_of_members() -> None:
    profile = cut_profile(places(over=[""] * 5), 50.0, 2.0, 70.0, 3.0)
    table = scribe_table(profile, 70.0).set_index("member")
    assert table.loc["B", "least_mm"] == pytest.approx(48.5)
    assert table.loc["B", "greatest_mm"] == pytest.approx(57.0)
    # Trapezia by hand: (52+57)/2 over 40 mm and (57+48.5)/2 over 60 mm.
    mean = (54.5 * 40 + 52.75 * 60) / 100
    assert table.loc["B", "mean_mm"] == pytest.approx(mean)
    assert table.loc["B", "remains_share"] == pytest.approx(mean / 70)
    # The chord from 52 to 48.5 is at 50.6 under the 57: half of what that misses.
    assert table.loc["B", "straight_gap_mm"] == pytest.approx((57 - 50.6) / 2)
    assert table.loc["F", "straight_gap_mm"] == 0.0
    assert math.isnan(table.loc["F", "mean_mm"])


def test_a_bridge_does_not_count_as_a_miss_of_the_straight_cut() -> None:
    table = scribe_table(cut_profile(places(), 50.0, 2.0, 70.0, 3.0), 70.0)
    assert table["straight_gap_mm"][0] == 0.0  # of B only its two ends touch the floor


def test_stretches_not_known_are_left_out_of_the_mean() -> None:
    along, depth = np.array([0.0, 10.0, 40.0, 50.0]), np.array([4.0, 6.0, math.nan, 9.0])
    assert mean_depth_mm(along, depth) == 5.0


def test_of_two_places_a_straight_cut_misses_nothing_of_none_nobody_knows() -> None:
    two = np.array([3.0, 8.0])
    assert straight_gap_mm(two, two**2) == 0.0
    assert math.isnan(straight_gap_mm(two[:0], two[:0]))


def least_greatest_departure(along: np.ndarray, depth: np.ndarray) -> float:
    """Solve for the line a + b x that keeps max |departure| least, by linear programming."""
    one = np.ones_like(along)
    rows = np.block([[one[:, None], along[:, None], -one[:, None]],
                     [-one[:, None], -along[:, None], -one[:, None]]])  # fmt: skip
    limits = np.concatenate([depth, -depth])
    free = (None, None)
    found = linprog([0, 0, 1], A_ub=rows, b_ub=limits, bounds=[free, free, (0, None)])
    return float(found.fun)


@given(
    st.lists(st.floats(20, 80), min_size=3, max_size=30),
    st.lists(st.floats(1, 50), min_size=30, max_size=30),
)
def test_the_straight_cut_against_a_linear_programme(
    depth: list[float], steps: list[float]
) -> None:
    along = np.cumsum(steps[: len(depth)])
    gap = straight_gap_mm(along, np.array(depth))
    # HiGHS holds its constraints to 1e-7; a few of them meet.
    assert gap == pytest.approx(least_greatest_departure(along, np.array(depth)), abs=1e-5)
