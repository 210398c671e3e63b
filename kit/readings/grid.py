"""A grid of heights: a matrix as people type it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

import pandas as pd

from kit.job.model import LONGEST_MM, Survey
from kit.job.units import Unit
from kit.readings.cells import CellError, Measure
from kit.readings.columns import not_columns
from kit.readings.corner import corner_unit
from kit.readings.faults import Faults
from kit.readings.files import Sheet
from kit.readings.marks import NumberCell, decimal_comma
from kit.readings.metres import refuse_metre_places
from kit.readings.table import Table, table

#: What messages call the first column.
Y_COLUMN = "y (first column)"


def grid_table(sheet: Sheet, survey: Survey) -> Table:
    """Return a matrix of heights as people type it.

    The first row holds x, the first column y, the cells heights; an empty cell was not read. The
    corner may hold words; if these name a unit (``_in``, ``[m]``), the whole grid is in that, and
    in millimetres if they name none. A point is named by its place [mm], for example
    ``x600 y300``.

    Raises
    ------
    Refusal
        With every fault of the table, each named by its row and column; also where the corner
        names another unit, or where all places look like metres.
    """
    faults = Faults(sheet.name)
    if not_columns(sheet, faults):
        faults.stop()
    unit = corner_unit(sheet, faults)
    measure = Measure(unit, decimal_comma(list(_cells(sheet, unit)), faults, sheet.separator))
    faults.stop()
    columns = _grid_columns(sheet, measure, faults)
    rows: list[tuple[int, str, float, float, float]] = []
    lines: dict[str, int] = {}
    for row, cells in sheet.rows:
        if not any(cells[1:]):
            continue
        y = _cell(cells[0], measure, (row, Y_COLUMN), faults)
        if _y_name(y) in lines:
            found = f"{_y_name(y)}, as in row {lines[_y_name(y)]}"
            faults.add_cell(row, Y_COLUMN, found, "each y once")
        lines.setdefault(_y_name(y), row)
        rows += _grid_row(row, cells, y, columns, measure, faults)
    if not rows:
        faults.add(sheet.name, "a grid without a height", "at least one height")
    faults.stop()
    titles = ["row", "point", "x_mm", "y_mm", "observed_mm"]
    readings = pd.DataFrame(rows, columns=titles).assign(sd_mm=survey.sd_mm, setup="")
    if unit == "mm":
        refuse_metre_places(sheet.name, readings)
    whole = table(survey, readings, pd.DataFrame(index=range(len(rows))))
    return replace(whole, height_title="heights" if unit == "mm" else "")


def _cells(sheet: Sheet, unit: Unit) -> Iterator[NumberCell]:
    """Yield all cells that should hold a number: all but the corner."""
    for row, cells in ((sheet.header_row, ("", *sheet.header[1:])), *sheet.rows):
        for i, text in enumerate(cells):
            column = f"column {i + 1}" if i else Y_COLUMN
            yield NumberCell(row, column, text, unit, -LONGEST_MM, LONGEST_MM)


def _grid_columns(sheet: Sheet, measure: Measure, faults: Faults) -> dict[int, float]:
    width = max(len(sheet.header), *(len(cells) for _, cells in sheet.rows))
    columns: dict[int, float] = {}
    seen: dict[str, int] = {}
    for i in range(1, width):
        text = sheet.header[i] if i < len(sheet.header) else ""
        if not text and not any(len(cells) > i and cells[i] for _, cells in sheet.rows):
            continue
        where = (sheet.header_row, f"column {i + 1}")
        columns[i] = _cell(text, measure, where, faults)
        name = _x_name(columns[i])
        if name in seen and math.isfinite(columns[i]):
            faults.add_cell(*where, f"{name}, as in column {seen[name] + 1}", "each x once")
        seen.setdefault(name, i)
    if not columns:
        faults.add(sheet.name, "no x_mm values in the first row", "one x above each column")
    return columns


def _grid_row(
    row: int,
    cells: tuple[str, ...],
    y: float,
    columns: Mapping[int, float],
    measure: Measure,
    faults: Faults,
) -> list[tuple[int, str, float, float, float]]:
    readings = []
    for i, x in columns.items():
        text = cells[i] if i < len(cells) else ""
        if text:
            height = _cell(text, measure, (row, f"column {i + 1}"), faults)
            readings.append((row, place_name(x, y), x, y, height))
    return readings


def _cell(text: str, measure: Measure, where: tuple[int, str], faults: Faults) -> float:
    try:
        value = measure.length_mm(text)
        if abs(value) > LONGEST_MM:
            raise CellError(f"{value / measure.unit_mm:g} {measure.unit}")
    except CellError as error:
        most = f"at most {LONGEST_MM / measure.unit_mm:g} {measure.unit}"
        faults.add_cell(*where, error.found, error.allowed or f"{measure.form}, {most}")
        return math.nan
    return value


def place_name(x_mm: float, y_mm: float) -> str:
    """Return what a point is called by its place [mm], for example ``x600 y300``."""
    return f"{_x_name(x_mm)} {_y_name(y_mm)}"


def _x_name(x: float) -> str:
    return f"x{round(x, 3) + 0.0:.12g}"


def _y_name(y: float) -> str:
    return f"y{round(y, 3) + 0.0:.12g}"
