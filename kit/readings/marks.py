"""The marks of a table: what separates its columns, and what its decimal mark is.

Both are decided once for a whole table, never cell by cell.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from kit.job.units import MM_PER_UNIT, Unit
from kit.readings.faults import Faults

#: What may separate columns; of two that split the header alike, the first counts.
SEPARATORS = ("\t", ";", ",")

#: The same in words.
SEPARATOR_WORDS = {"\t": "tabs", ";": "semicolons", ",": "commas"}

_EXPONENT = r"(?:[eE][+-]?[0-9]{1,3})?"
_WITH_COMMA = re.compile(rf"[+-]?(?:[0-9]+,[0-9]*|,[0-9]+){_EXPONENT}")
_WITH_POINT = re.compile(rf"[+-]?(?:[0-9]+\.[0-9]*|\.[0-9]+){_EXPONENT}")
_COULD_BE_THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2}[,.][0-9]{3}")

# Spaces of any width and the two apostrophes that people set between thousands.
_SPACED = r" \u00a0\u2009\u202f'\u2019"
_THOUSANDS = re.compile(
    rf"[+-]?[0-9]{{1,3}}(?:(?:[{_SPACED}][0-9]{{3}})+(?:[.,][0-9]*)?"
    r"|(?:\.[0-9]{3})+,[0-9]*|(?:,[0-9]{3})+\.[0-9]*|(?:\.[0-9]{3}){2,}|(?:,[0-9]{3}){2,})"
)


@dataclass(frozen=True)
class NumberCell:
    """A cell that should hold a length: where it stands, and how long that may be.

    Parameters
    ----------
    row : int
        Row of the file.
    column : str
        What a message calls its column.
    text : str
        What stands there.
    unit : str
        Unit of the column.
    low_mm, high_mm : float
        Range of the quantity [mm].
    """

    row: int
    column: str
    text: str
    unit: Unit
    low_mm: float
    high_mm: float

    @property
    def plain(self) -> str:
        """The cell with a plain minus sign."""
        return self.text.replace("\N{MINUS SIGN}", "-")

    @property
    def could_be_thousands(self) -> bool:
        """Whether its mark may stand between thousands: so read, it is in range as well."""
        if not _COULD_BE_THOUSANDS.fullmatch(self.plain):
            return False
        whole = self.plain.replace(",", "").replace(".", "")
        length_mm = float(whole) * MM_PER_UNIT[self.unit]
        return self.low_mm <= length_mm <= self.high_mm


def is_blank(cells: Iterable[str]) -> bool:
    """Tell whether a row holds nothing but separators."""
    return not "".join(cells).strip(" \t;,\u00a0")


def separator(text: str) -> str:
    """Return what separates the columns of a table.

    Parameters
    ----------
    text : str
        The table.

    Returns
    -------
    str
        Of tab, semicolon and comma the one that splits the first row which is not blank into most
        columns, outside quotes; comma where none splits it.
    """
    counts = {mark: _columns(text, mark) for mark in SEPARATORS}
    most = max(counts.values())
    return next(mark for mark in SEPARATORS if counts[mark] == most) if most > 1 else ","


def _columns(text: str, mark: str) -> int:
    try:
        rows = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
        return next((len(row) for row in rows if not is_blank(row)), 0)
    except csv.Error:
        return 0


def decimal_comma(cells: Sequence[NumberCell], faults: Faults, mark: str = ",") -> bool:
    """Tell whether the decimal mark of a table is the comma.

    Parameters
    ----------
    cells : sequence of NumberCell
        All cells of the table that should hold a length.
    faults : Faults
        Takes a table with both marks, and one in which every mark may as well stand between
        thousands; the caller stops.
    mark : str
        What separates the columns. Only where that is the semicolon do people set points between
        thousands, as they do where the comma is the decimal mark.
    """
    commas = [cell for cell in cells if _WITH_COMMA.fullmatch(cell.plain)]
    if not commas:
        points = [cell for cell in cells if _WITH_POINT.fullmatch(cell.plain)]
        if mark == ";" and points and all(cell.could_be_thousands for cell in points):
            _ambiguous(points[0], faults)
        return False
    first = commas[0]
    point = next((cell for cell in cells if _WITH_POINT.fullmatch(cell.plain)), None)
    if point is not None:
        other = f"{point.text!r} in row {point.row}, {point.column}"
        allowed = "one decimal mark in the whole table, and none between thousands"
        faults.add_cell(first.row, first.column, f"{first.text!r}, and {other}", allowed)
    elif all(cell.could_be_thousands for cell in commas):
        _ambiguous(first, faults)
    return True


def _ambiguous(first: NumberCell, faults: Faults) -> None:
    name = "comma" if "," in first.text else "point"
    whole = first.text.replace(",", "").replace(".", "")
    part = first.text.replace(",", ".")
    written = part if name == "comma" else f"{part}0"
    faults.add_cell(
        first.row,
        first.column,
        f"{first.text!r}, which is {whole} {first.unit} or {part} {first.unit}, and no other"
        " number of the table tells which",
        f"{whole} if the {name} stands between thousands, {written} if it is the decimal mark",
    )


def without_thousands(text: str, comma: bool) -> str:
    """Return a number without the marks between its thousands; empty if it has none.

    Parameters
    ----------
    text : str
        A cell.
    comma : bool
        Whether the decimal mark of the table is the comma.

    Examples
    --------
    >>> without_thousands("1.234,5", comma=False), without_thousands("1 234", comma=True)
    ('1234.5', '1234')
    """
    plain = text.replace("\N{MINUS SIGN}", "-")
    if not _THOUSANDS.fullmatch(plain):
        return ""
    marks = re.findall(r"[^0-9+-]", plain)
    has_decimals = marks[-1] in ".," and marks.count(marks[-1]) == 1
    whole, _, part = plain.rpartition(marks[-1]) if has_decimals else (plain, "", "")
    digits = re.sub(r"[^0-9+-]", "", whole)
    return digits + (("," if comma else ".") + part if has_decimals else "")
