"""The reading plan as a file that becomes the table of readings once it is filled in."""

from __future__ import annotations

import csv
import io
import math

from kit.base.reading_plan import ReadingPlan


def plan_csv(plan: ReadingPlan) -> str:
    """Return the plan as a table of staff readings that only lacks its readings.

    Parameters
    ----------
    plan : ReadingPlan
        From `reading_plan`.

    Returns
    -------
    str
        CSV; filled in, it is a survey of kind ``staff``. The columns after the reading are for
        whoever holds the staff.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(plan.readings.columns)
    for row in plan.readings.itertuples(index=False, name=None):
        writer.writerow([_cell(value) for value in row])
    return out.getvalue()


def _cell(value: object) -> str:
    if isinstance(value, float):
        return "" if math.isnan(value) else f"{round(value, 1):.10g}"
    return str(value)
