"""One piece of a tape strip: no letter of a mark is lost, however narrow it gets."""

from itertools import pairwise

import pytest

from kit.paper.full_size import StripPiece, cut_strip
from kit.paper.label_places import letters_box
from kit.paper.marks import Area, Letters, Stroke
from kit.paper.strip_picture import piece_marks
from kit.paper.strip_rows import RowMark, StripRow, strip_rows
from kit.parts import Answer


def row_of(*places: float, pad: float = 40.0) -> StripRow:
    marks = tuple(RowMark(at, "support", f"F{n}") for n, at in enumerate(places, 1))
    return StripRow("F", "A", 300.0, 0.0, 250.0, marks, pad, "bearer", ())


def said(row: StripRow, piece: StripPiece) -> list[Letters]:
    return [mark for mark in piece_marks(row, piece, 0.0, "mm") if isinstance(mark, Letters)]


def test_supports_as_close_as_two_boards_keep_their_names() -> None:
    places = (9.0, 100.0, 118.0, 136.0, 241.0)
    found = said(row_of(*places), StripPiece("F", 1, 1, 0.0, 250.0))
    texts = " ".join(letters.text for letters in found)
    for number, at in enumerate(places, 1):
        assert f"F{number}" in texts
        assert f" {at:g}" in texts
    boxes = [letters_box(one) for one in found]
    # A box reaches a little beyond its letters: 0.3 mm of it do not show.
    assert not [a for a, b in pairwise(sorted(boxes)) if a.grown(-0.3).meets(b)]


def test_a_band_is_as_wide_as_what_stands_there_and_ends_with_the_piece() -> None:
    marks = piece_marks(row_of(12.0, 130.0), StripPiece("F", 1, 1, 0.0, 250.0), 0.0, "mm")
    bands = [m for m in marks if isinstance(m, Area) and m.grey == pytest.approx(0.87)]
    # The drawing's left edge lies 3 mm before the piece's.
    assert [(b.places[0][0], b.places[1][0]) for b in bands] == [(3.0, 35.0), (113.0, 153.0)]


@pytest.mark.parametrize("room", ["long_hall", "one_small_unit", "boot_room", "inch_room"])
def test_every_support_is_named_once(request: pytest.FixtureRequest, room: str) -> None:
    answer: Answer = request.getfixturevalue(room)
    units = answer.job.units
    names: list[str] = []
    bold = 0
    for row in strip_rows(answer):
        off = [*(mark.at_mm for mark in row.marks), *row.sides_mm]
        for piece in cut_strip(row.name, row.from_mm, row.to_mm, off, units):
            marks = piece_marks(row, piece, 0.0, units)
            names += [m.text.split()[0] for m in marks if isinstance(m, Letters) and m.bold]
            bold += sum(isinstance(m, Stroke) and m.pen.width_mm == 0.6 for m in marks)
    wanted = answer.supports["support"].tolist()
    assert sorted(name for name in names if name != "end") == sorted(wanted)
    assert bold == len(wanted)
