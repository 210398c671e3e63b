"""A booking sheet as a table of a job: each line's readings become staff readings by set-up."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import pandas as pd

from kit.job.model import Survey
from kit.readings.booking import reduce_booking, staff_readings
from kit.readings.booking_lines import READINGS, WRITTEN
from kit.readings.booking_slips import slip_words
from kit.readings.columns import Quantity, find_columns, read_lengths, read_names
from kit.readings.faults import Faults
from kit.readings.files import Sheet
from kit.readings.pasted import read_pasted
from kit.readings.remark import Remark
from kit.readings.table import (
    PLACE_ELSEWHERE,
    SD,
    Table,
    read_places,
    read_sd,
    refuse_places_in_metres,
    table,
    unused,
)

_MEANING = "readings down to the floor, 0 or more"
DOWN = (
    Quantity("backsight", low_mm=0.0, meaning=_MEANING),
    Quantity("intermediate", required=False, low_mm=0.0, meaning=_MEANING),
    Quantity("foresight", low_mm=0.0, meaning=_MEANING),
)
WORKED_OUT = tuple(Quantity(name.removesuffix("_mm"), required=False) for name in WRITTEN)


def booking_lines(sheet: Sheet, survey: Survey) -> pd.DataFrame:
    """Return the lines of a booking sheet: point, readings, and what was worked out on it.

    Returns
    -------
    DataFrame
        ``row``, ``point``, ``x_mm``, ``y_mm``, ``sd_mm`` and the columns of `BookingLine`; nan
        where nothing stands.

    Raises
    ------
    Refusal
        With every fault of the table, each named by its row and column.
    """
    return _lines(sheet, survey)[0]


def pasted_booking(text: str, name: str = "booking sheet") -> pd.DataFrame:
    """Return the lines of a booking sheet that was pasted, ready to be reduced.

    Parameters
    ----------
    text : str
        The sheet with its header row, as `booking_lines` reads it from a file.
    name : str
        What messages call it.

    Raises
    ------
    Refusal
        As `booking_lines` and `kit.readings.pasted.read_pasted`.
    """
    return booking_lines(read_pasted(text, name), Survey(kind="booking", file=name))


def booking_table(sheet: Sheet, survey: Survey) -> Table:
    """Return the staff readings of a booking sheet; its set-ups are S1, S2 and so on.

    Raises
    ------
    Refusal
        With every fault of the table, each named by its row and column; also where the lines do
        not follow each other as set-ups do, or readings or places look like metres.
    """
    lines, extra = _lines(sheet, survey)
    booked = staff_readings(lines, sheet.name)
    at = lines.set_index("row").loc[booked["row"], ["x_mm", "y_mm", "sd_mm"]]
    readings = booked.assign(
        setup="S" + booked["setup"], **{name: at[name].to_numpy() for name in at.columns}
    )
    columns = ["row", "point", "x_mm", "y_mm", "observed_mm", "sd_mm", "setup"]
    extra = extra.set_axis(lines["row"]).loc[booked["row"]].reset_index(drop=True)
    booked_table = table(survey, readings[columns].reset_index(drop=True), extra)
    return replace(booked_table, remarks=tuple(_worked_out(lines, sheet.name)))


def _worked_out(lines: pd.DataFrame, name: str) -> Iterator[Remark]:
    """Yield what stands on the sheet and is not what its readings give; they alone count."""
    first = float(lines["height_mm"].iloc[0])
    sheet = reduce_booking(lines, 0.0 if math.isnan(first) else first, name=name)
    if not sheet.has_written:
        return
    check = sheet.written_arithmetic
    found = "holds" if check.ok else "does not hold"
    yield Remark(f"{name}: the arithmetic check of the sheet {found}: {check.words}.", not check.ok)
    for slip in sheet.slips.to_dict("records"):
        words = slip_words({str(key): value for key, value in slip.items()})
        yield Remark(f"{name}: {words} The readings count.", caution=True)


def _lines(sheet: Sheet, survey: Survey) -> tuple[pd.DataFrame, pd.DataFrame]:
    faults = Faults(sheet.name)
    quantities = (*PLACE_ELSEWHERE, *DOWN, *WORKED_OUT, SD)
    columns = find_columns(sheet, ("point",), quantities, faults)
    faults.stop()
    names = read_names(sheet, columns["point"], faults)
    places = read_places(sheet, columns, faults)
    lengths = {
        f"{q.stem}_mm": read_lengths(sheet, columns[q.stem], q, faults, may_be_empty=True)
        for q in (*DOWN, *WORKED_OUT)
        if q.stem in columns
    }
    sd = read_sd(sheet, columns, survey, faults)
    faults.stop()
    rows = [row for row, _ in sheet.rows]
    lines = pd.DataFrame({"row": rows, "point": names, **places, "sd_mm": sd, **lengths})
    lines = lines.reindex(columns=["row", "point", "x_mm", "y_mm", "sd_mm", *READINGS, *WRITTEN])
    refuse_places_in_metres(sheet, columns, lines)
    return lines, unused(sheet, columns)
