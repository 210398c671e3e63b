"""One function for each kind of table: a sheet goes in, a tidy table of readings comes out."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import pandas as pd

from kit.job.model import Survey
from kit.readings.columns import (
    LARGEST_SD_MM,
    LEAST_SD_MM,
    Column,
    Faults,
    Quantity,
    find_columns,
    length_mm,
    read_lengths,
    read_names,
)
from kit.readings.files import Sheet

PLACE = (Quantity("x"), Quantity("y"))
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
        With every fault of the table, each named by its row and column.
    """
    return _list_table(sheet, survey, ("point",), Quantity("height"))


def staff_table(sheet: Sheet, survey: Survey) -> Table:
    """Return readings down to the floor: set-up, point, x, y, reading and, if given, sd.

    Raises
    ------
    Refusal
        With every fault of the table, each named by its row and column; also where all readings
        of the table look like metres.
    """
    table = _list_table(sheet, survey, ("setup", "point"), Quantity("reading"))
    observed = table.readings["observed_mm"]
    low, high = float(observed.min()), float(observed.max())
    # A floor that is level to 0.1 mm, read within 10 mm, is a floor booked in metres.
    if 0 < low <= high < 10 and high - low <= 0.1 and not (observed % 1 == 0).all():
        faults = Faults(sheet.name)
        found = f"readings from {low:g} to {high:g} mm, which look like metres"
        faults.add(f"{sheet.name}, column reading_mm", found, "readings in millimetres")
        faults.stop()
    return table


def _list_table(sheet: Sheet, survey: Survey, names: tuple[str, ...], value: Quantity) -> Table:
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
    return _table(survey, readings, _extra(sheet, columns))


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
    corner may hold words; if these name ``_in``, the whole grid is in inches. A point is named by
    its place, for example ``x600 y300``.

    Raises
    ------
    Refusal
        With every fault of the table, each named by its row and column.
    """
    faults = Faults(sheet.name)
    inches = _grid_unit(sheet, faults)
    columns = _grid_columns(sheet, inches, faults)
    rows: list[tuple[int, str, float, float, float]] = []
    lines: dict[str, int] = {}
    for row, cells in sheet.rows:
        if not any(cells[1:]):
            continue
        y = _cell(cells[0], inches, sheet.place(row, "y (first column)"), faults)
        if _y_name(y) in lines:
            found = f"{_y_name(y)}, as in row {lines[_y_name(y)]}"
            faults.add(sheet.place(row, "y (first column)"), found, "each y once")
        lines.setdefault(_y_name(y), row)
        rows += _grid_row(sheet, row, cells, y, columns, inches, faults)
    if not rows:
        faults.add(sheet.name, "a grid without a height", "at least one height")
    faults.stop()
    titles = ["row", "point", "x_mm", "y_mm", "observed_mm"]
    readings = pd.DataFrame(rows, columns=titles).assign(sd_mm=survey.sd_mm, setup="")
    return _table(survey, readings, pd.DataFrame(index=range(len(rows))))


def _grid_unit(sheet: Sheet, faults: Faults) -> bool:
    corner = sheet.header[0].casefold()
    where = sheet.place(sheet.header_row, "first cell")
    if any(character.isdigit() for character in corner):
        faults.add(where, repr(corner), "an empty cell or words: x stands to its right, y below")
    if "_in" in corner and "_mm" in corner:
        faults.add(where, repr(corner), "one unit for the whole grid")
    return "_in" in corner


def _grid_columns(sheet: Sheet, inches: bool, faults: Faults) -> dict[int, float]:
    width = max(len(sheet.header), *(len(cells) for _, cells in sheet.rows))
    columns: dict[int, float] = {}
    seen: dict[str, int] = {}
    for i in range(1, width):
        text = sheet.header[i] if i < len(sheet.header) else ""
        if not text and not any(len(cells) > i and cells[i] for _, cells in sheet.rows):
            continue
        where = sheet.place(sheet.header_row, f"column {i + 1}")
        columns[i] = _cell(text, inches, where, faults)
        name = _x_name(columns[i])
        if name in seen and math.isfinite(columns[i]):
            faults.add(where, f"{name}, as in column {seen[name] + 1}", "each x once")
        seen.setdefault(name, i)
    if not columns:
        faults.add(sheet.name, "no x_mm values in the first row", "one x above each column")
    return columns


def _grid_row(
    sheet: Sheet,
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
            height = _cell(text, inches, sheet.place(row, f"column {i + 1}"), faults)
            readings.append((row, f"{_x_name(x)} {_y_name(y)}", x, y, height))
    return readings


def _cell(text: str, inches: bool, where: str, faults: Faults) -> float:
    try:
        value = length_mm(text, inches)
        if abs(value) > Quantity("").high_mm:
            raise ValueError(f"{value:g} mm")
    except ValueError as error:
        faults.add(where, str(error), f"a number, at most {Quantity('').high_mm:g} mm")
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
