"""Drawings on pages of a PDF, measured on them."""

import io

import pdfplumber
import pypdf
import pytest

from kit.paper.document import (
    MARGIN_MM,
    Document,
    Figure,
    Words,
)
from kit.paper.marks import Area, Disc, Drawing, Letters, Pen, Stroke, box
from kit.paper.pdf import pdf_bytes

POINTS = 72 / 25.4

#: fpdf2 writes places to a hundredth of a point, half of which is 0.0018 mm.
NEAR_MM = 0.01


def opened(document: Document) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(pdf_bytes(document)))


def plumbed(document: Document) -> pdfplumber.PDF:
    return pdfplumber.open(io.BytesIO(pdf_bytes(document)))


def test_full_page_drawings_leave_the_title_to_the_file():
    wide, tall = Document("", ()).room_mm
    full = Figure(Drawing(wide, tall, (Stroke(((0, 0), (wide, tall))),), "w"), "Strip 1")
    file = opened(Document("Strips", (full, full)))
    assert [page.extract_text() for page in file.pages] == [
        "Strip 1\npage 1 of 2",
        "Strip 1\npage 2 of 2",
    ]
    small = Figure(Drawing(wide, tall - 30, (), "w"), "Strip 1")
    assert opened(Document("Strips", (small,))).pages[0].extract_text().startswith("Strips\n")


@pytest.mark.parametrize(("wide", "tall"), [(0.01, 0.0), (0.0, 0.01)])
def test_a_drawing_larger_than_a_page_is_a_defect(wide, tall):
    room = Document("", ()).room_mm
    figure = Figure(Drawing(room[0] + wide, room[1] + tall, (), "w"))
    with pytest.raises(ValueError, match="does not fit a page"):
        pdf_bytes(Document("t", (figure,)))


def test_a_drawing_has_its_own_size_and_place():
    marks = (
        Stroke(((1.3, 2.7), (151.3, 2.7)), Pen(0.2)),
        Stroke(((4.0, 10.0), (4.0, 93.5)), Pen(0.2, 0.5, (2.0, 1.0, 0.4, 1.0))),
        Area(box(20.0, 30.0, 33.0, 17.0), 0.8, Pen(0.0)),
        Disc((80.0, 60.0), 7.5),
        Letters((100.0, 50.0), "A-B7", 3.5, "end"),
        Letters((30.0, 90.0), "up", 5.0, "start", 90.0),
    )
    document = Document("", (Figure(Drawing(160.0, 120.0, marks, "w"), "c"),))
    with plumbed(document) as file:
        page = file.pages[0]
        lines, (rect,), (curve,) = page.lines, page.rects, page.curves
        letters = [one for one in page.chars if one["text"] in "A-B7"]
        up = [one for one in page.chars if one["text"] in "up"][:2]
    # An empty title takes its line above the drawing, and the drawing 3 mm to what is above it.
    top = MARGIN_MM + 6.0 * 1.32 + 3.0
    first, second = lines
    for line, places in ((first, (1.3, 2.7, 151.3, 2.7)), (second, (4.0, 10.0, 4.0, 93.5))):
        found = [line[key] / POINTS for key in ("x0", "top", "x1", "bottom")]
        wanted = [place + (top if number % 2 else MARGIN_MM) for number, place in enumerate(places)]
        assert found == pytest.approx(wanted, abs=NEAR_MM)
    assert rect["width"] / POINTS == pytest.approx(33.0, abs=NEAR_MM)
    assert rect["height"] / POINTS == pytest.approx(17.0, abs=NEAR_MM)
    assert rect["x0"] / POINTS == pytest.approx(MARGIN_MM + 20.0, abs=NEAR_MM)
    assert curve["width"] / POINTS == pytest.approx(15.0, abs=NEAR_MM)
    assert curve["top"] / POINTS == pytest.approx(top + 52.5, abs=NEAR_MM)
    # Widths of letters are whole thousandths of their size: 4 letters, 0.002 of 3.5 mm.
    assert letters[-1]["x1"] / POINTS == pytest.approx(MARGIN_MM + 100.0, abs=0.02)
    assert up[0]["top"] > up[1]["top"]
    assert up[0]["matrix"][:4] == pytest.approx((0, 1, -1, 0), abs=1e-4)
    assert up[0]["matrix"][4] / POINTS == pytest.approx(MARGIN_MM + 30.0, abs=NEAR_MM)


def test_letters_with_a_halo_have_paper_behind_them():
    plain = Letters((50.0, 20.0), "12.5", 4.0, "middle")
    halo = Letters((50.0, 20.0), "12.5", 4.0, "middle", halo=True)
    for mark, many in ((plain, 0), (halo, 1)):
        with plumbed(Document("t", (Figure(Drawing(99.0, 40.0, (mark,), "w")),))) as file:
            page = file.pages[0]
            assert len(page.rects) == many
            drawn = [one for one in page.chars if 11 < one["size"] < 12]
            letters = [one for one in drawn if one["text"] in "12.5"]
            assert len(letters) == 4  # read back once, not again for the rim
            for rect in page.rects:
                assert rect["x0"] < letters[0]["x0"]
                assert rect["x1"] > letters[-1]["x1"]
                assert rect["non_stroking_color"] in (1.0, (1.0,))  # white


def test_lines_end_where_they_end():
    """Square ends would make dashes and ticks longer by the width of the pen (PDF 8.4.3.3)."""
    content = opened(Document("t", (Words("a"),))).pages[0].get_contents().get_data()
    assert content.split().index(b"J") < content.split().index(b"BT")
    assert b"\n0 J\n" in content
