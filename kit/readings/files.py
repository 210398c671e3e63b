"""Find a table in the job folder and read it as plain text cells with their row numbers.

A row number is the line of the file in which the row begins (CSV) or the row of the sheet (XLSX),
so that the header of an ordinary table is row 1 and its first reading is row 2.
"""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from kit.job.refusal import refuse
from kit.readings.marks import is_blank, separator
from kit.readings.workbook import MOST_CELLS, Cells, clean, read_workbook, too_many_cells

#: A table of readings is larger than this only by mistake [bytes].
LARGEST_BYTES = 50_000_000


@dataclass(frozen=True)
class Sheet:
    """A table as it was typed: text cells, blank rows left out.

    Parameters
    ----------
    name : str
        The file as the job names it, and the sheet of a workbook that has several; for messages.
    header : tuple of str
        The first row that is not blank.
    header_row : int
        Its row number.
    rows : tuple of (int, tuple of str)
        All further rows that are not blank, each with its row number; every row has as many
        cells as the header, or more where more were typed.
    separator : str
        What separates the columns of a text; empty for a workbook.
    not_read : tuple of str
        Other sheets of the workbook, where nobody said which to read.
    """

    name: str
    header: Cells
    header_row: int
    rows: tuple[tuple[int, Cells], ...]
    separator: str = ","
    not_read: tuple[str, ...] = ()


#: What a table of readings may be, for messages.
TABLE = "a CSV or XLSX file"


def find_table(folder: Path, name: str, key: str) -> Path:
    """Return the path of a table inside the job folder.

    Parameters
    ----------
    folder, name, key
        As for `find_file`.

    Returns
    -------
    Path
        The file, links followed.

    Raises
    ------
    Refusal
        As `find_file`; also if the file is larger than any table of readings.
    """
    path = find_file(folder, name, key, TABLE)
    size = path.stat().st_size
    if size > LARGEST_BYTES:
        raise refuse(name, f"{size} bytes", f"at most {LARGEST_BYTES} bytes")
    return path


def find_file(folder: Path, name: str, key: str, what: str) -> Path:
    """Return the path of a file inside the job folder.

    Parameters
    ----------
    folder : Path
        The job folder.
    name : str
        The file as the job names it.
    key : str
        The key that names it, for the message.
    what : str
        What it should be, for the message.

    Returns
    -------
    Path
        The file, links followed.

    Raises
    ------
    Refusal
        If the file lies outside the folder, is missing, or is no ordinary file.
    """
    try:
        home = folder.resolve()
        path = (home / name).resolve()
        if not path.is_relative_to(home):
            raise refuse(key, repr(name), "a file inside the job folder")
        if path.is_dir():
            raise refuse(key, f"the folder {name!r}", what)
        if not path.exists():
            raise refuse(key, f"{name!r}, which is not there", f"{what} in the folder")
        if not path.is_file():
            raise refuse(key, f"{name!r}, which is no ordinary file", what)
        path.stat()
    except (OSError, ValueError, RuntimeError) as error:
        raise refuse(key, f"{name!r} ({error})", "a file that can be read") from error
    return path


def read_sheet(path: Path, name: str, sheet: str | None = None, row: str = "reading") -> Sheet:
    """Return the cells of a CSV or XLSX table.

    Parameters
    ----------
    path : Path
        The file; XLSX if it ends so, CSV otherwise.
    name : str
        What messages call it.
    sheet : str or None
        The sheet of a workbook; without it, the first that is not empty.
    row : str
        What a row of the table is, for messages.

    Returns
    -------
    Sheet
        Cells stripped of surrounding space, in Unicode normal form C.

    Raises
    ------
    Refusal
        If the file is empty, binary, wrongly encoded, damaged, or has a header and nothing else;
        if there is no such sheet.
    """
    if path.suffix.lower() != ".xlsx":
        if sheet is not None:
            allowed = "no key sheet, or a workbook ending in .xlsx"
            raise refuse(name, f"a text file, and the sheet {sheet!r} of it", allowed)
        return sheet_of_text(_decode(path, name), name, row)
    found = read_workbook(path, name, sheet)
    full = f"{name}, sheet {found.title}" if found.title else name
    return _sheet(full, enumerate(found.rows, start=1), "", row, found.not_read)


def sheet_of_text(text: str, name: str, row: str = "reading") -> Sheet:
    """Return the cells of a text whose columns tabs, semicolons or commas separate.

    Parameters
    ----------
    text : str
        The table.
    name : str
        What messages call it.
    row : str
        What a row of the table is, for messages.

    Returns
    -------
    Sheet
        As `read_sheet` returns it.

    Raises
    ------
    Refusal
        If there is nothing to read, or a row is broken.
    """
    if "\0" in text:
        raise refuse(name, "a binary file", "a CSV text file, or a workbook ending in .xlsx")
    mark = separator(text)
    return _sheet(name, _rows(text, mark, name), mark, row)


def _sheet(
    name: str,
    typed: Iterable[tuple[int, Cells]],
    mark: str,
    is_a: str,
    not_read: tuple[str, ...] = (),
) -> Sheet:
    rows = [(row, cells) for row, cells in typed if not is_blank(cells)]
    if not rows:
        raise refuse(name, "an empty table", f"a header row and one row a {is_a}")
    (header_row, header), *body = rows
    header = _without_empty_end(header)
    if not body:
        raise refuse(name, f"a header row and no {is_a}s", f"one row a {is_a} below the header")
    filled = tuple((row, _fill(cells, len(header))) for row, cells in body)
    return Sheet(name, header, header_row, filled, mark, not_read)


def _without_empty_end(cells: Cells) -> Cells:
    last = max(i for i, cell in enumerate(cells) if cell)
    return cells[: last + 1]


def _fill(cells: Cells, width: int) -> Cells:
    used = _without_empty_end(cells)
    return used + ("",) * (width - len(used))


def _rows(text: str, mark: str, name: str) -> Iterator[tuple[int, Cells]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    begins, count = 1, 0
    try:
        for cells in reader:
            count += max(len(cells), 1)
            if count > MOST_CELLS:
                raise too_many_cells(name)
            yield begins, tuple(clean(cell) for cell in cells)
            begins = reader.line_num + 1
    except csv.Error as error:
        raise refuse(f"{name}, row {begins}", f"a broken row ({error})", "plain CSV") from error


def _decode(path: Path, name: str) -> str:
    try:
        raw = path.read_bytes()
    except OSError as error:
        found = f"a file that cannot be read ({error.strerror or error})"
        raise refuse(name, found, "a file that can be read") from error
    if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return _decode_wide(raw, name)
    if b"\0" in raw:
        raise refuse(name, "a binary file", "a CSV text file, or a workbook ending in .xlsx")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = len(re.findall(rb"\r\n|\r|\n", raw[: error.start])) + 1
        found = f"a byte that is not UTF-8 (0x{raw[error.start]:02x})"
        raise refuse(f"{name}, row {line}", found, "CSV saved as UTF-8") from error


def _decode_wide(raw: bytes, name: str) -> str:
    """Decode what spreadsheet programs call Unicode text."""
    try:
        return raw.decode("utf-16")
    except UnicodeDecodeError as error:
        raise refuse(name, "text in broken UTF-16", "CSV saved as UTF-8") from error
