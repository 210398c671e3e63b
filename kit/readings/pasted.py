"""A table pasted from a spreadsheet, and the plain CSV that it becomes in the job folder."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from kit.job.model import LONGEST_MM
from kit.job.refusal import refuse
from kit.readings.cells import CellError, Measure
from kit.readings.corner import corner_unit
from kit.readings.faults import Faults
from kit.readings.files import LARGEST_BYTES, Sheet, sheet_of_text
from kit.readings.formulas import inert
from kit.readings.header import UNIT_WORDS, quantity_of
from kit.readings.marks import NumberCell, decimal_comma


@dataclass(frozen=True)
class _Lengths:
    """How the lengths of each column are written."""

    measures: Mapping[int, Measure]
    in_header: bool

    def written(self, i: int, text: str) -> str:
        """Return a cell with a decimal point, and so that no spreadsheet program runs it."""
        if i not in self.measures:
            return inert(text)
        try:
            self.measures[i].length_mm(text)
        except CellError:
            return inert(text)
        return text.replace(",", ".") if self.measures[i].decimal_comma else text


def read_pasted(text: str, name: str = "pasted table") -> Sheet:
    """Return the cells of a pasted table.

    Parameters
    ----------
    text : str
        What stood on the clipboard: columns separated by tabs, as spreadsheet programs put it
        there, or by semicolons or commas.
    name : str
        What messages call it.

    Returns
    -------
    Sheet
        To be read like the sheet of a file.

    Raises
    ------
    Refusal
        If there is no table, or it is too large, or a row is broken.
    """
    if len(text) > LARGEST_BYTES:
        raise refuse(name, f"{len(text)} characters", f"at most {LARGEST_BYTES}")
    try:
        text.encode("utf-8")
    except UnicodeEncodeError as error:
        found = f"half a character (U+{ord(text[error.start]):04X})"
        raise refuse(name, found, "text") from error
    return sheet_of_text(text.removeprefix("\ufeff"), name)


def pasted_csv(sheet: Sheet) -> str:
    """Return a pasted table as plain CSV: commas between columns, decimal points, titles kept.

    Parameters
    ----------
    sheet : Sheet
        From `read_pasted`.

    Returns
    -------
    str
        To be saved as UTF-8. A text that a spreadsheet program would run has an apostrophe in
        front.

    Raises
    ------
    Refusal
        If the table has two decimal marks, or one that may as well stand between thousands.
    """
    lengths = _lengths(sheet)
    out = io.StringIO(newline="")
    if lengths.in_header:
        header = [lengths.written(i, text) for i, text in enumerate(sheet.header)]
    else:
        header = [inert(title) for title in sheet.header]
    # Quotes keep a title with a semicolon in it from being taken for several.
    doubtful = any(mark in title for title in header for mark in ";\t")
    titles = csv.writer(
        out, lineterminator="\n", quoting=csv.QUOTE_ALL if doubtful else csv.QUOTE_MINIMAL
    )
    titles.writerow(header)
    rows = csv.writer(out, lineterminator="\n")
    rows.writerows([lengths.written(i, text) for i, text in enumerate(c)] for _, c in sheet.rows)
    return out.getvalue()


def _lengths(sheet: Sheet) -> _Lengths:
    """Return which columns hold lengths: those whose title names a unit, or all of a grid."""
    units = {
        i: UNIT_WORDS[word]
        for i, (_, word) in enumerate(map(quantity_of, sheet.header))
        if word in UNIT_WORDS
    }
    grid = _is_grid(sheet.header)
    if grid:
        units = dict.fromkeys(range(_width(sheet)), corner_unit(sheet, Faults(sheet.name)))
    rows = [*([(sheet.header_row, ("", *sheet.header[1:]))] if grid else []), *sheet.rows]
    cells = [
        NumberCell(row, _title(sheet, i), cells[i], unit, -LONGEST_MM, LONGEST_MM)
        for row, cells in rows
        for i, unit in units.items()
        if i < len(cells)
    ]
    faults = Faults(sheet.name)
    comma = decimal_comma(cells, faults, sheet.separator)
    faults.stop()
    return _Lengths({i: Measure(unit, comma) for i, unit in units.items()}, grid)


def _is_grid(header: Sequence[str]) -> bool:
    """Tell whether the first row holds numbers, to the right of its first cell."""
    return len(header) > 1 and all(
        text[:1] in {*"0123456789+-.,\N{MINUS SIGN}", ""} for text in header[1:]
    )


def _width(sheet: Sheet) -> int:
    return max(len(cells) for _, cells in ((0, sheet.header), *sheet.rows))


def _title(sheet: Sheet, i: int) -> str:
    named = i < len(sheet.header) and sheet.header[i] and not _is_grid(sheet.header)
    return sheet.header[i] if named else f"column {i + 1}"
