"""Papers printed as PDF, read back by two libraries that had no part in printing them."""

import io
import logging

import pdfplumber
import pypdf
import pytest

from kit.ink.table import Head, Table
from kit.paper.document import (
    FOOT_MM,
    MARGIN_MM,
    Break,
    Document,
    Grid,
    Heading,
    Points,
    Signatures,
    Words,
)
from kit.paper.pdf import pdf_bytes

POINTS = 72 / 25.4

EMOJI = "👷🏽\u200d♀️ 🛠️"
HOSTILE = {
    "formula": '=HYPERLINK("x")',
    "script": "<script>alert(1)</script>",
    "marked": "**bold** __under__ --struck-- [link](https://example.org)",
    "nb": "{nb} of {nb}",
    "long": "stack " * 1_700,
    "longer": "stack " * 3_400,
    "unbroken": "packer" * 1_700,
}


def opened(document: Document) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(pdf_bytes(document)))


def words_of(document: Document) -> list[str]:
    return " ".join(page.extract_text() for page in opened(document).pages).split()


def plumbed(document: Document) -> pdfplumber.PDF:
    return pdfplumber.open(io.BytesIO(pdf_bytes(document)))


def stacks(rows: int) -> Grid:
    heads = (Head("support"), Head("off", "mm"), Head("what to lay", wide=True))
    cells = tuple(
        (f"A-B{n}", f"{n * 0.7:.1f}", "packers " + " + ".join(["10", "5", "2"][: 1 + n % 3]))
        for n in range(1, rows + 1)
    )
    return Grid(Table("Stacks of the back row", heads, cells, "Measured along the wall.", {4}))


def test_everything_said_is_read_back():
    document = Document(
        "Job sheet: chapel reading room",
        (
            Heading("The floor"),
            Words("Rises to the left.\nFalls to the door."),
            Words("Read this first.", strong=True),
            Heading("In the alcove", 2),
            Points(("Bring the long level.", "Mind the pipe."), "⚠"),
            Points(("Cupboard moved out.",), "☐"),
            stacks(5),
            Signatures(("Floor seen before work.",)),
        ),
        foot="chapel reading room, 3 units",
    )
    text = [line for page in opened(document).pages for line in page.extract_text().split("\n")]
    assert text == [
        "Job sheet: chapel reading room",
        "The floor",
        "Rises to the left.",
        "Falls to the door.",
        "Read this first.",
        "In the alcove",
        "⚠ Bring the long level.",
        "⚠ Mind the pipe.",
        "Cupboard moved out.",
        "Stacks of the back row",
        "support off [mm] what to lay",
        "A-B1 0.7 packers 10 + 5",
        "A-B2 1.4 packers 10 + 5 + 2",
        "A-B3 2.1 packers 10",
        "A-B4 2.8 packers 10 + 5",
        "⚠ A-B5 3.5 packers 10 + 5 + 2",
        "Measured along the wall.",
        "Floor seen before work.",
        "name date signature",
        "chapel reading room, 3 units page 1 of 1",
    ]


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_hostile_texts_are_words_like_others(text):
    document = Document(text, (Words(text), Points((text,))), foot=text)
    file = opened(document)
    assert file.metadata.title == text
    pages = [page.extract_text() for page in file.pages]
    count = [f" page {n} of {len(pages)}" for n in range(1, len(pages) + 1)]
    assert all(said.endswith(end) for said, end in zip(pages, count, strict=True))
    said = "".join("\n".join(page.split("\n")[:-1]) for page in pages)
    # Spaces at a line's end are not printed; a bullet stands before the third.
    assert "".join(said.split()) == "".join(f"{text} {text} •{text}".split())


