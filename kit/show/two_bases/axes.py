"""Two elevations on the same axes: one scale along, one scale up, one zero, one range."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from kit.ink.lengths import Units, length
from kit.ink.svg import letters_px
from kit.job.units import MM_PER_INCH
from kit.show.board.elevation_frame import ENLARGEMENTS, LEAST_PX_PER_MM
from kit.show.board.lettering import LINE_PX
from kit.show.spread import lanes
from kit.show.two_bases.row_view import RowView

#: Height given to what lies between the lowest floor and the highest top [px].
HEIGHTS_PX = 130.0

#: The units' lower part above it [px].
UNITS_PX = 24.0

#: Room on the left, for the figures of heights, and on the right, for the levels [px].
LEFT_PX, RIGHT_PX = 54.0, 128.0

#: Lanes of names below a floor at most; what would need more stands in the table alone.
MOST_LANES = 3

#: A window that reaches higher than the tops is followed by this share of the range at most.
_ABOVE = 0.3

#: Steps of the axis of heights [mm], [in].
_MM_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500)
_INCH_STEPS = (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 4, 8, 16)


@dataclass(frozen=True, eq=False)
class Axes:
    """What both elevations share.

    Parameters
    ----------
    views : tuple of RowView
        One or two.
    run_mm : float
        Length of the run, the longer one where they differ [mm].
    asked_px : float
        Width that was asked for [px].
    units : {"mm", "in"}
        Of the figures.
    """

    views: tuple[RowView, ...]
    run_mm: float
    asked_px: float
    units: Units

    @cached_property
    def px_per_mm(self) -> float:
        """Scale along the run."""
        room = self.asked_px - LEFT_PX - RIGHT_PX
        return max(room / self.run_mm, LEAST_PX_PER_MM)

    @property
    def width_px(self) -> float:
        """Width of the picture; wider than asked for where the run is long [px]."""
        return LEFT_PX + self.run_mm * self.px_per_mm + RIGHT_PX

    @property
    def end_px(self) -> float:
        """Right end of the run [px]."""
        return self.x(self.run_mm)

    def x(self, along_mm: float) -> float:
        """Return where a place along the run lies [px]."""
        return LEFT_PX + along_mm * self.px_per_mm

    @cached_property
    def low_mm(self) -> float:
        """Lower end of the range of heights, one for both [mm]."""
        return min(view.lowest_mm for view in self.views)

    @cached_property
    def high_mm(self) -> float:
        """Upper end of the range: the highest top or floor, and some of what is allowed [mm]."""
        reach = [max(view.top_mm, view.part.profile.highest_mm) for view in self.views]
        top = max(reach)
        allowed = max(view.window_mm[1] for view in self.views)
        return max(top, min(allowed, top + _ABOVE * (top - self.low_mm)))

    @cached_property
    def enlargement(self) -> int:
        """How many times larger heights are drawn than lengths."""
        true_px = (self.high_mm - self.low_mm) * self.px_per_mm
        return max((n for n in ENLARGEMENTS if n * true_px <= HEIGHTS_PX), default=1)

    @cached_property
    def px_per_high_mm(self) -> float:
        """Scale of heights."""
        return self.px_per_mm * self.enlargement

    @cached_property
    def tall_px(self) -> float:
        """From the lowest to the highest that is drawn [px]."""
        return (self.high_mm - self.low_mm) * self.px_per_high_mm

    @cached_property
    def ticks_mm(self) -> list[float]:
        """Heights that are lettered at the left [mm]."""
        one, steps = (1.0, _MM_STEPS) if self.units == "mm" else (MM_PER_INCH, _INCH_STEPS)
        apart = (LINE_PX + 7) / self.px_per_high_mm
        step = next((s * one for s in steps if s * one >= apart), steps[-1] * one)
        first, last = int(-(-self.low_mm // step)), int(self.high_mm // step)
        return [step * n for n in range(first, last + 1)]


@dataclass(frozen=True, eq=False)
class Panel:
    """One of the two elevations: the axes, put at a height of the picture.

    Parameters
    ----------
    axes : Axes
    view : RowView
    top_y : float
        Upper end of the units' lower part [px].
    """

    axes: Axes
    view: RowView
    top_y: float

    @property
    def base_y(self) -> float:
        """Where the lowest height of the range lies [px]."""
        return self.top_y + UNITS_PX + self.axes.tall_px

    def y(self, height_mm: float) -> float:
        """Return where a height lies [px]."""
        return self.base_y - (height_mm - self.axes.low_mm) * self.axes.px_per_high_mm

    @cached_property
    def lane_of(self) -> list[int]:
        """Lane of each support's name and height."""
        stacks = self.view.part.stacks
        return lanes([self.axes.x(s.x_mm) for s in stacks], self._label_px())

    def _label_px(self) -> Sequence[float]:
        stacks, heights = self.view.part.stacks, self.view.heights_mm
        return [
            max(1.1 * letters_px(s.support), letters_px(length(mm, self.axes.units))) + 2
            for s, mm in zip(stacks, heights, strict=True)
        ]

    @property
    def lanes(self) -> int:
        """How many lanes are written."""
        return min(max(self.lane_of, default=-1) + 1, MOST_LANES)

    @property
    def ground_y(self) -> float:
        """Lower end of the ground that is drawn [px]."""
        return self.base_y + 8 + 2 * LINE_PX * self.lanes + 2
