"""Figures of two bases as they are read: rounded, in the job's units."""

from __future__ import annotations

import math

from kit.ink.lengths import NOTHING, Units, length, number, small
from kit.job.units import MM_PER_INCH
from kit.side_by_side.measure import COSTS, Measure

#: Measures whose millimetres are errors and not sizes: a sixteenth of an inch would hide them.
_SMALL = frozenset({"level_error_mm", "lean_mm", "wind_mm", "gap_mm", "up_mm", "down_mm"})

#: Decimals by unit where they do not follow from the size of a figure.
_DECIMALS = {"N": 0, "% of limit": 1, "%": 0, "days": 0, "": 0}

_M_PER_FOOT = 12 * MM_PER_INCH / 1000


def shown_unit(unit: str, units: Units) -> str:
    """Return the unit in which figures of such a unit are shown.

    Examples
    --------
    >>> shown_unit("mm", "in"), shown_unit("m", "in"), shown_unit("kg", "in")
    ('in', 'ft', 'kg')
    """
    return {"mm": units, "m": "ft" if units == "in" else "m"}.get(unit, unit)


def figure(value: float, key: str, unit: str, units: Units) -> str:
    """Return a figure without its unit, rounded for the eye.

    Parameters
    ----------
    value : float
        In its own unit; nan becomes a dash.
    key, unit : str
        Of its measure.
    units : {"mm", "in"}
        Of the job.

    Returns
    -------
    str
        Lengths as a tape shows them, errors finer, money with two decimals, anything else with
        about three figures.

    Examples
    --------
    >>> figure(53.7562, "top_mm", "mm", "mm"), figure(3.627, "hours", "h", "mm")
    ('53.8', '3.63')
    """
    if not math.isfinite(value):
        return NOTHING
    if unit == "mm":
        return small(value, units) if key in _SMALL else length(value, units)
    if unit == "m" and units == "in":
        value /= _M_PER_FOOT
    if key in COSTS:
        return number(value, 2)
    return number(value, _DECIMALS.get(unit, about_three(value)))


def about_three(value: float) -> int:
    """Return the decimals that show about three figures of a value, two at most."""
    return 2 if abs(value) < 10 else 1 if abs(value) < 100 else 0


def of_measure(measure: Measure, units: Units) -> str:
    """Return the figure of a measure without its unit."""
    return figure(measure.value, measure.key, measure.unit, units)


def with_unit(value: float, key: str, unit: str, units: Units) -> str:
    """Return a figure with its unit."""
    shown = figure(value, key, unit, units)
    return f"{shown} {shown_unit(unit, units)}".rstrip() if shown != NOTHING else NOTHING
