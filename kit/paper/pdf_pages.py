"""The pages of a PDF: the parts of a paper laid on them, their title and their foot."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from kit.paper.document import (
    FOOT_MM,
    MARGIN_MM,
    Break,
    Document,
    Figure,
    Grid,
    Heading,
    Part,
    Points,
    Signatures,
    Words,
)
from kit.paper.foot import FOOT_LETTERS_MM, foot_text
from kit.paper.page_room import ABOVE_FIGURE_MM, refuse_too_large, title_mm, title_stands
from kit.paper.pdf_drawing import put_drawing
from kit.paper.pdf_press import Press
from kit.paper.pdf_slabs import Slab, laid
from kit.paper.pdf_table import grid_slabs
from kit.paper.pdf_words import (
    SMALL_MM,
    Column,
    heading_slabs,
    kept,
    points_slabs,
    signature_slabs,
    text_slabs,
    words_slabs,
)
from kit.paper.printable import harmless, lacking, signs_named, texts_of
from kit.paper.text_lines import single_line


def _figure_slabs(document: Document, part: Figure, column: Column) -> list[Slab]:
    drawing = part.drawing
    refuse_too_large(document, part)

    def draw(press: Press, top: float) -> None:
        put_drawing(press, drawing, (column.left_mm, top))

    slab = Slab(drawing.height_mm, draw, ABOVE_FIGURE_MM, keep=bool(part.caption))
    return [slab, *(text_slabs(part.caption, column, SMALL_MM, 1.5) if part.caption else [])]


def _part_slabs(document: Document, part: Part, column: Column, page_mm: float) -> list[Slab]:
    if isinstance(part, Heading):
        return heading_slabs(part, column)
    if isinstance(part, Words):
        return words_slabs(part, column)
    if isinstance(part, Points):
        return points_slabs(part, column)
    if isinstance(part, Grid):
        return grid_slabs(part, column, page_mm)
    if isinstance(part, Figure):
        return _figure_slabs(document, part, column)
    return signature_slabs(part, column) if isinstance(part, Signatures) else []


def _title_slabs(document: Document, column: Column) -> list[Slab]:
    if not title_stands(document):
        return []
    slabs = text_slabs(document.title, column, title_mm(document), 0.0, bold=True)
    return [*slabs[:-2], *kept(slabs[-2:])]


def _all_slabs(document: Document, column: Column, page_mm: float) -> Iterator[Slab]:
    yield from _title_slabs(document, column)
    fresh = False
    named = signs_named(lacking(texts_of(document)))
    for part in (*document.parts, *named):
        for slab in _part_slabs(document, part, column, page_mm):
            yield replace(slab, fresh=fresh)
            fresh = False
        fresh = fresh or isinstance(part, Break)


def _put_foot(press: Press, document: Document, number: int, pages: int) -> None:
    wide, tall = document.page_mm
    count = single_line(f"page {number} of {pages}")
    y = tall - MARGIN_MM - 0.6
    press.put_line(single_line(foot_text(document)), (MARGIN_MM, y), FOOT_LETTERS_MM)
    press.put_line(count, (wide - MARGIN_MM, y), FOOT_LETTERS_MM, share=1.0)


def printed(document: Document) -> bytes:
    """Return a paper as a PDF file; see `kit.paper.pdf.pdf_bytes`."""
    wide, tall = document.page_mm
    column = Column(MARGIN_MM, wide - 2 * MARGIN_MM)
    room = tall - 2 * MARGIN_MM - FOOT_MM
    pages = laid(list(_all_slabs(document, column, room)), room)
    press = Press(document.page_mm, harmless(document.title), lacking(texts_of(document)))
    for number, slabs in enumerate(pages, 1):
        press.new_page()
        for top, slab in slabs:
            slab.draw(press, MARGIN_MM + top)
        _put_foot(press, document, number, len(pages))
    return bytes(press.output())
