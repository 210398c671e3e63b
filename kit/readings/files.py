"""Find a table in the job folder and read it as plain text cells with their row numbers.

A row number is the line of the file in which the row begins (CSV) or the row of the first sheet
(XLSX), so that the header of an ordinary table is row 1 and its first reading is row 2.
"""

from __future__ import annotations

import codecs
import csv
import io
import unicodedata
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from kit.job.refusal import refuse

#: A table of readings is larger than this only by mistake [bytes].
LARGEST_BYTES = 50_000_000

Cells = tuple[str, ...]


@dataclass(frozen=True)
class Sheet:
    """A table as it was typed: text cells, blank rows left out.

    Parameters
    ----------
    name : str
        The file as the job names it, for messages.
    header : tuple of str
        The first row that is not blank.
    header_row : int
        Its row number.
    rows : tuple of (int, tuple of str)
        All further rows that are not blank, each with its row number; every row has as many
        cells as the header, or more where more were typed.
    """

    name: str
    header: Cells
    header_row: int
    rows: tuple[tuple[int, Cells], ...]

    def place(self, row: int, column: str) -> str:
        """Return the words that name a cell in a message."""
        return f"{self.name}, row {row}, {column}"


def find_table(folder: Path, name: str, key: str) -> Path:
    """Return the path of a table inside the job folder.

    Parameters
    ----------
    folder : Path
        The job folder.
    name : str
        The file as the job names it.
    key : str
        The key that names it, for the message.

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
            raise refuse(key, f"the folder {name!r}", "a CSV or XLSX file")
        if not path.is_file():
            raise refuse(key, f"{name!r}, which is not there", "a CSV or XLSX file in the folder")
        size = path.stat().st_size
    except (OSError, ValueError, RuntimeError) as error:
        raise refuse(key, f"{name!r} ({error})", "a file that can be read") from error
    if size > LARGEST_BYTES:
        raise refuse(name, f"{size} bytes", f"at most {LARGEST_BYTES} bytes")
    return path


def read_sheet(path: Path, name: str) -> Sheet:
    """Return the cells of a CSV or XLSX table.

    Parameters
    ----------
    path : Path
        The file; XLSX if it ends so, CSV otherwise.
    name : str
        What messages call it.

    Returns
    -------
    Sheet
        Cells stripped of surrounding space, in Unicode normal form C.

    Raises
    ------
    Refusal
        If the file is empty, binary, wrongly encoded, damaged, or has a header and nothing else.
    """
    typed = _xlsx_rows(path, name) if path.suffix.lower() == ".xlsx" else _csv_rows(path, name)
    rows = [(row, cells) for row, cells in typed if any(cells)]
    if not rows:
        raise refuse(name, "an empty table", "a header row and one row a reading")
    (header_row, header), *body = rows
    header = _without_empty_end(header)
    if not body:
        raise refuse(name, "a header row and no readings", "one row a reading below the header")
    return Sheet(name, header, header_row, tuple((r, _fill(c, len(header))) for r, c in body))


def _without_empty_end(cells: Cells) -> Cells:
    last = max(i for i, cell in enumerate(cells) if cell)
    return cells[: last + 1]


def _fill(cells: Cells, width: int) -> Cells:
    used = _without_empty_end(cells)
    return used + ("",) * (width - len(used))


def _clean(cell: object) -> str:
    if isinstance(cell, float) and cell.is_integer():
        cell = int(cell)
    return unicodedata.normalize("NFC", str(cell)).strip()


def _csv_rows(path: Path, name: str) -> Iterator[tuple[int, Cells]]:
    text = _decode(path, name)
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    begins = 1
    try:
        for cells in reader:
            yield begins, tuple(_clean(cell) for cell in cells)
            begins = reader.line_num + 1
    except csv.Error as error:
        raise refuse(f"{name}, row {begins}", f"a broken row ({error})", "plain CSV") from error


def _decode(path: Path, name: str) -> str:
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise refuse(name, str(error), "a file that can be read") from error
    if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        raise refuse(name, "text in UTF-16", "CSV saved as UTF-8")
    if b"\0" in raw:
        raise refuse(name, "a binary file", "a CSV text file, or a workbook ending in .xlsx")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        found = f"a byte that is not UTF-8 (0x{raw[error.start]:02x})"
        raise refuse(f"{name}, row {line}", found, "CSV saved as UTF-8") from error


def _xlsx_rows(path: Path, name: str) -> Iterator[tuple[int, Cells]]:
    allowed = "a workbook with the readings on its first sheet"
    try:
        with zipfile.ZipFile(path) as parts:
            size = sum(part.file_size for part in parts.infolist())
        if size > 4 * LARGEST_BYTES:
            raise refuse(name, f"{size} bytes when unpacked", f"at most {4 * LARGEST_BYTES}")
        frame = pd.read_excel(
            path, sheet_name=0, header=None, dtype=object, na_filter=False, engine="openpyxl"
        )
    except ImportError as error:
        raise refuse(name, "no library that reads workbooks", "openpyxl, or CSV") from error
    except (OSError, zipfile.BadZipFile) as error:
        raise refuse(name, f"no readable workbook ({error})", allowed) from error
    # A damaged workbook fails in the reader with whatever its parts provoke.
    except (
        ArithmeticError,
        AttributeError,
        LookupError,
        SyntaxError,
        TypeError,
        ValueError,
    ) as error:
        raise refuse(name, f"a damaged workbook ({error})", allowed) from error
    for index, cells in enumerate(frame.to_numpy().tolist(), start=1):
        yield index, tuple(_clean(cell) for cell in cells)
