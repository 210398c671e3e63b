"""The unit that the words in a grid's corner name."""

from __future__ import annotations

import re
from collections.abc import Iterator

from kit.job.units import Unit
from kit.readings.faults import Faults
from kit.readings.files import Sheet
from kit.readings.formulas import is_formula
from kit.readings.header import OTHER_UNITS, UNIT_WORDS

#: What may follow the name of an axis: y_cm, y (cm), y [cm].
_MARKED = re.compile(r"(?:\b[xy]_|[xy]\s*[(\[]\s*)([^\W\d_]+)")


def corner_unit(sheet: Sheet, faults: Faults) -> Unit:
    """Return the unit of a grid; ``mm`` where its corner names none.

    Parameters
    ----------
    sheet : Sheet
        The grid.
    faults : Faults
        Takes a corner that holds a number, two units, or a unit that a grid may not have.
    """
    corner = sheet.header[0].casefold()
    where = (sheet.header_row, "first cell")
    if any(character.isdigit() for character in corner) or is_formula(corner):
        allowed = "an empty cell or words: x stands to its right, y below"
        faults.add_cell(*where, repr(sheet.header[0]), allowed)
        return "mm"
    words = list(_unit_words(corner))
    units = list(dict.fromkeys(UNIT_WORDS[word] for word in words if word in UNIT_WORDS))
    other = [word for word in dict.fromkeys(words) if word not in UNIT_WORDS]
    if other:
        found = f"the unit {', '.join(other)} in {sheet.header[0]!r}"
        faults.add_cell(*where, found, "mm, cm, m, in or ft, or no unit, which is mm")
    elif len(units) > 1:
        found = f"both {' and '.join(units)} in {sheet.header[0]!r}"
        faults.add_cell(*where, found, "one unit for the whole grid")
    return units[0] if len(units) == 1 else "mm"


def _unit_words(corner: str) -> Iterator[str]:
    """Yield the words that name a unit."""
    yield from (match[1] for match in _MARKED.finditer(corner))
    for part in re.split(r"[\\/,;|()\[\]]", corner):
        marked = re.findall(r"_([^\W\d_]+)", part)
        words = re.findall(r"[^\W\d_]+", part)
        for i, word in enumerate(words):
            # "heights in mm", "readings in room": a preposition, unless it ends what is said.
            preposition = word == "in" and i + 1 < len(words) and "in" not in marked
            if (word in UNIT_WORDS or word in OTHER_UNITS) and not preposition:
                yield word
