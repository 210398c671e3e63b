"""All tables of a job, read and checked against each other."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from kit.job.model import Job, Survey
from kit.job.refusal import Problem, Refusal, refuse
from kit.job.wording import place
from kit.readings.columns import LEAST_SD_MM
from kit.readings.faults import Faults
from kit.readings.files import find_table, read_sheet
from kit.readings.tables import READERS, Table

#: Two places of one name may differ by this much [mm].
SAME_PLACE_MM = 1.0


@dataclass(frozen=True, eq=False)
class Readings:
    """What was measured: every table of the job, checked, in millimetres."""

    tables: tuple[Table, ...]

    @cached_property
    def places(self) -> pd.DataFrame:
        """Every point once, in order of first reading: ``point``, ``x_mm``, ``y_mm``.

        Where a name is booked at places up to 1 mm apart, the first place counts.
        """
        rows = pd.concat([t.readings[["point", "x_mm", "y_mm"]] for t in self.tables])
        return rows.drop_duplicates("point", ignore_index=True)

    @cached_property
    def rows(self) -> pd.DataFrame:
        """All readings in one table, in the order of the tables.

        Beside the columns of `Table.readings`: ``table`` (its number), ``survey``, ``kind``,
        ``station`` (what the reading was taken from: the set-up, or the survey as a whole for
        heights; unique) and ``station_name`` (the same for people). Set-ups of two tables are two
        set-ups even under one name, unless the tables share a datum.
        """
        parts = [
            t.readings.assign(table=i, survey=t.survey, kind=t.kind, scope=t.datum or t.survey)
            for i, t in enumerate(self.tables)
        ]
        rows = pd.concat(parts, ignore_index=True)
        rows["station"] = rows["scope"] + "\n" + rows["setup"]
        short = rows["setup"].where(rows["setup"] != "", rows["scope"])
        shared = rows["station"].groupby(short).transform("nunique") > 1
        rows["station_name"] = short.where(~shared, short + " (" + rows["scope"] + ")")
        return rows


def read_readings(job: Job) -> Readings:
    """Return all readings of a job.

    Parameters
    ----------
    job : Job
        The job; its folder holds the tables that ``job.surveys`` names.

    Returns
    -------
    Readings
        One table a survey, in the order of the job.

    Raises
    ------
    Refusal
        If a table is missing, unreadable, outside the job folder, faulty in any cell, of a kind
        that cannot be read, or in metres; or if one name stands at two places. All problems are
        told at once, each by file, row and column.
    """
    problems: list[Problem] = []
    tables: list[Table] = []
    _no_file_twice(job)
    for index, survey in enumerate(job.surveys):
        try:
            tables.append(_read_table(job, survey, _place(job, index)))
        except Refusal as refusal:
            problems += refusal.problems
    if problems:
        raise Refusal(*problems)
    readings = Readings(tuple(tables))
    _one_place_a_name(readings)
    return readings


def _place(job: Job, index: int) -> str:
    """Return where a survey stands, in the words of the job room."""
    return place({"survey": [{"file": survey.file} for survey in job.surveys]}, ("survey", index))


def _no_file_twice(job: Job) -> None:
    names = [os.path.normpath(survey.file) for survey in job.surveys]
    for index, name in enumerate(names):
        if name in names[:index]:
            found = f"{job.surveys[index].file!r} a second time"
            raise refuse(f"{_place(job, index)}, file", found, "each table once")


def _read_table(job: Job, survey: Survey, key: str) -> Table:
    if survey.kind not in READERS:
        allowed = "one of " + ", ".join(READERS)
        raise refuse(f"{key}, kind", f"{survey.kind!r}, which cannot be read yet", allowed)
    if survey.sd_mm < LEAST_SD_MM:
        raise refuse(f"{key}, sd_mm", f"{survey.sd_mm:g} mm", f"{LEAST_SD_MM:g} mm or more")
    path = find_table(job.folder, survey.file, f"{key}, file")
    return READERS[survey.kind](read_sheet(path, survey.file), survey)


def _one_place_a_name(readings: Readings) -> None:
    rows = readings.rows
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


def names_in_words(names: Sequence[str], most: int = 8) -> str:
    """Return names joined for a sentence, the first few only where there are many."""
    shown = ", ".join(names[:most])
    return f"{shown} and {len(names) - most} more" if len(names) > most else shown
