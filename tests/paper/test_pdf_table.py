"""Tables on pages of a PDF, read back."""

import io

import pdfplumber
import pypdf
import pytest

from kit.ink.table import Head, Table
from kit.paper.document import (
    Document,
    Grid,
    Heading,
    Words,
)
from kit.paper.pdf import pdf_bytes


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


def test_a_table_repeats_its_head_and_tears_no_row():
    file = opened(Document("t", (stacks(120),)))
    assert len(file.pages) == 3
    rows = []
    for page in file.pages:
        lines = page.extract_text().split("\n")
        assert lines.count("support off [mm] what to lay") == 1
        rows += [line.split()[-1] for line in lines if "packers" in line]
    said = " ".join(page.extract_text() for page in file.pages)
    assert [f"A-B{n}" for n in range(1, 121)] == [w for w in said.split() if w.startswith("A-B")]
    assert len(rows) == 120


def test_a_row_longer_than_a_page_goes_on():
    table = Table("t", (Head("a"), Head("b", wide=True)), (("x", "stack " * 3_000), ("y", "end")))
    document = Document("t", (Grid(table),))
    assert words_of(document).count("stack") == 3_000
    assert len(opened(document).pages) >= 3


def test_columns_of_figures_end_alike():
    with plumbed(Document("t", (stacks(12),))) as file:
        words = file.pages[0].extract_words()
    ends = [word["x1"] for word in words if word["text"] in {"0.7", "2.1", "7.7", "8.4"}]
    starts = [word["x0"] for word in words if word["text"] == "packers"]
    assert len(ends) == 4
    assert max(ends) - min(ends) < 0.05  # a width of letters is rounded to 0.001 of 3 mm
    assert len(starts) == 12
    # The bold row's letters begin as the others'.
    assert max(starts) - min(starts) < 0.05


def test_an_empty_table_says_so():
    assert "None." in words_of(Document("t", (Grid(Table("t", (Head("a"),), ())),)))


def test_a_heading_never_stands_last_on_a_page():
    for filling in (36, 37, 38, 39):
        document = Document(
            "t",
            (
                *(Words(f"line {n}") for n in range(filling)),
                Heading("Cuts"),
                Heading("Bearers", 2),
                stacks(3),
            ),
        )
        for page in opened(document).pages:
            lines = page.extract_text().split("\n")
            assert lines[-2] not in {
                "Cuts",
                "Bearers",
                "Stacks of the back row",
                "support off [mm] what to lay",
            }
            if "Cuts" in lines:
                assert "A-B1 0.7 packers 10 + 5" in lines


def test_a_cell_to_tick_has_a_larger_box():
    table = Table("t", (Head("set"), Head("stack")), (("☐", "A-B1"),))
    with plumbed(Document("t", (Grid(table, 3.0),))) as file:
        sizes = {one["text"]: one["size"] for one in file.pages[0].chars if one["text"] in "☐B"}
    assert sizes["☐"] == pytest.approx(1.35 * sizes["B"], abs=0.02)  # written to 0.01 points


@pytest.mark.parametrize("filling", [0, 20, 27, 30, 33])
def test_a_short_table_is_not_torn_and_words_that_lead_stay_with_it(filling):
    rows = tuple((f"A-B{n}", f"{n}.5") for n in range(12))
    table = Table("", (Head("stack"), Head("off")), rows)
    lead = Words("These are led in.", leads=True)
    parts = (*(Words(f"line {n}") for n in range(filling)), lead, Grid(table))
    pages = [page.extract_text() for page in opened(Document("t", parts)).pages]
    (on_it,) = [text for text in pages if "A-B0 0.5" in text]
    assert "A-B11 11.5" in on_it
    assert "These are led in." in on_it


@pytest.mark.parametrize(("rows", "torn"), [(25, False), (26, True)])
def test_so_many_rows_stay_together(rows, torn):
    # 26 lines leave room for 17 rows or so below them.
    table = Table("T", (Head("stack"), Head("off")), tuple((f"S{n}", "0.5") for n in range(rows)))
    parts = (*(Words(f"line {n}") for n in range(26)), Grid(table, 3.5))
    pages = opened(Document("t", parts)).pages
    counts = [page.extract_text().count(" 0.5") for page in pages]
    assert sum(counts) == rows
    assert (len([count for count in counts if count]) > 1) == torn


def test_a_long_table_leaves_two_rows_at_either_end():
    table = Table("", (Head("stack"), Head("off")), tuple((f"S{n}", "0.5") for n in range(60)))
    for filling in range(26, 32):
        parts = (*(Words(f"line {n}") for n in range(filling)), Grid(table))
        pages = opened(Document("t", parts)).pages
        counts = [page.extract_text().count(" 0.5") for page in pages]
        assert sum(counts) == 60
        assert 1 not in counts
