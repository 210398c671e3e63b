"""A job's answer as a workbook: every table with whole numbers, nothing in it a formula."""

from __future__ import annotations

import datetime
import io
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

import pandas as pd

from kit.answer import Answer
from kit.ink.escape import cut_text
from kit.job import refuse
from kit.paper.workbook_columns import Cell, Column, Inches, Sheet, columns_of
from kit.paper.workbook_overview import overview
from kit.paper.workbook_sheets import answer_sheets

if TYPE_CHECKING:
    from xlsxwriter.format import Format
    from xlsxwriter.workbook import Workbook
    from xlsxwriter.worksheet import Worksheet

#: A day that is no day of the job: the same answer gives the same bytes whenever it is written.
_WRITTEN = datetime.datetime(2000, 1, 1, tzinfo=datetime.UTC).replace(tzinfo=None)

#: Letters of a cell at most, as spreadsheet programs count them, in units of UTF-16 (from memory).
MOST_LETTERS = 32_767

#: Letters of a sheet's name at most, and letters that it may not hold (from memory).
_NAME_LETTERS, _NOT_IN_NAMES = 31, "[]:*?/\\"

#: Widths of columns, in letters; longer texts take several lines.
_LEAST_WIDE, _MOST_WIDE = 8, 60

_A4 = 9

_TEXTS = {"text_wrap": True, "valign": "top", "num_format": "@"}


class _Whole(float):
    """A number that is written with all its digits, not with sixteen of them."""

    def __format__(self, _digits: str) -> str:
        return repr(float(self))


def workbook_bytes(answer: Answer, bought: Sequence[tuple[str, pd.DataFrame]] = ()) -> bytes:
    """Return an answer as a workbook (XLSX).

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    bought : sequence of (name, DataFrame)
        Further sheets, such as the buying list; columns end in their unit.

    Returns
    -------
    bytes
        A file with the sheets overview, readings, heights, residuals, supports and what else the
        way of building has, checks and cautions. A number stands whole in its cell, whatever its
        format shows; an unknown is an empty cell; every text is a text, whatever it begins with.
        Lengths are in millimetres; in a job in inches there are inches beside them.

    Raises
    ------
    Refusal
        Where a text is longer than a cell can hold.
    """
    units = answer.job.units
    sold = Inches(printed=frozenset({"size_mm"}))
    further = [Sheet(name, "as bought", columns_of(table, units, sold)) for name, table in bought]
    sheets = [*answer_sheets(answer, further)]
    return _written((overview(answer, sheets), *sheets), answer.job.title)


def _written(sheets: Sequence[Sheet], title: str) -> bytes:
    from xlsxwriter import Workbook  # noqa: PLC0415 - loaded when a workbook is first written

    file = io.BytesIO()
    still = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    book = Workbook(file, {"in_memory": True, **still})
    book.set_properties({"title": cut_text(title, 200), "created": _WRITTEN})
    looks = _Looks(book)
    for name, sheet in zip(_tabs(sheets), sheets, strict=True):
        _write(book.add_worksheet(name), sheet, looks)
    book.close()
    return file.getvalue()


class _Looks:
    """The formats of a workbook, each made once."""

    def __init__(self, book: Workbook) -> None:
        self._book = book
        self._made: dict[str, Format] = {}
        rule = {"bold": True, "bottom": 1, "text_wrap": True, "valign": "bottom"}
        self.head: Format = book.add_format(rule)
        self.text: Format = book.add_format(_TEXTS)

    def number(self, digits: str) -> Format:
        """Return the format that shows so many digits."""
        if digits not in self._made:
            look: dict[str, Any] = {"num_format": digits, "valign": "top"}
            self._made[digits] = self._book.add_format(look)
        return self._made[digits]


def _write(page: Worksheet, sheet: Sheet, looks: _Looks) -> None:
    """Write one sheet: head row, cells, widths, filter, and how it is printed."""
    rows = max((len(column.cells) for column in sheet.columns), default=0)
    for place, column in enumerate(sheet.columns):
        page.set_column(place, place, column_width(column))
        _write_text(page, (0, place), column.head, looks.head)
        for row, cell in enumerate(column.cells, start=1):
            _write_cell(page, (row, place), cell, looks, column.digits)
    page.freeze_panes(1, 1)
    page.autofilter(0, 0, rows, len(sheet.columns) - 1)
    page.set_paper(_A4)
    page.set_landscape()
    page.repeat_rows(0)
    page.fit_to_pages(1, 0)
    page.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.6)
    page.set_footer("&L&A&R&P / &N")


def _write_cell(
    page: Worksheet, at: tuple[int, int], cell: Cell, looks: _Looks, digits: str
) -> None:
    if cell is None:
        return
    if isinstance(cell, str):
        _write_text(page, at, cell, looks.text)
    elif isinstance(cell, bool):
        page.write_boolean(*at, cell, looks.number("General"))
    elif isinstance(cell, int):
        page.write_number(*at, cell, looks.number("0"))
    else:
        page.write_number(*at, _Whole(cell), looks.number(digits))


def _write_text(page: Worksheet, at: tuple[int, int], text: str, look: Format) -> None:
    """Write a text as a text."""
    if letters_of(text) > MOST_LETTERS:
        where = f"sheet {page.get_name()!r}, row {at[0] + 1}"
        raise refuse(where, f"a text of {len(text)} letters", f"{MOST_LETTERS} at most in a cell")
    if text.startswith("<r>") and text.endswith("</r>"):
        # The library takes such a text for its own marks of letters in several looks; in parts it
        # is written as any other.
        page.write_rich_string(*at, text[:1], text[1:2], text[2:], look)
    elif text:
        page.write_string(*at, text, look)


def letters_of(text: str) -> int:
    """Return how many letters a text has as spreadsheet programs count them."""
    return len(text.encode("utf-16-le")) // 2


def column_width(column: Column) -> float:
    """Return how wide a column is, in letters: for its cells, and for each word of its head."""
    head = max((len(word) + 3 for word in column.head.split()), default=0)
    cells = (_shown_letters(cell, column.digits) for cell in column.cells if cell is not None)
    return float(min(max(_LEAST_WIDE, head, *cells, 0) + 1, _MOST_WIDE))


def _shown_letters(cell: Cell, digits: str) -> int:
    if isinstance(cell, str):
        return max((len(line) for line in cell.splitlines()), default=0)
    if isinstance(cell, bool) or cell is None:
        return len("FALSE")
    decimals = len(digits.partition(";")[0].partition(".")[2])
    signs = int(digits.startswith("+"))
    return len(f"{cell:.6g}" if digits == "General" else f"{cell:.{decimals}f}") + signs


def _tabs(sheets: Sequence[Sheet]) -> Iterator[str]:
    """Yield a name for each sheet's tab that no other has, upper and lower case alike."""
    taken: set[str] = set()
    for sheet in sheets:
        name = _tab(sheet.name)
        number = 2
        while name.casefold() in taken:
            name = f"{_cut(_tab(sheet.name), _NAME_LETTERS - len(f' {number}'))} {number}"
            number += 1
        taken.add(name.casefold())
        yield name


def _tab(name: str) -> str:
    plain = "".join(" " if one in _NOT_IN_NAMES or not one.isprintable() else one for one in name)
    cut = _cut(plain.strip(" '"), _NAME_LETTERS).rstrip(" '")
    # A program of theirs keeps this name for itself.
    return f"{cut} sheet" if cut.casefold() == "history" else cut or "sheet"


def _cut(text: str, letters: int) -> str:
    while letters_of(text) > letters:
        text = text[:-1]
    return text
