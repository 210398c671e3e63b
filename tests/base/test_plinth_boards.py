"""Boards of a plinth: fewest, joined at sides of units where that costs none."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.base.plinth_boards import SHORTEST_PIECE_MM, cut_plinth
from kit.job import Refusal

STOCK = (2400.0, 3600.0)


def ends(length: float, sides: list[float], stock: tuple[float, ...] = STOCK) -> list[float]:
    return [piece.to_mm for piece in cut_plinth(length, sides, stock, "run A")]


def test_a_joint_lies_at_a_side_where_that_takes_no_more_boards() -> None:
    # 4100 takes two boards anyway; 1250 and 2050 serve, 3900 leaves too short a piece.
    assert ends(4100.0, [1250.0, 2050.0, 3900.0]) == [2050.0, 4100.0]
    # 2050 is taken: two boards of 2400 are less to buy than one of 3600 and one of 2400.
    assert [p.stock_mm for p in cut_plinth(4100.0, [1250.0, 2050.0], STOCK, "A")] == [2400, 2400]


def test_a_side_that_would_take_another_board_is_passed_over() -> None:
    # 500 leaves 3700, more than a board: the joint lies elsewhere.
    assert ends(4200.0, [500.0]) == [2400.0, 4200.0]


def test_as_many_joints_at_sides_as_can_be() -> None:
    # Three boards of 3600 for 9000; 3100 and 6400 are sides within reach, 7000 is not with 3100.
    assert ends(9000.0, [3100.0, 6400.0, 7000.0]) == [3100.0, 6400.0, 9000.0]


def test_no_piece_is_too_short() -> None:
    # 7250 = 3600 + 3600 + 50: the middle one gives what the last one lacks.
    assert ends(7250.0, [], (3600.0,)) == [3600.0, 6950.0, 7250.0]


def test_a_short_run_is_one_short_piece() -> None:
    (piece,) = cut_plinth(260.0, [120.0], STOCK, "run A")
    assert (piece.from_mm, piece.to_mm, piece.stock_mm) == (0.0, 260.0, 2400.0)


def test_a_run_as_long_as_a_board_needs_no_joint() -> None:
    assert ends(3600.0, [1800.0]) == [3600.0]


def test_boards_too_short_for_any_piece_are_refused() -> None:
    with pytest.raises(Refusal, match=r"500 mm of plinth from boards of 400 mm at most; allowed"):
        cut_plinth(500.0, [], (400.0,), "run A")


@given(
    st.lists(st.integers(150, 1300), min_size=1, max_size=14),
    st.lists(st.integers(600, 4000), min_size=1, max_size=3),
)
def test_pieces_cover_the_run_with_the_fewest_boards(units: list[int], stock: list[int]) -> None:
    length = float(sum(units))
    sides = [float(sum(units[: n + 1])) for n in range(len(units))]
    pieces = cut_plinth(length, sides, [float(mm) for mm in stock], "run A")
    assert len(pieces) == -(-length // max(stock))
    assert [one.from_mm for one in pieces[1:]] == [one.to_mm for one in pieces[:-1]]
    assert (pieces[0].from_mm, pieces[-1].to_mm) == (0.0, length)
    for piece in pieces:
        # Whole millimetres add up without round-off.
        assert min(SHORTEST_PIECE_MM, length) <= piece.length_mm <= piece.stock_mm
        assert piece.stock_mm == min(mm for mm in stock if mm >= piece.length_mm)


def fewest_by_steps(length: int, sides: set[int], stock: list[int]) -> tuple[int, int] | None:
    """Return fewest pieces, then fewest joints away from a side, over every place of 100 mm."""
    if length <= max(stock):
        return 1, 0
    least = {0: (0, 0)}
    for end in range(100, length + 1, 100):
        ways = [
            (least[start][0] + 1, least[start][1] + (end not in sides | {length}))
            for start in range(max(0, end - max(stock)), end - 299, 100)
            if start in least
        ]
        if ways:
            least[end] = min(ways)
    return least.get(length)


@pytest.mark.parametrize("seed", range(150))
def test_no_joints_lie_better(seed: int) -> None:
    """Run, sides and boards are whole decimetres, and so the best joints can be."""
    draw = np.random.default_rng(seed)
    length = 100 * int(draw.integers(2, 80))
    stock = sorted({100 * int(mm) for mm in draw.integers(4, 36, int(draw.integers(1, 4)))})
    sides = {100 * int(x) for x in draw.integers(1, length // 100, int(draw.integers(0, 6)))}
    best = fewest_by_steps(length, sides, stock)
    if best is None:
        with pytest.raises(Refusal):
            ends(float(length), sorted(map(float, sides)), tuple(map(float, stock)))
        return
    found = ends(float(length), sorted(map(float, sides)), tuple(map(float, stock)))
    # Sums of whole millimetres have no round-off.
    assert (len(found), sum(end not in sides for end in found[:-1])) == best
