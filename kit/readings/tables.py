"""Heights and staff readings as lists; and one reader for each kind of table.

A reader is a function: a sheet goes in, a tidy table of readings comes out.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

import pandas as pd

from kit.job.model import Survey
from kit.readings.booking_table import booking_table
from kit.readings.columns import Column, Quantity, find_columns, read_lengths, read_names
from kit.readings.faults import Faults
from kit.readings.files import Sheet
from kit.readings.grid import grid_table
from kit.readings.level import level_table
from kit.readings.metres import refuse_metre_staff
from kit.readings.straightedge import straightedge_table
from kit.readings.table import (
    SD,
    Table,
    place_quantities,
    read_places,
    read_sd,
    refuse_places_in_metres,
    table,
    unused,
)

HEIGHT = Quantity("height")
READING = Quantity("reading", low_mm=0.0, meaning="readings down to the floor, 0 or more")


def heights_table(sheet: Sheet, survey: Survey) -> Table:
    """Return heights already reduced: point, x, y, height and, if given, sd.

    Raises
    ------
    Refusal
        With every fault of the table, each named by its row and column; also where all places
        look like metres.
    """
    readings, columns = _list_readings(sheet, survey, ("point",), HEIGHT)
    height = columns["height"]
    title = height.title if height.millimetres else ""
    return replace(table(survey, readings, unused(sheet, columns)), height_title=title)


def staff_table(sheet: Sheet, survey: Survey) -> Table:
    """Return readings down to the floor: set-up, point, x, y, reading and, if given, sd.

    Raises
    ------
    Refusal
        With every fault of the table, each named by its row and column; also where the readings
        of a set-up, or all places, look like metres.
    """
    readings, columns = _list_readings(sheet, survey, ("setup", "point"), READING)
    if columns["reading"].millimetres:
        refuse_metre_staff(sheet.name, readings)
    return table(survey, readings, unused(sheet, columns))


def _list_readings(
    sheet: Sheet, survey: Survey, names: tuple[str, ...], value: Quantity
) -> tuple[pd.DataFrame, dict[str, Column]]:
    faults = Faults(sheet.name)
    columns = find_columns(sheet, names, (*place_quantities(survey), value, SD), faults)
    faults.stop()
    texts = {name: read_names(sheet, columns[name], faults) for name in names}
    places = read_places(sheet, columns, faults)
    observed = read_lengths(sheet, columns[value.stem], value, faults)
    sd = read_sd(sheet, columns, survey, faults)
    faults.stop()
    readings = pd.DataFrame(
        {
            "row": [row for row, _ in sheet.rows],
            "point": texts["point"],
            **places,
            "observed_mm": observed,
            "sd_mm": sd,
            "setup": texts.get("setup", [""] * len(sheet.rows)),
        }
    )
    refuse_places_in_metres(sheet, columns, readings)
    return readings, columns


#: What reads each kind of table; a kind that is not here is refused by name.
READERS: Mapping[str, Callable[[Sheet, Survey], Table]] = MappingProxyType(
    {
        "heights": heights_table,
        "grid": grid_table,
        "staff": staff_table,
        "booking": booking_table,
        "level": level_table,
        "straightedge": straightedge_table,
    }
)
