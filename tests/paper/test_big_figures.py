"""Big figures: in their boxes, in large letters, and marked where something had to be cut."""

import pytest

from kit.paper.big_figures import BigFigure, figures_drawing, fitted
from kit.paper.letters import letters_wide_mm
from kit.paper.marks import Area, Letters

LONG = "a benchmark with a name that goes on and on far beyond the edge of any box on this sheet"


def test_letters_stay_in_their_boxes() -> None:
    figures = tuple(
        BigFigure(f"label {n}", "1 15/16 to 2 7/16 in" * (1 + n % 2), LONG) for n in range(5)
    )
    drawing = figures_drawing(figures, 186.0)
    boxes = [mark for mark in drawing.marks if isinstance(mark, Area)]
    letters = [mark for mark in drawing.marks if isinstance(mark, Letters)]
    assert len(boxes) == 5
    assert len(letters) == 15
    for place, one in enumerate(letters):
        (left, top), _, (right, low), _ = boxes[place // 3].places
        assert left < one.at[0]
        assert one.at[0] + letters_wide_mm(one.text, one.size_mm, bold=one.bold) <= right
        assert top < one.at[1] - 0.76 * one.size_mm  # the face's capitals are 0.73 of its size
        assert one.at[1] < low
        assert one.size_mm >= 2.5  # house rule: the smallest letters


def test_a_short_value_is_large() -> None:
    drawing = figures_drawing((BigFigure("base top", "53.9 mm"),), 186.0)
    assert any(
        isinstance(m, Letters) and m.text == "53.9 mm" and m.size_mm == 8.0 for m in drawing.marks
    )
    assert "base top: 53.9 mm" in drawing.words


@pytest.mark.parametrize("room_mm", [20.0, 45.0, 90.0])
def test_what_does_not_fit_is_marked_as_cut(room_mm: float) -> None:
    text, size = fitted(LONG, room_mm, 3.0)
    assert text.endswith("…")
    assert LONG.startswith(text[:-1])
    assert letters_wide_mm(text, size) <= room_mm
