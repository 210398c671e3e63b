"""The levels at which the map of humps and hollows is cut into bands."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from kit.ink.lengths import Units
from kit.ink.paint import HOLLOW_TO_HUMP
from kit.job.units import MM_PER_INCH
from kit.parts import Survey

#: Steps of the levels in the job's units, of which the first that gives few enough is taken.
STEPS = (0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)

#: Levels at most: a key with more bands is not read.
MOST_LEVELS = 9

#: Up to so many levels every line carries its number, above that every second one.
_ALL_NUMBERED = 5


@dataclass(frozen=True)
class Levels:
    """Levels of the map in the job's units.

    Parameters
    ----------
    values : tuple of float
        Ascending; 0 is one of them.
    step : float
        From one to the next.
    units : {"mm", "in"}
        Their unit.
    """

    values: tuple[float, ...]
    step: float
    units: Units

    @property
    def bands(self) -> tuple[tuple[float, float], ...]:
        """The bands between the levels; the outer two are open, so that nothing lies in none."""
        return tuple(zip((-math.inf, *self.values), (*self.values, math.inf), strict=True))

    @property
    def tones(self) -> tuple[str, ...]:
        """A colour for each band, the lighter the higher."""
        last = len(self.values)
        return tuple(tone(number / last) for number in range(last + 1))

    def text(self, value: float) -> str:
        """Return a level with its sign: + is a hump, − a hollow."""
        digits = max(0, -math.floor(math.log10(self.step) + 1e-9))
        number = f"{abs(value):.{digits}f}"
        return f"+{number}" if value > 0 else f"−{number}" if value < 0 else "0"

    def is_numbered(self, place: int) -> bool:
        """Tell whether the line of a level carries its number; the zero line does."""
        if len(self.values) <= _ALL_NUMBERED:
            return True
        return (place - self.values.index(0.0)) % 2 == 0

    def band_texts(self) -> list[str]:
        """Return what each band means, from the deepest to the highest."""
        texts = [self.text(value) for value in self.values]
        between = [f"{a} to {b}" for a, b in pairwise(texts)]
        return [f"under {texts[0]}", *between, f"over {texts[-1]}"]


def levels_of(survey: Survey, units: Units) -> Levels:
    """Choose the levels of a survey's map: the same whatever part of the floor is shown.

    Parameters
    ----------
    survey : Survey
        Its residuals.
    units : {"mm", "in"}
        The job's units.

    Returns
    -------
    Levels
    """
    unit = MM_PER_INCH if units == "in" else 1.0
    low = min(float(survey.plane.residual_mm.min()) / unit, 0.0)
    high = max(float(survey.plane.residual_mm.max()) / unit, 0.0)
    step = next((s for s in STEPS if _count(low, high, s) <= MOST_LEVELS), STEPS[-1])
    first, last = math.ceil(low / step), math.floor(high / step)
    return Levels(tuple(round(n * step, 6) + 0.0 for n in range(first, last + 1)), step, units)


def _count(low: float, high: float, step: float) -> int:
    return math.floor(high / step) - math.ceil(low / step) + 1


def tone(share: float) -> str:
    """Return the colour at a share of the way from the deepest hollow to the highest hump."""
    at = [place for place, _ in HOLLOW_TO_HUMP]
    parts = [
        np.interp(share, at, [int(colour[start : start + 2], 16) for _, colour in HOLLOW_TO_HUMP])
        for start in (1, 3, 5)
    ]
    return "#" + "".join(f"{round(float(part)):02x}" for part in parts)
