"""The floor's humps and hollows as a map of bands under the plan, and the key to it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from contourpy import FillType, LineType, contour_generator
from scipy.interpolate import RectBivariateSpline

from kit.answer import Answer
from kit.base.runs import Floats
from kit.ink import paint
from kit.ink.svg import element, halo, path, short, words
from kit.job.units import MM_PER_INCH
from kit.parts import Survey
from kit.show.board.label_places import TO_BASELINE_PX, Box, Taken, text_box
from kit.show.board.level_lines import band, level_line
from kit.show.board.map_levels import levels_of
from kit.show.board.plan_geometry import Outline, PlanFrame, Point, bounds
from kit.show.board.plan_ground import bearer_boxes, no_go_boxes, panel_boxes
from kit.show.board.plan_joists import joist_boxes
from kit.show.board.plan_picture import mark_texts
from kit.show.board.plan_supports import label_boxes, packer_boxes, supports_data
from kit.show.board.plan_walls import behind_walls

#: The floor is worked out on squares of this size on the screen, or larger where the picture is
#: so large that there would be more of them than this; a smooth curve between them is drawn on
#: squares half as wide [px].
CELL_PX, MOST_CELLS = 14.0, 2_000

#: Between the slanting lines where nothing was surveyed, and between places looked at on them [px].
_HATCH_PX, _LOOK_PX = 8.0, 2.0

#: A line of the map shorter than this carries no number, and a longer one one in each such
#: length [px].
_SHORTEST_PX, _EACH_PX = 46.0, 420.0

#: Steps along a line of the map between the places at which its number is tried [px].
_TRY_PX = 9.0


@dataclass(frozen=True, eq=False)
class FloorField:
    """What is left of the floor once its fall is taken off, over the picture.

    Parameters
    ----------
    x_px, y_px : (n,), (m,) array
        Places of columns and rows [px].
    residual_mm : (m, n) masked array
        Height - plane, positive = hump; masked where nothing was surveyed.
    """

    x_px: Floats
    y_px: Floats
    residual_mm: np.ma.MaskedArray[tuple[int, int], np.dtype[np.float64]]

    def known(self, x_px: Floats, y_px: Floats) -> np.ndarray[tuple[int], np.dtype[np.bool]]:
        """Return whether the grid's place nearest to each of some places was surveyed."""
        column = np.rint((x_px - self.x_px[0]) / (self.x_px[1] - self.x_px[0])).astype(int)
        row = np.rint((y_px - self.y_px[0]) / (self.y_px[1] - self.y_px[0])).astype(int)
        return np.asarray(~np.ma.getmaskarray(self.residual_mm)[row, column])


def floor_field(survey: Survey, frame: PlanFrame) -> FloorField:
    """Work out the residuals of the floor over the picture of a plan.

    Parameters
    ----------
    survey : Survey
        Plane and surface.
    frame : PlanFrame
        The plan.

    Returns
    -------
    FloorField
    """
    cell = max(CELL_PX, math.sqrt(frame.width_px * frame.height_px / MOST_CELLS))
    across, down = (max(4, math.ceil(size / cell)) for size in (frame.width_px, frame.height_px))
    coarse_x = np.linspace(0, frame.width_px, across + 1)
    coarse_y = np.linspace(0, frame.height_px, down + 1)
    residual = _residual(survey, *_places(coarse_x, coarse_y, frame)).reshape(down + 1, across + 1)
    x = np.linspace(0, frame.width_px, 2 * across + 1)
    y = np.linspace(0, frame.height_px, 2 * down + 1)
    fine = RectBivariateSpline(coarse_y, coarse_x, residual)(y, x)
    known = survey.surface.surveyed(*_places(x, y, frame)).reshape(fine.shape)
    return FloorField(x, y, np.ma.masked_array(fine, mask=~known))


def _places(x_px: Floats, y_px: Floats, frame: PlanFrame) -> tuple[Floats, Floats]:
    at_x, at_y = (grid.ravel() for grid in np.meshgrid(x_px, y_px))
    return frame.to_mm(at_x, at_y)


def _residual(survey: Survey, x_mm: Floats, y_mm: Floats) -> Floats:
    height, _ = survey.surface.predict(x_mm, y_mm)
    return np.asarray(height - survey.plane.height_mm(x_mm, y_mm))


