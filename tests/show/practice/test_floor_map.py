"""A practice floor in figures, against floors in closed form."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kit.floor import fit_plane
from kit.job import Refusal
from kit.practice.floors import PracticeFloor
from kit.practice.shapes import Bump, Fall
from kit.show.board.map_levels import MOST_LEVELS
from kit.show.practice.floor_map import fall_words, floor_map, levels_over


def test_a_plain_fall_is_taken_off_whole(made: PracticeFloor) -> None:
    one = floor_map(replace(made, shapes=(Fall(1.5, -2.0),)))
    # Heights are rounded to 0.001 mm.
    assert one.along_mm_per_m == pytest.approx(1.5, abs=1e-3)
    assert one.across_mm_per_m == pytest.approx(-2.0, abs=1e-3)
    assert one.fall_mm_per_m == pytest.approx(2.5, abs=1e-3)  # 3-4-5
    assert np.abs(one.residual_mm).max() < 0.002
    # It falls along -x and +y: atan2(2.0, -1.5).
    assert one.falls_to_deg == pytest.approx(126.87, abs=0.05)
    assert (one.highest, one.lowest) == ((3700.0, 0.0), (0.0, 2300.0))
    assert one.range_mm == pytest.approx(1.5 * 3.7 + 2.0 * 2.3, abs=0.002)


def test_the_plane_is_the_kits_own(rough: PracticeFloor) -> None:
    one = floor_map(rough)
    x, y = (grid.ravel() for grid in np.meshgrid(one.x_mm, one.y_mm))
    plane = fit_plane(x, y, rough.carried_mm(x, y))
    residual = one.carried_mm.ravel() - plane.height_mm(x, y)
    assert one.residual_mm.ravel() == pytest.approx(residual, abs=1e-8)  # both least squares


def test_boards_that_move_are_pressed_down(made: PracticeFloor) -> None:
    one = floor_map(made)
    row, column = 4, int(np.argmin(np.abs(one.x_mm - 450)))
    x, y = one.x_mm[column], one.y_mm[row]
    assert made.loose[0].patch.holds(x, y) == 1
    assert one.carried_mm[row, column] == pytest.approx(float(made.carried_mm(x, y)))
    assert one.carried_mm[row, column] < float(made.heights_mm(x, y)) - 2.6


def test_highest_and_lowest_are_where_a_hump_puts_them(made: PracticeFloor) -> None:
    one = floor_map(replace(made, shapes=(Bump(2600.0, 900.0, 6.0, 800.0),)))
    # Looked at on squares of 50 mm at most.
    assert one.highest == pytest.approx((2600, 900), abs=50)
    assert one.range_mm == pytest.approx(6.0, abs=0.05)


@pytest.mark.parametrize(
    ("along", "across", "words"),
    [
        (-2.0, 0.1, "falls 2.0 mm/m to the right"),
        (-1.0, -1.0, "falls 1.4 mm/m to the right and into the room"),
        (0.1, -3.0, "falls 3.0 mm/m into the room"),
        (1.2, -1.2, "falls 1.7 mm/m to the left and into the room"),
        (2.0, 0.0, "falls 2.0 mm/m to the left"),
        (1.0, 1.0, "falls 1.4 mm/m to the left and to the wall"),
        (0.0, 1.1, "falls 1.1 mm/m to the wall"),
        (-1.0, 1.0, "falls 1.4 mm/m to the right and to the wall"),
        (0.01, -0.02, "no fall"),
    ],
)
def test_the_way_it_falls_is_said(
    made: PracticeFloor, along: float, across: float, words: str
) -> None:
    assert fall_words(floor_map(replace(made, shapes=(Fall(along, across),)))) == words


def test_levels_hold_every_floor_of_several(made: PracticeFloor, rough: PracticeFloor) -> None:
    maps = floor_map(made), floor_map(rough)
    levels = levels_over(maps)
    assert 0.0 in levels.values
    assert len(levels.values) <= MOST_LEVELS
    low = min(float(one.residual_mm.min()) for one in maps)
    high = max(float(one.residual_mm.max()) for one in maps)
    assert low > levels.values[0] - levels.step
    assert high < levels.values[-1] + levels.step


def test_no_floor_is_refused() -> None:
    with pytest.raises(Refusal, match="one or more"):
        levels_over(())
