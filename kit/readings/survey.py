"""All tables of a job, read and checked against each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

import numpy as np
import pandas as pd

from kit.job.model import Job, Survey
from kit.job.refusal import Problem, Refusal, refuse
from kit.job.wording import place
from kit.readings.along import along_edge_m, span_m
from kit.readings.columns import LEAST_SD_MM
from kit.readings.faults import Faults
from kit.readings.files import find_table, read_sheet
from kit.readings.metres import refuse_metre_heights, refuse_metre_staff
from kit.readings.points import read_points
from kit.readings.table import Table
from kit.readings.tables import READERS
from kit.readings.understood import understood, understood_places

#: Two places of one name may differ by this much [mm].
SAME_PLACE_MM = 1.0


@dataclass(frozen=True, eq=False)
class Readings:
    """What was measured: every table of the job, checked, in millimetres."""

    tables: tuple[Table, ...]

    @cached_property
    def places(self) -> pd.DataFrame:
        """Every point that is read, once, in order of first reading: ``point``, ``x_mm``, ``y_mm``.

        Where a name is booked at places up to 1 mm apart, the first place counts; nan where no
        table gives one.
        """
        read = list(dict.fromkeys(name for t in self.tables for name in _points(t.readings)))
        first = self.said_places.drop_duplicates("point").set_index("point")[["x_mm", "y_mm"]]
        placed = first.reindex(read)
        return placed.rename_axis("point").reset_index()

    @cached_property
    def said_places(self) -> pd.DataFrame:
        """Every place that any table gives: ``survey``, ``row``, ``point``, ``x_mm``, ``y_mm``."""
        columns = ["survey", "row", "point", "x_mm", "y_mm"]
        rows = [(t, rows) for t in self.tables for rows in (t.readings, t.left_out) if len(rows)]
        booked = [rows.assign(survey=t.survey)[columns] for t, rows in rows]
        listed = [t.places.rename(columns={"file": "survey"})[columns] for t in self.tables]
        parts = [part.dropna(subset=["x_mm", "y_mm"]) for part in (*booked, *listed)]
        said = [part for part in parts if len(part)]
        return pd.concat(said, ignore_index=True) if said else booked[0].iloc[:0]

    @cached_property
    def rows(self) -> pd.DataFrame:
        """All readings in one table, in the order of the tables.

        Beside the columns of `Table.readings`: ``table`` (its number), ``survey``, ``kind`` (a
        booking sheet's readings are staff readings), ``station`` (what the reading was taken
        from: the set-up, the placement, or the survey as a whole; unique) and ``station_name``
        (the same for people), ``span_m`` (length of a spirit level's reading) and ``along_m``
        (how far along the straight edge a gap lies, from the middle of its placement). Set-ups
        of two tables are two set-ups even under one name, unless the tables share a datum.
        """
        rows = pd.concat([_labelled(i, t) for i, t in enumerate(self.tables)], ignore_index=True)
        rows["station"] = rows["scope"] + "\n" + rows["setup"]
        short = rows["setup"].where(rows["setup"] != "", rows["scope"])
        shared = rows["station"].groupby(short).transform("nunique") > 1
        rows["station_name"] = short.where(~shared, short + " (" + rows["scope"] + ")")
        at = self.places.set_index("point")
        rows[["x_mm", "y_mm"]] = at.loc[rows["point"], ["x_mm", "y_mm"]].to_numpy()
        rows["span_m"] = span_m(rows, at)
        rows["along_m"] = along_edge_m(rows)
        return rows

    def without(self, numbers: Sequence[int]) -> Readings:
        """Return the readings without some of ``rows``, given by their place in it."""
        kept = np.setdiff1d(np.arange(len(self.rows)), np.asarray(numbers, dtype=np.int64))
        tables, start = [], 0
        for one in self.tables:
            count = len(one.readings)
            inside = kept[(kept >= start) & (kept < start + count)] - start
            some = one.readings.iloc[inside].reset_index(drop=True)
            extra = one.extra.iloc[inside].reset_index(drop=True)
            tables += [replace(one, readings=some, extra=extra)] if len(inside) else []
            start += count
        return Readings(tuple(tables))


def _labelled(number: int, one: Table) -> pd.DataFrame:
    kind = "staff" if one.kind == "booking" else one.kind
    scope = one.datum or one.survey
    rows = one.readings.assign(table=number, survey=one.survey, kind=kind, scope=scope)
    return rows if "start" in rows.columns else rows.assign(start="", turned=0.0)


def _points(readings: pd.DataFrame) -> list[str]:
    """Return the points of a table as they come; of a spirit level both ends."""
    if "start" not in readings.columns:
        return readings["point"].tolist()
    return readings[["start", "point"]].to_numpy().ravel().tolist()


def read_readings(job: Job) -> Readings:
    """Return all readings of a job.

    Parameters
    ----------
    job : Job
        The job; its folder holds the tables that ``job.surveys`` names.

    Returns
    -------
    Readings
        One table a survey, in the order of the job, without the rows that the job leaves out.

    Raises
    ------
    Refusal
        If a table is missing, unreadable, outside the job folder, faulty in any cell, of a kind
        that cannot be read, or in metres; if a row is left out that holds no reading; or if one
        name stands at two places or at none. All problems are told at once, each by file, row
        and column.
    """
    problems: list[Problem] = []
    tables: list[Table] = []
    for index, survey in enumerate(job.surveys):
        try:
            tables.append(_read_table(job, survey, _place(job, index)))
        except Refusal as refusal:
            problems += refusal.problems
    if problems:
        raise Refusal(*dict.fromkeys(problems))
    _no_table_twice(job)
    readings = Readings(tuple(tables))
    _one_place_a_name(readings)
    _a_place_for_every_name(readings)
    _no_metres(readings)
    return readings


def _no_metres(readings: Readings) -> None:
    """Refuse heights and readings in metres of tables whose places stand elsewhere."""
    at = readings.places.set_index("point")
    for table in readings.tables:
        rows = table.readings
        if table.kind not in {"heights", "staff"} or rows["x_mm"].notna().any():
            continue
        places = at.loc[rows["point"]].to_numpy(dtype=float)
        placed = rows.assign(x_mm=places[:, 0], y_mm=places[:, 1])
        if table.kind == "staff":
            refuse_metre_staff(table.survey, placed)
        else:
            refuse_metre_heights(table.survey, "height", placed)


def _place(job: Job, index: int) -> str:
    """Return where a survey stands, in the words of the job room."""
    return place({"survey": [{"file": survey.file} for survey in job.surveys]}, ("survey", index))


def _no_table_twice(job: Job) -> None:
    """Refuse two surveys of one file, which two names may hide (``a.csv`` and ``./a.csv``)."""
    sheets: dict[Path, set[str | None]] = {}
    for index, survey in enumerate(job.surveys):
        earlier = sheets.setdefault((job.folder / survey.file).resolve(), set())
        # Without a name it is the first sheet, and that may be the one that another survey names.
        if survey.sheet in earlier or (earlier and None in {survey.sheet, *earlier}):
            where, found = f"{_place(job, index)}, file", f"{survey.file!r} a second time"
            raise refuse(where, found, "each table once; of a workbook, each its own sheet")
        earlier.add(survey.sheet)


def _read_table(job: Job, survey: Survey, key: str) -> Table:
    if survey.kind not in READERS:
        allowed = "one of " + ", ".join(READERS)
        raise refuse(f"{key}, kind", f"{survey.kind!r}, which cannot be read yet", allowed)
    if survey.sd_mm < LEAST_SD_MM:
        raise refuse(f"{key}, sd_mm", f"{survey.sd_mm:g} mm", f"{LEAST_SD_MM:g} mm or more")
    path = find_table(job.folder, survey.file, f"{key}, file")
    sheet = read_sheet(path, survey.file, survey.sheet)
    table = replace(READERS[survey.kind](sheet, survey), survey=sheet.name)
    words = understood(sheet, table)
    if survey.points_file is not None:
        points = find_table(job.folder, survey.points_file, f"{key}, points_file")
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


def _a_place_for_every_name(readings: Readings) -> None:
    places = readings.places
    faults = Faults("all tables")
    for name in places["point"][places["x_mm"].isna()]:
        survey, row = _first_reading(readings, name)
        faults.add(
            f"{survey}, row {row}, point {name}",
            "no place for it in any table",
            "a row with its x_mm and y_mm in the table named by points_file, or in another survey",
        )
    faults.stop()


def _first_reading(readings: Readings, name: str) -> tuple[str, int]:
    for table in readings.tables:
        rows = table.readings
        here = rows["point"] == name
        if "start" in rows.columns:
            here |= rows["start"] == name
        if here.any():
            return table.survey, int(rows["row"][here].iloc[0])
    raise LookupError(name)


def names_in_words(names: Sequence[str], most: int = 8) -> str:
    """Return names joined for a sentence, the first few only where there are many."""
    shown = ", ".join(names[:most])
    return f"{shown} and {len(names) - most} more" if len(names) > most else shown
