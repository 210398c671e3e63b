"""Bars: pieces at their scale, cuts where they are, letters within their pieces."""

import pytest

from kit.paper.cut_bars import Bar, bars_drawings
from kit.paper.letters import letters_wide_mm
from kit.paper.marks import Area, Drawing, Letters, Stroke

ROOM = (186.0, 100.0)

BARS = (
    Bar("Length 1", 3600.0, 3.0, (("B/1", "2400.0", 2400.0), ("D", "900.0", 900.0)), "left 294"),
    Bar("Length 2", 2400.0, 3.0, (("F/1", "2400.0", 2400.0),), "left 0"),
    Bar("Length 3", 2400.0, 3.0, tuple((f"R{n}", "95.0", 95.0) for n in range(24)), "left 48"),
)


@pytest.fixture(scope="module")
def drawing() -> Drawing:
    (one,) = bars_drawings(BARS, ROOM)
    return one


def _pieces(drawing: Drawing) -> list[tuple[float, float]]:
    """Return left and right edge of each piece [mm of paper]."""
    areas = [mark for mark in drawing.marks if isinstance(mark, Area) and mark.grey == 1.0]
    return [(area.places[0][0], area.places[1][0]) for area in areas]


def test_pieces_lie_behind_each_other_with_a_saw_cut_between(drawing: Drawing) -> None:
    share = 186.0 / 3600.0  # the longest bar takes the whole width
    first, second = _pieces(drawing)[:2]
    assert first == pytest.approx((0.0, 2400 * share), abs=1e-9)
    assert second == pytest.approx((2403 * share, 3303 * share), abs=1e-9)
    assert drawing.scale == pytest.approx(3600 / 186, abs=1e-9)


def test_a_piece_as_long_as_its_bar_is_not_cut(drawing: Drawing) -> None:
    cuts = [mark for mark in drawing.marks if isinstance(mark, Stroke)]
    # Two pieces of the first bar, none of the second, 24 of the third.
    assert len(cuts) == 2 + 0 + 24


def test_every_piece_is_named_within_its_edges(drawing: Drawing) -> None:
    letters = [m for m in drawing.marks if isinstance(m, Letters) and m.anchor == "middle"]
    assert {"B/1: 2400.0", "D: 900.0", "F/1: 2400.0"} <= {one.text for one in letters}
    edges = _pieces(drawing)
    for number in range(24):
        (one,) = (mark for mark in letters if mark.text == f"R{number}")
        left, right = edges[3 + number]
        wide = one.size_mm if one.angle_deg else letters_wide_mm(one.text, one.size_mm, bold=True)
        assert one.size_mm >= 2.5  # house rule: the smallest letters
        assert right - left >= wide - 1e-9
        assert left < one.at[0] < right


def test_bars_that_fill_more_than_a_page_are_divided() -> None:
    many = tuple(
        Bar(f"Length {n}", 2400.0, 3.0, (("B", "1000.0", 1000.0),), "left") for n in range(1, 15)
    )
    drawings = [*bars_drawings(many, ROOM)]
    assert all(one.height_mm <= ROOM[1] and one.width_mm <= ROOM[0] for one in drawings)
    named = [
        mark.text.split(";")[0]
        for one in drawings
        for mark in one.marks
        if isinstance(mark, Letters) and mark.text.startswith("Length")
    ]
    assert named == [f"Length {n}" for n in range(1, 15)]
