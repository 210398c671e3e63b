"""Standard scales: which one a drawing takes, how it is said, and the bar that shows it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from kit.ink.lengths import Units
from kit.job import refuse
from kit.job.units import MM_PER_INCH, fraction_of_inches
from kit.paper.marks import LINE, Area, Letters, Mark, Place, Stroke, box

#: Times smaller than the real thing, the largest drawing first: ISO 5455 (from memory), and 1:25,
#: which has its own edge on a scale rule; below 1 the drawing is larger than the real thing.
METRIC = (0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 200.0, 500.0, 1000.0)

#: Inches on paper for a foot, as an architect's scale has them (common practice, no source).
_INCHES_A_FOOT = {
    4.0: "3",
    8.0: "1 1/2",
    12.0: "1",
    16.0: "3/4",
    24.0: "1/2",
    32.0: "3/8",
    48.0: "1/4",
    64.0: "3/16",
    96.0: "1/8",
    128.0: "3/32",
    192.0: "1/16",
    384.0: "1/32",
    768.0: "1/64",
}
IMPERIAL = (0.25, 0.5, 1.0, 2.0, *_INCHES_A_FOOT)

#: The largest scale of a plan: a plan at half size would take a page for a packer.
PLAN_FROM = 4.0

#: Lengths that a division of a scale bar may have: [mm], and [in].
_MM_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000)
_INCH_STEPS = (1 / 8, 1 / 4, 1 / 2, 1, 2, 3, 6, 12, 24, 48, 120, 240, 600)

_FIGURES_MM = 2.5


def scales_of(units: Units, *, least: float = PLAN_FROM) -> tuple[float, ...]:
    """Return the scales of a trade, from the largest drawing to the smallest.

    Parameters
    ----------
    units : {"mm", "in"}
        In which the job is told.
    least : float
        The first one is at least so many times smaller than the real thing.
    """
    return tuple(one for one in (METRIC if units == "mm" else IMPERIAL) if one >= least)


def largest_scale(
    real_mm: Sequence[float], paper_mm: Sequence[float], units: Units, *, least: float = PLAN_FROM
) -> float:
    """Return the scale at which something is drawn largest within a room.

    Parameters
    ----------
    real_mm, paper_mm : sequence of float
        How wide and tall the thing is, and how wide and tall its drawing may be [mm].
    units : {"mm", "in"}
        Whose scales.
    least : float
        As for `scales_of`.

    Returns
    -------
    float
        How many times smaller than the real thing.

    Raises
    ------
    Refusal
        Where it fits at none of them.

    Examples
    --------
    >>> largest_scale((4000, 480), (273, 171), "mm")
    20.0
    """
    for scale in scales_of(units, least=least):
        if all(real / scale <= paper for real, paper in zip(real_mm, paper_mm, strict=True)):
            return scale
    room = " by ".join(f"{paper:g}" for paper in paper_mm)
    smallest = scale_words(scales_of(units)[-1], units)
    raise refuse(
        "a drawing on paper",
        " by ".join(f"{real:g}" for real in real_mm) + " mm",
        f"what fits {room} mm of paper at {smallest}",
    )


def scale_words(scale: float, units: Units) -> str:
    """Return a scale in the words of the trade.

    Examples
    --------
    >>> scale_words(20, "mm"), scale_words(0.5, "mm"), scale_words(24, "in")
    ('1:20', '2:1', '1/2 in = 1 ft (1:24)')
    """
    ratio = f"1:{scale:g}" if scale >= 1 else f"{1 / scale:g}:1"
    if units == "mm":
        return ratio
    if scale == 1:
        return f"full size ({ratio})"
    foot = _INCHES_A_FOOT.get(scale)
    return f"{foot} in = 1 ft ({ratio})" if foot else ratio


def bar_steps(scale: float, units: Units, least_paper_mm: float) -> tuple[float, str, float]:
    """Return a division of a scale bar that is at least so long on paper.

    Returns
    -------
    tuple of (float, str, float)
        Its real length [mm], the unit of its figures, and what a division counts in it.
    """
    if units == "mm":
        step = next((s for s in _MM_STEPS if s / scale >= least_paper_mm), _MM_STEPS[-1])
        return float(step), "mm", float(step)
    steps = (s for s in _INCH_STEPS if s * MM_PER_INCH / scale >= least_paper_mm)
    inches = next(steps, _INCH_STEPS[-1])
    if inches >= 12:
        return inches * MM_PER_INCH, "ft", inches / 12
    return inches * MM_PER_INCH, "in", inches


def scale_bar(scale: float, units: Units, at: Place, wide_mm: float) -> tuple[Mark, ...]:
    """Draw a scale bar that lies, with its figures above it.

    Parameters
    ----------
    scale, units : float, {"mm", "in"}
        What it shows.
    at : Place
        Its left end, on its lower edge [mm of paper].
    wide_mm : float
        It is at most so wide, figures apart [mm of paper].
    """
    real, unit, count = bar_steps(scale, units, 11.0)
    each = real / scale
    number = max(1, min(4, math.floor(wide_mm / each)))
    left, low = at
    marks: list[Mark] = [
        Area(box(left + n * each, low - 1.4, each, 1.4), float(n % 2), LINE) for n in range(number)
    ]
    for n in range(number + 1):
        said = _count(n * count, unit) + f" {unit}" * (n == number)
        marks.append(Letters((left + n * each, low - 2.2), said, _FIGURES_MM, "middle"))
    return tuple(marks)


def _count(value: float, unit: str) -> str:
    """Return a figure of a scale bar; inches as a tape has them."""
    return fraction_of_inches(value) if unit == "in" else f"{value:g}"


def upright_bar(scale: float, units: Units, at: Place, tall_mm: float) -> tuple[Mark, ...]:
    """Draw a scale bar that stands, with its figures left of it.

    Parameters
    ----------
    scale, units : float, {"mm", "in"}
        What it shows.
    at : Place
        Its lower end, on its right edge [mm of paper].
    tall_mm : float
        It is at most so tall [mm of paper]; nothing is drawn where no division fits.
    """
    real, unit, count = bar_steps(scale, units, 5.0)
    each = real / scale
    number = min(5, math.floor(tall_mm / each))
    return tuple(_upright(at, each, number, count, unit)) if number else ()


def _upright(at: Place, each: float, number: int, count: float, unit: str) -> Iterator[Mark]:
    right, low = at
    for n in range(number):
        yield Area(box(right - 1.2, low - (n + 1) * each, 1.2, each), float(n % 2), LINE)
    for n in range(number + 1):
        y = low - n * each
        yield Stroke(((right - 1.8, y), (right, y)), LINE)
        yield Letters((right - 2.2, y + 0.9), _count(n * count, unit), _FIGURES_MM, "end")
    yield Letters((right + 0.6, low - number * each - 2.2), unit, _FIGURES_MM, "end")
