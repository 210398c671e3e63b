"""Rows of a file of records, read strictly: what was damaged is told by row and column."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from datetime import datetime
from typing import Any

from kit.job import Problem, Refusal, refuse
from kit.job.wording import clean
from kit.practice.floors import HIGHEST_SEED, LOWEST_SEED
from kit.practice.grades import grade_named
from kit.practice.marking import FULL
from kit.practice.nickname import read_nickname
from kit.practice.record import COLUMNS, JOINT, MOMENT, Record
from kit.readings.cells import CellError, number
from kit.readings.files import Sheet
from kit.readings.formulas import is_formula

#: More problems of one file than a person puts right at a time.
MOST_PROBLEMS = 20

_KEY = "[a-z][a-z0-9_]{0,39}"
_MOMENT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}Z")
_ATTEMPT, _TOKEN = re.compile("[a-p]{32}"), re.compile("[a-p]{24,}")

#: Largest counts and times that are no slip [-] and [s].
_MOST_MOVES, _MOST_SECONDS = 100_000, 1e7

Reader = Callable[[str, str], object]


def records_of(sheet: Sheet) -> tuple[Record, ...]:
    """Return the records of a table, in the order of its rows.

    Parameters
    ----------
    sheet : Sheet
        As `kit.readings.files.read_sheet` gives it: its columns in any order, others among them.

    Raises
    ------
    Refusal
        With every problem of the file (the first `MOST_PROBLEMS`): a column that is missing or
        there twice, a cell that cannot be, a formula in any cell, a row that does not fit its
        own name because something in it was changed.
    """
    _refuse_header(sheet)
    records: list[Record] = []
    problems: list[Problem] = []
    for row, cells in sheet.rows:
        where = f"{sheet.name}, row {row}"
        problems += _strangers(sheet, cells, where)
        try:
            records.append(_record(dict(zip(sheet.header, cells, strict=False)), where))
        except Refusal as refusal:
            problems += refusal.problems
        if len(problems) >= MOST_PROBLEMS:
            break
    if problems:
        raise Refusal(*problems[:MOST_PROBLEMS])
    return tuple(records)


def _refuse_header(sheet: Sheet) -> None:
    where = f"{sheet.name}, row {sheet.header_row}"
    problems = [
        Problem(where, f"no column {name}", "the columns of a file of records, in any order")
        for name in COLUMNS
        if name not in sheet.header
    ]
    problems += [
        Problem(where, f"the column {clean(name)} twice", "each column once")
        for name in dict.fromkeys(sheet.header)
        if name and sheet.header.count(name) > 1
    ]
    problems += _formulas(where, sheet.header)
    if problems:
        raise Refusal(*problems[:MOST_PROBLEMS])


def _strangers(sheet: Sheet, cells: tuple[str, ...], where: str) -> Iterator[Problem]:
    """Yield what may not stand in columns that are not the kit's, or beyond the last one."""
    for name, text in zip(sheet.header, cells, strict=False):
        if name not in COLUMNS:
            yield from _formulas(f"{where}, {clean(name)}", [text])
    if len(cells) > len(sheet.header):
        found = f"{len(cells)} cells"
        yield Problem(where, found, f"{len(sheet.header)} cells, as the header has")


def _formulas(where: str, texts: Iterable[str]) -> Iterator[Problem]:
    for text in texts:
        if is_formula(text):
            yield Problem(where, f"the formula '{clean(text)}'", "plain words or figures")


def _record(cells: dict[str, str], where: str) -> Record:
    values: dict[str, Any] = {}
    problems: list[Problem] = []
    for column in COLUMNS:
        try:
            values[column] = _READERS[column](cells[column], f"{where}, {column}")
        except Refusal as refusal:
            problems += refusal.problems
    if problems:
        raise Refusal(*problems)
    record = Record(**values)
    if record.attempt != record.name_of_content:
        found = f"'{record.attempt}', the name of another row: a cell of this one was changed"
        raise refuse(f"{where}, attempt", found, "the row as the kit wrote it")
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
