"""Elevations: each row as one sees it looking at its wall, heights enlarged, packer by packer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from kit.answer import Answer
from kit.base.runs import Row
from kit.ink.lengths import length, length_with_unit, plan_length, rounding
from kit.job import refuse
from kit.job.ways import way_of
from kit.paper.dimensions import spread
from kit.paper.elevation_labels import (
    LEAD_MM,
    heights_over,
    labels_along,
    piles_below,
    tallest,
    zone_words,
)
from kit.paper.elevation_scene import elevation_scene, unread
from kit.paper.elevation_view import ElevationView, Section, height_scale, left_of
from kit.paper.label_places import Box, Taken, lines_within
from kit.paper.letters import letters_wide_mm
from kit.paper.marks import Drawing, Letters, Mark
from kit.paper.plan import run_sheets
from kit.paper.plan_names import Namer
from kit.paper.plan_view import SITE, View
from kit.paper.row_places import ROW_WORDS, Support, rows_of
from kit.paper.run_sheets import Sheets, Window
from kit.paper.scales import scale_bar, scale_words, upright_bar

_BIG_MM, _SMALL_MM = 3.5, 2.5
_STEP_MM = 3.3

#: Heights are drawn at most so tall, where the page has room [mm of paper].
_TALLEST_MM = 100.0

#: What each height over a support is called, by the way of building.
_HEIGHTS = {
    "packers": "height of each stack",
    "stacks": "height of each stack",
    "feet": "height to which each foot is set",
    "ladder": "depth left of the member",
    "compound": "depth of the compound",
}


def elevation_drawings(
    answer: Answer,
    room_mm: tuple[float, float],
    plan_room_mm: tuple[float, float] | None = None,
) -> tuple[tuple[str, Drawing], ...]:
    """Draw each row of a base, looking at its wall.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    room_mm : tuple of float
        How wide and tall a drawing may be [mm of paper].
    plan_room_mm : tuple of float, optional
        The room that the plan was given, as wide, whose scale and cuts are taken; the same one
        unless given.

    Returns
    -------
    tuple of (str, Drawing)
        A heading and a drawing for each row and each part of a run that is cut, as its plan is;
        lengths at the plan's scale.

    Raises
    ------
    Refusal
        Where a row cannot be drawn in the room.
    """
    found: list[tuple[str, Drawing]] = []
    for run in answer.job.runs:
        sheets = run_sheets(answer, run.name, plan_room_mm or room_mm)
        for row in rows_of(answer.layout, run.name):
            found += _row_drawings(answer, row, sheets, room_mm)
    return tuple(found)


def _row_drawings(
    answer: Answer, row: Row, sheets: Sheets, room_mm: tuple[float, float]
) -> Iterator[tuple[str, Drawing]]:
    section = Section(answer, row)
    for window in sheets.windows:
        if any(window.holds(one.at_mm) for one in section.supports):
            one = RowElevation(section, sheets, window, room_mm)
            yield one.heading, one.drawing()


@dataclass(frozen=True)
class RowElevation:
    """One drawing of a row.

    Parameters
    ----------
    section : Section
        The row.
    sheets, window : Sheets, Window
        As of its plan.
    room_mm : tuple of float
        How wide and tall it may be [mm of paper].
    """

    section: Section
    sheets: Sheets
    window: Window
    room_mm: tuple[float, float]

    @property
    def answer(self) -> Answer:
        """What is drawn."""
        return self.section.answer

    @property
    def heading(self) -> str:
        """What the drawing is called."""
        row, window, units = self.section.row, self.window, self.answer.job.units
        named = f"{way_of(self.answer.base).along} {row.name}, {ROW_WORDS[row.label]}"
        part = ""
        if window.of > 1:
            ends = (plan_length(mm, units) for mm in (window.from_mm, window.to_mm))
            part = f", {window.number} of {window.of}: from {' to '.join(ends)} {units}"
        return f"{named[0].upper()}{named[1:]}{part}"

    @cached_property
    def supports(self) -> tuple[Support, ...]:
        """The supports that are shown."""
        return tuple(one for one in self.section.supports if self.window.holds(one.at_mm))

    def drawing(self) -> Drawing:
        """Draw it, heights as large as the page allows."""
        real = self.section.top_mm - self.section.lowest_mm
        paper = min(_TALLEST_MM, self.room_mm[1])
        while paper > 1.0:
            scale = height_scale(real, paper, self.answer.job.units, self.sheets.scale)
            drawing = self._drawn(scale)
            if drawing.height_mm <= self.room_mm[1]:
                return drawing
            if scale >= self.sheets.scale:
                break
            # Any room less than this scale takes gives the next smaller one.
            paper = real / scale * 0.999
        raise refuse(
            f"the elevation of {self.heading}",
            f"a room of {self.room_mm[0]:g} by {self.room_mm[1]:g} mm",
            "room enough for its letters, such as a page of A4",
        )

    def _drawn(self, scale: float) -> Drawing:
        head, y = self._head(scale)
        above = heights_over(self.section, self.supports)
        below = piles_below(self.section, self.supports)
        left = left_of(self.window, self.sheets.scale, self.room_mm[0])
        view = ElevationView(self.section, self.window, self.sheets.scale, scale, left, 0.0)
        zones, y = zone_words(view, y)
        view = replace(view, top_mm=y + tallest(above) + LEAD_MM + 2.0)
        body = [*unread(view), *elevation_scene(view), *self._level_figures(view)]
        at = [view.x(one.at_mm) for one in self.supports]
        over = labels_along(at, above, view.top_mm - 2.0, self.room_mm[0], up=True)
        under = labels_along(at, below, view.edge.bottom, self.room_mm[0], up=False)
        bars, bottom = self._bars(view, view.edge.bottom + LEAD_MM + tallest(below))
        marks = (*body, *self._place_words(view), *head, *zones, *over, *under, *bars)
        words = self._words(scale)
        return Drawing(self.room_mm[0], bottom, marks, words, self.sheets.scale)

    # ---- words above -----------------------------------------------------------------------

    def _head(self, scale: float) -> tuple[list[Mark], float]:
        """Return title and words about scales and levels, and how far down they reach."""
        marks: list[Mark] = []
        y = 3.6
        for line in lines_within(self.heading, _BIG_MM, self.room_mm[0], bold=True):
            marks.append(Letters((0.0, y), line, _BIG_MM, bold=True))
            y += 1.25 * _BIG_MM
        for said in self._said(scale):
            for line in lines_within(said, _SMALL_MM, self.room_mm[0] - 1.0):
                marks.append(Letters((0.0, y), line, _SMALL_MM))
                y += _STEP_MM
        return marks, y - 1.5

    def _said(self, scale: float) -> Iterator[str]:
        units, datum = self.answer.job.units, self.answer.datum
        times = self.sheets.scale / scale
        enlarged = f", {times:.3g} times enlarged against them" if times > 1 else ""
        yield (
            f"Looking at the wall. Lengths {scale_words(self.sheets.scale, units)}, heights"
            f" {scale_words(scale, units)}{enlarged}. Grey band: the floor's doubt, 1 sd to"
            " either side."
        )
        high = datum.high_point_mm
        low = length_with_unit(self.section.underside_mm - high, units)
        lifted = self.section.underside_mm != datum.datum_mm
        line = "underside of this row (front lift in it)" if lifted else "datum"
        said = f"Dash-dot line: {line}, {low}{self._off(self.section.underside_mm - high)} over"
        said += " the high point"
        if datum.bearer_mm:
            top = length_with_unit(self.section.top_mm - high, units)
            top += self._off(self.section.top_mm - high)
            said += f", underside of the bearers; dashed line: their top, {top} over it"
        yield f"{said}. {self._figures_said()}"

    def _figures_said(self) -> str:
        units = "mm" if self.answer.job.units == "mm" else "inches"
        said = f"Above: {_HEIGHTS[self.answer.base.method]} in {units}"
        if units == "inches":
            said += ", in brackets figure less true height"
        if any(one.kinds for one in self.supports):
            said += "; below: packers from the floor up, as printed on them"
            said += " in mm" * (units == "mm")
        return f"{said}."

    def _off(self, mm: float) -> str:
        off = rounding(mm, self.answer.job.units)
        return f" ({off})" if off else ""

    # ---- levels, places, scales -------------------------------------------------------------

    def _level_figures(self, view: ElevationView) -> Iterator[Mark]:
        """Write how far the levels are over the high point at their right ends."""
        section, units = self.section, self.answer.job.units
        high = self.answer.datum.high_point_mm
        levels = sorted({section.top_mm, section.underside_mm}, reverse=True)
        at = spread([view.y(mm) for mm in levels], 2.8, 0.0, 1e4)
        for mm, y in zip(levels, at, strict=True):
            said = length(mm - high, units)
            end = view.edge.right + 0.6 + letters_wide_mm(said, _SMALL_MM)
            yield Letters((min(end, self.room_mm[0]), y + 0.9), said, _SMALL_MM, "end", halo=True)

    def _place_words(self, view: ElevationView) -> list[Mark]:
        """Name the high point and match lines in the ground and in the air."""
        edge = view.edge
        plain = View(SITE, 1.0, (0.0, 0.0), (0.0, 0.0), edge)
        namer = Namer(plain, Taken(edge, self._taken(view)))
        high = self.section.high_point
        if high and self.window.holds(high[0]):
            at = view.x(high[0]), view.y(high[1])
            namer.name_place("high point", at, (1.9, 1.9), far=True)
        units = self.answer.job.units
        for mm in self.window.matches_mm:
            at = view.x(mm), edge.bottom - 3.0
            namer.name_place(f"match line {plan_length(mm, units)}", at, (0.5, 0.5), far=True)
        return namer.marks

    def _taken(self, view: ElevationView) -> list[Box]:
        """Return the room of what stands on the floor [mm of paper]."""
        half = self.answer.layout.packer_size_mm[0] / 2 / view.scale
        top = view.y(self.section.top_mm)
        return [
            Box(view.x(o.at_mm) - half, top, view.x(o.at_mm) + half, view.y(o.floor_mm))
            for o in self.supports
        ]

    def _bars(self, view: ElevationView, y: float) -> tuple[list[Mark], float]:
        """Return both scale bars, and how far down the lower one reaches."""
        units = self.answer.job.units
        low = view.edge.bottom
        tall = low - view.edge.top - 3.0
        upright = upright_bar(view.height_scale, units, (view.edge.left - 1.0, low), tall)
        lying = scale_bar(view.scale, units, (2.0, y + 6.5), min(80.0, self.room_mm[0] / 2 - 12))
        return [*upright, *lying], y + 7.5

    def _words(self, scale: float) -> str:
        """Return what is to be seen, in sentences."""
        units = self.answer.job.units
        names = f"{self.supports[0].name} to {self.supports[-1].name}"
        heights = [self.section.stack_mm(one) for one in self.supports]
        ends = (length(float(mm), units) for mm in (np.min(heights), np.max(heights)))
        high = self.section.high_point
        seen = high is not None and self.window.holds(high[0])
        star = " The high point is marked by a star." if seen else ""
        return (
            f"{self.heading}, looking at the wall, lengths {scale_words(self.sheets.scale, units)},"
            f" heights {scale_words(scale, units)}: the floor with its doubt, {names}, from"
            f" {' to '.join(ends)} {units} high, and the level of the base.{star}"
        )
