"""Gaps below a straight edge that lies where it lies.

Each placement has its own unknown height a and slope b: gap = a + b·s - h(point), s along the
edge. It says how the floor bends below it, and nothing of how the floor lies as a whole.
"""

from __future__ import annotations

import pandas as pd

from kit.job.model import Survey
from kit.readings.columns import Quantity, find_columns, read_lengths, read_names
from kit.readings.faults import Faults
from kit.readings.files import Sheet
from kit.readings.metres import refuse_metre_gaps
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

GAP = Quantity("gap", low_mm=0.0, high_mm=500.0, meaning="gaps down to the floor, 0 or more")


def straightedge_table(sheet: Sheet, survey: Survey) -> Table:
    """Return gaps below a straight edge: placement, point, x, y, gap and, if given, sd.

    Raises
    ------
    Refusal
        With every fault of the table, each named by its row and column; also where all gaps or
        places look like metres.
    """
    faults = Faults(sheet.name)
    quantities = (*PLACE_ELSEWHERE, GAP, SD)
    columns = find_columns(sheet, ("placement", "point"), quantities, faults)
    faults.stop()
    placement = read_names(sheet, columns["placement"], faults)
    point = read_names(sheet, columns["point"], faults)
    places = read_places(sheet, columns, faults)
    gap = read_lengths(sheet, columns["gap"], GAP, faults)
    sd = read_sd(sheet, columns, survey, faults)
    faults.stop()
    readings = pd.DataFrame(
        {
            "row": [row for row, _ in sheet.rows],
            "point": point,
            **places,
            "observed_mm": gap,
            "sd_mm": sd,
            "setup": placement,
        }
    )
    refuse_places_in_metres(sheet, columns, readings)
    if columns["gap"].millimetres:
        refuse_metre_gaps(sheet.name, columns["gap"].title, gap)
    return table(survey, readings, unused(sheet, columns))
