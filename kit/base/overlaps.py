"""Runs that would stand in each other's place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from kit.base.runs import Floats, Frame, PlacedUnit, Row
from kit.job import refuse


@dataclass(frozen=True)
class _Shape:
    """A rectangle of one run in plan that no rectangle of another run may overlap."""

    run: str
    words: str
    corners: Floats


def _shapes(
    units: Sequence[PlacedUnit], rows: Sequence[Row], frames: Mapping[str, Frame], width_mm: float
) -> list[_Shape]:
    """Return units, and bearers with their packers, each as a rectangle of the site."""
    shapes = [
        _Shape(
            placed.run,
            f"unit {placed.unit.name!r}",
            corners(frames[placed.run], placed.left_mm, placed.right_mm, 0, placed.unit.depth_mm),
        )
        for placed in units
    ]
    half = width_mm / 2
    for row in rows:
        at = (row.start_mm, row.end_mm, row.y_mm - half, row.y_mm + half)
        shapes.append(_Shape(row.run, f"bearer {row.name}", corners(frames[row.run], *at)))
    return shapes


def refuse_overlaps(
    units: Sequence[PlacedUnit], rows: Sequence[Row], frames: Mapping[str, Frame], width_mm: float
) -> None:
    """Refuse units and bearers of different runs that lie in the same place.

    Parameters
    ----------
    units, rows : sequences of PlacedUnit, of Row
        Of all runs.
    frames : mapping of str to Frame
        Each run's own frame.
    width_mm : float
        Of a bearer with its packers [mm].

    Raises
    ------
    Refusal
        For the first two that overlap.
    """
    for one, other in combinations(_shapes(units, rows, frames, width_mm), 2):
        if one.run != other.run and overlap(one.corners, other.corners):
            raise refuse(
                f"job.toml, run {one.run}, {one.words}",
                f"it overlaps {other.words} of run {other.run} in plan",
                "runs that stand side by side: another origin_mm, direction_deg or gap_before_mm",
            )


def corners(frame: Frame, left: float, right: float, back: float, front: float) -> Floats:
    """Return the corners of a rectangle of a run's own frame on the site, shape (4, 2) [mm]."""
    return np.stack(frame.to_site([left, right, right, left], [back, back, front, front]), axis=1)


def overlap(one: Floats, other: Floats, tolerance_mm: float = 0.1) -> bool:
    """Tell whether two rectangles overlap by more than a tolerance (separating axes)."""
    for axis in _axes(one, other):
        a, b = one @ axis, other @ axis
        if min(a.max(), b.max()) - max(a.min(), b.min()) <= tolerance_mm:
            return False
    return True


def _axes(*rectangles: Floats) -> Iterator[Floats]:
    for corners in rectangles:
        for edge in (corners[1] - corners[0], corners[3] - corners[0]):
            yield edge / np.hypot(*edge)
