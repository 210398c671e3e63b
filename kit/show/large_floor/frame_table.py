"""Tables of a large floor for the eye, their heads read off the names of their columns."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import pandas as pd

from kit.ink.lengths import NOTHING, Units, number, plan_length, small
from kit.ink.table import Head, Table

#: Lengths of the plan: whole millimetres, or sixteenths.
_PLAN = ("x_mm", "y_mm", "at_mm", "length_mm", "size_mm")

#: Endings of columns with the unit that they stand for and the digits that are worth telling.
_ENDINGS = {
    "_m2": ("m²", 2),
    "_mm_per_m": ("mm/m", 2),
    "_kg": ("kg", 1),
    "_m": ("m", 1),
    "_l": ("l", 1),
    "_deg": ("°", 1),
}

#: A text of more letters may take several lines.
SHORT = 24

#: Words of columns that are no English by themselves.
_WORDS = {"litres": ("volume", "l", 1), "minutes": ("time", "min", 0)}


def frame_table(
    title: str,
    frame: pd.DataFrame,
    units: Units = "mm",
    *,
    note: str = "",
    columns: Sequence[str] = (),
) -> Table:
    """Return a table whose columns say their units by their names.

    Parameters
    ----------
    title : str
        What it is about.
    frame : DataFrame
        Rows in the order in which they are shown; columns end in their units: ``area_m2``.
    units : {"mm", "in"}
        In which columns of millimetres are shown.
    note : str
        A sentence below it.
    columns : sequence of str
        Which columns, in this order; all unless given.

    Returns
    -------
    Table
        Places of the plan in whole millimetres or sixteenths, other lengths in hundredths or
        thousandths of an inch, shares in percent.
    """
    names = list(columns) or [str(name) for name in frame.columns]
    heads = tuple(_head(name, frame[name], units) for name in names)
    cells = [[_text(name, value, units) for value in frame[name].tolist()] for name in names]
    return Table(title, heads, tuple(zip(*cells, strict=True)), note)


def _head(name: str, values: pd.Series[Any], units: Units) -> Head:
    words, unit, _ = _parts(name, units)
    texts = [value for value in values.tolist() if isinstance(value, str)]
    wide = max(map(len, texts), default=0) > SHORT
    return Head(words, unit, wide=not unit and wide, right=not unit and not texts)


def _parts(name: str, units: Units) -> tuple[str, str, int]:
    """Return a column's words, its unit, and its digits."""
    if name in _WORDS:
        return _WORDS[name]
    if name.endswith(("share", "share_checked")):
        return name.replace("_", " "), "%", 1
    for ending, (unit, digits) in _ENDINGS.items():
        if name.endswith(ending) and not name.endswith("_mm"):
            return name.removesuffix(ending).replace("_", " "), unit, digits
    if name.endswith("_mm"):
        return name.removesuffix("_mm").replace("_", " "), units, 2
    return name.replace("_", " "), "", 2


def _text(name: str, value: object, units: Units) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return _number(name, value, units)
    return NOTHING if value is None or value is pd.NA else str(value)


def _number(name: str, value: float, units: Units) -> str:
    if not math.isfinite(value):
        return NOTHING if math.isnan(value) else "no limit"
    if name.endswith("_mm"):
        return plan_length(value, units) if name.endswith(_PLAN) else small(value, units)
    _, unit, digits = _parts(name, units)
    if isinstance(value, int) and unit != "%":
        return str(value)
    return number(100 * value if unit == "%" else value, digits)
