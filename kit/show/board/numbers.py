"""What is typed in the board's boxes, turned into values: read, never guessed."""

from __future__ import annotations

import math
import re

from kit.ink.lengths import Units
from kit.job import parse_inches, refuse
from kit.job.units import MM_PER_INCH, fraction_of_inches, inches_to_mm

#: What one step of a support along its bearer is [mm]: a millimetre, a sixteenth of an inch.
STEP_MM: dict[str, float] = {"mm": 1.0, "in": MM_PER_INCH / 16}

_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)")


def parse_length(text: str, units: Units) -> float:
    """Return a length as it is typed [mm].

    Parameters
    ----------
    text : str
        ``"55"``, ``"55.5 mm"``, ``"55,5"``; in inches ``"2 3/16"``.
    units : {"mm", "in"}
        What the boxes are in.

    Raises
    ------
    Refusal
        Where it is no length, or a comma may mean two things.
    """
    if units == "in":
        return inches_to_mm(parse_inches(text.strip().removesuffix("in").removesuffix('"')))
    return parse_number(text.strip().removesuffix("mm"), "a number of millimetres, such as 55.5")


def parse_number(text: str, allowed: str) -> float:
    """Return a number as it is typed, with a decimal point or comma.

    Raises
    ------
    Refusal
        Where it is none, or its comma may stand for thousands.
    """
    plain = text.strip()
    if re.fullmatch(r"[+-]?[1-9]\d{0,2}(,\d{3})+", plain):
        raise refuse("box", f"'{plain}', whose comma may mean two things", allowed)
    number = plain.replace("−", "-").replace(",", ".", 1)
    if not _NUMBER.fullmatch(number):
        raise refuse("box", f"'{plain}'" if plain else "nothing", allowed)
    return float(number)


def parse_lengths(text: str, units: Units) -> list[float]:
    """Return several lengths, separated by semicolons or blanks [mm].

    Raises
    ------
    Refusal
        Where one of them is no length.
    """
    parts = re.split(r"\s*;\s*" if ";" in text or units == "in" else r"\s+", text.strip())
    return [parse_length(part, units) for part in parts if part]


def show_box(mm: float, units: Units) -> str:
    """Return a length as a box shows it: hundredths of a millimetre, 64ths of an inch."""
    if not math.isfinite(mm):
        return ""
    if units == "in":
        return fraction_of_inches(mm / MM_PER_INCH, 64)
    return show_number(round(mm, 2))


def show_number(value: float) -> str:
    """Return a number as a person writes it, without needless zeros."""
    return f"{value + 0.0:.4f}".rstrip("0").rstrip(".")
