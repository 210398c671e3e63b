"""From text cells to columns of numbers in millimetres, with every fault named by its row."""

from __future__ import annotations

import difflib
import math
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kit.job.model import LONGEST_MM
from kit.job.refusal import Refusal
from kit.job.units import INCH_FORMS, MM_PER_INCH, inches_to_mm, parse_inches
from kit.readings.faults import Faults
from kit.readings.files import Sheet

#: Smallest and largest standard deviation of a reading that weights can carry [mm].
LEAST_SD_MM, LARGEST_SD_MM = 0.001, 1000.0

_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_UNITS = r"(?:mm|in|m|cm|dm|km|ft|yd|metres?|meters?|inch(?:es)?|feet|foot)"


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
    """Where a quantity stands in a table, and in which unit."""

    index: int
    title: str

    @property
    def inches(self) -> bool:
        """Whether the cells are inches."""
        return self.title.endswith("_in")

    @property
    def unit(self) -> str:
        """Unit of the cells."""
        return "in" if self.inches else "mm"

    @property
    def unit_mm(self) -> float:
        """One of that unit [mm]."""
        return MM_PER_INCH if self.inches else 1.0


def number(text: str) -> float:
    """Return the number that a cell holds; ``ValueError`` tells what else it holds."""
    plain = text.replace("\N{MINUS SIGN}", "-")
    if not plain:
        raise ValueError("an empty cell")
    if not _NUMBER.fullmatch(plain):
        raise ValueError(repr(text))
    value = float(plain)
    if not math.isfinite(value):
        raise ValueError(f"{text}, which is no finite number")
    return value


def length_mm(text: str, inches: bool) -> float:
    """Return the length that a cell holds [mm]; ``ValueError`` tells what else it holds."""
    if not inches:
        return number(text)
    if not text:
        raise ValueError("an empty cell")
    try:
        return inches_to_mm(parse_inches(text.replace("\N{MINUS SIGN}", "-")))
    except Refusal as refusal:
        raise ValueError(repr(text)) from refusal


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
            value = _in_range(length_mm(text, column.inches), column, quantity)
        except ValueError as error:
            faults.add_cell(row, column.title, str(error), _allowed(column, quantity))
            value = math.nan
        values.append(value)
    return values


def _in_range(value: float, column: Column, quantity: Quantity) -> float:
    if not quantity.low_mm <= value <= quantity.high_mm:
        raise ValueError(f"{value / column.unit_mm:g} {column.unit}")
    return value


def _allowed(column: Column, quantity: Quantity) -> str:
    form = INCH_FORMS if column.inches else "a number"
    low, high = quantity.low_mm / column.unit_mm, quantity.high_mm / column.unit_mm
    meaning = f"{quantity.meaning}: " if quantity.meaning else ""
    return f"{meaning}{form}, from {low:g} to {high:g} {column.unit}"


def read_names(sheet: Sheet, column: Column, faults: Faults) -> list[str]:
    """Return a column of names; an empty, overlong or unprintable one is noted."""
    names = []
    for row, cells in sheet.rows:
        name = cells[column.index]
        if not name or len(name) > 80 or not name.isprintable():
            found = repr(name) if name else "an empty cell"
            faults.add_cell(row, column.title, found, "a name of 1 to 80 characters")
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
        Its lengths, each in a column ending in ``_mm`` or ``_in``.
    faults : Faults
        Takes columns that are missing, double, without a unit, or in both units; the caller stops.
    maybe : sequence of str
        Titles of columns of words that may be missing.
    """
    titles = [title.casefold() for title in sheet.header]
    if no_commas(sheet, faults):
        return {}
    _no_doubles(sheet, titles, faults)
    _no_overlong_rows(sheet, faults)
    wanted = (*names, *maybe)
    found = {name: Column(titles.index(name), name) for name in wanted if name in titles}
    for name in names:
        if name not in found:
            _missing(sheet, titles, name, faults)
    for quantity in quantities:
        for column in _quantity_column(sheet, titles, quantity, faults):
            found[quantity.stem] = column
    return found


def _quantity_column(
    sheet: Sheet, titles: list[str], quantity: Quantity, faults: Faults
) -> Iterator[Column]:
    stem = quantity.stem
    allowed = f"{stem}_mm or {stem}_in"
    here = [title for title in (f"{stem}_mm", f"{stem}_in") if title in titles]
    wrong = _without_its_unit(titles, stem)
    where = f"{sheet.name}, row {sheet.header_row}"
    if len(here) > 1:
        faults.add(where, f"both {here[0]} and {here[1]}", f"one of {allowed}")
    elif wrong:
        faults.add(where, f"the column {sheet.header[titles.index(wrong[0])]!r}", allowed)
    elif here:
        yield Column(titles.index(here[0]), here[0])
    elif quantity.required:
        _missing(sheet, titles, f"{stem}_mm", faults)


def _without_its_unit(titles: list[str], stem: str) -> list[str]:
    shape = re.compile(rf"{stem}[\s_]*[(\[]?{_UNITS}?[)\]]?")
    return [t for t in titles if shape.fullmatch(t) and t not in (f"{stem}_mm", f"{stem}_in")]


def _missing(sheet: Sheet, titles: list[str], name: str, faults: Faults) -> None:
    where = f"{sheet.name}, row {sheet.header_row}"
    near = difflib.get_close_matches(name, titles, 1, 0.6)
    hint = f"; nearest: {sheet.header[titles.index(near[0])]!r}" if near else ""
    faults.add(where, f"no column {name}{hint}", f"a header row with the column {name}")


def no_commas(sheet: Sheet, faults: Faults) -> bool:
    """Note a table whose cells something else than commas separates; return whether it is one."""
    mark = re.search(r"[;\t|]", sheet.header[0])
    if len(sheet.header) > 1 or mark is None:
        return False
    name = {";": "semicolons", "\t": "tabs", "|": "bars"}[mark[0]]
    found = f"no comma, and {name} instead"
    faults.add(f"{sheet.name}, row {sheet.header_row}", found, "columns separated by commas")
    return True


def _no_doubles(sheet: Sheet, titles: list[str], faults: Faults) -> None:
    for title, count in Counter(titles).items():
        if title and count > 1:
            where = f"{sheet.name}, row {sheet.header_row}"
            faults.add(where, f"the column {title!r} {count} times", "each column once")


def _no_overlong_rows(sheet: Sheet, faults: Faults) -> None:
    width = len(sheet.header)
    for row, cells in sheet.rows:
        if len(cells) > width:
            found = f"{len(cells)} cells under {width} columns"
            faults.add_cell(row, "", found, "a decimal point, not a decimal comma")
