"""A file of records cut into rows, as far as that goes: a broken row does not hide the others."""

from __future__ import annotations

import codecs
import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from kit.job import Problem, refuse
from kit.readings.files import LARGEST_BYTES, Sheet
from kit.readings.marks import is_blank, separator
from kit.readings.workbook import MOST_CELLS, clean, too_many_cells

#: A row whose quotes close later than this many lines below is a broken one.
_MOST_LINES = 50

#: What stands in a text for bytes that are no letters (Unicode, replacement character).
_NO_LETTER = "\ufffd"

#: What is allowed in the place of a row that is not whole.
WHOLE = "the row as the kit wrote it"


@dataclass(frozen=True)
class BadRow:
    """A row that is damaged.

    Parameters
    ----------
    row : int
        Its number, as a spreadsheet program or an editor counts it: the header is row 1.
    problem : Problem
        What was found there first.
    """

    row: int
    problem: Problem


def sheet_of_file(path: Path, name: str) -> tuple[Sheet, tuple[BadRow, ...]]:
    """Return the cells of every row that can be told, and the rows that are broken.

    Parameters
    ----------
    path : Path
        The file, CSV.
    name : str
        What messages call it.

    Returns
    -------
    Sheet, tuple of BadRow
        Rows have as many cells as were typed: one that was cut has fewer than the header.

    Raises
    ------
    Refusal
        If the file cannot be read, is binary, has no header or nothing below it.
    """
    return sheet_of_bytes(_bytes(path, name), name)


def sheet_of_bytes(raw: bytes, name: str) -> tuple[Sheet, tuple[BadRow, ...]]:
    """Return the cells of a file's bytes; see `sheet_of_file`."""
    text, replaced = _decoded(raw)
    lines = list(io.StringIO(text, newline=""))
    at = next((n for n, line in enumerate(lines) if not is_blank((line.strip(),))), len(lines))
    if at == len(lines):
        raise refuse(name, "an empty table", "a header row and one row a record")
    if "\0" in lines[at]:
        raise refuse(name, "a binary file", "a CSV text file")
    header, mark, below = _header(lines, at, name)
    rows: list[tuple[int, tuple[str, ...]]] = []
    broken: list[BadRow] = []
    for row, cells, broken_csv in _rows(lines, below, mark, len(header), name):
        if why := broken_csv or _no_text("".join(cells), replaced):
            broken.append(BadRow(row, Problem(f"{name}, row {row}", why, WHOLE)))
        else:
            rows.append((row, cells))
    if not rows and not broken:
        raise refuse(name, "a header row and no records", "one row a record below the header")
    return Sheet(name, header, at + 1, tuple(rows), mark), tuple(broken)


def _bytes(path: Path, name: str) -> bytes:
    try:
        if not path.is_file():
            raise refuse(name, "no ordinary file", "a file of records")
        if path.stat().st_size > LARGEST_BYTES:
            raise refuse(name, f"more than {LARGEST_BYTES} bytes", "a file of records")
        return path.read_bytes()
    except OSError as error:
        raise refuse(name, error.strerror or str(error), "a file that can be read") from error


def _decoded(raw: bytes) -> tuple[str, bool]:
    """Return a file's text, and whether some bytes of it are no letters."""
    wide = raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    coding = "utf-16" if wide else "utf-8-sig"
    try:
        return raw.decode(coding), False
    except UnicodeDecodeError:
        return raw.decode(coding, errors="replace"), True


def _no_text(cells: str, replaced: bool) -> str:
    """Return what of a row's cells is no text, if anything."""
    if "\0" in cells:
        return "bytes of zero"
    return "bytes that are no letters" if replaced and _NO_LETTER in cells else ""


def _header(lines: Sequence[str], at: int, name: str) -> tuple[tuple[str, ...], str, int]:
    """Return the header, what separates its cells, and where the rows begin."""
    try:
        mark = separator(lines[at])
        header, below = _cells(lines, at, mark)
    except csv.Error as error:
        raise refuse(f"{name}, row {at + 1}", f"a broken row ({error})", "plain CSV") from error
    return _without_empty_end(header), mark, below


def _rows(
    lines: Sequence[str], at: int, mark: str, width: int, name: str
) -> Iterator[tuple[int, tuple[str, ...], str]]:
    """Yield rows that are not blank: number, cells, and why where a row is broken.

    A row may go over several lines. Where it does because a quote was lost, its first line is
    broken, and reading goes on in the next line.
    """
    count = 0
    while at < len(lines):
        begins, why = at, ""
        try:
            cells, at = _cells(lines, begins, mark)
        except csv.Error as error:
            cells, at, why = (), begins + 1, f"a broken row ({error})"
        if at > begins + 1 and len(cells) > width:
            why, at = f"a broken row ({len(cells)} cells over {at - begins} lines)", begins + 1
        count += max(len(cells), 1)
        if count > MOST_CELLS:
            raise too_many_cells(name)
        if why or not is_blank(cells):
            yield begins + 1, cells, why


def _cells(lines: Sequence[str], at: int, mark: str) -> tuple[tuple[str, ...], int]:
    """Return the cells of the row that begins in a line, and the line after it."""
    reader = csv.reader(lines[at : at + _MOST_LINES], delimiter=mark, strict=True)
    cells = tuple(clean(cell) for cell in next(reader, []))
    return cells, at + reader.line_num


def _without_empty_end(cells: tuple[str, ...]) -> tuple[str, ...]:
    last = max((place for place, cell in enumerate(cells) if cell), default=-1)
    return cells[: last + 1]
