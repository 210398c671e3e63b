"""The unit that the words in a grid's corner name."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from types import MappingProxyType

from kit.readings.faults import Faults
from kit.readings.files import Sheet

_SPELT: Mapping[str, str] = MappingProxyType(
    {"inch": "in", "inches": "in", "millimetre": "mm", "millimetres": "mm"}
    | {"millimeter": "mm", "millimeters": "mm"}
)

_UNITS = frozenset(
    {
        "mm",
        "in",
        "um",
        "\u03bcm",
        "cm",
        "dm",
        "m",
        "km",
        "mil",
        "mils",
        "thou",
        "ft",
        "foot",
        "feet",
    }
    | {"yd", "yds", "yard", "yards", "metre", "metres", "meter", "meters", "centimetre"}
    | {"centimetres", "centimeter", "centimeters"}
    | set(_SPELT)
)

#: What may follow the name of an axis: y_cm, y (cm), y [cm].
_MARKED = re.compile(r"(?:\b[xy]_|[xy]\s*[(\[]\s*)([^\W\d_]+)")


def corner_unit(sheet: Sheet, faults: Faults) -> str:
    """Return the unit of a grid, ``mm`` or ``in``; ``mm`` where its corner names none.

    Parameters
    ----------
    sheet : Sheet
        The grid.
    faults : Faults
        Takes a corner that holds a number, two units, or a unit that a grid may not have.
    """
    corner = sheet.header[0].casefold()
    if any(character.isdigit() for character in corner):
        allowed = "an empty cell or words: x stands to its right, y below"
        faults.add_cell(sheet.header_row, "first cell", repr(corner), allowed)
        return "mm"
    named = list(dict.fromkeys(_SPELT.get(word, word) for word in _unit_words(corner)))
    other = [word for word in named if word not in {"mm", "in"}]
    if other:
        found = f"the unit {', '.join(other)} in {sheet.header[0]!r}"
        faults.add_cell(sheet.header_row, "first cell", found, "mm or in, or no unit, which is mm")
    elif len(named) > 1:
        found = f"both mm and in in {sheet.header[0]!r}"
        faults.add_cell(sheet.header_row, "first cell", found, "one unit for the whole grid")
    return "in" if named == ["in"] else "mm"


def _unit_words(corner: str) -> Iterator[str]:
    """Yield the words that name a unit."""
    yield from (match[1] for match in _MARKED.finditer(corner))
    for part in re.split(r"[\\/,;|()\[\]]", corner):
        marked = re.findall(r"_([^\W\d_]+)", part)
        words = re.findall(r"[^\W\d_]+", part)
        for i, word in enumerate(words):
            # "heights in mm", "readings in room": a preposition, unless it ends what is said.
            preposition = word == "in" and i + 1 < len(words) and "in" not in marked
            if word in _UNITS and not preposition:
                yield word
