"""Readings on the finished base: the tables that ``[as_built]`` names, with places from the plan.

They are tables of the same kinds as the floor's. A point that is named like a support stands where
the plan has that support, so that a table without places will do.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd

from kit.job import Problem, Refusal, refuse
from kit.job.model import AsBuilt, Survey
from kit.job.wording import show_value
from kit.readings import Readings, Table
from kit.readings.columns import LEAST_SD_MM
from kit.readings.faults import Faults
from kit.readings.files import find_table, read_sheet
from kit.readings.metres import refuse_metre_staff
from kit.readings.points import read_points
from kit.readings.survey import SAME_PLACE_MM
from kit.readings.table import no_places
from kit.readings.tables import READERS
from kit.readings.understood import understood, understood_places

#: What a place is said to come from that no table gives.
PLAN = "the plan"

#: Kinds that give each reading its place by where it stands in the table.
_PLACED_BY_TABLE = ("grid",)


def read_tops(folder: Path, as_built: AsBuilt, known: pd.DataFrame) -> Readings:
    """Return what was read on the finished base.

    Parameters
    ----------
    folder : Path
        The job's, which holds the tables.
    as_built : AsBuilt
        Names the tables.
    known : DataFrame
        Places that a table need not give: point, x_mm, y_mm.

    Returns
    -------
    Readings
        As of `kit.readings.read_readings`, one table a survey.

    Raises
    ------
    Refusal
        As `kit.readings.read_readings`; problems of a key are told under ``as_built.survey``.
    """
    problems: list[Problem] = []
    tables: list[Table] = []
    _no_table_twice(folder, as_built.surveys)
    for index, survey in enumerate(as_built.surveys):
        try:
            tables.append(_read_table(folder, survey, _key(as_built.surveys, index)))
        except Refusal as refusal:
            problems += refusal.problems
    if problems:
        raise Refusal(*dict.fromkeys(problems))
    readings = _with_known_places(Readings(tuple(tables)), known)
    _one_place_a_name(readings)
    _no_metres(readings)
    return readings


def _key(surveys: Sequence[Survey], index: int) -> str:
    """Return where a survey stands: by its file, or by its number where two have one file."""
    name = surveys[index].file
    alone = [survey.file for survey in surveys].count(name) == 1
    return f"job.toml, as_built.survey {show_value(name) if alone else index + 1}"


def _no_table_twice(folder: Path, surveys: Sequence[Survey]) -> None:
    """Refuse two surveys of one table, whose readings would count twice."""
    seen: dict[Path, set[str | None]] = {}
    for index, survey in enumerate(surveys):
        earlier = seen.setdefault((folder / survey.file).resolve(), set())
        # Without a name it is the first sheet, and that may be the one that another survey names.
        if survey.sheet in earlier or (earlier and None in {survey.sheet, *earlier}):
            where, found = f"{_key(surveys, index)}, file", f"{survey.file!r} a second time"
            raise refuse(where, found, "each table once; of a workbook, each its own sheet")
        earlier.add(survey.sheet)


def _read_table(folder: Path, survey: Survey, key: str) -> Table:
    if survey.kind not in READERS:
        allowed = "one of " + ", ".join(READERS)
        raise refuse(f"{key}, kind", f"{survey.kind!r}, which cannot be read yet", allowed)
    if survey.sd_mm < LEAST_SD_MM:
        raise refuse(f"{key}, sd_mm", f"{survey.sd_mm:g} mm", f"{LEAST_SD_MM:g} mm or more")
    sheet = read_sheet(find_table(folder, survey.file, f"{key}, file"), survey.file, survey.sheet)
    table = replace(READERS[survey.kind](sheet, _with_places(survey)), survey=sheet.name)
    words = understood(sheet, table)
    if survey.points_file is not None:
        points = find_table(folder, survey.points_file, f"{key}, points_file")
        places = read_sheet(points, survey.points_file)
        table = replace(table, places=read_points(places))
        words += f"; {understood_places(places)}"
    return _leave_out(replace(table, understood=words), survey.leave_out, key)


def _with_places(survey: Survey) -> Survey:
    """Return the survey as one whose table need not give places: they stand in the plan."""
    if survey.points_file is not None or survey.kind in _PLACED_BY_TABLE:
        return survey
    return survey.model_copy(update={"points_file": PLAN})


def _leave_out(table: Table, rows: Sequence[int], key: str) -> Table:
    """Return the table without the rows that the person leaves out."""
    if not rows:
        return table
    here = table.readings["row"]
    out = here.isin(list(rows))
    wrong = [row for row in rows if row not in set(here.tolist())]
    if wrong or out.all():
        found = f"row {wrong[0]}, which holds no reading" if wrong else "every row"
        allowed = f"rows of {table.survey} from {here.min()} to {here.max()}, of which some stay"
        raise refuse(f"{key}, leave_out", found, allowed)
    return replace(
        table,
        readings=table.readings[~out].reset_index(drop=True),
        extra=table.extra[~out.to_numpy()].reset_index(drop=True),
        left_out=table.readings[out].reset_index(drop=True),
    )


def _with_known_places(readings: Readings, known: pd.DataFrame) -> Readings:
    """Return the readings with the plan's place for every name that no table places."""
    places = readings.places
    unplaced = places["point"][places["x_mm"].isna()]
    stray = [name for name in unplaced if name not in set(known["point"])]
    if stray:
        raise Refusal(*_no_place(readings, stray))
    if unplaced.empty:
        return readings
    rows = known[known["point"].isin(unplaced)]
    from_plan = rows.assign(row=0, file=PLAN)[list(no_places().columns)]
    first, *others = readings.tables
    parts = [part for part in (first.places, from_plan) if len(part)]
    first = replace(first, places=pd.concat(parts, ignore_index=True))
    return Readings((first, *others))


