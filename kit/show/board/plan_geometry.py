"""Site millimetres to the plan's px, and the shapes that are drawn from them."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from kit.base.runs import Floats, Frame
from kit.show.board.label_places import Box, text_box

Point = tuple[float, float]
Outline = list[Point]


@dataclass(frozen=True)
class PlanText:
    """Letters that lie still on the plan.

    Parameters
    ----------
    kind : str
        ``"unit"``, ``"no-go"``, ``"service"``, ``"joists"`` or ``"doorway"``.
    text, full : str
        As it is written, perhaps shortened, and in full.
    x, y : float
        Middle of its baseline [px].
    at : tuple of float
        The place that it speaks of [px].
    """

    kind: str
    text: str
    full: str
    x: float
    y: float
    at: Point

    @property
    def box(self) -> Box:
        """The room that its letters take [px]."""
        return text_box(self.x, self.y, self.text)


@dataclass(frozen=True)
class PlanFrame:
    """Where the site lies in the plan; one scale both ways, site y downwards.

    Parameters
    ----------
    left_mm, top_mm : float
        Site place of the picture's left upper corner [mm].
    px_per_mm : float
        The scale.
    width_px, height_px : float
        Size of the picture [px].
    margins : tuple of float
        Left, top, right, bottom: room around what stands on the floor [px].
    skirting_mm : mapping of str to float
        Thickness of each run's skirting, behind which its wall is drawn [mm].
    texts : tuple of PlanText
        Names that lie still; what moves keeps off them.
    """

    left_mm: float
    top_mm: float
    px_per_mm: float
    width_px: float
    height_px: float
    margins: tuple[float, float, float, float]
    skirting_mm: Mapping[str, float]
    texts: tuple[PlanText, ...] = ()

    def to_px(self, x_mm: float, y_mm: float) -> Point:
        """Return where a site place [mm] is drawn [px]."""
        return (x_mm - self.left_mm) * self.px_per_mm, (y_mm - self.top_mm) * self.px_per_mm

    def to_mm(self, x_px: ArrayLike, y_px: ArrayLike) -> tuple[Floats, Floats]:
        """Return the site places [mm] of places in the picture [px]."""
        x, y = np.asarray(x_px, dtype=float), np.asarray(y_px, dtype=float)
        return x / self.px_per_mm + self.left_mm, y / self.px_per_mm + self.top_mm

    @property
    def box(self) -> Box:
        """The whole picture [px]."""
        return Box(0.0, 0.0, self.width_px, self.height_px)

    def own(self, run: Frame, x: Sequence[float], y: Sequence[float]) -> Outline:
        """Return where places of a run's own frame [mm] are drawn [px]."""
        site_x, site_y = run.to_site(x, y)
        at = zip(site_x.tolist(), site_y.tolist(), strict=True)
        return [self.to_px(*place) for place in at]

    def rectangle(self, run: Frame, x: tuple[float, float], y: tuple[float, float]) -> Outline:
        """Return the corners [px] of a rectangle of a run's own frame [mm]."""
        return self.own(run, (x[0], x[1], x[1], x[0]), (y[0], y[0], y[1], y[1]))

    def strip_boxes(self, run: Frame, x: tuple[float, float], y: tuple[float, float]) -> list[Box]:
        """Return upright boxes [px] that cover a rectangle of a run's own frame [mm].

        One where the run lies along an axis; a slanting one is covered piece by piece, so that
        the boxes do not take all the room beside it.
        """
        pieces = 1 if run.direction_deg % 90 == 0 else max(1, math.ceil((x[1] - x[0]) / 200))
        ends = np.linspace(x[0], x[1], pieces + 1).tolist()
        return [bounds(self.rectangle(run, (a, b), y)) for a, b in pairwise(ends)]


def bounds(points: Outline) -> Box:
    """Return the upright box around points."""
    x, y = [p[0] for p in points], [p[1] for p in points]
    return Box(min(x), min(y), max(x), max(y))


def axes(run: Frame) -> tuple[Point, Point]:
    """Return the unit vectors in site axes of a run's own x and y."""
    x, y = run.to_site([0.0, 1.0, 0.0], [0.0, 0.0, 1.0])
    return (
        (float(x[1] - x[0]), float(y[1] - y[0])),
        (float(x[2] - x[0]), float(y[2] - y[0])),
    )


def clipped(points: Outline, to: Box) -> Outline:
    """Return the part of a polygon that lies in a box; empty where none does.

    Notes
    -----
    Sutherland and Hodgman, Communications of the ACM 17 (1974) 32-42 (from memory).
    """
    edges: tuple[tuple[int, float, Callable[[float, float], bool]], ...] = (
        (0, to.left, float.__ge__),
        (0, to.right, float.__le__),
        (1, to.top, float.__ge__),
        (1, to.bottom, float.__le__),
    )
    for axis, limit, inside in edges:
        points = _cut(points, axis, limit, inside)
    return points


def _cut(
    points: Outline, axis: int, limit: float, inside: Callable[[float, float], bool]
) -> Outline:
    kept: Outline = []
    for before, after in zip(points[-1:] + points[:-1], points, strict=True):
        was, is_in = inside(float(before[axis]), limit), inside(float(after[axis]), limit)
        if was != is_in:
            share = (limit - before[axis]) / (after[axis] - before[axis])
            crossing = (
                before[0] + share * (after[0] - before[0]),
                before[1] + share * (after[1] - before[1]),
            )
            kept.append(crossing)
        if is_in:
            kept.append(after)
    return kept


def clipped_line(start: Point, end: Point, to: Box) -> Outline:
    """Return the two ends of the part of a line that lies in a box; empty where none does.

    Notes
    -----
    Liang and Barsky, ACM Transactions on Graphics 3 (1984) 1-22 (from memory).
    """
    low, high = 0.0, 1.0
    dx, dy = end[0] - start[0], end[1] - start[1]
    for step, room in (
        (-dx, start[0] - to.left),
        (dx, to.right - start[0]),
        (-dy, start[1] - to.top),
        (dy, to.bottom - start[1]),
    ):
        if step == 0:
            if room < 0:
                return []
        elif step < 0:
            low = max(low, room / step)
        else:
            high = min(high, room / step)
    if low >= high:
        return []
    return [(start[0] + t * dx, start[1] + t * dy) for t in (low, high)]
