"""Titles of columns: which quantity or name a title stands for, and in which unit."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType

from kit.job.units import Unit

#: Words for a unit in a title or a grid's corner.
UNIT_WORDS: Mapping[str, Unit] = MappingProxyType(
    {
        "mm": "mm", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm",
        "millimeters": "mm",
        "cm": "cm", "centimetre": "cm", "centimetres": "cm", "centimeter": "cm",
        "centimeters": "cm",
        "m": "m", "metre": "m", "metres": "m", "meter": "m", "meters": "m",
        "in": "in", "inch": "in", "inches": "in",
        "ft": "ft", "foot": "ft", "feet": "ft",
    }
)  # fmt: skip

#: Words for a unit that no table may have.
OTHER_UNITS = frozenset(
    {"um", "\u03bcm", "dm", "km", "mil", "mils", "thou", "yd", "yds", "yard", "yards"}
)

_WORD = r"[^\W\d_]+"
_KNOWN = "|".join(sorted((*UNIT_WORDS, *OTHER_UNITS), key=len, reverse=True))

# x_mm, x mm; x [mm]; x (mm); x/mm as in the SI brochure, 9th edition, section 5.4.1 (from memory).
_UNIT = (
    rf"(?:(?:[\s_]+|\s*/\s*)(?P<plain>{_KNOWN})"
    rf"|[\s_]*\[\s*(?P<square>{_WORD})\s*\]|[\s_]*\(\s*(?P<round>{_WORD})\s*\))"
)
_TITLE = re.compile(rf"(?P<stem>.*?[^\s_/]){_UNIT}")


def name_of(title: str) -> str:
    """Return the name that a title stands for: ``Set-up`` and ``set up`` are ``setup``.

    Parameters
    ----------
    title : str
        As it stands in the header.
    """
    return re.sub(r"[\s_-]", "", title.casefold())


def quantity_of(title: str) -> tuple[str, str]:
    """Return the quantity that a title stands for and the word for its unit.

    Parameters
    ----------
    title : str
        As it stands in the header, for example ``x_mm``, ``x [mm]``, ``X (mm)`` or ``x mm``.

    Returns
    -------
    tuple of (str, str)
        For example ``("x", "mm")``; the word is empty where the title names no unit.

    Examples
    --------
    >>> quantity_of("Reading [m]"), quantity_of("remark")
    (('reading', 'm'), ('remark', ''))
    """
    plain = title.casefold()
    match = _TITLE.fullmatch(plain)
    if match is None:
        return _stem(plain), ""
    # "height in mm": the preposition is no part of the name.
    stem = _stem(match["stem"]).removesuffix("_in")
    return stem, match["plain"] or match["square"] or match["round"]


def _stem(text: str) -> str:
    return re.sub(r"[\s_]+", "_", text)


def is_without_unit(title: str, stem: str) -> bool:
    """Tell whether a title is that of a quantity, but names no unit that a table may have.

    Parameters
    ----------
    title : str
        As it stands in the header.
    stem : str
        Name of the quantity.
    """
    found, word = quantity_of(title)
    if found == stem:
        return word not in UNIT_WORDS
    # "xmm", "x-mm", "x.": the quantity, with something that is no unit's usual place.
    return re.fullmatch(rf"{re.escape(stem)}[\s_.:-]*(?:{_KNOWN})?[.:]?", found) is not None
