"""How a plan lies on paper: site millimetres to paper millimetres, cut off at the plan's edge."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from kit.base.runs import Frame
from kit.paper.label_places import Box, bounds
from kit.paper.marks import THIN, Area, Pen, Place, Stroke

#: The room's own frame.
SITE = Frame((0.0, 0.0), 0.0)

Places = tuple[Place, ...]


@dataclass(frozen=True)
class View:
    """Where a part of the room lies on paper.

    Parameters
    ----------
    frame : Frame
        Whose x runs to the right on paper and whose y runs down.
    scale : float
        How many times smaller than the real thing.
    own_mm : tuple of float
        A place in that frame [mm].
    paper_mm : tuple of float
        Where that place is drawn [mm of paper].
    edge : Box
        Nothing is drawn beyond it [mm of paper].
    """

    frame: Frame
    scale: float
    own_mm: Place
    paper_mm: Place
    edge: Box

    def own(self, x_mm: float, y_mm: float) -> Place:
        """Return where a place of its own frame [mm] is drawn [mm of paper]."""
        return (
            self.paper_mm[0] + (x_mm - self.own_mm[0]) / self.scale,
            self.paper_mm[1] + (y_mm - self.own_mm[1]) / self.scale,
        )

    def places(self, of: Frame, x_mm: Sequence[float], y_mm: Sequence[float]) -> Places:
        """Return where places of some frame [mm] are drawn [mm of paper]."""
        x, y = self.frame.to_own(*of.to_site(x_mm, y_mm))
        return tuple(self.own(a, b) for a, b in zip(x.tolist(), y.tolist(), strict=True))

    def rectangle(self, of: Frame, x_mm: Sequence[float], y_mm: Sequence[float]) -> Places:
        """Return the corners of a rectangle of some frame; empty where none of it is drawn.

        Parameters
        ----------
        of : Frame
            Whose rectangle it is.
        x_mm, y_mm : sequence of float
            From where to where it reaches along both axes [mm].
        """
        (a, b), (c, d) = x_mm, y_mm
        return clipped(self.places(of, (a, b, b, a), (c, c, d, d)), self.edge)

    def line(self, of: Frame, start_mm: Place, end_mm: Place) -> Places:
        """Return the ends of what is drawn of a straight line; empty where nothing is."""
        ends = self.places(of, (start_mm[0], end_mm[0]), (start_mm[1], end_mm[1]))
        return clipped_line(ends[0], ends[1], self.edge)

    def shows(self, place: Place) -> bool:
        """Tell whether a place of the paper lies within the plan's edge."""
        return self.edge.grown(1e-6).holds(Box(*place, *place))


def clipped(places: Places, to: Box) -> Places:
    """Return the part of a convex outline that lies in a box; empty where none does."""
    sides = ((0, 1, to.left), (0, -1, -to.right), (1, 1, to.top), (1, -1, -to.bottom))
    for axis, sign, limit in sides:
        places = _half(places, axis, sign, limit)
    return places if len(places) > 2 else ()


def _half(places: Places, axis: int, sign: int, limit: float) -> Places:
    """Return the part of an outline where sign times a coordinate is at least the limit."""
    over = [sign * place[axis] - limit for place in places]
    kept: list[Place] = []
    for n, place in enumerate(places):
        before, was = places[n - 1], over[n - 1]
        if (was < 0) != (over[n] < 0):
            kept.append(_between(before, place, was / (was - over[n])))
        if over[n] >= 0:
            kept.append(place)
    return tuple(kept)


def _between(one: Place, other: Place, share: float) -> Place:
    return one[0] + share * (other[0] - one[0]), one[1] + share * (other[1] - one[1])


def clipped_line(start: Place, end: Place, to: Box) -> Places:
    """Return the ends of the part of a straight line that lies in a box; empty where none does."""
    low, high = 0.0, 1.0
    for axis, least, most in ((0, to.left, to.right), (1, to.top, to.bottom)):
        step = end[axis] - start[axis]
        if step == 0:
            if not least <= start[axis] <= most:
                return ()
            continue
        one, other = sorted(((least - start[axis]) / step, (most - start[axis]) / step))
        low, high = max(low, one), min(high, other)
    return (_between(start, end, low), _between(start, end, high)) if low < high else ()


def hatched(outline: Places, step_mm: float, pen: Pen = THIN) -> Iterator[Stroke]:
    """Draw lines at 45 degrees within a convex outline.

    Parameters
    ----------
    outline : tuple of Place
        Its corners in turn.
    step_mm : float
        Distance of the lines [mm of paper].
    pen : Pen
        How they are drawn.
    """
    along = np.array([x + y for x, y in outline]) / math.sqrt(2)
    for n in range(math.ceil(along.min() / step_mm), math.floor(along.max() / step_mm) + 1):
        ends = _crossings(outline, along, n * step_mm)
        if len(ends) > 1 and ends[0] != ends[-1]:
            yield Stroke((ends[0], ends[-1]), pen)


def _crossings(outline: Places, along: np.ndarray, level: float) -> list[Place]:
    """Return where a line x + y = constant meets an outline's edges, from left to right."""
    found = []
    for n in range(len(outline)):
        was, here = along[n - 1] - level, along[n] - level
        if (was < 0) != (here < 0):
            found.append(_between(outline[n - 1], outline[n], float(was / (was - here))))
    return sorted(found)


def outline(places: Places, grey: float, pen: Pen) -> Iterator[Area]:
    """Yield an area; nothing where it has no corners."""
    if places:
        yield Area(places, grey, pen)


def rim(places: Places, pen: Pen) -> Iterator[Stroke]:
    """Yield the closed line around an area without filling it."""
    if places:
        yield Stroke((*places, places[0]), pen)


def stroke(places: Places, pen: Pen) -> Iterator[Stroke]:
    """Yield a line; nothing where it has no ends."""
    if places:
        yield Stroke(places, pen)


def box_of(places: Places) -> list[Box]:
    """Return the upright box around places; none of none."""
    return [bounds(places)] if places else []
