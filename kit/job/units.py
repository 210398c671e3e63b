"""Every unit in, inches out: the one place where a length changes its unit.

Inside the kit every length is in millimetres. One inch is 25.4 mm and one foot 304.8 mm exactly
(international yard and pound agreement of 1959; NIST SP 811, appendix B.8).
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Literal

from kit.job.refusal import Refusal, refuse

MM_PER_INCH = 25.4

#: A unit in which a table may hold its lengths.
Unit = Literal["mm", "cm", "m", "in", "ft"]

#: One of each of these units [mm].
MM_PER_UNIT: Mapping[Unit, float] = MappingProxyType(
    {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH, "ft": 304.8}
)

#: Digits kept behind the point of a converted length [mm]. A picometre carries no building; the
#: rounding keeps 0.1 in at 2.54 mm instead of 2.5399999999999996 mm, and lets a length that was
#: saved in inches come back as the same number.
CONVERSION_DIGITS = 9

#: What a length in inches may look like, for messages.
INCH_FORMS = 'inches such as 3.625, "3 5/8", "3-5/8" or "5/8"'

_INCHES = re.compile(
    r"(?P<sign>[+-]?)\s*"
    r"(?:(?P<decimal>[0-9]{1,9}(?:\.[0-9]{1,20})?|\.[0-9]{1,20})"
    r"|(?:(?P<whole>[0-9]{1,9})(?:\s+|\s*-\s*))?(?P<over>[0-9]{1,4})\s*/\s*(?P<under>[0-9]{1,4}))"
    r'\s*(?:in|")?'
)


def parse_inches(text: str | float) -> float:
    """Return the inches that a person wrote.

    Parameters
    ----------
    text : str or float
        A number, or a text such as ``"3 5/8"``, ``"3-5/8"``, ``"5/8"`` or ``"2.5"`` [in];
        a closing ``in`` or ``"`` is allowed, and so is a leading sign.

    Returns
    -------
    float
        The length [in].

    Raises
    ------
    Refusal
        If the text is no length in inches, or the number is not finite.

    Examples
    --------
    >>> parse_inches("3 5/8")
    3.625
    """
    if isinstance(text, str):
        return _parse_text(text)
    if isinstance(text, bool) or not math.isfinite(text):
        raise refuse("a length in inches", repr(text), INCH_FORMS)
    return float(text)


def _parse_text(text: str) -> float:
    match = _INCHES.fullmatch(text.strip())
    if match is None:
        raise _not_inches(text)
    sign = -1 if match["sign"] == "-" else 1
    if match["decimal"] is not None:
        return sign * float(match["decimal"])
    over, under = int(match["over"]), int(match["under"])
    # "3 9/8" is a slip of the pen more often than it is 4 1/8.
    if under == 0 or (match["whole"] is not None and over >= under):
        raise _not_inches(text)
    return float(sign * (int(match["whole"] or 0) + Fraction(over, under)))


def _not_inches(text: str) -> Refusal:
    return refuse("a length in inches", repr(text), INCH_FORMS)


def inches_to_mm(inches: float) -> float:
    """Return a length in millimetres.

    Parameters
    ----------
    inches : float
        Length [in].

    Returns
    -------
    float
        Length [mm], to the picometre: mm = 25.4·in, Eq. (1).
    """
    return to_mm(inches, "in")  # Eq. (1)


def to_mm(length: float, unit: Unit) -> float:
    """Return a length in millimetres.

    Parameters
    ----------
    length : float
        Length [unit].
    unit : {"mm", "cm", "m", "in", "ft"}
        Its unit.

    Returns
    -------
    float
        Length [mm], to the picometre: mm = length times `MM_PER_UNIT`, Eq. (2); millimetres stay
        the number that they are.

    Examples
    --------
    >>> to_mm(1.4021, "m")
    1402.1
    """
    if unit == "mm":
        return length
    return round(length * MM_PER_UNIT[unit], CONVERSION_DIGITS)  # Eq. (2)


def mm_to_inches(mm: float) -> float:
    """Return a length in inches: the shortest decimal that `inches_to_mm` turns back into `mm`.

    Parameters
    ----------
    mm : float
        Length [mm].

    Returns
    -------
    float
        Length [in]. Exact to the picometre, which is all that `inches_to_mm` keeps.
    """
    plain = mm / MM_PER_INCH
    shorter = (round(plain, digits) for digits in range(16))
    return next((value for value in shorter if inches_to_mm(value) == mm), plain)


def fraction_of_inches(inches: float, parts: int = 16) -> str:
    """Return inches as a tape shows them, to the nearest part.

    Parameters
    ----------
    inches : float
        Length [in].
    parts : int
        Parts of an inch that are told apart; halves round away from zero.

    Returns
    -------
    str
        For example ``"3 5/8"``, ``"-5/8"``, ``"4"`` or ``"0"``.
    """
    count = math.floor(abs(inches) * parts + 0.5)
    whole, rest = divmod(count, parts)
    share = Fraction(rest, parts)
    words = [str(whole)] if whole or not rest else []
    words += [f"{share.numerator}/{share.denominator}"] if rest else []
    return ("-" if inches < 0 and count else "") + " ".join(words)


def show_length(mm: float, units: Literal["mm", "in"]) -> str:
    """Return a length for the eye, in the unit that the job shows.

    Parameters
    ----------
    mm : float
        Length [mm].
    units : {"mm", "in"}
        ``mm`` shows tenths of a millimetre, ``in`` sixteenths of an inch.

    Returns
    -------
    str
        For example ``"92.1 mm"`` or ``"3 5/8 in"``.

    Raises
    ------
    Refusal
        If the length is not finite.

    Examples
    --------
    >>> show_length(92.075, "in")
    '3 5/8 in'
    """
    if not math.isfinite(mm):
        raise refuse("a length to be shown", repr(float(mm)), "a finite number of millimetres")
    if units == "in":
        return f"{fraction_of_inches(mm / MM_PER_INCH)} in"
    tenths = round(mm, 1)
    return f"{tenths if tenths else 0.0:.1f} mm"
