"""A spirit level from one point to another, lifted with packers until its bubble is centred.

The level stands with its marked end on ``from`` and the other on ``to``; turned end for end
(``reversed``), the other way round. Packers under the lower end centre the bubble, so what lies
there is the difference of height, but for the level's own error e [mm/m]:

    h(to) - h(from) = d - e·L (as booked) or d + e·L (turned),

with d = + packer if ``from`` was lifted and - packer if ``to`` was, and L the distance of the two
points [m].
"""

from __future__ import annotations

import pandas as pd

from kit.job.model import Survey
from kit.readings.columns import Column, Quantity, find_columns, read_lengths, read_names
from kit.readings.faults import Faults
from kit.readings.files import Sheet
from kit.readings.metres import refuse_metre_packers
from kit.readings.table import SD, Table, read_sd, table, unused

PACKER = Quantity("packer", low_mm=0.0, high_mm=500.0, meaning="packers under the lower end")
LEVEL = Quantity("level", required=False, low_mm=50.0, high_mm=10_000.0)

_TRUE = {"true", "yes", "1"}
_FALSE = {"false", "no", "0", ""}


def level_table(sheet: Sheet, survey: Survey) -> Table:
    """Return differences of height: from, to, packer, under and, if given, level, reversed, sd.

    Raises
    ------
    Refusal
        With every fault of the table, each named by its row and column; also where all packers
        look like metres.
    """
    faults = Faults(sheet.name)
    names = ("from", "to", "under")
    columns = find_columns(sheet, names, (PACKER, LEVEL, SD), faults, maybe=("reversed",))
    faults.stop()
    start = read_names(sheet, columns["from"], faults)
    end = read_names(sheet, columns["to"], faults)
    packer = read_lengths(sheet, columns["packer"], PACKER, faults)
    if "level" in columns:
        read_lengths(sheet, columns["level"], LEVEL, faults, empty=LEVEL.high_mm)
    lifted = _lifted(sheet, columns["under"], packer, faults)
    turned = _turned(sheet, columns, faults)
    sd = read_sd(sheet, columns, survey, faults)
    for (row, _), one, other in zip(sheet.rows, start, end, strict=True):
        if one and one == other:
            faults.add_cell(row, "from and to", f"{one} twice", "the level's two ends")
    faults.stop()
    readings = pd.DataFrame(
        {
            "row": [row for row, _ in sheet.rows],
            "point": end,
            "x_mm": float("nan"),
            "y_mm": float("nan"),
            "observed_mm": [side * mm for side, mm in zip(lifted, packer, strict=True)],
            "sd_mm": sd,
            "setup": "",
            "start": start,
            "turned": turned,
        }
    )
    if columns["packer"].millimetres:
        refuse_metre_packers(sheet.name, columns["packer"].title, packer)
    used = {name: column for name, column in columns.items() if name != "level"}
    return table(survey, readings, unused(sheet, used))


def _lifted(sheet: Sheet, column: Column, packer: list[float], faults: Faults) -> list[float]:
    """Return 1 where ``from`` was lifted, -1 where ``to`` was; either where nothing was."""
    sides = {"from": 1.0, "to": -1.0}
    lifted = []
    for (row, cells), mm in zip(sheet.rows, packer, strict=True):
        text = cells[column.index]
        word = text.casefold()
        if word not in sides and not (word == "" and mm == 0):
            found = repr(text) if text else "an empty cell"
            allowed = "from or to, the end that was lifted; empty only without packers"
            faults.add_cell(row, column.title, found, allowed)
        lifted.append(sides.get(word, 1.0))
    return lifted


def _turned(sheet: Sheet, columns: dict[str, Column], faults: Faults) -> list[float]:
    if "reversed" not in columns:
        return [1.0] * len(sheet.rows)
    column, turned = columns["reversed"], []
    for row, cells in sheet.rows:
        word = cells[column.index].casefold()
        if word not in _TRUE | _FALSE:
            faults.add_cell(row, column.title, repr(cells[column.index]), "true, false or empty")
        turned.append(-1.0 if word in _TRUE else 1.0)
    return turned
