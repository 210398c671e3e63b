"""What every column of the tables for large floors means: one sentence each."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

import pandas as pd

from kit.job import refuse
from kit.large_floor.columns_flat import FLAT
from kit.large_floor.columns_levels import LEVELS
from kit.large_floor.columns_scan import SCAN
from kit.large_floor.columns_volumes import VOLUMES
from kit.large_floor.columns_work import WORK
from kit.results import csv_text

#: The file that the meanings are written into, beside the tables.
COLUMNS_FILE = "columns.csv"

#: What each column of each file means.
MEANINGS: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {**LEVELS, **WORK, **FLAT, **VOLUMES, **SCAN}
)

#: A column's name ends in its unit; these are told by the whole name.
_BY_NAME = {
    "share": "share", "share_checked": "share", "walk_at_most_longer": "share",
    "minutes": "min", "stacks_per_hour": "1/h", "litres": "l",
}  # fmt: skip
_BY_ENDING = {"mm": "mm", "m2": "m²", "l": "l", "kg": "kg", "m": "m"}


def columns_text(names: Iterable[str]) -> str:
    """Return what the columns of some tables mean, as CSV.

    Parameters
    ----------
    names : iterable of str
        Names of the tables' files, such as ``"zones.csv"``, in the order in which they are told.

    Returns
    -------
    str
        A row a column: ``file``, ``column``, ``unit`` (empty for words and bare numbers),
        ``meaning``.

    Raises
    ------
    Refusal
        Where a file has no meanings.
    """
    rows = [
        (name, column, unit_of(column), meaning)
        for name in names
        for column, meaning in meanings_of(name).items()
    ]
    return csv_text(pd.DataFrame(rows, columns=["file", "column", "unit", "meaning"]))


def texts_with_columns(tables: Mapping[str, pd.DataFrame]) -> dict[str, str]:
    """Return tables as CSV by the names of their files, and what their columns mean beside them.

    Raises
    ------
    Refusal
        Where a file has no meanings.
    """
    texts = {name: csv_text(table) for name, table in tables.items()}
    return {**texts, COLUMNS_FILE: columns_text(tables)}


def meanings_of(name: str) -> Mapping[str, str]:
    """Return the meaning of each column of a file.

    Raises
    ------
    Refusal
        Where the file has none.
    """
    if name not in MEANINGS:
        raise refuse("meanings of columns", repr(name), ", ".join(MEANINGS))
    return MEANINGS[name]


def unit_of(column: str) -> str:
    """Return a column's unit, as its name ends; empty for words and bare numbers."""
    if column in _BY_NAME:
        return _BY_NAME[column]
    before, mark, ending = column.rpartition("_")
    return _BY_ENDING.get(ending, "") if before and mark else ""
