"""From text cells to columns of lengths in millimetres, with every fault named by its row."""

from __future__ import annotations

import difflib
import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from kit.job.model import LONGEST_MM
from kit.job.units import Unit
from kit.readings.cells import MILLIMETRES, CellError, Measure
from kit.readings.faults import Faults
from kit.readings.files import Sheet
from kit.readings.formulas import is_formula
from kit.readings.header import UNIT_WORDS, is_without_unit, name_of, quantity_of
from kit.readings.marks import NumberCell, decimal_comma

#: Smallest and largest standard deviation of a reading that weights can carry [mm].
LEAST_SD_MM, LARGEST_SD_MM = 0.001, 1000.0


@dataclass(frozen=True)
class Quantity:
    """A length that a table may hold: its name without unit, its range [mm], and why that."""

    stem: str
    required: bool = True
    low_mm: float = -LONGEST_MM
    high_mm: float = LONGEST_MM
    meaning: str = ""


@dataclass(frozen=True)
class Column:
    """Where a quantity or a name stands in a table, and how lengths are written there."""

    index: int
    title: str
    measure: Measure = MILLIMETRES

    @property
    def millimetres(self) -> bool:
        """Whether the cells are millimetres."""
        return self.measure.unit == "mm"


def read_lengths(
    sheet: Sheet,
    column: Column,
    quantity: Quantity,
    faults: Faults,
    empty: float = math.nan,
    *,
    may_be_empty: bool = False,
) -> list[float]:
    """Return a column of lengths [mm]; a faulty cell is noted and becomes nan.

    Parameters
    ----------
    sheet, column, quantity
        Where to read, and what may stand there.
    faults : Faults
        Takes what is wrong.
    empty : float
        What an empty cell means [mm]; nan where an empty cell is a fault.
    may_be_empty : bool
        Whether an empty cell is none and simply nan.
    """
    values = []
    for row, cells in sheet.rows:
        text = cells[column.index]
        if not text and (may_be_empty or math.isfinite(empty)):
            values.append(empty)
            continue
        try:
            value = _in_range(column.measure.length_mm(text), column, quantity)
        except CellError as error:
            allowed = error.allowed or _allowed(column, quantity)
            faults.add_cell(row, column.title, error.found, allowed)
            value = math.nan
        values.append(value)
    return values


def _in_range(value: float, column: Column, quantity: Quantity) -> float:
    if not quantity.low_mm <= value <= quantity.high_mm:
        measure = column.measure
        raise CellError(f"{value / measure.unit_mm:g} {measure.unit}")
    return value


def _allowed(column: Column, quantity: Quantity) -> str:
    measure = column.measure
    low, high = quantity.low_mm / measure.unit_mm, quantity.high_mm / measure.unit_mm
    meaning = f"{quantity.meaning}: " if quantity.meaning else ""
    return f"{meaning}{measure.form}, from {low:g} to {high:g} {measure.unit}"


def read_names(sheet: Sheet, column: Column, faults: Faults) -> list[str]:
    """Return a column of names; an empty, overlong or unprintable one or a formula is noted."""
    names = []
    for row, cells in sheet.rows:
        name = cells[column.index]
        if not name or len(name) > 80 or not name.isprintable():
            found = repr(name) if name else "an empty cell"
            faults.add_cell(row, column.title, found, "a name of 1 to 80 characters")
        elif is_formula(name):
            found = f"{name!r}, a formula; a spreadsheet would run it"
            allowed = "a name that begins with none of = + - @"
            faults.add_cell(row, column.title, found, allowed)
        names.append(name)
    return names


def find_columns(
    sheet: Sheet,
    names: Sequence[str],
    quantities: Sequence[Quantity],
    faults: Faults,
    maybe: Sequence[str] = (),
) -> dict[str, Column]:
    """Return where each name and quantity of a table stands.

    Parameters
    ----------
    sheet : Sheet
        The table.
    names : sequence of str
        Titles of its columns of names, all required.
    quantities : sequence of Quantity
        Its lengths, each in a column whose title names the unit.
    faults : Faults
        Takes columns that are missing, double or without a unit, and doubtful decimal marks; the
        caller stops.
    maybe : sequence of str
        Titles of columns of words that may be missing.
    """
    if not_columns(sheet, faults):
        return {}
    _no_doubles(sheet, faults)
    _no_overlong_rows(sheet, faults)
    found: dict[str, Column] = {}
    for name in (*names, *maybe):
        here = [i for i, title in enumerate(sheet.header) if name_of(title) == name]
        if here:
            found[name] = _only_column(sheet, here, name, faults)
        elif name in names:
            _missing(sheet, name, faults)
    for quantity in quantities:
        for column in _quantity_column(sheet, quantity, faults):
            found[quantity.stem] = column
    return _with_decimal_marks(sheet, found, quantities, faults)


