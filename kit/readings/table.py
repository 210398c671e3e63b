"""What a table of readings holds once it is read, and what the readers of its kinds share."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import pandas as pd

from kit.job.model import Survey
from kit.readings.columns import LARGEST_SD_MM, LEAST_SD_MM, Column, Quantity, read_lengths
from kit.readings.faults import Faults
from kit.readings.files import Sheet
from kit.readings.metres import refuse_metre_places
from kit.readings.remark import Remark

PLACE = (Quantity("x"), Quantity("y"))
PLACE_ELSEWHERE = (Quantity("x", required=False), Quantity("y", required=False))
SD = Quantity("sd", required=False, low_mm=LEAST_SD_MM, high_mm=LARGEST_SD_MM)


def no_places() -> pd.DataFrame:
    """Return a list of places with none in it."""
    return pd.DataFrame({"row": [], "point": [], "x_mm": [], "y_mm": [], "file": []})


@dataclass(frozen=True, eq=False)
class Table:
    """The readings of one survey, in millimetres.

    Parameters
    ----------
    survey : str
        The file as the job names it; of a workbook with several sheets, the sheet as well.
    kind : str
        ``heights``, ``grid``, ``staff``, ``booking``, ``level``, ``straightedge`` or ``scan``.
    datum : str
        Name of the datum that the survey shares with others; empty if it has its own.
    readings : DataFrame
        ``row`` (line of the file, the header being 1), ``point``, ``x_mm``, ``y_mm`` (nan where
        the table does not say), ``observed_mm``, ``sd_mm``, ``setup`` (of a staff reading its
        set-up, of a gap its placement, otherwise empty). A spirit level also has ``start`` (the
        point at its other end) and ``turned`` (1 as booked, -1 turned end for end);
        ``observed_mm`` is then the height of ``point`` above ``start``.
    extra : DataFrame
        Columns of the file that the kit does not use, as text, row by row like ``readings``.
    places : DataFrame
        ``row``, ``point``, ``x_mm``, ``y_mm``, ``file`` from the table's points file.
    own_error_mm_per_m : float
        Of a spirit level, where the job says it; nan where it does not.
    left_out : DataFrame
        Readings that the job leaves out, like ``readings``.
    understood : str
        One line on how the file was read.
    remarks : tuple of Remark
        What was noticed on the sheet itself.
    height_title : str
        Of heights in millimetres what their column is called: whether they look like metres hangs
        on what was read, a floor or a finished base. Empty for all others.
    untied : str
        Of a scan that no point of another table ties: why. Empty for all others.
    """

    survey: str
    kind: str
    datum: str
    readings: pd.DataFrame
    extra: pd.DataFrame
    places: pd.DataFrame = field(default_factory=no_places)
    own_error_mm_per_m: float = float("nan")
    left_out: pd.DataFrame = field(default_factory=pd.DataFrame)
    understood: str = ""
    remarks: tuple[Remark, ...] = ()
    height_title: str = ""
    untied: str = ""


def place_quantities(survey: Survey) -> tuple[Quantity, Quantity]:
    """Return the places a table must give, or may give where they stand in a points file."""
    return PLACE if survey.points_file is None else PLACE_ELSEWHERE


def read_places(
    sheet: Sheet, columns: Mapping[str, Column], faults: Faults
) -> dict[str, list[float]]:
    """Return ``x_mm`` and ``y_mm``, nan all through where the table has no such columns."""
    if ("x" in columns) != ("y" in columns):
        here, gone = ("x", "y") if "x" in columns else ("y", "x")
        where = f"{sheet.name}, row {sheet.header_row}"
        faults.add(where, f"{columns[here].title} without {gone}_mm", "both x and y, or neither")
    if "x" not in columns or "y" not in columns:
        empty = [float("nan")] * len(sheet.rows)
        return {"x_mm": empty, "y_mm": empty}
    return {
        f"{quantity.stem}_mm": read_lengths(sheet, columns[quantity.stem], quantity, faults)
        for quantity in PLACE
    }


def read_sd(
    sheet: Sheet, columns: Mapping[str, Column], survey: Survey, faults: Faults
) -> list[float]:
    """Return the standard deviation of each reading [mm]; that of the survey where none stands."""
    if "sd" not in columns:
        return [survey.sd_mm] * len(sheet.rows)
    return read_lengths(sheet, columns["sd"], SD, faults, empty=survey.sd_mm)


def refuse_places_in_metres(
    sheet: Sheet, columns: Mapping[str, Column], readings: pd.DataFrame
) -> None:
    """Refuse places under ``x_mm`` and ``y_mm`` that look like metres."""
    if "x" not in columns or "y" not in columns:
        return
    if columns["x"].millimetres or columns["y"].millimetres:
        refuse_metre_places(sheet.name, readings)


def unused(sheet: Sheet, columns: Mapping[str, Column]) -> pd.DataFrame:
    """Return the columns that no reader asked for, as text."""
    used = {column.index for column in columns.values()}
    kept = {
        title: [cells[i] for _, cells in sheet.rows]
        for i, title in enumerate(sheet.header)
        if i not in used and title
    }
    return pd.DataFrame(kept, index=range(len(sheet.rows)))


def table(survey: Survey, readings: pd.DataFrame, extra: pd.DataFrame) -> Table:
    """Return the table of a survey."""
    error = survey.own_error_mm_per_m
    return Table(
        survey.file,
        survey.kind,
        survey.datum or "",
        readings,
        extra,
        own_error_mm_per_m=float("nan") if error is None else error,
    )
