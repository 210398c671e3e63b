"""One function for each kind of table: a sheet goes in, a tidy table of readings comes out."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import pandas as pd

from kit.job.model import Survey
from kit.job.units import INCH_FORMS
from kit.readings.columns import (
    LARGEST_SD_MM,
    LEAST_SD_MM,
    Column,
    Quantity,
    find_columns,
    length_mm,
    no_commas,
    read_lengths,
    read_names,
)
from kit.readings.corner import corner_unit
from kit.readings.faults import Faults
from kit.readings.files import Sheet
from kit.readings.metres import refuse_metre_heights, refuse_metre_places, refuse_metre_staff

PLACE = (Quantity("x"), Quantity("y"))
HEIGHT = Quantity("height")
READING = Quantity("reading", low_mm=0.0, meaning="readings down to the floor, 0 or more")
SD = Quantity("sd", required=False, low_mm=LEAST_SD_MM, high_mm=LARGEST_SD_MM)


@dataclass(frozen=True, eq=False)
class Table:
    """The readings of one survey, in millimetres.

    Parameters
    ----------
    survey : str
        The file as the job names it.
    kind : str
        ``heights``, ``grid`` or ``staff``.
    datum : str
        Name of the datum that the survey shares with others; empty if it has its own.
    readings : DataFrame
        ``row`` (line of the file, the header being 1), ``point``, ``x_mm``, ``y_mm``,
        ``observed_mm``, ``sd_mm``, ``setup`` (empty but for staff readings).
    extra : DataFrame
        Columns of the file that the kit does not use, as text, row by row like ``readings``.
    """

    survey: str
    kind: str
    datum: str
    readings: pd.DataFrame
    extra: pd.DataFrame


def heights_table(sheet: Sheet, survey: Survey) -> Table:
    """Return heights already reduced: point, x, y, height and, if given, sd.

    Raises
    ------
    Refusal
        With every fault of the table, each named by its row and column; also where all heights or
        places look like metres.
    """
    readings, columns = _list_readings(sheet, survey, ("point",), HEIGHT)
    if not columns["height"].inches:
        refuse_metre_heights(sheet.name, columns["height"].title, readings)
    return _table(survey, readings, _extra(sheet, columns))


def staff_table(sheet: Sheet, survey: Survey) -> Table:
    """Return readings down to the floor: set-up, point, x, y, reading and, if given, sd.

    Raises
    ------
    Refusal
        With every fault of the table, each named by its row and column; also where the readings
        of a set-up, or all places, look like metres.
    """
    readings, columns = _list_readings(sheet, survey, ("setup", "point"), READING)
    if not columns["reading"].inches:
        refuse_metre_staff(sheet.name, readings)
    return _table(survey, readings, _extra(sheet, columns))


def _list_readings(
    sheet: Sheet, survey: Survey, names: tuple[str, ...], value: Quantity
) -> tuple[pd.DataFrame, dict[str, Column]]:
    faults = Faults(sheet.name)
    columns = find_columns(sheet, names, (*PLACE, value, SD), faults)
    faults.stop()
    texts = {name: read_names(sheet, columns[name], faults) for name in names}
    lengths = {q.stem: read_lengths(sheet, columns[q.stem], q, faults) for q in (*PLACE, value)}
    count = len(sheet.rows)
    sd = [survey.sd_mm] * count
    if "sd" in columns:
        sd = read_lengths(sheet, columns["sd"], SD, faults, empty=survey.sd_mm)
    faults.stop()
    readings = pd.DataFrame(
        {
            "row": [row for row, _ in sheet.rows],
            "point": texts["point"],
            "x_mm": lengths["x"],
            "y_mm": lengths["y"],
            "observed_mm": lengths[value.stem],
            "sd_mm": sd,
            "setup": texts.get("setup", [""] * count),
        }
    )
    if not (columns["x"].inches and columns["y"].inches):
        refuse_metre_places(sheet.name, readings)
    return readings, columns


def _table(survey: Survey, readings: pd.DataFrame, extra: pd.DataFrame) -> Table:
    return Table(survey.file, survey.kind, survey.datum or "", readings, extra)


def _extra(sheet: Sheet, columns: Mapping[str, Column]) -> pd.DataFrame:
    used = {column.index for column in columns.values()}
    kept = {
        title: [cells[i] for _, cells in sheet.rows]
        for i, title in enumerate(sheet.header)
        if i not in used and title
    }
    return pd.DataFrame(kept, index=range(len(sheet.rows)))


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
    return _table(survey, readings, pd.DataFrame(index=range(len(rows))))


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


#: What reads each kind of table; a kind that is not here is refused by name.
READERS: Mapping[str, Callable[[Sheet, Survey], Table]] = MappingProxyType(
    {"heights": heights_table, "grid": grid_table, "staff": staff_table}
)
