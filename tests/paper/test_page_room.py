"""Drawings and titles on pages."""

import pytest

from kit.paper.document import Document, Figure, Heading, Words
from kit.paper.marks import Drawing
from kit.paper.page_room import begins_with_title, refuse_too_large, title_mm, title_stands


def figure(wide, tall):
    return Figure(Drawing(wide, tall, (), "w"))


@pytest.mark.parametrize("landscape", [False, True])
def test_a_drawing_as_large_as_the_room_is_taken(landscape):
    document = Document("t", (), landscape=landscape)
    wide, tall = document.room_mm
    refuse_too_large(document, figure(wide, tall))
    for larger in (figure(wide + 0.001, 5.0), figure(5.0, tall + 0.001)):
        with pytest.raises(ValueError, match="does not fit a page"):
            refuse_too_large(document, larger)


def test_size_of_titles():
    assert title_mm(Document("W" * 120, ())) == 6.0
    assert title_mm(Document("W" * 121, ())) == 3.5


def test_where_the_title_stands():
    assert title_stands(Document("t", ()))
    assert title_stands(Document("t", (Heading("The floor"),)))
    assert title_stands(Document("t", (Words("t"),)))
    twice = Document("t", (Heading("t"),))
    assert begins_with_title(twice)
    assert not title_stands(twice)
    # A line of 6 mm takes 7.92 mm, the gap 3 mm.
    tall = Document("", ()).room_mm[1]
    assert title_stands(Document("t", (figure(9.0, tall - 10.93),)))
    assert not title_stands(Document("t", (figure(9.0, tall - 10.91),)))
    assert not title_stands(Document("t " * 55, (figure(9.0, tall - 10.93),)))
