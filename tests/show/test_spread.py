"""Names find a lane in which they lie on no other name."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from kit.show.spread import APART_PX, lanes


def test_names_far_apart_share_the_first_lane() -> None:
    assert lanes([20, 80, 141], [30, 40, 25]) == [0, 0, 0]


def test_crowded_names_go_down_and_come_up_again() -> None:
    assert lanes([10, 22, 34, 46], [20, 20, 20, 20]) == [0, 1, 0, 1]


@given(st.lists(st.tuples(st.floats(0, 900), st.floats(5, 80)), max_size=40))
def test_no_two_names_of_one_lane_touch(given_names: list[tuple[float, float]]) -> None:
    names = sorted(given_names)
    found = lanes([m for m, _ in names], [w for _, w in names])
    for lane in set(found):
        inside = sorted(
            (m - w / 2, m + w / 2) for (m, w), at in zip(names, found, strict=True) if at == lane
        )
        for (_, end), (start, _) in pairwise(inside):
            assert start >= end + APART_PX - 1e-9  # round-off of the subtraction
