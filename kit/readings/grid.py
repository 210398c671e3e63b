"""A grid of heights: a matrix as people type it."""

from __future__ import annotations

import math
from collections.abc import Mapping

import pandas as pd

from kit.job.model import Survey
from kit.job.units import INCH_FORMS
from kit.readings.columns import Quantity, length_mm, no_commas
from kit.readings.corner import corner_unit
from kit.readings.faults import Faults
from kit.readings.files import Sheet
from kit.readings.metres import refuse_metre_heights, refuse_metre_places
from kit.readings.table import Table, table


def grid_table(sheet: Sheet, survey: Survey) -> Table:
    """Return a matrix of heights as people type it.

    The first row holds x, the first column y, the cells heights; an empty cell was not read. The
    corner may hold words; if these name inches (``_in``, ``(in)``), the whole grid is in inches,
    and in millimetres if they name those or no unit. A point is named by its place, for example
    ``x600 y300``.

    Raises
    ------
    Refusal
        With every fault of the table, each named by its row and column; also where the corner
        names another unit, or where all heights or places look like metres.
    """
    faults = Faults(sheet.name)
    if no_commas(sheet, faults):
        faults.stop()
    inches = corner_unit(sheet, faults) == "in"
    columns = _grid_columns(sheet, inches, faults)
    rows: list[tuple[int, str, float, float, float]] = []
    lines: dict[str, int] = {}
    for row, cells in sheet.rows:
        if not any(cells[1:]):
            continue
        y = _cell(cells[0], inches, (row, "y (first column)"), faults)
        if _y_name(y) in lines:
            found = f"{_y_name(y)}, as in row {lines[_y_name(y)]}"
            faults.add_cell(row, "y (first column)", found, "each y once")
        lines.setdefault(_y_name(y), row)
        rows += _grid_row(row, cells, y, columns, inches, faults)
    if not rows:
        faults.add(sheet.name, "a grid without a height", "at least one height")
    faults.stop()
    titles = ["row", "point", "x_mm", "y_mm", "observed_mm"]
    readings = pd.DataFrame(rows, columns=titles).assign(sd_mm=survey.sd_mm, setup="")
    if not inches:
        refuse_metre_places(sheet.name, readings)
        refuse_metre_heights(sheet.name, "heights", readings)
    return table(survey, readings, pd.DataFrame(index=range(len(rows))))


def _grid_columns(sheet: Sheet, inches: bool, faults: Faults) -> dict[int, float]:
    width = max(len(sheet.header), *(len(cells) for _, cells in sheet.rows))
    columns: dict[int, float] = {}
    seen: dict[str, int] = {}
    for i in range(1, width):
        text = sheet.header[i] if i < len(sheet.header) else ""
        if not text and not any(len(cells) > i and cells[i] for _, cells in sheet.rows):
            continue
        where = (sheet.header_row, f"column {i + 1}")
        columns[i] = _cell(text, inches, where, faults)
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
    inches: bool,
    faults: Faults,
) -> list[tuple[int, str, float, float, float]]:
    readings = []
    for i, x in columns.items():
        text = cells[i] if i < len(cells) else ""
        if text:
            height = _cell(text, inches, (row, f"column {i + 1}"), faults)
            readings.append((row, f"{_x_name(x)} {_y_name(y)}", x, y, height))
    return readings


def _cell(text: str, inches: bool, where: tuple[int, str], faults: Faults) -> float:
    most = Quantity("").high_mm
    try:
        value = length_mm(text, inches)
        if abs(value) > most:
            raise ValueError(f"{value:g} mm")
    except ValueError as error:
        form = INCH_FORMS if inches else "a number"
        faults.add_cell(*where, str(error), f"{form}, at most {most:g} mm")
        return math.nan
    return value


def _x_name(x: float) -> str:
    return f"x{round(x, 3) + 0.0:.12g}"


def _y_name(y: float) -> str:
    return f"y{round(y, 3) + 0.0:.12g}"
