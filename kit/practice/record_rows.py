"""Rows of a file of records, read strictly: what is damaged is told by row and column."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from datetime import datetime
from typing import Any

from kit.job import Refusal, refuse
from kit.job.wording import clean
from kit.practice.floors import HIGHEST_SEED, LOWEST_SEED
from kit.practice.grades import grade_named
from kit.practice.marking import FULL
from kit.practice.nickname import read_nickname
from kit.practice.record import COLUMNS, JOINT, MOMENT, Record
from kit.practice.record_lines import WHOLE, BadRow
from kit.readings.cells import CellError, number
from kit.readings.files import Sheet
from kit.readings.formulas import is_formula

#: Missing columns of a file that are told by their names.
_MOST_NAMED = 3

#: Columns in which every record has something.
_NEVER_EMPTY = tuple(name for name in COLUMNS if name != "mistakes")

_KEY = "[a-z][a-z0-9_]{0,39}"
_MOMENT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}Z")
_ATTEMPT, _TOKEN = re.compile("[a-p]{32}"), re.compile("[a-p]{24,}")

#: Largest counts and times that are no slip [-] and [s].
_MOST_MOVES, _MOST_SECONDS = 100_000, 1e7

Reader = Callable[[str, str], object]


def records_of(sheet: Sheet) -> tuple[tuple[Record, ...], tuple[BadRow, ...]]:
    """Return the records of a table, and the rows that are damaged.

    A record's name is made of what it holds, so that a row which fits its name is whole, whatever
    became of the others.

    Parameters
    ----------
    sheet : Sheet
        As `kit.practice.record_lines.sheet_of_file` gives it: its columns in any order, others
        among them.

    Returns
    -------
    tuple of Record, tuple of BadRow
        Both in the order of the rows. Of a damaged row the first problem is told: that it was cut,
        a cell that cannot be, a formula in any cell, or that it does not fit its own name because
        something in it was changed.

    Raises
    ------
    Refusal
        If the header is none: a column that is missing or there twice, a formula.
    """
    _refuse_header(sheet)
    records: list[Record] = []
    bad: list[BadRow] = []
    for row, cells in sheet.rows:
        try:
            records.append(_whole_row(sheet.header, cells, f"{sheet.name}, row {row}"))
        except Refusal as refusal:
            bad.append(BadRow(row, refusal.problems[0]))
    return tuple(records), tuple(bad)


def _refuse_header(sheet: Sheet) -> None:
    where = f"{sheet.name}, row {sheet.header_row}"
    missing = [name for name in COLUMNS if name not in sheet.header]
    if missing:
        named = ", ".join(missing[:_MOST_NAMED])
        more = len(missing) - _MOST_NAMED
        found = f"no column {named}" + (f" and {more} more" if more > 0 else "")
        raise refuse(where, found, "the columns of a file of records, in any order")
    for name in sheet.header:
        if name and sheet.header.count(name) > 1:
            raise refuse(where, f"the column {clean(name)} twice", "each column once")
    _refuse_formulas(where, sheet.header)


def _whole_row(header: tuple[str, ...], cells: tuple[str, ...], where: str) -> Record:
    """Return the record of a row, or refuse it by its first problem."""
    used = max((place for place, cell in enumerate(cells, start=1) if cell), default=0)
    if used > len(header):
        raise refuse(where, f"{used} cells", f"{len(header)} cells, as the header has")
    filled = dict(zip(header, (*cells, *[""] * len(header)), strict=False))
    try:
        for name in header:
            if name not in COLUMNS:
                _refuse_formulas(f"{where}, {clean(name)}", [filled[name]])
        return _record(header, filled, where)
    except Refusal as refusal:
        if len(cells) < len(header) and any(not filled[name] for name in _NEVER_EMPTY):
            found = f"a row that breaks off there, after {len(cells)} of {len(header)} cells"
            raise refuse(f"{where}, {clean(header[len(cells) - 1])}", found, WHOLE) from refusal
        raise


def _refuse_formulas(where: str, texts: Iterable[str]) -> None:
    for text in texts:
        if is_formula(text):
            raise refuse(where, f"the formula '{clean(text)}'", "plain words or figures")


def _record(header: tuple[str, ...], cells: dict[str, str], where: str) -> Record:
    values: dict[str, Any] = {
        column: _READERS[column](cells[column], f"{where}, {column}")
        for column in header
        if column in COLUMNS
    }
    record = Record(**values)
    if record.attempt != record.name_of_content:
        found = f"'{record.attempt}', the name of another row: a cell of this one was changed"
        raise refuse(f"{where}, attempt", found, WHOLE)
    return record


def _matching(pattern: re.Pattern[str], allowed: str) -> Reader:
    def read(text: str, where: str) -> str:
        if not pattern.fullmatch(text):
            raise refuse(where, _found(text), allowed)
        return text

    return read


def _whole(low: int, high: int) -> Reader:
    def read(text: str, where: str) -> int:
        allowed = f"a whole number, {low} to {high}"
        value = _number(text, where, allowed)
        if value != int(value) or not low <= value <= high:
            raise refuse(where, _found(text), allowed)
        return int(value)

    return read


def _seconds(text: str, where: str) -> float:
    allowed = f"seconds, 0 to {_MOST_SECONDS:.0f}"
    value = _number(text, where, allowed)
    if not 0 <= value <= _MOST_SECONDS:
        raise refuse(where, _found(text), allowed)
    return round(value, 1) + 0.0


def _number(text: str, where: str, allowed: str) -> float:
    """Return a number; a decimal comma can only be one that a spreadsheet program has set."""
    try:
        return number(text, comma="," in text)
    except CellError as error:
        raise refuse(where, clean(error.found, 120), error.allowed or allowed) from error


def _when(text: str, where: str) -> str:
    allowed = "universal time as 2031-05-08T09:30:00Z"
    try:
        if not _MOMENT.fullmatch(text):
            raise ValueError
        datetime.strptime(text, MOMENT)
    except ValueError:
        raise refuse(where, _found(text), allowed) from None
    return text


def _grade(text: str, where: str) -> str:
    try:
        return grade_named(text).name
    except Refusal as refusal:
        raise refuse(where, _found(text), refusal.problems[0].allowed) from refusal


def _mistakes(text: str, where: str) -> tuple[str, ...]:
    if not text:
        return ()
    keys = tuple(text.split(JOINT))
    if not all(re.fullmatch(_KEY, key) for key in keys) or len(set(keys)) < len(keys):
        allowed = f"keys of kinds of mistakes with {JOINT} between them, each once; or nothing"
        raise refuse(where, _found(text), allowed)
    return keys


def _found(text: str) -> str:
    return f"'{clean(text)}'" if text else "an empty cell"


_READERS: dict[str, Reader] = {
    "attempt": _matching(_ATTEMPT, "32 letters from a to p"),
    "when": _when,
    "nickname": read_nickname,
    "drill": _matching(re.compile(_KEY), "the key of a drill"),
    "edition": _whole(1, 9999),
    "grade": _grade,
    "seed": _whole(LOWEST_SEED, HIGHEST_SEED),
    "tries_before": _whole(0, _MOST_MOVES),
    "marks": _whole(0, FULL),
    "placements": _whole(0, _MOST_MOVES),
    "good_placements": _whole(0, _MOST_MOVES),
    "seconds": _seconds,
    "good_seconds": _seconds,
    "hints": _whole(0, _MOST_MOVES),
    "mistakes": _mistakes,
    "token": _matching(_TOKEN, "24 letters or more from a to p"),
}
