"""The reading plan as a file that becomes the table of readings once it is filled in."""

from __future__ import annotations

import csv
import io
import math
from typing import Literal

import pandas as pd

from kit.base.reading_plan import ReadingPlan
from kit.job.units import MM_PER_INCH

#: Decimals of places [in]: a staff's foot is set down no nearer than a thousandth of an inch.
_DECIMALS = 3


def plan_csv(plan: ReadingPlan, units: Literal["mm", "in"] = "mm") -> str:
    """Return the plan as a table of staff readings that only lacks its readings.

    Parameters
    ----------
    plan : ReadingPlan
        From `reading_plan`.
    units : {"mm", "in"}
        Of the job.

    Returns
    -------
    str
        CSV; filled in, it is a survey of kind ``staff``. The columns after the reading are for
        whoever holds the staff. Titles name the unit.
    """
    readings = plan.readings if units == "mm" else in_inches(plan.readings)
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(readings.columns)
    for row in readings.itertuples(index=False, name=None):
        writer.writerow([_cell(value, 1 if units == "mm" else _DECIMALS) for value in row])
    return out.getvalue()


def in_inches(table: pd.DataFrame) -> pd.DataFrame:
    """Return a table whose lengths, titles ending in ``_mm``, are in inches.

    Parameters
    ----------
    table : DataFrame
        With lengths in millimetres.

    Returns
    -------
    DataFrame
        Titles end in ``_in``; lengths are rounded to a thousandth of an inch.
    """
    lengths = [str(name) for name in table if str(name).endswith("_mm")]
    turned = {name: (table[name] / MM_PER_INCH).round(_DECIMALS) for name in lengths}
    names = {name: f"{name.removesuffix('_mm')}_in" for name in lengths}
    return table.assign(**turned).rename(columns=names)


def _cell(value: object, digits: int) -> str:
    if isinstance(value, float):
        return "" if math.isnan(value) else f"{round(value, digits):.10g}"
    return str(value)
