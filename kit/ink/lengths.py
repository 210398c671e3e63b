"""Numbers for the eye: rounded to what a tape, a packer or a reading can tell."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

from kit.job import show_length
from kit.job.units import MM_PER_INCH, fraction_of_inches

Units = Literal["mm", "in"]

#: What stands where there is no number.
NOTHING = "–"

#: Steps of an axis in inches, of which the first one that gives few enough ticks is taken [in].
_INCH_STEPS = (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 3, 6, 12, 24, 48, 96, 240, 480)

#: So many 64ths of an inch off, a size still is a whole number of them.
_SAME_PART = 1e-6


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


def printed_size(mm: float, units: Units) -> str:
    """Return a size as it is printed on a packer or a screw, in the words of the job's units.

    Parameters
    ----------
    mm : float
        The size [mm].
    units : {"mm", "in"}
        Of the job.

    Returns
    -------
    str
        In millimetres the bare figure, whose unit stands in the head of its column. In inches a
        whole number of 64ths with its unit, and anything else with "mm": a job in inches may hold
        metric packers.

    Examples
    --------
    >>> printed_size(18, "mm"), printed_size(19.05, "in"), printed_size(18, "in")
    ('18', '3/4 in', '18 mm')
    """
    if units == "mm":
        return nominal(mm)
    parts = mm / MM_PER_INCH * 64
    whole = math.floor(parts + 0.5)
    # Among sizes up to 250 mm only 127 mm is whole in both, and no packer or screw is.
    exact = whole > 0 and abs(parts - whole) <= _SAME_PART
    return f"{fraction_of_inches(whole / 64, 64)} in" if exact else f"{nominal(mm)} mm"


def printed_with_unit(mm: float, units: Units) -> str:
    """Return a printed size with its unit, for sentences."""
    return f"{nominal(mm)} mm" if units == "mm" else printed_size(mm, units)


def measured_size(mm: float, units: Units) -> str:
    """Return a thickness as a caliper tells it, with its unit: thousandths in inch jobs."""
    return f"{mm:g} mm" if units == "mm" else f"{small(mm, units)} in"


def printed_figures(sizes_mm: Sequence[float], units: Units) -> tuple[tuple[str, ...], str]:
    """Return printed sizes as figures, and the unit that all of them share.

    Parameters
    ----------
    sizes_mm : sequence of float
        Sizes [mm]; "none" is said of nan.
    units : {"mm", "in"}
        Of the job.

    Returns
    -------
    tuple
        Figures, and "mm" or "in"; where both occur each figure has its unit, and the second part
        is empty.
    """
    told = [printed_with_unit(mm, units) if math.isfinite(mm) else "none" for mm in sizes_mm]
    shared = {text.rpartition(" ")[2] for text in told if text != "none"}
    if len(shared) > 1:
        return tuple(told), ""
    unit = next(iter(shared), "")
    return tuple(text.removesuffix(f" {unit}") for text in told), unit


def printed_sizes(sizes_mm: Sequence[float], units: Units, between: str = " + ") -> str:
    """Return several printed sizes, in inch jobs with their unit once at the end.

    Examples
    --------
    >>> printed_sizes([19.05, 3.175], "in"), printed_sizes([18, 3], "mm")
    ('3/4 + 1/8 in', '18 + 3')
    """
    figures, unit = printed_figures(sizes_mm, units)
    said = between.join(figures)
    return f"{said} {unit}" if units == "in" and unit else said


def printed_unit(units: Units) -> str:
    """Return what the head of a column of printed sizes says for their unit."""
    return "mm" if units == "mm" else "as printed"


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
