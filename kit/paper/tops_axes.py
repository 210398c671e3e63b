"""Axes of a drawing of supports off one level: where a place lies on paper, and its scale."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from kit.ink.lengths import Units, signed_small
from kit.job.units import MM_PER_INCH
from kit.paper.marks import THIN, Letters, Mark, Stroke

#: Height of a drawing whose row needs the scale from end to end [mm].
TALL_MM = 27.0

#: Room for the figures of the scale, and at the other end [mm].
_LEFT_MM, _RIGHT_MM = 19.0, 8.0

#: The level and the band reach so far beyond the outermost supports [mm].
_BEYOND_MM = 4.0

_LETTERS_MM, _TICK_MM = 2.8, 1.0

#: Figures of a scale that stand nearer than this are left out [mm].
_APART_MM = 2.9


@dataclass(frozen=True)
class TopsAxes:
    """Where a place along the run, and a departure from the level, lie on the drawing.

    Parameters
    ----------
    from_mm, to_mm : float
        Ends along the run [mm].
    most_mm : float
        What the scale reaches either way where a row needs all of it [mm].
    up_mm, down_mm : float
        What this row needs of it above and below the level [mm], both positive.
    wide_mm, top_mm : float
        Width of the drawing, and where the upper end of the scale lies [mm of paper].
    """

    from_mm: float
    to_mm: float
    most_mm: float
    up_mm: float
    down_mm: float
    wide_mm: float
    top_mm: float

    def x(self, along_mm: float) -> float:
        """Return how far right a place along the run lies [mm of paper]."""
        low, high = _LEFT_MM, self.wide_mm - _RIGHT_MM
        if self.to_mm <= self.from_mm:
            return (low + high) / 2
        return low + (along_mm - self.from_mm) / (self.to_mm - self.from_mm) * (high - low)

    def y(self, off_mm: float) -> float:
        """Return how far down a departure lies [mm of paper]."""
        return self.top_mm + (self.up_mm - off_mm) * TALL_MM / 2 / self.most_mm

    @property
    def ends_mm(self) -> tuple[float, float]:
        """Ends of the level's line [mm of paper]."""
        return _LEFT_MM - _BEYOND_MM, self.wide_mm - _RIGHT_MM + _BEYOND_MM

    @property
    def low_mm(self) -> float:
        """Lower end of the scale [mm of paper]."""
        return self.y(-self.down_mm)


def axis_marks(axes: TopsAxes, tolerance_mm: float, units: Units) -> Iterator[Mark]:
    """Yield the figures of the scale, and a tick at each.

    Parameters
    ----------
    axes : TopsAxes
        Where they lie.
    tolerance_mm : float
        Lettered before anything but the level [mm].
    units : {"mm", "in"}
        Of the figures.
    """
    left = axes.ends_mm[0]
    for off in ticks_mm(axes, tolerance_mm, units):
        y = axes.y(off)
        yield Stroke(((left - _TICK_MM, y), (left, y)), THIN)
        said = f"±0 {units}" if off == 0 else signed_small(off, units)
        yield Letters((left - _TICK_MM - 0.8, y + 0.27 * _LETTERS_MM), said, _LETTERS_MM, "end")


def ticks_mm(axes: TopsAxes, tolerance_mm: float, units: Units) -> list[float]:
    """Return the departures that are lettered [mm]: none so near another that they would touch."""
    scale = 1.0 if units == "mm" else MM_PER_INCH
    chosen = [0.0]
    for off in (tolerance_mm, scale * _round_below(axes.most_mm / scale)):
        if all(abs(axes.y(off) - axes.y(other)) >= _APART_MM for other in chosen):
            chosen += [off, -off]
    return [off for off in chosen if -axes.down_mm <= off <= axes.up_mm]


def _round_below(value: float) -> float:
    """Return the largest of 1, 2, 5, 10, 20, … that is no larger."""
    power: float = 10.0 ** math.floor(math.log10(value))
    return next(step * power for step in (5, 2, 1) if step * power <= value * (1 + 1e-9))
