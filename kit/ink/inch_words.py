"""Sentences in millimetres with the inches added, for who works in inches."""

from __future__ import annotations

import re
from functools import partial

from kit.ink.lengths import Units
from kit.job.units import MM_PER_INCH, fraction_of_inches

_NUMBER = r"[-+]?\d+(?:\.\d+)?"

#: One length or several that share one unit: "2 mm", "24.8 to 35.8 mm", "x = 120, y = 60 mm"; not
#: what goes on as a rate, an area or a force ("2 mm/m", "2 mm per metre", "N/mm2"), or what has
#: its inches behind it already.
_LENGTHS = re.compile(
    rf"(?<![\w./])((?:(?:[xyz] = )?{_NUMBER}(?:, | to | by | x | × | ± | and | or ))*"
    rf"(?:[xyz] = )?{_NUMBER}) mm(?![\w/²³^]| per | \([^()]* in\))"
)


#: What is less is told by thousandths [mm]: half an inch.
_LEAST_MM = 12.7


def in_units(sentence: str, units: Units, *, fine: bool = False) -> str:
    """Return a sentence with its lengths in the job's units as well.

    Parameters
    ----------
    sentence : str
        With lengths in millimetres.
    units : {"mm", "in"}
        Of the job; a sentence for millimetres stays as it is.
    fine : bool
        Whether the lengths are errors, doubts and tolerances, which a sixteenth would swallow.

    Returns
    -------
    str
        In inches each length is followed by sixteenths of an inch in brackets; what is less than
        half an inch, told with such a length, or fine, by thousandths, so that no margin is
        rounded up by much. Before inches millimetres have two decimals at most. What has its
        inches already keeps them.

    Examples
    --------
    >>> in_units("Unit 'a' stands 35.8 mm beyond the end; 2 mm per metre.", "in")
    "Unit 'a' stands 35.8 mm (1 7/16 in) beyond the end; 2 mm per metre."
    >>> in_units("within 1 mm of one level", "in", fine=True)
    'within 1 mm (0.039 in) of one level'
    >>> in_units("4.7 ± 0.2 mm, 19.0500000001 mm", "in")
    '4.7 ± 0.2 mm (0.185 ± 0.008 in), 19.05 mm (3/4 in)'
    """
    return sentence if units == "mm" else _LENGTHS.sub(partial(_with_inches, fine=fine), sentence)


def _with_inches(match: re.Match[str], *, fine: bool) -> str:
    sizes = [abs(float(number)) for number in re.findall(_NUMBER, match[1])]
    # Lengths that are told together are told alike; places stand for themselves.
    fine = fine or ("=" not in match[1] and any(0 < size < _LEAST_MM for size in sizes))
    inches = re.sub(_NUMBER, lambda number: _inches(float(number[0]), fine=fine), match[1])
    shown = re.sub(_NUMBER, lambda number: _short(number[0]), match[0])
    return f"{shown} ({inches} in)"


def _short(figure: str) -> str:
    """Return a figure with two decimals at most, unless nothing of it would be left."""
    if len(figure.rpartition(".")[2]) <= 2 or "." not in figure:
        return figure
    rounded = f"{float(figure):.2f}"
    return rounded.rstrip("0").rstrip(".") if rounded.strip("-0.") else figure


def _inches(mm: float, *, fine: bool) -> str:
    """Return millimetres as inches that can be read off a tape, or as a decimal below that."""
    inches = mm / MM_PER_INCH
    thousandths = mm and (fine or abs(mm) < _LEAST_MM)
    return f"{inches:.3f}" if thousandths else fraction_of_inches(inches)
