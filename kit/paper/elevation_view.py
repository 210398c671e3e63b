"""One row as an elevation sees it: floor with its doubt, levels, and how heights lie on paper."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kit.answer import Answer
from kit.base.runs import Floats, Row
from kit.ink.lengths import Units
from kit.paper.label_places import Box
from kit.paper.marks import Place
from kit.paper.plan_view import SITE
from kit.paper.row_places import Support, pieces_of, supports_of
from kit.paper.run_sheets import AROUND_MM, LEFT_MM, RIGHT_MM, Window
from kit.paper.scales import scales_of

#: Distance of the places at which the floor is looked at [mm].
_STEP_MM = 25.0

#: Ground that is drawn below the lowest floor, and air above the base [mm of paper].
_GROUND_MM, _AIR_MM = 6.5, 2.0


@dataclass(frozen=True)
class Floor:
    """The floor along a row.

    Parameters
    ----------
    x_mm, height_mm, sd_mm : (n,) array
        Along the run, mean floor and its standard deviation [mm]; nan where nobody read it.
    """

    x_mm: Floats
    height_mm: Floats
    sd_mm: Floats

    def stretches(self) -> list[slice]:
        """Return the stretches that were read, of two places at least."""
        known = np.concatenate([[False], np.isfinite(self.height_mm), [False]])
        edges = np.flatnonzero(known[1:] != known[:-1])
        pairs = zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)
        return [slice(a, b) for a, b in pairs if b - a > 1]


@dataclass(frozen=True)
class Section:
    """A row of a base, cut open along its middle: numbers only.

    Parameters
    ----------
    answer : Answer
    row : Row
    """

    answer: Answer
    row: Row

    @cached_property
    def supports(self) -> tuple[Support, ...]:
        """What stands along the row, from left to right."""
        return supports_of(self.answer, self.row)

    @cached_property
    def pieces(self) -> tuple[tuple[float, float], ...]:
        """From where to where the pieces of what runs along it reach [mm]."""
        return pieces_of(self.answer, self.row)

    @cached_property
    def floor(self) -> Floor:
        """The floor from end to end of the row."""
        low, high = self.row.start_mm, self.row.end_mm
        x = np.linspace(low, high, max(2, round((high - low) / _STEP_MM) + 1))
        site = self.answer.layout.frames[self.row.run].to_site(x, np.full_like(x, self.row.y_mm))
        height, sd = self.answer.surface.predict(*site)
        known = self.answer.surface.surveyed(*site)
        return Floor(x, np.where(known, height, np.nan), np.where(known, sd, np.nan))

    @cached_property
    def underside_mm(self) -> float:
        """Height of the underside of what lies on the supports [mm]."""
        datum = self.answer.datum
        return datum.datum_mm + datum.front_lift_mm * self.answer.layout.lift_share(self.row)

    @property
    def top_mm(self) -> float:
        """Height of what the units stand on [mm]."""
        return self.underside_mm + self.answer.datum.bearer_mm

    @property
    def lowest_mm(self) -> float:
        """Lowest floor, its doubt included [mm]."""
        low = float(np.nanmin(np.append(self.floor.height_mm - self.floor.sd_mm, np.inf)))
        return min(low, *(one.floor_mm for one in self.supports))

    @cached_property
    def high_point(self) -> Place | None:
        """Where the high point lies along the row, and its height [mm]; None if in another one."""
        high, layout = self.answer.high_point, self.answer.layout
        x, y = self.answer.layout.frames[self.row.run].to_own(*SITE.to_site(high.x_mm, high.y_mm))
        half = max(layout.bearer_width_mm, layout.packer_size_mm[1]) / 2 + 1.0
        along = self.row.start_mm - 1.0 <= float(x) <= self.row.end_mm + 1.0
        if along and abs(float(y) - self.row.y_mm) <= half:
            return float(x), high.height_mm
        return None

    def stack_mm(self, one: Support) -> float:
        """Return how high what stands at a support is: its packers, or what is wanted [mm]."""
        packers = self.answer.job.stock.packers
        if not one.kinds:
            return one.target_mm
        return sum(packers[kind].thickness_mm for kind in one.kinds)


@dataclass(frozen=True)
class ElevationView:
    """Where a row's elevation lies on paper.

    Parameters
    ----------
    section : Section
    window : Window
        The part of the run that is shown.
    scale, height_scale : float
        Of lengths and of heights: times smaller than the real thing.
    left_mm, top_mm : float
        Where the run's first place that is shown and the top of the base lie [mm of paper].
    """

    section: Section
    window: Window
    scale: float
    height_scale: float
    left_mm: float
    top_mm: float

    def x(self, along_mm: float) -> float:
        """Return where a place along the run is drawn [mm of paper]."""
        return self.left_mm + (along_mm - self.window.from_mm) / self.scale

    def y(self, height_mm: float) -> float:
        """Return where a height is drawn [mm of paper]."""
        return self.top_mm + (self.section.top_mm - height_mm) / self.height_scale

    @property
    def edge(self) -> Box:
        """What is drawn of the row lies within [mm of paper]."""
        low, high = self.x(self.window.from_mm), self.x(self.window.to_mm)
        ground = self.y(self.section.lowest_mm) + _GROUND_MM
        return Box(low - AROUND_MM, self.top_mm - _AIR_MM, high + AROUND_MM, ground)

    def inside(self, along_mm: float) -> float:
        """Return a place along the run, no further out than what is drawn [mm]."""
        beyond = AROUND_MM * self.scale
        return min(max(along_mm, self.window.from_mm - beyond), self.window.to_mm + beyond)


def left_of(window: Window, scale: float, width_mm: float) -> float:
    """Return where a window's first place lies, as in the plan above it [mm of paper]."""
    wide = (window.to_mm - window.from_mm) / scale + 2 * AROUND_MM
    room = width_mm - LEFT_MM - RIGHT_MM
    return LEFT_MM + max(0.0, (room - wide) / 2) + AROUND_MM


def height_scale(real_mm: float, paper_mm: float, units: Units, most: float) -> float:
    """Return the largest standard scale at which heights find room; never smaller than lengths.

    Parameters
    ----------
    real_mm, paper_mm : float
        From the lowest floor to the base top, and the room for it [mm].
    units : {"mm", "in"}
        Whose scales.
    most : float
        The scale of lengths.
    """
    fitting = (one for one in scales_of(units, least=0.2) if real_mm / one <= paper_mm)
    return min(next(fitting, most), most)
