"""How far what stands on a floor is from a movement joint, and how much of one lies under it."""

from __future__ import annotations

import math

import numpy as np

from kit.base.runs import Floats, Frame, PlacedUnit
from kit.job import MovementJoint

#: A unit stands across a joint that comes this far into it [mm]: less is how it was set out.
INTO_UNIT_MM = 1.0


def own_ends(frame: Frame, joint: MovementJoint) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the two ends of a joint in a run's own frame, (x, y) each [mm]."""
    x, y = frame.to_own(*np.array([joint.from_mm, joint.to_mm]).T)
    return (float(x[0]), float(y[0])), (float(x[1]), float(y[1]))


def apart_mm(boxes_mm: Floats, frame: Frame, joint: MovementJoint) -> Floats:
    """Return how far rectangles of a run's own frame lie from a joint.

    Parameters
    ----------
    boxes_mm : array of shape (n, 4)
        Their left, right, back and front edges in that frame [mm].
    frame : Frame
        The run's own frame.
    joint : MovementJoint

    Returns
    -------
    array of shape (n,)
        0 where they meet [mm]. Eq. (1): else the least of the distances of the corners from the
        line and of the line's ends from the rectangle.
    """
    start, end = np.array(own_ends(frame, joint))
    corners_mm = boxes_mm[:, ((0, 2), (1, 2), (1, 3), (0, 3))]
    along = end - start
    square = float(along @ along)
    share = np.clip((corners_mm - start) @ along / square, 0.0, 1.0) if square else 0.0
    nearest = start + np.multiply.outer(share, along)
    of_corners = np.hypot(*np.moveaxis(corners_mm - nearest, -1, 0)).min(axis=1)
    of_ends = [
        np.hypot(
            np.maximum(np.maximum(boxes_mm[:, 0] - x, x - boxes_mm[:, 1]), 0.0),
            np.maximum(np.maximum(boxes_mm[:, 2] - y, y - boxes_mm[:, 3]), 0.0),
        )
        for x, y in (start, end)
    ]
    low, high = _shares_inside(boxes_mm, start, end)
    apart = np.minimum(of_corners, np.minimum(*of_ends))  # Eq. (1)
    return np.where(low <= high, 0.0, apart)


def inside_mm(boxes_mm: Floats, frame: Frame, joint: MovementJoint) -> Floats:
    """Return how much of a joint lies within each rectangle, (n,) [mm]; as for `apart_mm`."""
    start, end = np.array(own_ends(frame, joint))
    low, high = _shares_inside(boxes_mm, start, end)
    return np.maximum(high - low, 0.0) * math.dist(start, end)


def _shares_inside(boxes_mm: Floats, start: Floats, end: Floats) -> tuple[Floats, Floats]:
    """Return from which share of a line to which it lies within each; descending where nowhere."""
    low, high = np.zeros(len(boxes_mm)), np.ones(len(boxes_mm))
    for axis in (0, 1):
        near, far = boxes_mm[:, 2 * axis] - start[axis], boxes_mm[:, 2 * axis + 1] - start[axis]
        step = end[axis] - start[axis]
        if step == 0:
            high = np.where((near <= 0) & (far >= 0), high, -1.0)
            continue
        first, last = (near / step, far / step) if step > 0 else (far / step, near / step)
        low, high = np.maximum(low, first), np.minimum(high, last)
    return low, high


def stands_across(placed: PlacedUnit, frame: Frame, joint: MovementJoint) -> bool:
    """Tell whether a joint runs under a unit, further in than `INTO_UNIT_MM`."""
    by = INTO_UNIT_MM
    box = (placed.left_mm + by, placed.right_mm - by, by, placed.unit.depth_mm - by)
    return bool(inside_mm(np.array([box]), frame, joint)[0] > 0)


def crossed_at_mm(
    box_mm: tuple[float, float, float, float], frame: Frame, joint: MovementJoint
) -> float:
    """Return where along a run a joint crosses a rectangle of its frame, nan where it does not."""
    start, end = np.array(own_ends(frame, joint))
    low, high = _shares_inside(np.array([box_mm]), start, end)
    if low[0] > high[0]:
        return math.nan
    return float(start[0] + (low[0] + high[0]) / 2 * (end[0] - start[0]))
