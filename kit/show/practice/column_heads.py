"""Names of columns that end in their unit, taken apart: words for a head, and the unit."""

from __future__ import annotations

import re

#: Units that columns end in, as they are written in a head.
UNITS = {
    "mm": "mm", "m": "m", "mm2": "mm²", "m2": "m²", "n": "N", "N": "N", "kn": "kN", "kN": "kN",
    "kg": "kg", "l": "l", "s": "s", "min": "min", "minutes": "min", "h": "h", "hours": "h",
    "days": "days", "deg": "degrees", "percent": "%",
}  # fmt: skip

_UNIT = "|".join(sorted(UNITS, key=len, reverse=True))
_COLUMN = re.compile(rf"(?P<stem>.+?)_(?P<unit>{_UNIT})(?:_per_(?P<per>{_UNIT}))?")


def head_and_unit(column: str) -> tuple[str, str]:
    """Return the name of a column in words, and its unit; empty where it ends in none.

    Capitals count: ``F_L`` is no number of litres.

    Examples
    --------
    >>> head_and_unit("own_error_mm_per_m"), head_and_unit("set_up"), head_and_unit("F_L")
    (('own error', 'mm/m'), ('set up', ''), ('F L', ''))
    """
    found = _COLUMN.fullmatch(column)
    if not found:
        return column.replace("_", " "), ""
    unit = UNITS[found["unit"]] + (f"/{UNITS[found['per']]}" if found["per"] else "")
    return found["stem"].replace("_", " "), unit
