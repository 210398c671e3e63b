"""Numbers for the eye: rounded to what a tape, a packer or a reading can tell."""

from __future__ import annotations

import math
from typing import Literal

from kit.job import show_length
from kit.job.units import MM_PER_INCH, fraction_of_inches

Units = Literal["mm", "in"]

#: What stands where there is no number.
NOTHING = "–"

#: Steps of an axis in inches, of which the first one that gives few enough ticks is taken [in].
_INCH_STEPS = (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 3, 6, 12, 24, 48, 96, 240, 480)


def length(mm: float, units: Units) -> str:
    """Return a length without its unit, which stands in the head of its column."""
    if not math.isfinite(mm):
        return NOTHING
    return show_length(mm, units).removesuffix(" mm").removesuffix(" in")


def length_with_unit(mm: float, units: Units) -> str:
    """Return a length with its unit, for sentences."""
    return show_length(mm, units) if math.isfinite(mm) else NOTHING


def plan_length(mm: float, units: Units) -> str:
    """Return a length of the plan: whole millimetres, or sixteenths of an inch."""
    if not math.isfinite(mm):
        return NOTHING
    return f"{math.floor(mm + 0.5):d}" if units == "mm" else length(mm, units)


def run_length(mm: float, units: Units) -> str:
    """Return a place that is set out along a run: tenths where it is not whole, or sixteenths.

    Examples
    --------
    >>> run_length(37.5, "mm"), run_length(500.04, "mm"), run_length(37.5, "in")
    ('37.5', '500', '1 1/2')
    """
    return length(mm, units).removesuffix(".0") if units == "mm" else length(mm, units)


def told_rounding(mm: float, units: Units) -> str:
    """Return `rounding`, but nothing where the shown length is the true one."""
    off = rounding(mm, units)
    return off if off.strip("+-0.") else ""


def small(mm: float, units: Units) -> str:
    """Return a doubt or an error: hundredths of a millimetre, thousandths of an inch.

    A sixteenth of an inch is larger than any doubt that is worth writing down.
    """
    if not math.isfinite(mm):
        return NOTHING
    return _signless_zero(mm, 2) if units == "mm" else _signless_zero(mm / MM_PER_INCH, 3)


def signed_small(mm: float, units: Units) -> str:
    """Return an error with its sign."""
    text = small(mm, units)
    zero = not text.strip("-0.")
    return text if text.startswith("-") or text == NOTHING or zero else f"+{text}"


def nominal(mm: float) -> str:
    """Return a size as it is printed on a packer or a screw [mm]."""
    return f"{mm:g}"


def number(value: float, digits: int) -> str:
    """Return a number of so many decimals, a dash where there is none."""
    return _signless_zero(value, digits) if math.isfinite(value) else NOTHING


def _signless_zero(value: float, digits: int) -> str:
    return f"{round(value, digits) + 0.0:.{digits}f}"


def axis_ticks(low_mm: float, high_mm: float, units: Units, most: int) -> dict[str, object]:
    """Return the settings of an axis drawn in millimetres that is lettered in the job's units.

    Parameters
    ----------
    low_mm, high_mm : float
        Ends of the axis [mm].
    units : {"mm", "in"}
        What the letters say.
    most : int
        Ticks at most.

    Returns
    -------
    dict
        Empty for millimetres, which the chart letters well by itself.
    """
    if units == "mm":
        return {"nticks": most}
    low, high = low_mm / MM_PER_INCH, high_mm / MM_PER_INCH
    step = next((s for s in _INCH_STEPS if (high - low) / s <= most), _INCH_STEPS[-1])
    ticks = [step * n for n in range(math.ceil(low / step), math.floor(high / step) + 1)]
    return {
        "tickvals": [tick * MM_PER_INCH for tick in ticks],
        "ticktext": [fraction_of_inches(tick) for tick in ticks],
    }


def rounding(mm: float, units: Units) -> str:
    """Return by how much a length as it is shown is off the true one, with its sign.

    Parameters
    ----------
    mm : float
        The true length [mm].
    units : {"mm", "in"}
        In which it is shown: inches in sixteenths.

    Returns
    -------
    str
        Shown less true, in thousandths of an inch; empty in millimetres, whose tenths are nearer
        than a tape can tell.
    """
    if units == "mm" or not math.isfinite(mm):
        return ""
    shown = MM_PER_INCH * _sixteenths(mm) / 16
    return signed_small(shown - mm, units)


def _sixteenths(mm: float) -> int:
    """Return how many sixteenths of an inch are shown: the nearest, halves away from zero."""
    count = math.floor(abs(mm) / MM_PER_INCH * 16 + 0.5)
    return -count if mm < 0 else count
