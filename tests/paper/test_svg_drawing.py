"""A drawing as SVG, read back by a parser that had no part in writing it."""

import re
from xml.etree import ElementTree

import pytest

from kit.paper.drawn_letters import paper_behind
from kit.paper.marks import Area, Disc, Drawing, Letters, Pen, Stroke
from kit.paper.svg_drawing import svg_of

SVG = "{http://www.w3.org/2000/svg}"

HOSTILE = "<script>alert(1)</script> & \"quoted\" 'too' ]]> <!-- שלום 👷🏽\u200d♀️"


def drawn(*marks, words="w"):
    root = ElementTree.fromstring(svg_of(Drawing(186.5, 41.25, marks, words)))
    return root, list(root)


def places(text):
    return [tuple(float(value) for value in pair.split(",")) for pair in text.split()]


def test_size_is_in_millimetres_one_to_one():
    root, marks = drawn(words="The back wall & its row")
    assert root.tag == f"{SVG}svg"
    assert (root.get("width"), root.get("height")) == ("186.5mm", "41.25mm")
    assert root.get("viewBox") == "0 0 186.5 41.25"
    assert (root.get("role"), root.get("aria-label")) == ("img", "The back wall & its row")
    assert marks == []


def test_strokes_keep_their_places_and_pens():
    pen = Pen(0.35, 0.4, (3.0, 1.0, 0.5, 1.0))
    _, (mark,) = drawn(Stroke(((1.2345, 2.0), (-0.0001, 30.5), (7.0, 8.0)), pen))
    assert mark.tag == f"{SVG}polyline"
    # Places are written to 0.001 mm.
    assert places(mark.get("points")) == [(1.234, 2.0), (0.0, 30.5), (7.0, 8.0)]
    assert "-0," not in mark.get("points")
    assert mark.get("stroke-width") == "0.35"
    assert mark.get("stroke-dasharray") == "3 1 0.5 1"
    assert mark.get("stroke") == "#666666"
    assert mark.get("fill") == "none"


def test_areas_and_discs():
    _, (area, disc) = drawn(
        Area(((1, 2), (9, 2), (5, 7)), 0.8, Pen(0.0)), Disc((11, 13), 2.5, 0.0, Pen(0.2, 1.0))
    )
    assert area.tag == f"{SVG}polygon"
    assert places(area.get("points")) == [(1, 2), (9, 2), (5, 7)]
    assert (area.get("fill"), area.get("stroke")) == ("#cccccc", "none")
    assert [disc.get(key) for key in ("cx", "cy", "r")] == ["11", "13", "2.5"]
    assert (disc.get("fill"), disc.get("stroke")) == ("#000000", "#ffffff")


def test_letters():
    _, marks = drawn(
        Letters((3, 4), "A-B7", 3.5, "end", bold=True), Letters((5.5, 6), "up", 5, "middle", 90)
    )
    flat, up = marks
    assert [flat.get(key) for key in ("x", "y", "font-size")] == ["3", "4", "3.5"]
    assert (flat.get("text-anchor"), flat.get("font-weight")) == ("end", "700")
    assert flat.get("transform") is None
    assert (up.text, up.get("text-anchor")) == ("up", "middle")
    # SVG turns to the right, a drawing's letters to the left.
    assert up.get("transform") == "rotate(-90 5.5 6)"
    assert up.get("font-weight") is None


def test_letters_with_a_halo_have_paper_behind_them():
    mark = Letters((30, 20), "12.5", 4, "middle", 25.0, halo=True)
    _, (behind, letters) = drawn(mark)
    for found, wanted in zip(places(behind.get("points")), paper_behind(mark), strict=True):
        assert found == pytest.approx(wanted, abs=0.0005)  # written to 0.001 mm
    assert (behind.get("fill"), behind.get("stroke")) == ("#ffffff", "none")
    assert letters.text == "12.5"


def test_later_marks_lie_over_earlier_ones():
    _, marks = drawn(Letters((1, 1), "a"), Disc((1, 1), 2), Letters((1, 1), "b"))
    assert [mark.text for mark in marks] == ["a", None, "b"]


def test_hostile_letters_are_letters():
    root, (mark,) = drawn(Letters((1, 1), HOSTILE), words=HOSTILE)
    assert mark.text == HOSTILE
    assert list(mark) == []
    assert root.get("aria-label") == HOSTILE


def test_signs_that_cannot_be_seen_are_shown_in_letters_and_words():
    root, (mark,) = drawn(Letters((1, 1), "a\x07\u202eb\nc"), words="d\0e")
    assert mark.text == "a⟨U+0007⟩⟨U+202E⟩b c"
    assert root.get("aria-label") == "d⟨U+0000⟩e"


def test_spaces_are_kept_where_there_are_several():
    _, (two, one) = drawn(Letters((1, 1), "a  b"), Letters((1, 1), "a b"))
    assert "white-space:pre" in two.get("style")
    assert one.get("style") is None


def test_nothing_is_fetched_and_nothing_runs():
    svg = svg_of(Drawing(9, 9, (Letters((1, 1), "a"), Disc((1, 1), 1)), "w"))
    assert re.findall(r"https?://[^\"]*", svg) == ["http://www.w3.org/2000/svg"]
    assert not re.search(r"<(script|style|image|use|foreignObject|a)\b|\son\w+=|url\(", svg)
