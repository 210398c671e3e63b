"""Counts that suffice: the order, how far to go, and what serves in place of what."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import norm

from kit.buying.suffice import choose_counts, in_place

FREE = np.array([math.nan])


def column(values: object) -> np.ndarray:
    return np.asarray(values, dtype=np.int64).reshape(-1, 1)


@pytest.mark.parametrize("certainty", [0.8, 0.95, 0.99])
def test_one_support_with_normal_doubt_takes_the_normal_quantile(certainty: float) -> None:
    """Closed form: packers of 0.2 mm under a height N(31, 2.3²); the quantile by scipy.stats."""
    rng = np.random.default_rng(7)
    heights = 31.0 + 2.3 * rng.standard_normal(8000)
    enough = choose_counts(
        column(np.ceil(heights / 0.2)), np.array([155]), np.array([0.4]), certainty
    )
    exact = (31.0 + 2.3 * norm.ppf(certainty)) / 0.2
    # Standard error of a quantile of 4,000 draws, sqrt(p q / n) / density, three times, and a
    # whole packer.
    density = norm.pdf(norm.ppf(certainty)) / 2.3
    error = 3 * math.sqrt(certainty * (1 - certainty) / 4000) / density / 0.2
    assert exact - error <= enough.counts[0] <= exact + error + 1


def test_what_floors_want_together_is_bought_together() -> None:
    """By hand: 6 floors of 10 want (2, 1), 3 want (2, 3), 1 wants (9, 1)."""
    floors = [[2, 1]] * 6 + [[2, 3]] * 3 + [[9, 1]]
    counts = np.repeat(np.array(floors, dtype=np.int64), 2, axis=0)  # one of each in either half
    enough = choose_counts(counts, np.array([2, 0]), np.array([1.0, 1.0]), 0.9)
    assert enough.counts.tolist() == [2, 3]
    assert enough.reached == pytest.approx(0.9)


def test_of_two_ways_to_reach_it_the_cheaper_is_taken() -> None:
    """By hand: either two more of the first or two more of the second serve 8 floors of 10."""
    floors = np.array([[5, 5]] * 6 + [[7, 5]] * 2 + [[5, 7]] * 2, dtype=np.int64)
    counts = np.repeat(floors, 2, axis=0)
    for prices, expected in (([3.0, 1.0], [5, 7]), ([1.0, 3.0], [7, 5])):
        enough = choose_counts(counts, np.array([5, 5]), np.array(prices), 0.8)
        assert enough.counts.tolist() == expected
        assert enough.reached == pytest.approx(0.8)


def test_no_less_than_in_any_case_and_no_piece_for_nothing() -> None:
    counts = column([3, 3, 4, 4, 3, 3, 4, 4])
    assert choose_counts(counts, np.array([6]), FREE, 0.95).counts.tolist() == [6]
    assert choose_counts(counts, np.array([1]), FREE, 0.95).counts.tolist() == [4]
    assert choose_counts(counts, np.array([1]), FREE, 0.5).counts.tolist() == [3]


def test_a_price_of_nothing_or_of_none_does_not_stop_it() -> None:
    counts = np.repeat(np.array([[1, 4], [2, 3], [2, 4], [5, 1]], dtype=np.int64), 2, axis=0)
    # What three of four floors ask for; where the first is given away all of it is taken along.
    for prices, expected in (
        ([0.0, 0.0], [2, 4]),
        ([math.nan, 2.0], [2, 4]),
        ([0.0, 2.0], [5, 4]),
    ):
        enough = choose_counts(counts, np.array([0, 0]), np.array(prices), 0.75)
        assert enough.counts.tolist() == expected


def test_floors_that_judge_are_not_those_that_order() -> None:
    """The judging half never wants the second thing, however often the other does."""
    counts = np.array([[3, 8], [3, 0], [4, 8], [5, 0], [3, 8], [3, 0]], dtype=np.int64)
    enough = choose_counts(counts, np.array([0, 0]), np.array([1.0, 1.0]), 0.6)
    assert enough.reached == pytest.approx(2 / 3)


def test_without_floors_to_judge_by_it_is_no_more_than_in_any_case() -> None:
    enough = choose_counts(np.array([[9, 9]], dtype=np.int64), np.array([4, 2]), np.ones(2), 0.95)
    assert enough.counts.tolist() == [4, 2]
    assert math.isnan(enough.reached)


def test_a_deeper_board_serves_for_a_shallower_one() -> None:
    """By hand: five boards, on 7 floors of 10 of 70 mm, on 3 of 95 mm."""
    boards = ["board 70", "board 95"]
    serving = in_place(["nails", *boards], [3.0, 2440.0, 2440.0], boards)
    floors = np.array([[1, 5, 0]] * 7 + [[1, 0, 5]] * 3, dtype=np.int64)
    counts = serving.at_least(np.repeat(floors, 2, axis=0))
    assert counts[0].tolist() == [1, 5, 0]
    assert counts[-1].tolist() == [1, 5, 5]
    prices = serving.steps(np.array([1.0, 6.0, 8.5]))
    assert prices.tolist() == [1.0, 6.0, 2.5]
    plan = serving.at_least(np.array([1, 5, 0]))
    for certainty, expected in ((0.7, [1, 5, 0]), (0.8, [1, 0, 5])):
        enough = choose_counts(counts, plan, prices, certainty)
        assert serving.each(enough.counts).tolist() == expected


def test_boards_of_another_length_do_not_serve() -> None:
    names = ["board 70", "board 70", "board 95"]
    serving = in_place(names, [2440.0, 3600.0, 3600.0], ["board 70", "board 95"])
    assert serving.chains == ((1, 2),)