def map_layer(answer: Answer, frame: PlanFrame) -> str:
    """Draw the map of humps and hollows, and hatch what was not surveyed.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`; its names and marks are kept free of the map's numbers.
    frame : PlanFrame
        The plan.

    Returns
    -------
    str
        One ``<g>``.
    """
    field, levels = floor_field(answer.survey, frame), levels_of(answer.survey, answer.job.units)
    points = answer.survey.heights.points
    read = points["x_mm"].to_numpy(), points["y_mm"].to_numpy()
    hidden = behind_walls(answer.job, answer.layout, frame, read)
    taken = _taken(answer, frame, hidden)
    unit = MM_PER_INCH if answer.job.units == "in" else 1.0
    values = field.residual_mm / unit
    generator = contour_generator(
        field.x_px,
        field.y_px,
        values,
        corner_mask=True,
        fill_type=FillType.OuterOffset,
        line_type=LineType.Separate,
    )
    drawn: list[str] = []
    for ends, tone in zip(levels.bands, levels.tones, strict=True):
        drawn.append(band(generator.filled(*ends), tone))
    numbers: list[str] = []
    for n, level in enumerate(levels.values):
        lines = [np.asarray(one) for one in generator.lines(level)]
        drawn.append(level_line(level, lines))
        if levels.is_numbered(n):
            numbers += _numbers(levels.text(level), lines, frame, taken)
    drawn.append(_hatch(field, frame))
    drawn += [
        element("path", d=path(part, closed=True), fill=paint.PAPER, class_="ufk-behind")
        for part in hidden
    ]
    return element("g", "".join(drawn + numbers), class_="ufk-map", pointer_events="none")


def _taken(answer: Answer, frame: PlanFrame, hidden: list[Outline]) -> Taken:
    """Return where no number of the map may stand: on names, marks, stacks, behind walls."""
    shown = supports_data(answer.layout, frame)
    taken = Taken([*(text.box for text in frame.texts), *label_boxes(shown)])
    for box in (
        *(text.box for text in mark_texts(answer, frame)),
        *packer_boxes(answer.layout, frame),
        *(bounds(part) for part in hidden),
        *bearer_boxes(answer.layout, frame),
        *panel_boxes(answer.layout, frame),
        *no_go_boxes(answer.job, frame),
        *joist_boxes(answer.job, frame),
    ):
        taken.add(box)
    return taken


def _numbers(text: str, lines: list[Floats], frame: PlanFrame, taken: Taken) -> Iterator[str]:
    for one in lines:
        along = np.append(0.0, np.cumsum(np.hypot(*np.diff(one, axis=0).T)))
        if along[-1] < _SHORTEST_PX:
            continue
        count = 1 + int(along[-1] / _EACH_PX)
        for part in range(count):
            place = _free_place(text, one, along, (part / count, (part + 1) / count), frame, taken)
            if place is not None:
                taken.add(text_box(*place, text))
                look: dict[str, Any] = halo(
                    text_anchor="middle", fill=paint.INK, class_="ufk-level-number"
                )
                yield words(*place, text, **look)


def _free_place(
    text: str,
    points: Floats,
    along: Floats,
    part: tuple[float, float],
    frame: PlanFrame,
    taken: Taken,
) -> Point | None:
    """Return where a number stands on a line free of all else, nearest to a part's middle."""
    low, high = part[0] * along[-1], part[1] * along[-1]
    at = np.linspace(low, high, max(int((high - low) / _TRY_PX), 2) + 1)
    at = at[np.argsort(np.abs(at - (low + high) / 2), kind="stable")]
    x = np.interp(at, along, points[:, 0])
    y = np.interp(at, along, points[:, 1]) + TO_BASELINE_PX
    wanted = np.array([text_box(*place, text) for place in zip(x, y, strict=True)])
    within = Box(2, 2, frame.width_px - 2, frame.height_px - 2)
    best, free = taken.best(wanted, within)
    return (float(x[best]), float(y[best])) if free else None


def _hatch(field: FloorField, frame: PlanFrame) -> str:
    """Hatch what was not surveyed: slanting lines, broken where the floor is known."""
    wide, tall = frame.width_px, frame.height_px
    strokes = []
    for both in np.arange(_HATCH_PX, wide + tall, _HATCH_PX):
        x = np.arange(max(both - tall, 0.0), min(both, wide), _LOOK_PX)
        if len(x) < 2:
            continue
        open_ = np.concatenate([[False], ~field.known(x, both - x), [False]])
        turns = np.flatnonzero(np.diff(open_.astype(int)))
        for start, end in zip(turns[::2].tolist(), turns[1::2].tolist(), strict=True):
            if end - start > 1:
                a, b = x[start], x[end - 1]
                strokes.append(f"M{short(a)} {short(both - a)}L{short(b)} {short(both - b)}")
    look: dict[str, Any] = {
        "fill": "none",
        "stroke": paint.FAINT_INK,
        "stroke_opacity": 0.55,
        "stroke_width": 0.8,
    }
    return element("path", d="".join(strokes), class_="ufk-open", **look) if strokes else ""
