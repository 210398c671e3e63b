"""The tables that only one way of building has: settings of feet, members of a frame, zones."""

from __future__ import annotations

from typing import Any

import pandas as pd

from kit.answer import Answer
from kit.ink.lengths import Units, length, nominal, number, small
from kit.ink.table import Head, Page, Table, page, records, sentences

#: Endings of columns that tell a unit, as it is written in a head, and how many decimals tell.
_UNITS = {
    "N": ("N", 0),
    "kg": ("kg", 1),
    "l": ("l", 1),
    "m2": ("m2", 2),
    "m": ("m", 2),
    "days": ("days", 1),
}

#: Names of columns that say more than their first word does.
_WORDS = {"sd": "doubt, 1 sd", "along": "along the run", "straight gap": "gap if cut straight"}


def detail_page(answer: Answer) -> Page:
    """Return every table that only this way of building has, below each other.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    units = answer.job.units
    shown = [_detail(name, table, units) for name, table in answer.details.items()]
    return page(*shown) if shown else sentences([f"{answer.base.name}: no further tables."])


def _detail(name: str, table: pd.DataFrame, units: Units) -> Table:
    columns = [str(column) for column in table]
    heads = tuple(_head(column, table[column], units) for column in columns)
    rows = tuple(
        tuple(_cell(column, one[column], units) for column in columns) for one in records(table)
    )
    title = name.removesuffix(".csv").replace("_", " ")
    return Table(f"{title[:1].upper()}{title[1:]}", heads, rows)


def _head(column: str, values: pd.Series[Any], units: Units) -> Head:
    stem, _, ending = column.rpartition("_")
    if stem and ending == "mm":
        return Head(_words(stem), units)
    if stem and ending in _UNITS:
        return Head(_words(stem), _UNITS[ending][0])
    return Head(_words(column), right=bool(pd.api.types.is_numeric_dtype(values)))


def _words(stem: str) -> str:
    words = stem.replace("_", " ")
    return _WORDS.get(words, words.replace(" sd", ": doubt, 1 sd"))


def _cell(column: str, value: object, units: Units) -> str:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return str(value)
    ending = column.rpartition("_")[2]
    if ending == "mm":
        return small(value, units) if "sd" in column.split("_") else length(value, units)
    digits = _UNITS[ending][1] if ending in _UNITS else 2
    if float(value).is_integer() and ending not in _UNITS:
        return nominal(value)
    return number(value, digits)
