"""The sheet for the merchant's counter, as parts and as it is read back from the PDF."""

from __future__ import annotations

from functools import cache
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

import kit
from kit.buying import buying_list
from kit.paper.buying_sheet import bars, buying_sheet
from kit.paper.document import Document, Figure, Grid
from kit.paper.marks import Area, Letters, Stroke
from kit.paper.pdf import pdf_bytes
from kit.parts import Answer

DATA = Path(__file__).parents[2] / "data"

BASES = (
    "bearers on packers", "screw feet", "ladder frame", "levelling compound",
    "stacks without bearers",
)  # fmt: skip


@cache
def answer_of(base: str) -> Answer:
    return kit.solve(kit.read_job(DATA / "reading-room"), base)


def sheet_of(answer: Answer) -> Document:
    return buying_sheet(answer, buying_list(answer, floors=200))


def text_of(document: Document) -> list[str]:
    pages = PdfReader(BytesIO(pdf_bytes(document))).pages
    return [page.extract_text() for page in pages]


@pytest.mark.parametrize("base", BASES)
def test_one_page_for_the_counter_whatever_is_built(base: str) -> None:
    pages = text_of(sheet_of(answer_of(base)))
    assert len(pages) == 1
    assert "Chapel reading room" in pages[0]
    assert base in pages[0]
    for line in buying_list(answer_of(base), floors=200).lines:
        assert line.item.split(",")[0] in pages[0]


def test_bars_are_drawn_where_they_tell_something() -> None:
    drawn = [any(isinstance(part, Figure) for part in sheet_of(answer_of(b)).parts) for b in BASES]
    assert drawn == [True, False, False, False, True]


def test_bars_are_as_long_as_the_counts() -> None:
    """Lengths by proportion; the stroke of the stock stands where its count is."""
    bought = buying_list(answer_of("bearers on packers"), floors=200)
    lines = [line for line in bought.lines if line.item == "packer"]
    drawing = bars(lines, "mm", "suffices on 95 %")
    areas = [mark for mark in drawing.marks if isinstance(mark, Area)]
    axis = next(m for m in reversed(drawing.marks) if isinstance(m, Stroke)).places[0][0]
    stocks = [m.places[0][0] for m in drawing.marks if isinstance(m, Stroke)][:-1]
    wide = [area.places[1][0] - area.places[0][0] for area in areas]
    each = wide[0] / lines[0].enough
    assert wide[::2] == pytest.approx([line.enough * each for line in lines])
    assert wide[1::2] == pytest.approx([line.plan * each for line in lines])
    assert stocks == pytest.approx([axis + (line.in_stock or 0) * each for line in lines])
    letters = [mark for mark in drawing.marks if isinstance(mark, Letters)]
    assert [one.text for one in letters[1::2]] == [f"{line.enough}" for line in lines]
    assert min(one.size_mm for one in letters) >= 2.5
    assert max(place[0] for m in drawing.marks if isinstance(m, Stroke) for place in m.places) < (
        drawing.width_mm
    )


def test_hostile_names_and_inches() -> None:
    """Nothing is lost of a long title, nothing in it acts; printed sizes stay millimetres."""
    answer = answer_of("bearers on packers")
    title = '=HYPERLINK("x") <script>alert(1)</script> ' + "ש " * 900 + "end of it"
    job = answer.job.model_copy(update={"title": title, "units": "in"})
    document = sheet_of(kit.solve(job, before=answer))
    text = "\n".join(text_of(document))
    assert "end of it" in text
    assert "<script>alert(1)</script>" in text
    counter = next(part for part in document.parts if isinstance(part, Grid)).table
    sizes = {row[1].split(",")[0]: row[2] for row in counter.rows}
    assert sizes["screw"].endswith(" mm")
    assert sizes["bearer length"] == "141 3/4 in (+0.018)"  # 3600 / 25.4 = 141.732


def test_the_same_job_gives_the_same_bytes() -> None:
    answer = answer_of("stacks without bearers")
    assert pdf_bytes(sheet_of(answer)) == pdf_bytes(sheet_of(answer))