def _no_place(readings: Readings, names: Sequence[str]) -> Iterator[Problem]:
    for name in names:
        survey, row = next(_read_where(readings, name))
        yield Problem(
            f"{survey}, row {row}, point {name}",
            "no place for it in any table, and no support of that name in the plan",
            "the name of a support, or x_mm and y_mm",
        )


def _read_where(readings: Readings, name: str) -> Iterator[tuple[str, int]]:
    """Yield table and row of each reading of a point."""
    rows = readings.tables
    for table in rows:
        here = table.readings["point"] == name
        if "start" in table.readings:
            here |= table.readings["start"] == name
        for row in table.readings["row"][here]:
            yield table.survey, int(row)


def _one_place_a_name(readings: Readings) -> None:
    """Refuse a name that stands at two places more than 1 mm apart."""
    said, faults = readings.said_places, Faults("all tables")
    first = said.groupby("point", sort=False)[["x_mm", "y_mm"]].transform("first")
    step = said[["x_mm", "y_mm"]].to_numpy(dtype=float) - first.to_numpy(dtype=float)
    # The picometres of a unit conversion must not decide.
    for i in np.flatnonzero(np.hypot(step[:, 0], step[:, 1]) > SAME_PLACE_MM + 1e-9).tolist():
        row, at = said.iloc[i], first.iloc[i]
        faults.add(
            f"{row['survey']}, row {row['row']}, point {row['point']}",
            f"the place ({row['x_mm']:g}, {row['y_mm']:g}) mm",
            f"({at['x_mm']:g}, {at['y_mm']:g}) mm within {SAME_PLACE_MM:g} mm, where it stood"
            " first, or another name",
        )
    faults.stop()


def _no_metres(readings: Readings) -> None:
    """Refuse staff readings in metres.

    Heights are let pass: a finished base may be level to a tenth of a millimetre.
    """
    at = readings.places.set_index("point")
    for table in readings.tables:
        if table.kind == "staff":
            places = at.loc[table.readings["point"]].to_numpy(dtype=float)
            placed = table.readings.assign(x_mm=places[:, 0], y_mm=places[:, 1])
            refuse_metre_staff(table.survey, placed)
