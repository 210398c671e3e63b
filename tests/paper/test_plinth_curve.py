"""Scribe strips: where their straight line lies, what is open, what finds no room."""

import numpy as np
import pandas as pd
import pytest

from kit.base.plinth_boards import Piece
from kit.base.plinth_profile import PlinthBoard
from kit.paper.full_size import LEFT_MM
from kit.paper.marks import Letters, Stroke
from kit.paper.plinth_curve import ScribeStrip


def strip_of(along: list[float], height: list[float], units: str = "mm") -> ScribeStrip:
    line = pd.DataFrame({"along_mm": along, "height_mm": height, "run": "A"})
    board = PlinthBoard("1", "A", Piece(along[0], along[-1], 2400.0), 95.0, line)
    return ScribeStrip(board, (along[0], along[-1]), units)  # type: ignore[arg-type]


def curves(strip: ScribeStrip, number: int = 0) -> list[tuple[tuple[float, float], ...]]:
    marks = strip.marks(strip.pieces[number], 0.0)
    return [m.places for m in marks if isinstance(m, Stroke) and m.pen.width_mm == 0.5]


def test_the_curve_lies_as_far_below_its_line_as_the_board_is_higher() -> None:
    strip = strip_of([300.0, 360.0, 420.0, 480.0], [60.4, 63.0, 58.7, 61.1])
    # The line keeps 14 mm above the least height, at whole millimetres: 58.7 - 14 = 44.7.
    assert strip.line_mm == 44.0
    (curve,) = curves(strip)
    # The straight line lies 8 mm down the drawing.
    assert [(x - LEFT_MM + 300.0, y - 8.0 + 44.0) for x, y in curve] == [
        (300.0, pytest.approx(60.4)),
        (360.0, pytest.approx(63.0)),
        (420.0, pytest.approx(58.7)),
        (480.0, pytest.approx(61.1)),
    ]


def test_a_join_between_two_places_lies_on_the_line_between_them() -> None:
    along = [float(x) for x in np.arange(0.0, 421.0, 60.0)]
    strip = strip_of(along, [50.0 + 0.02 * x for x in along])
    first, second = strip.pieces
    (left,), (right,) = curves(strip), curves(strip, 1)
    assert first.to_mm == second.from_mm == 250.0
    assert left[-1][1] == right[0][1] == pytest.approx(8.0 + 55.0 - strip.line_mm)


def test_the_line_of_an_inch_strip_lies_at_a_quarter() -> None:
    # 58.7 - 14 = 44.7 mm = 1.76 in.
    assert strip_of([0.0, 90.0], [58.7, 60.0], "in").line_mm == pytest.approx(1.75 * 25.4)


def test_low_plinths_are_drawn_from_the_base_top() -> None:
    strip = strip_of([0.0, 90.0], [9.0, 13.5])
    assert strip.line_mm == 0.0
    texts = [m.text for m in strip.marks(strip.pieces[0], 0.0) if isinstance(m, Letters)]
    assert any("line: base top" in text for text in texts)


def test_what_was_not_surveyed_is_left_open() -> None:
    along = [0.0, 60.0, 120.0, 180.0, 240.0]
    strip = strip_of(along, [50.0, 51.0, np.nan, 55.0, 54.0])
    before, after = curves(strip)
    assert [x - LEFT_MM for x, _ in (*before, *after)] == [0.0, 60.0, 180.0, 240.0]
    texts = [m.text for m in strip.marks(strip.pieces[0], 0.0) if isinstance(m, Letters)]
    assert "not surveyed" in texts


def test_a_strip_taller_than_a_page_does_not_fit() -> None:
    assert strip_of([0.0, 90.0], [40.0, 169.0]).fits
    assert not strip_of([0.0, 90.0], [40.0, 171.0]).fits
