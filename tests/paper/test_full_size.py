"""Pieces of strips at full size, their scales and control lines."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.paper.document import Document
from kit.paper.full_size import (
    LEFT_MM,
    PIECE_MM,
    TAB_MM,
    StripPiece,
    control_marks,
    cut_strip,
    join_marks,
    scale_marks,
)
from kit.paper.marks import Letters, Stroke


def test_joins_keep_off_marks_and_lie_at_whole_centimetres() -> None:
    pieces = cut_strip("B", 0.0, 700.0, (247.0, 480.0), "mm")
    # 210 is the last centimetre that lies 30 mm or more off 247.
    assert [(one.from_mm, one.to_mm) for one in pieces] == [(0, 210), (210, 450), (450, 700)]
    assert [one.number for one in pieces] == [1, 2, 3]
    assert {one.of for one in pieces} == {3}


def test_joins_of_inch_strips_lie_at_half_inches() -> None:
    first, *_ = cut_strip("B", 0.0, 900.0, (), "in")
    assert first.to_mm == pytest.approx(9.5 * 25.4)  # 10 in would be longer than a piece


@given(
    st.floats(0, 3000),
    st.floats(20, 13_000),
    st.lists(st.floats(0, 16_000), max_size=60),
    st.sampled_from(["mm", "in"]),
)
def test_pieces_cover_the_strip_and_fit_a_page(
    start: float, long: float, marks: list[float], units: str
) -> None:
    pieces = cut_strip("B", start, start + long, marks, units)  # type: ignore[arg-type]
    assert (pieces[0].from_mm, pieces[-1].to_mm) == (start, start + long)
    assert all(a.to_mm == b.from_mm for a, b in pairwise(pieces))
    # Sums of sixteenths of an inch are off by round-off.
    assert max(one.length_mm for one in pieces) <= PIECE_MM + 1e-6
    assert min(one.length_mm for one in pieces) >= min(60.0, long) - 1e-6
    wide = Document("", (), landscape=True).room_mm[0]
    assert wide >= LEFT_MM + PIECE_MM + TAB_MM


def test_a_scale_of_centimetres() -> None:
    piece = StripPiece("B", 2, 3, 95.0, 215.0)
    marks = list(scale_marks(piece, 5.0, "mm", [203.0]))
    ticks = [m for m in marks if isinstance(m, Stroke)][1:]
    assert [t.places[0][0] for t in ticks] == [LEFT_MM + at - 95.0 for at in range(100, 220, 10)]
    figures = {m.text: m for m in marks if isinstance(m, Letters)}
    assert list(figures) == ["100", "200"]
    # A line 3 mm right of 200 would run through its figure there: it stands left of its tick.
    assert (figures["100"].anchor, figures["200"].anchor) == ("start", "end")


def test_a_scale_of_sixteenths() -> None:
    piece = StripPiece("B", 1, 1, 25.4, 76.2)
    marks = list(scale_marks(piece, 0.0, "in"))
    ticks = [m for m in marks if isinstance(m, Stroke)][1:]
    assert len(ticks) == 33
    long = [t.places[1][1] - t.places[0][1] for t in ticks]
    # From one inch to the next: inch, 1/16, 1/8, 1/16, 1/4 ... 1/2.
    assert long[:9] == [5.0, 1.4, 2.2, 1.4, 3.0, 1.4, 2.2, 1.4, 3.8]
    assert long[16] == 5.0
    assert [m.text for m in marks if isinstance(m, Letters)] == ["1", "2", "3"]


def test_a_join_says_where_it_is_on_both_pieces() -> None:
    pieces = cut_strip("F", 0.0, 480.0, (), "mm")
    first, last = (list(join_marks(one, 10.0, 36.0, "mm")) for one in pieces)
    assert [m.text for m in first if isinstance(m, Letters)] == [
        "join F: 1|2 here,", "left end of 2", "on 250 mm",
    ]  # fmt: skip
    assert not [m for m in last if isinstance(m, Letters)]
    lines = [m.places[0][0] for m in first if isinstance(m, Stroke)]
    assert lines == [LEFT_MM, LEFT_MM + 250.0]


@pytest.mark.parametrize(("units", "long"), [("mm", 200.0), ("in", 203.2)])
def test_the_control_line_is_as_long_as_it_says(units: str, long: float) -> None:
    document = Document("", (), landscape=True)
    marks = list(control_marks(document, units))  # type: ignore[arg-type]
    line = marks[0]
    assert isinstance(line, Stroke)
    (a, y), (b, z) = line.places
    assert (b - a, y) == (pytest.approx(long), z)
    (said,) = [m.text for m in marks if isinstance(m, Letters)]
    assert f"{long:.1f} mm" in said
    assert "print at 100 %" in said
