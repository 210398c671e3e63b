"""Sheets of an XLSX workbook as plain text cells."""

from __future__ import annotations

import datetime
import unicodedata
import warnings
import zipfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd

from kit.job.refusal import Refusal, refuse
from kit.readings.marks import is_blank

#: Parts of a workbook are larger than this together only by mistake, or by intent [bytes].
MOST_UNPACKED_BYTES = 200_000_000

#: A table of readings has more cells than this only by mistake.
MOST_CELLS = 1_000_000

Cells = tuple[str, ...]


class Formula(str):
    """A cell that holds a formula."""

    __slots__ = ()


@dataclass(frozen=True)
class WorkbookSheet:
    """One sheet of a workbook.

    Parameters
    ----------
    title : str
        Its title; empty where the workbook has no other.
    not_read : tuple of str
        Titles of the other sheets, where nobody said which to read.
    rows : sequence of tuple of str
        Its rows, the first being row 1.
    """

    title: str
    not_read: tuple[str, ...]
    rows: Sequence[Cells]


def read_workbook(path: Path, name: str, sheet: str | None) -> WorkbookSheet:
    """Return the cells of one sheet.

    Parameters
    ----------
    path : Path
        The workbook.
    name : str
        What messages call it.
    sheet : str or None
        Title of the sheet; without it, the first visible one that is not empty.

    Returns
    -------
    WorkbookSheet
        Of a formula the value that the workbook stores; where it stores none, the formula itself.

    Raises
    ------
    Refusal
        If the file is no workbook, damaged, too large, or has no such sheet.
    """
    with _refusing_damage(name):
        _no_bomb(path, name)
        with _open(path, values=False) as book:
            sheets = {found.title: found for found in book.book.worksheets}
            title, rows = _chosen(sheets, sheet, name)
        if any(isinstance(cell, Formula) for row in rows for cell in row):
            with _open(path, values=True) as book:
                rows = _with_values(rows, list(_rows(book.book[title], name, _stored)))
    others = tuple(other for other in sheets if other != title)
    return WorkbookSheet(title if others else "", () if sheet is not None else others, rows)


def clean(text: str) -> str:
    """Return a cell in Unicode normal form C, without space around it."""
    return unicodedata.normalize("NFC", text).strip()


def too_many_cells(name: str) -> Refusal:
    """Return the refusal of a table that is no table of readings."""
    return refuse(name, f"more than {MOST_CELLS} cells", "a table of readings")


@contextmanager
def _refusing_damage(name: str) -> Iterator[None]:
    allowed = "a workbook as a spreadsheet program saves it (.xlsx), or CSV"
    try:
        with warnings.catch_warnings():
            # What the reader of workbooks remarks on is styles and dates, which count for nothing.
            warnings.simplefilter("ignore")
            yield
    except Refusal:
        raise
    except ImportError as error:
        raise refuse(name, "no library that reads workbooks", "openpyxl, or CSV") from error
    except (OSError, zipfile.BadZipFile) as error:
        raise refuse(name, f"no readable workbook ({_one_line(error)})", allowed) from error
    # A damaged workbook fails in the reader with whatever its parts provoke.
    except Exception as error:
        raise refuse(name, f"a damaged workbook ({_one_line(error)})", allowed) from error


def _one_line(error: Exception) -> str:
    words = " ".join(str(error).split())
    return words[:160] if words else type(error).__name__


def _no_bomb(path: Path, name: str) -> None:
    with zipfile.ZipFile(path) as parts:
        size = sum(part.file_size for part in parts.infolist())
    if size > MOST_UNPACKED_BYTES:
        raise refuse(name, f"{size} bytes when unpacked", f"at most {MOST_UNPACKED_BYTES} bytes")


def _open(path: Path, *, values: bool) -> pd.ExcelFile:
    return pd.ExcelFile(path, engine="openpyxl", engine_kwargs={"data_only": values})


def _chosen(sheets: dict[str, Any], sheet: str | None, name: str) -> tuple[str, list[Cells]]:
    """Return title and rows of the sheet that is meant."""
    if sheet is not None and sheet not in sheets:
        raise refuse(name, f"no sheet {sheet!r}", f"one of its sheets: {', '.join(sheets)}")
    shown = [title for title, found in sheets.items() if found.sheet_state == "visible"]
    wanted = shown if sheet is None else [sheet]
    for title in wanted:
        rows = list(_rows(sheets[title], name, _typed))
        if not all(is_blank(row) for row in rows):
            return title, rows
    raise refuse(name, "an empty table", "a header row and one row a reading")


def _rows(sheet: Any, name: str, read: Callable[[Any], str]) -> Iterator[Cells]:
    # Some writers state a wrong size of the sheet.
    sheet.reset_dimensions()
    count = 0
    for row in sheet.iter_rows():
        count += max(len(row), 1)
        if count > MOST_CELLS:
            raise too_many_cells(name)
        yield tuple(read(cell) for cell in row)


def _typed(cell: Any) -> str:
    """Return what was typed into a cell: a value or a formula."""
    if cell.data_type != "f":
        return _text(cell.value)
    formula = str(getattr(cell.value, "text", cell.value))
    return Formula(formula if formula.startswith("=") else f"={formula}")


def _stored(cell: Any) -> str:
    """Return the stored value of a cell; an empty formula where there is none."""
    # An empty text is a value; a formula that was never worked out has none.
    if cell.value is None and cell.data_type != "str":
        return Formula()
    return _text(cell.value)


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    if isinstance(value, datetime.datetime) and value.time() == datetime.time():
        value = value.date()
    return clean(str(value))


def _with_values(typed: list[Cells], stored: list[Cells]) -> list[Cells]:
    """Return the cells with the values of their formulas, where there are any."""
    return [
        tuple(
            value if isinstance(cell, Formula) and not isinstance(value, Formula) else cell
            for cell, value in zip(row, values, strict=True)
        )
        for row, values in zip(typed, stored, strict=True)
    ]
