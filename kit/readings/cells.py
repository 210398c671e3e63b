"""What one cell holds: a number, a length in its unit, or else in words what it is."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from kit.job.refusal import Refusal
from kit.job.units import INCH_FORMS, MM_PER_UNIT, Unit, inches_to_mm, parse_inches, to_mm
from kit.readings.formulas import is_formula_for_number
from kit.readings.marks import without_thousands

#: What to do about a formula where a value is read.
FORMULA_ALLOWED = (
    "the value itself: open the workbook and save it once in a spreadsheet program, or type the"
    " value"
)

_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")

# 2030-05-08, with or without a time, and 8.5.2030 or 8/5/30: what spreadsheets make of 8.5 or 8-5.
_DATE = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}(?:[ T][0-9:.]+)?"
    r"|[0-9]{1,2}([./-])[0-9]{1,2}\1(?:[0-9]{4}|[0-9]{2})"
    r"|[0-9]{1,2}:[0-9]{2}(?::[0-9.]+)?"
)


class CellError(ValueError):
    """A cell that holds no length.

    Parameters
    ----------
    found : str
        What it holds, in words.
    allowed : str
        What to do about it, where that is more than the range of the column.
    """

    def __init__(self, found: str, allowed: str = "") -> None:
        super().__init__(found)
        self.found = found
        self.allowed = allowed


@dataclass(frozen=True)
class Measure:
    """How the lengths of a column are written.

    Parameters
    ----------
    unit : str
        Their unit.
    decimal_comma : bool
        Whether their decimal mark is the comma.
    """

    unit: Unit = "mm"
    decimal_comma: bool = False

    @property
    def unit_mm(self) -> float:
        """One of that unit [mm]."""
        return MM_PER_UNIT[self.unit]

    @property
    def form(self) -> str:
        """What a cell may look like, for messages."""
        return INCH_FORMS if self.unit == "in" else "a number"

    def length_mm(self, text: str) -> float:
        """Return the length that a cell holds [mm].

        Raises
        ------
        CellError
            If it holds something else.
        """
        if self.unit != "in" or not text:
            return to_mm(number(text, comma=self.decimal_comma), self.unit)
        plain = _plain(text, self.decimal_comma)
        try:
            return inches_to_mm(parse_inches(plain))
        except Refusal as refusal:
            raise _no_number(text, self.decimal_comma) from refusal


MILLIMETRES = Measure()


def number(text: str, *, comma: bool = False) -> float:
    """Return the number that a cell holds.

    Parameters
    ----------
    text : str
        The cell.
    comma : bool
        Whether the decimal mark is the comma.

    Raises
    ------
    CellError
        If it holds something else, or no finite number.
    """
    if not text:
        raise CellError("an empty cell")
    plain = _plain(text, comma)
    if not _NUMBER.fullmatch(plain):
        raise _no_number(text, comma)
    value = float(plain)
    if not math.isfinite(value):
        raise CellError(f"{text}, which is no finite number")
    return value


def _plain(text: str, comma: bool) -> str:
    plain = text.replace("\N{MINUS SIGN}", "-")
    # A point in a table of decimal commas is no second decimal mark.
    return plain.replace(".", "?").replace(",", ".") if comma else plain


def _no_number(text: str, comma: bool) -> CellError:
    if is_formula_for_number(text):
        return CellError(f"the formula {text!r}", FORMULA_ALLOWED)
    whole = without_thousands(text, comma)
    if whole:
        return CellError(f"{text!r}, with a mark between thousands (write {whole})")
    if _DATE.fullmatch(text):
        return CellError(f"the date or time {text!r}, which a spreadsheet may have made of it")
    return CellError(repr(text))
