"""Columns of the workbook: heads with their units, formats of numbers, and lengths in inches."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Any, cast

import pandas as pd

from kit.ink.inch_words import in_units
from kit.ink.lengths import Units, length, printed_size
from kit.ink.table import records
from kit.job.units import MM_PER_INCH, mm_to_inches

#: What a cell holds; None where nothing is known.
Cell = str | float | int | bool | None

#: Formats of numbers: what they show; the cell holds the whole number.
WHOLE, TENTHS, HUNDREDTHS, THOUSANDTHS = "0", "0.0", "0.00", "0.000"
SIGNED, SIGNED_INCHES = "+0.00;-0.00;0.00", "+0.000;-0.000;0.000"

#: Endings of columns that tell a unit, how it is written in a head, and the format.
_UNITS = {
    "mm": ("mm", TENTHS),
    "N": ("N", WHOLE),
    "kg": ("kg", TENTHS),
    "l": ("l", TENTHS),
    "m2": ("m2", HUNDREDTHS),
    "days": ("days", TENTHS),
    "min": ("min", TENTHS),
    "in": ("in", THOUSANDTHS),
}

#: Heads that say more than the name of their column.
_HEADS: Mapping[str, str] = MappingProxyType(
    {
        "row_of_file": "row of the file",
        "start": "from point",
        "observed_mm": "as read [mm]",
        "own_x_mm": "along the run [mm]",
        "own_y_mm": "out from the wall [mm]",
        "x_mm": "x in plan [mm]",
        "y_mm": "y in plan [mm]",
        "sd_mm": "doubt, 1 sd [mm]",
        "floor_sd_mm": "floor: doubt, 1 sd [mm]",
        "floor_mm": "height of the floor [mm]",
        "hump_mm": "above the plane, + hump [mm]",
        "residual_mm": "adjusted less as read [mm]",
        "redundancy": "redundancy, 0 to 1",
        "studentised": "studentised residual",
        "detectable_mm": "least slip that would show [mm]",
        "reasons": "stands for",
        "stack_mm": "stack as built up [mm]",
        "packers": "packers from the floor up, printed [mm]",
        "error_mm": "stack less wanted, + high [mm]",
        "position": "position, 1 on the floor",
        "thickness_mm": "thickness that counts [mm]",
        "nominal_mm": "printed on it [mm]",
        "step": "goes into",
        "limit_mm": "may go below the floor [mm]",
        "in_stock": "in stock (empty: as many as wanted)",
        "laid_N": "bearer alone [N]",
        "empty_N": "units empty [N]",
        "full_N": "units full [N]",
        "idle_share": "idle on this share of floors",
        "bearer": "bearer or row",
        "at_x_mm": "rung, along the run [mm]",
        "along_mm": "along the member [mm]",
        "over": "over no-go area",
        "least_mm": "least [mm]",
        "greatest_mm": "greatest [mm]",
    }
)

#: Lengths in which hundredths of a millimetre tell something, besides doubts.
_FINE = frozenset(
    {
        "residual_mm", "hump_mm", "error_mm", "sag_mm", "gap_mm", "sag_final_mm", "wind_mm",
        "settlement_mm", "settlement_final_mm", "detectable_mm", "straight_gap_mm", "set_mm",
        "up_left_mm", "down_left_mm", "cut_mm", "thickness_mm",
    }
)  # fmt: skip

#: Of these the sign tells which way.
_BOTH_WAYS = frozenset({"residual_mm", "hump_mm", "error_mm", "studentised"})

#: Numbers without a unit: how they are shown.
_PLAIN = {
    "count": "General",
    "minutes": TENTHS,
    "minutes_each": TENTHS,
    "price": HUNDREDTHS,
    "cost": HUNDREDTHS,
    "bags": HUNDREDTHS,
    "value": "General",
    "limit": "General",
}


@dataclass(frozen=True)
class Column:
    """A column of a sheet.

    Parameters
    ----------
    head : str
        What it holds, with its unit in brackets.
    cells : tuple of Cell
        One a row.
    digits : str
        Format of its numbers.
    """

    head: str
    cells: tuple[Cell, ...]
    digits: str = "General"


@dataclass(frozen=True)
class Sheet:
    """A sheet: columns of one length.

    Parameters
    ----------
    name : str
        On its tab.
    about : str
        What it holds, in one line.
    columns : tuple of Column
        From left to right.
    """

    name: str
    about: str
    columns: tuple[Column, ...]


@dataclass(frozen=True)
class Inches:
    """Which lengths of a table get inches beside them in a job in inches.

    Parameters
    ----------
    set_out : frozenset of str
        Columns that somebody sets out or cuts by: they get sixteenths too, and what those are
        off.
    printed : frozenset of str
        Columns of sizes that are printed on things: what is printed stands beside as a text.
    """

    set_out: frozenset[str] = frozenset()
    printed: frozenset[str] = frozenset()


PLAIN_INCHES = Inches()


def columns_of(
    table: pd.DataFrame, units: Units, inches: Inches = PLAIN_INCHES
) -> tuple[Column, ...]:
    """Return the columns of a table, in a job in inches with inches beside its lengths.

    Parameters
    ----------
    table : DataFrame
        Columns end in their unit.
    units : {"mm", "in"}
        The job's.
    inches : Inches
        Which lengths are set out by, and which are printed sizes.
    """
    return tuple(column for name in table for column in _columns(table, str(name), units, inches))


def _columns(table: pd.DataFrame, name: str, units: Units, inches: Inches) -> Iterator[Column]:
    cells = cells_of(table[name])
    yield Column(_head(name, units), cells, digits_of(name))
    if units == "in" and name in inches.printed:
        sizes = [cast("float | None", one) for one in cells]
        stem = head_of(name).removesuffix(" [mm]")
        head = "as printed" if name == "nominal_mm" else f"{stem}, as printed"
        yield Column(head, tuple(_each(sizes, _printed)))
    # Lengths of timber stand among sizes as sold: those are wanted in decimals too.
    if units == "in" and name.endswith("_mm") and (name not in inches.printed or name == "size_mm"):
        yield from beside(head_of(name), cells, set_out=name in inches.set_out)


def beside(head: str, mm: Iterable[Cell], *, set_out: bool) -> Iterator[Column]:
    """Yield the columns in inches that stand beside one in millimetres.

    Parameters
    ----------
    head : str
        Of the column in millimetres.
    mm : iterable of Cell
        Its lengths [mm].
    set_out : bool
        Whether sixteenths and their error stand there too.
    """
    stem = head.removesuffix(" [mm]")
    lengths = [cast("float | None", one) for one in mm]
    yield Column(f"{stem} [in]", tuple(_each(lengths, mm_to_inches)), THOUSANDTHS)
    if set_out:
        yield Column(f"{stem} [in, sixteenths]", tuple(_each(lengths, sixteenths)))
        heads = f"{stem}: sixteenths less true [in]"
        yield Column(heads, tuple(_each(lengths, off_inches)), SIGNED_INCHES)


def _printed(mm: float) -> str:
    return printed_size(mm, "in")


def sixteenths(mm: float) -> str:
    """Return a length as a tape in inches shows it."""
    return length(mm, "in")


def off_inches(mm: float) -> float:
    """Return what the sixteenths of a length are more than it [in]."""
    shown = sixteenths(mm)
    size = float(sum(Fraction(part) for part in shown.lstrip("-").split()))
    return (-size if shown.startswith("-") else size) - mm / MM_PER_INCH


def _each(cells: Iterable[float | None], turn: Callable[[float], Cell]) -> Iterator[Cell]:
    return (None if one is None else turn(one) for one in cells)


def cells_of(values: pd.Series[Any]) -> tuple[Cell, ...]:
    """Return what a column holds, None where a number is not known or has no end."""
    return tuple(_cell(value) for value in values.tolist())


def _cell(value: object) -> Cell:
    if value is None or value is pd.NA:
        return None
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return value if isinstance(value, bool | int | str) else str(value)


def _head(name: str, units: Units) -> str:
    """Return the head of a column; piles of packers tell their own units in a job in inches."""
    head = head_of(name)
    return head.removesuffix(" [mm]") if name == "packers" and units == "in" else head


def head_of(name: str) -> str:
    """Return the head of a column: words, and its unit in brackets."""
    if name in _HEADS:
        return _HEADS[name]
    stem, _, ending = name.rpartition("_")
    if stem and ending in _UNITS:
        return f"{_words(stem)} [{_UNITS[ending][0]}]"
    return _words(name)


def _words(stem: str) -> str:
    return stem.replace("_", " ").replace(" sd", ": doubt, 1 sd")


def digits_of(name: str) -> str:
    """Return the format in which a column's numbers are shown."""
    if name in _BOTH_WAYS:
        return SIGNED
    if name in _FINE or "sd" in name.split("_"):
        return HUNDREDTHS
    if name in _PLAIN:
        return _PLAIN[name]
    ending = name.rpartition("_")[2]
    if ending in {"share", "ratio"} or name == "redundancy":
        return HUNDREDTHS
    return _UNITS[ending][1] if ending in _UNITS else "General"


def said_in(table: pd.DataFrame, column: str, units: Units) -> pd.DataFrame:
    """Return a table with inches added to the lengths that its sentences name.

    Parameters
    ----------
    table : DataFrame
        With a column of sentences of the kit's own.
    column : str
        That column.
    units : {"mm", "in"}
        The job's; in millimetres the table stays as it is.
    """
    return table.assign(**{column: [in_units(str(one[column]), units) for one in records(table)]})
