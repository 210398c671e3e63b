"""Places of points, for tables of readings that do not give them."""

from __future__ import annotations

import pandas as pd

from kit.readings.columns import find_columns, read_names
from kit.readings.faults import Faults
from kit.readings.files import Sheet
from kit.readings.table import PLACE, read_places, refuse_places_in_metres


def read_points(sheet: Sheet) -> pd.DataFrame:
    """Return the places of a points file.

    Parameters
    ----------
    sheet : Sheet
        Columns point, x, y; one row a point.

    Returns
    -------
    DataFrame
        ``row``, ``point``, ``x_mm``, ``y_mm``, ``file``.

    Raises
    ------
    Refusal
        With every fault of the table; where a point stands twice; where all places look like
        metres.
    """
    faults = Faults(sheet.name)
    columns = find_columns(sheet, ("point",), PLACE, faults)
    faults.stop()
    names = read_names(sheet, columns["point"], faults)
    places = read_places(sheet, columns, faults)
    rows = [row for row, _ in sheet.rows]
    first: dict[str, int] = {}
    for row, name in zip(rows, names, strict=True):
        if name and first.setdefault(name, row) != row:
            faults.add_cell(row, "point", f"{name}, as in row {first[name]}", "each point once")
    faults.stop()
    points = pd.DataFrame({"row": rows, "point": names, **places, "file": sheet.name})
    refuse_places_in_metres(sheet, columns, points)
    return points
