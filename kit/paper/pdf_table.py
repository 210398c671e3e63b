"""A table on pages of a PDF: its head repeated, no row torn that a page can hold."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import accumulate

from kit.ink.table import Table
from kit.paper.document import Grid
from kit.paper.marks import Pen
from kit.paper.pdf_press import Press
from kit.paper.pdf_slabs import Slab
from kit.paper.pdf_words import BASELINE, SMALL_MM, WORDS_MM, Column, kept, text_slabs
from kit.paper.table_columns import Columns, cell_text, columns_of, head_text
from kit.paper.text_lines import LEADING, Line, lines_of

_HEAD_RULE = Pen(0.4)
_ROW_RULE = Pen(0.13, 0.45)

#: Left free above and below the lines of a row, as a share of the letters' size.
_ROW_PAD = 0.22

#: A cell to be ticked has its box so many times as large as the letters beside it; its column has
#: room for it between its pads and half of them.
_TICK = 1.35

#: A table that is no taller than this share of a page is not torn.
_WHOLE = 0.4

#: Nor is one of no more rows than these, where a page holds it with its title and its note.
_ROWS_TOGETHER, _MOST = 25, 0.85


@dataclass(frozen=True)
class _Row:
    """A row whose texts are broken into lines.

    Parameters
    ----------
    cells : tuple of tuple of Line
        Lines of each cell.
    right : tuple of bool
        Which cells are set to the right.
    bold : bool
        In the bold face.
    low : bool
        Whether short cells stand at the row's bottom.
    rule : Pen
        Of the line below it.
    """

    cells: tuple[tuple[Line, ...], ...]
    right: tuple[bool, ...]
    bold: bool
    low: bool
    rule: Pen

    @property
    def lines(self) -> int:
        """How many lines its longest cell has."""
        return max((len(cell) for cell in self.cells), default=1)

    def at(self, number: int) -> Iterator[tuple[int, Line]]:
        """Yield the columns that have text in one of its lines, and the text."""
        for column, cell in enumerate(self.cells):
            place = number - (self.lines - len(cell) if self.low else 0)
            if 0 <= place < len(cell) and cell[place].text:
                yield column, cell[place]


@dataclass(frozen=True)
class _Setter:
    """Sets the rows of one table."""

    columns: Columns
    left_mm: float

    @property
    def _edges(self) -> list[float]:
        return list(accumulate(self.columns.wide_mm, initial=self.left_mm))

    def _put(self, press: Press, row: _Row, number: int, top: float) -> None:
        """Put one line of a row on a page."""
        size, pad, edges = self.columns.size_mm, self.columns.pad_mm, self._edges
        for column, line in row.at(number):
            share = 1.0 if row.right[column] else 0.0
            x = edges[column + 1] - pad if share else edges[column] + pad
            letters = _TICK * size if line.text == "☐" else size
            press.put_line(line, (x, top + BASELINE * size), letters, bold=row.bold, share=share)

    def _rule(self, press: Press, row: _Row, y: float) -> None:
        press.stroke(((self._edges[0], y), (self._edges[-1], y)), row.rule)

    def slab(self, row: _Row, numbers: range, *, keep: bool = False) -> Slab:
        """Return some lines of a row, with its pads and rule where it begins and ends."""
        size = self.columns.size_mm
        above = _ROW_PAD * size if numbers.start == 0 else 0.0
        below = _ROW_PAD * size if numbers.stop == row.lines else 0.0
        tall = above + len(numbers) * LEADING * size + below

        def draw(press: Press, top: float) -> None:
            for place, number in enumerate(numbers):
                self._put(press, row, number, top + above + place * LEADING * size)
            if below:
                self._rule(press, row, top + tall)

        return Slab(tall, draw, keep=keep)

    def cell(self, text: str, column: int, *, bold: bool) -> tuple[Line, ...]:
        """Return a text in the lines of its column."""
        room = self.columns.wide_mm[column] - 2 * self.columns.pad_mm
        return lines_of(text, room, self.columns.size_mm, bold=bold)


def _head(table: Table, setter: _Setter) -> _Row:
    cells = tuple(
        setter.cell(head_text(head), column, bold=True) for column, head in enumerate(table.heads)
    )
    right = tuple(head.style == "n" for head in table.heads)
    return _Row(cells, right, True, True, _HEAD_RULE)


def _rows(table: Table, setter: _Setter) -> Iterator[_Row]:
    right = tuple(head.style == "n" for head in table.heads)
    for number in range(len(table.rows)):
        bold = number in table.bad
        cells = tuple(
            setter.cell(cell_text(table, number, column), column, bold=bold)
            for column in range(len(table.heads))
        )
        yield _Row(cells, right, bold, False, _ROW_RULE)


def _row_slabs(row: _Row, setter: _Setter, head: list[Slab], page_mm: float) -> list[Slab]:
    """Return a row as one slab, or as one a line where no page can hold it."""
    whole = setter.slab(row, range(row.lines))
    if whole.tall_mm + sum(slab.tall_mm for slab in head) <= page_mm:
        return [whole]
    return [setter.slab(row, range(number, number + 1)) for number in range(row.lines)]


def _head_slabs(table: Table, setter: _Setter, page_mm: float) -> list[Slab]:
    """Return the head, as slabs that stand together with the first row."""
    head = _head(table, setter)
    whole = setter.slab(head, range(head.lines), keep=True)
    if whole.tall_mm <= page_mm / 2:
        return [whole]
    return [setter.slab(head, range(number, number + 1)) for number in range(head.lines)]


def _body(table: Table, setter: _Setter, page_mm: float) -> list[Slab]:
    head = _head_slabs(table, setter, page_mm)
    again = tuple(head) if len(head) == 1 else ()
    body = [
        replace(slab, again=again)
        for row in _rows(table, setter)
        for slab in _row_slabs(row, setter, list(again), page_mm)
    ]
    return [*head, *_together(body, page_mm)]


def _together(body: list[Slab], page_mm: float) -> list[Slab]:
    """Return rows that stay on one page: all of a short table, two at either end of a long one."""
    last = len(body) - 1
    most = _MOST if len(body) <= _ROWS_TOGETHER else _WHOLE
    short = sum(slab.tall_mm for slab in body) <= most * page_mm
    return [
        replace(slab, keep=place < last and (short or place in {0, last - 1}))
        for place, slab in enumerate(body)
    ]


def _with_note(body: list[Slab], note: list[Slab]) -> list[Slab]:
    """Return a table's slabs and its note's, of which the first never stands without a row."""
    if not note:
        return body
    return [*body[:-1], replace(body[-1], keep=True), *note]


def grid_slabs(part: Grid, column: Column, page_mm: float) -> list[Slab]:
    """Return a table with its title above and its note below.

    Parameters
    ----------
    part : Grid
        The table.
    column : Column
        Where it stands.
    page_mm : float
        Height of a page between its margins [mm].

    Returns
    -------
    list of Slab
        A slab a row; a row that is longer than a page has one a line.
    """
    table = part.table
    setter = _Setter(columns_of(table, column.wide_mm, part.letters_mm), column.left_mm)
    title = text_slabs(table.title, column, WORDS_MM, 4.0, bold=True) if table.title else []
    body = _body(table, setter, page_mm)
    note = text_slabs(table.note, column, SMALL_MM, 1.0) if table.note else []
    if not table.rows:
        note = [*text_slabs("None.", column, SMALL_MM, 1.0), *note]
    return [*title[:-2], *kept(title[-2:]), *_with_note(body, note)]
