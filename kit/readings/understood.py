"""One line on how a table was read, for the person to check."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from kit.readings.corner import corner_unit
from kit.readings.faults import Faults
from kit.readings.files import Sheet
from kit.readings.header import UNIT_WORDS, quantity_of
from kit.readings.marks import SEPARATOR_WORDS
from kit.readings.table import Table


def understood(sheet: Sheet, table: Table) -> str:
    """Return in words how a table was read.

    Parameters
    ----------
    sheet : Sheet
        The cells.
    table : Table
        What was read from them, before any row is left out.

    Returns
    -------
    str
        What was counted, how columns and decimals are marked, which units, what was not used.
    """
    grid = table.kind == "grid"
    used = [title for title in sheet.header if title and title not in table.extra.columns]
    parts = [
        f"{sheet.name} ({table.kind}): {_counted(table)}",
        *_marks(sheet, _grid_texts(sheet) if grid else _length_texts(sheet, used)),
        f"all in {corner_unit(sheet, Faults(sheet.name))}" if grid else _units(used),
    ]
    unused = [*map(str, table.extra.columns), *([] if grid else _nameless(sheet))]
    if unused:
        parts.append(f"not used: {', '.join(unused)}")
    if sheet.not_read:
        parts.append(f"other sheets, not read: {', '.join(sheet.not_read)}")
    return "; ".join(part for part in parts if part)


def understood_places(sheet: Sheet) -> str:
    """Return in words how a points file was read."""
    used = [title for title in sheet.header if quantity_of(title)[0] in {"x", "y"}]
    places = f"places of {_number(len(sheet.rows), 'point')} from {sheet.name}"
    return ", ".join((places, *_marks(sheet, _length_texts(sheet, used)), _units(used)))


def _counted(table: Table) -> str:
    rows = table.readings
    points = _number(rows["point"].nunique(), "point")
    if table.kind == "heights":
        return f"{_number(len(rows), 'height')} of {points}"
    if table.kind == "grid":
        across, along = rows["x_mm"].nunique(), rows["y_mm"].nunique()
        return f"{_number(len(rows), 'height')} at {across} x by {along} y"
    if table.kind == "level":
        ends = len({*rows["point"], *rows["start"]})
        return f"{_number(len(rows), 'reading')} between {_number(ends, 'point')}"
    what, where, prep = (
        ("gap", "placement", "in")
        if table.kind == "straightedge"
        else ("reading", "set-up", "from")
    )
    setups = _number(rows["setup"].nunique(), where)
    return f"{_number(len(rows), what)} of {points} {prep} {setups}"


def _number(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _marks(sheet: Sheet, lengths: Iterable[str]) -> Iterator[str]:
    """Yield what separates the columns, and what the decimal mark of the lengths is."""
    comma = any("," in text for text in lengths)
    if sheet.separator:
        decimal = "comma" if comma else "point"
        yield f"columns separated by {SEPARATOR_WORDS[sheet.separator]}, decimal {decimal}"
    elif comma:
        yield "decimal comma"


def _grid_texts(sheet: Sheet) -> Iterator[str]:
    yield from sheet.header[1:]
    yield from (text for _, cells in sheet.rows for text in cells)


def _length_texts(sheet: Sheet, used: Sequence[str]) -> Iterator[str]:
    held = [i for i, title in enumerate(sheet.header) if title in used and quantity_of(title)[1]]
    yield from (cells[i] for _, cells in sheet.rows for i in held)


def _nameless(sheet: Sheet) -> Iterator[str]:
    """Yield the columns that hold something and have no title."""
    for i, title in enumerate(sheet.header):
        if not title and any(cells[i] for _, cells in sheet.rows):
            yield f"column {i + 1} without a title"


def _units(used: Sequence[str]) -> str:
    """Return the quantities by unit, in the order of the columns: ``x, y in m, reading in mm``."""
    by_unit: dict[str, list[str]] = {}
    for stem, word in map(quantity_of, used):
        if word in UNIT_WORDS:
            by_unit.setdefault(UNIT_WORDS[word], []).append(stem)
    return ", ".join(f"{', '.join(stems)} in {unit}" for unit, stems in by_unit.items())