def _quantity_column(sheet: Sheet, quantity: Quantity, faults: Faults) -> Iterator[Column]:
    stem = quantity.stem
    titled = [quantity_of(title) for title in sheet.header]
    here = [i for i, (name, word) in enumerate(titled) if name == stem and word in UNIT_WORDS]
    wrong = [title for title in sheet.header if is_without_unit(title, stem)]
    if wrong:
        faults.add(_header(sheet), f"the column {wrong[0]!r}", _spelt(stem))
    elif here:
        unit: Unit = UNIT_WORDS[titled[here[0]][1]]
        yield replace(_only_column(sheet, here, stem, faults), measure=Measure(unit))
    elif quantity.required:
        _missing(sheet, f"{stem}_mm", faults)


def _spelt(stem: str) -> str:
    return f"{stem} with its unit: {stem}_mm, {stem}_cm, {stem}_m, {stem}_in or {stem}_ft"


def _only_column(sheet: Sheet, here: Sequence[int], what: str, faults: Faults) -> Column:
    titles = [sheet.header[i] for i in here]
    # The same title twice is told once, by `_no_doubles`.
    if len({title.casefold() for title in titles}) > 1:
        found = f"the columns {', '.join(titles[:-1])} and {titles[-1]}"
        faults.add(_header(sheet), found, f"one column for {what}")
    return Column(here[0], titles[0])


def _with_decimal_marks(
    sheet: Sheet, found: dict[str, Column], quantities: Sequence[Quantity], faults: Faults
) -> dict[str, Column]:
    held = [(found[q.stem], q) for q in quantities if q.stem in found]
    cells = [
        NumberCell(row, column.title, cells[column.index], column.measure.unit, q.low_mm, q.high_mm)
        for row, cells in sheet.rows
        for column, q in held
    ]
    if not decimal_comma(cells, faults, sheet.separator):
        return found
    return {
        key: replace(column, measure=replace(column.measure, decimal_comma=True))
        for key, column in found.items()
    }


def _header(sheet: Sheet) -> str:
    return f"{sheet.name}, row {sheet.header_row}"


def _missing(sheet: Sheet, name: str, faults: Faults) -> None:
    titles = [title.casefold() for title in sheet.header]
    near = difflib.get_close_matches(name, titles, 1, 0.6)
    hint = f"; nearest: {sheet.header[titles.index(near[0])]!r}" if near else ""
    faults.add(_header(sheet), f"no column {name}{hint}", f"a header row with the column {name}")


def not_columns(sheet: Sheet, faults: Faults) -> bool:
    """Note a text in which nothing separates columns; return whether the sheet is one."""
    first = sheet.header[0]
    what = "bars" if "|" in first else "spaces" if len(first.split()) > 2 else ""
    if len(sheet.header) > 1 or not sheet.separator or not what:
        return False
    found = f"no tab, semicolon or comma, and {what} instead"
    faults.add(_header(sheet), found, "columns separated by tabs, semicolons or commas")
    return True


def _no_doubles(sheet: Sheet, faults: Faults) -> None:
    for title, count in Counter(title.casefold() for title in sheet.header).items():
        if title and count > 1:
            faults.add(_header(sheet), f"the column {title!r} {count} times", "each column once")


def _no_overlong_rows(sheet: Sheet, faults: Faults) -> None:
    width = len(sheet.header)
    allowed = "no cell without a title above it"
    if sheet.separator == ",":
        allowed += "; with decimal commas, semicolons between the columns"
    for row, cells in sheet.rows:
        if len(cells) > width:
            faults.add_cell(row, "", f"{len(cells)} cells under {width} columns", allowed)
