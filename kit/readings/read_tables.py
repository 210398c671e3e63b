"""All tables of some surveys, read and checked against each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
import pandas as pd

from kit.job.model import Job, Survey
from kit.job.refusal import Problem, Refusal, refuse
from kit.job.wording import place
from kit.readings.columns import LEAST_SD_MM
from kit.readings.faults import Faults
from kit.readings.files import find_table, read_sheet
from kit.readings.known_places import NOWHERE_ELSE, KnownPlaces, with_known_places
from kit.readings.metres import refuse_metre_heights, refuse_metre_staff
from kit.readings.points import read_points
from kit.readings.scan_file import Scan, Tell, read_scan, with_ties
from kit.readings.survey import SAME_PLACE_MM, Readings
from kit.readings.table import Table
from kit.readings.tables import READERS
from kit.readings.understood import understood, understood_places

#: Kinds that give each reading its place by where it stands in the table.
_PLACED_BY_TABLE = ("grid", "scan")


def read_readings(job: Job, tell: Tell | None = None) -> Readings:
    """Return all readings of a job's floor.

    Parameters
    ----------
    job : Job
        The job; its folder holds the tables that ``job.surveys`` names.
    tell : callable, optional
        Is told the share of the scans that is read, 0 to 1.

    Returns
    -------
    Readings
        One table a survey, in the order of the job, without the rows that the job leaves out.

    Raises
    ------
    Refusal
        As of `read_tables`; also where heights of a whole floor look like metres.
    """
    readings = read_tables(job.folder, job.surveys, tell=tell)
    refuse_floor_in_metres(readings)
    return readings


def read_tables(
    folder: Path,
    surveys: Sequence[Survey],
    key_prefix: str = "",
    known_places: KnownPlaces = NOWHERE_ELSE,
    tell: Tell | None = None,
) -> Readings:
    """Return all readings of some surveys.

    Parameters
    ----------
    folder : Path
        The job's, which holds the tables.
    surveys : sequence of Survey
        Which tables, and what they hold.
    key_prefix : str
        What stands in front of ``survey`` in the job file, as in ``as_built.``.
    known_places : KnownPlaces
        Places that no table need give.
    tell : callable, optional
        Is told the share of the scans that is read, 0 to 1.

    Returns
    -------
    Readings
        One table a survey, in their order, without the rows that are left out.

    Raises
    ------
    Refusal
        If a table is missing, unreadable, outside the job folder, faulty in any cell, of a kind
        that cannot be read, or its staff readings are in metres; if a row is left out that holds
        no reading; or if one name stands at two places or at none. All problems are told at once,
        each by file, row and column.
    """
    problems: list[Problem] = []
    tables: dict[int, Table] = {}
    asked = [_with_places(survey, known_places) for survey in surveys]
    scans = [index for index, survey in enumerate(surveys) if survey.kind == "scan"]
    for index, (survey, told) in enumerate(zip(surveys, asked, strict=True)):
        try:
            if index not in scans:
                key = _key(surveys, index, key_prefix)
                tables[index] = _read_table(folder, survey, told, key)
        except Refusal as refusal:
            problems += refusal.problems
    if problems:
        raise Refusal(*dict.fromkeys(problems))
    _no_table_twice(folder, surveys, key_prefix)
    found = _read_scans(folder, surveys, scans, key_prefix, tell)
    tables |= {index: one.table for index, one in found.items()}
    every = Readings(tuple(tables[index] for index in range(len(surveys))))
    readings = with_ties(with_known_places(every, known_places), found)
    _one_place_a_name(readings)
    _no_metre_staff(readings)
    return readings


def _read_scans(
    folder: Path, surveys: Sequence[Survey], scans: Sequence[int], prefix: str, tell: Tell | None
) -> dict[int, Scan]:
    """Return the scans by the number of the survey; read last, as they take the longest."""
    problems: list[Problem] = []
    found: dict[int, Scan] = {}
    for number, index in enumerate(scans):
        told = None if tell is None else partial(_told, tell, number, len(scans))
        try:
            key = _key(surveys, index, prefix)
            if prefix:
                allowed = "one of " + ", ".join(READERS)
                raise refuse(f"{key}, kind", "'scan', which knows no support by name", allowed)
            found[index] = read_scan(folder, surveys[index], key, told)
        except Refusal as refusal:
            problems += refusal.problems
    if problems:
        raise Refusal(*dict.fromkeys(problems))
    return found


def _told(tell: Tell, number: int, count: int, share: float) -> None:
    tell((number + share) / count)


def _key(surveys: Sequence[Survey], index: int, prefix: str) -> str:
    """Return where a survey stands, in the words of the job room."""
    said = place({"survey": [{"file": survey.file} for survey in surveys]}, ("survey", index))
    return said.replace("survey", f"{prefix}survey", 1)


def _no_table_twice(folder: Path, surveys: Sequence[Survey], prefix: str) -> None:
    """Refuse two surveys of one file, which two names may hide (``a.csv`` and ``./a.csv``)."""
    sheets: dict[Path, set[str | None]] = {}
    for index, survey in enumerate(surveys):
        earlier = sheets.setdefault((folder / survey.file).resolve(), set())
        # Without a name it is the first sheet, and that may be the one that another survey names.
        if survey.sheet in earlier or (earlier and None in {survey.sheet, *earlier}):
            where, found = f"{_key(surveys, index, prefix)}, file", f"{survey.file!r} a second time"
            raise refuse(where, found, "each table once; of a workbook, each its own sheet")
        earlier.add(survey.sheet)


def _with_places(survey: Survey, known: KnownPlaces) -> Survey:
    """Return the survey as one whose table need not give places, where these are known."""
    placed = survey.points_file is not None or survey.kind in _PLACED_BY_TABLE
    if placed or not known.source:
        return survey
    return survey.model_copy(update={"points_file": known.source})


def _read_table(folder: Path, survey: Survey, told: Survey, key: str) -> Table:
    """Return one table; ``told`` is the survey with what its reader need not ask for."""
    if survey.sd_mm < LEAST_SD_MM:
        raise refuse(f"{key}, sd_mm", f"{survey.sd_mm:g} mm", f"{LEAST_SD_MM:g} mm or more")
    path = find_table(folder, survey.file, f"{key}, file")
    sheet = read_sheet(path, survey.file, survey.sheet)
    table = replace(READERS[survey.kind](sheet, told), survey=sheet.name)
    words = understood(sheet, table)
    if survey.points_file is not None:
        points = find_table(folder, survey.points_file, f"{key}, points_file")
        places = read_sheet(points, survey.points_file)
        table = replace(table, places=read_points(places))
        words += f"; {understood_places(places)}"
    return _leave_out(replace(table, understood=words), survey.leave_out, key)


def _leave_out(table: Table, rows: Sequence[int], key: str) -> Table:
    """Return the table without the rows that the person leaves out."""
    if not rows:
        return table
    here = set(table.readings["row"].tolist())
    wrong = [row for row in dict.fromkeys(rows) if row not in here]
    if wrong:
        found = f"row {wrong[0]}, which holds no reading"
        allowed = f"rows of {table.survey} that hold one, from {min(here)} to {max(here)}"
        raise refuse(f"{key}, leave_out", found, allowed)
    out = table.readings["row"].isin(list(rows))
    if out.all():
        raise refuse(f"{key}, leave_out", "every row", "rows of which some stay")
    return replace(
        table,
        readings=table.readings[~out].reset_index(drop=True),
        extra=table.extra[~out.to_numpy()].reset_index(drop=True),
        left_out=table.readings[out].reset_index(drop=True),
    )


def _one_place_a_name(readings: Readings) -> None:
    rows = readings.said_places
    first = rows.groupby("point", sort=False)[["x_mm", "y_mm", "row", "survey"]].transform("first")
    step = rows[["x_mm", "y_mm"]].to_numpy(dtype=float) - first[["x_mm", "y_mm"]].to_numpy(float)
    apart = np.hypot(step[:, 0], step[:, 1])
    faults = Faults("all tables")
    # The picometres of a unit conversion must not decide.
    for i in np.flatnonzero(apart > SAME_PLACE_MM + 1e-9).tolist():
        row, other = rows.loc[i], first.loc[i]
        faults.add(
            f"{row['survey']}, row {row['row']}, point {row['point']}",
            f"the place ({row['x_mm']:g}, {row['y_mm']:g}) mm",
            f"({other['x_mm']:g}, {other['y_mm']:g}) mm within {SAME_PLACE_MM:g} mm, where"
            f" {other['survey']}, row {other['row']}, has it, or another name",
        )
    faults.stop()


def _no_metre_staff(readings: Readings) -> None:
    """Refuse staff readings in metres of tables whose places stand elsewhere."""
    for table in readings.tables:
        if table.kind == "staff" and not table.readings["x_mm"].notna().any():
            refuse_metre_staff(table.survey, _placed(table, readings))


def refuse_floor_in_metres(readings: Readings) -> None:
    """Refuse heights of a floor in metres: none is so level, though a finished base may be.

    Parameters
    ----------
    readings : Readings
        Heights and grids among them are looked at, where they say millimetres and have places.

    Raises
    ------
    Refusal
        As of `kit.readings.metres.refuse_metre_heights`.
    """
    for table in readings.tables:
        if table.height_title:
            refuse_metre_heights(table.survey, table.height_title, _placed(table, readings))


def _placed(table: Table, readings: Readings) -> pd.DataFrame:
    """Return the readings of a table with the places of their points."""
    at = readings.places.set_index("point")
    places = at.loc[table.readings["point"]].to_numpy(dtype=float)
    return table.readings.assign(x_mm=places[:, 0], y_mm=places[:, 1])
