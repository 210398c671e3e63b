"""How a turned setting and a measure lie on their picture."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby

from kit.ink.lengths import Units
from kit.ink.svg import letters_px
from kit.show.two_bases.figures import figure
from kit.show.two_bases.turning_words import side_of
from kit.side_by_side import Sweep
from kit.side_by_side.measure import Measure
from kit.side_by_side.stop import Stop

#: Room for the curves, and above it for "now" and the turning points [px].
PLOT_PX, ABOVE_PX = 210.0, 38.0

#: At the right end [px].
_RIGHT_PX = 22.0

#: Ticks of an axis, about.
_TICKS = 6


@dataclass(frozen=True, eq=False)
class Scale:
    """One setting along, one measure up.

    Parameters
    ----------
    sweep : Sweep
    measure : Measure
        Of one base somewhere, for its name and unit.
    width_px, top_y : float
        Width of the picture, and upper end of the curves [px].
    units : {"mm", "in"}
        Of the figures.
    """

    sweep: Sweep
    measure: Measure
    width_px: float
    top_y: float
    units: Units

    @property
    def base_y(self) -> float:
        """Lower end of the curves [px]."""
        return self.top_y + PLOT_PX

    @cached_property
    def values(self) -> list[float]:
        """Every figure that is known."""
        both = (side.value(self.measure.key) for s in self.sweep.stops for side in (s.a, s.b))
        return [value for value in both if not math.isnan(value)]

    @cached_property
    def ticks(self) -> list[float]:
        """Figures that are lettered at the left, the outermost the ends of the axis."""
        return ticks(min(0.0, *self.values), max(0.0, *self.values))

    @cached_property
    def left_px(self) -> float:
        """Left end of the curves [px]."""
        return max(letters_px(self.text(value)) for value in self.ticks) + 16

    def text(self, value: float) -> str:
        """Return a figure of the axis."""
        if self.measure.unit == "mm":
            return figure(value, self.measure.key, "mm", self.units)
        return f"{value:g}"

    def x(self, value: float) -> float:
        """Return where a position of the setting lies [px]."""
        low, high = self.sweep.setting.low, self.sweep.setting.high
        room = self.width_px - self.left_px - _RIGHT_PX
        return self.left_px + (value - low) / (high - low) * room

    def y(self, value: float) -> float:
        """Return where a figure lies [px]."""
        low, high = self.ticks[0], self.ticks[-1]
        return self.base_y - (value - low) / (high - low) * PLOT_PX

    def refused(self, side: str) -> list[list[Stop]]:
        """Return the stretches of positions at which one base cannot be built."""
        parts = groupby(self.sweep.stops, key=lambda stop: bool(side_of(stop, side).refused))
        return [list(stops) for cannot, stops in parts if cannot]

    def known(self, side: str) -> list[list[tuple[Stop, float]]]:
        """Return the stretches of positions at which one base has a figure."""
        pairs = [(stop, side_of(stop, side).value(self.measure.key)) for stop in self.sweep.stops]
        parts = groupby(pairs, key=lambda pair: not math.isnan(pair[1]))
        return [list(found) for there, found in parts if there]


def ticks(low: float, high: float) -> list[float]:
    """Return round figures from one that is not above ``low`` to one that is not below ``high``.

    Examples
    --------
    >>> ticks(0.0, 23.9)
    [0.0, 5.0, 10.0, 15.0, 20.0, 25.0]
    """
    span = high - low or 1.0
    power = 10.0 ** math.floor(math.log10(span / _TICKS))
    step = next(n * power for n in (1, 2, 2.5, 5, 10, 20) if n * power * _TICKS >= span)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return [round(step * n, 12) for n in range(first, max(last, first + 1) + 1)]