@pytest.mark.parametrize("name", ["formula", "unbroken"])
def test_no_letter_runs_off_the_page(name):
    text = HOSTILE[name]
    heads = (Head("a"), Head("b", wide=True), Head("c", "mm"))
    table = Grid(Table(text, heads, ((text[:50], text, text[:900]),), text[:900]))
    document = Document(text[:900], (Points((text,), "☐"), table, Signatures((text[:900],))), text)
    # Widths of letters are rounded to 0.001 of their size: for 80 letters of 3.5 mm 0.1 mm.
    near = 0.3
    with plumbed(document) as file:
        for page in file.pages:
            assert min(letter["x0"] for letter in page.chars) >= MARGIN_MM * POINTS - near
            assert max(letter["x1"] for letter in page.chars) <= (210 - MARGIN_MM) * POINTS + near
            assert max(letter["bottom"] for letter in page.chars) <= (297 - 11) * POINTS
            assert not page.annots


def test_nothing_in_a_file_acts():
    text = f"{HOSTILE['script']} {HOSTILE['marked']} {HOSTILE['formula']}"
    data = pdf_bytes(Document(text, (Words(text),)))
    for acting in (b"/JavaScript", b"/JS", b"/URI", b"/OpenAction /", b"/AA", b"/Launch"):
        assert acting not in data


def test_same_paper_same_bytes():
    # In another process: test_hostile, of all papers.
    paper = Document("שלום", (Words("שלום مرحبا 漢 fi"), Words("b", strong=True)))
    assert pdf_bytes(paper) == pdf_bytes(paper)


def test_nothing_is_logged(caplog):
    with caplog.at_level(logging.WARNING):
        pdf_bytes(Document(f"{EMOJI} 漢", (Words("שלום \x07"),), foot=EMOJI))
    assert not caplog.records


def test_file_says_what_it_is():
    file = opened(Document("Job sheet: market hall", (Words("One."),)))
    assert file.metadata.title == "Job sheet: market hall"
    assert file.trailer["/Root"]["/Lang"] == "en-GB"
    assert file.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
    fonts = file.pages[0]["/Resources"]["/Font"]
    for font in fonts.values():
        inner = font.get_object()["/DescendantFonts"][0].get_object()
        assert "/FontFile2" in inner["/FontDescriptor"]


@pytest.mark.parametrize(("landscape", "size"), [(False, (210, 297)), (True, (297, 210))])
def test_pages_are_a4(landscape, size):
    file = opened(Document("t", (Words("a"), Break(), Words("b")), landscape=landscape))
    assert len(file.pages) == 2
    for page in file.pages:
        # The page's size is written to a hundredth of a point.
        assert float(page.mediabox.width) == pytest.approx(size[0] * POINTS, abs=0.01)
        assert float(page.mediabox.height) == pytest.approx(size[1] * POINTS, abs=0.01)


def test_foot_is_cut_and_title_is_not():
    title = "Base of the reading room's north wall " * 14
    file = opened(Document(title, (Words("a"),), foot=title))
    *said, foot = file.pages[0].extract_text().split("\n")
    assert " ".join(said).split() == [*title.split(), "a"]
    assert "… page 1 of 1" in foot
    assert len(foot) < 180


def test_title_is_printed_once_where_the_paper_begins_with_it():
    document = Document("Work order", (Heading("Work order"), Words("One.")))
    assert words_of(document) == ["Work", "order", "One.", "page", "1", "of", "1"]


def test_breaks_begin_pages_and_leave_none_empty():
    parts = (Break(), Words("one"), Break(), Break(), Words("two"), Break())
    texts = [page.extract_text() for page in opened(Document("t", parts)).pages]
    assert texts == ["t\npage 1 of 3", "one\npage 2 of 3", "two\npage 3 of 3"]


def test_foot_keeps_its_room():
    with plumbed(Document("t", (Words("line\n" * 300),), foot="foot")) as file:
        for page in file.pages:
            lines = [word["bottom"] for word in page.extract_words() if word["text"] == "line"]
            assert max(lines) <= (297 - MARGIN_MM - FOOT_MM) * POINTS + 1.0
