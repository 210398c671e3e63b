"""Where movement joints of the floor lie: inside a zone, or at its end."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from kit.base.runs import Frame, place_units
from kit.job import MovementJoint, Run


def joints_of_zone(joints: tuple[MovementJoint, ...], run: Run) -> Iterator[tuple[str, str]]:
    """Yield joint and words for each movement joint that passes under a zone.

    Parameters
    ----------
    joints : tuple of MovementJoint
        Of the job.
    run : Run
        The zone as a run of its own.
    """
    frame = Frame(run.origin_mm, run.direction_deg)
    depth = max(unit.depth_mm for unit in run.units)
    for joint in joints:
        x, y = frame.to_own(*np.array([joint.from_mm, joint.to_mm]).T)
        near = joint.clear_mm
        span = _crossed(x, y, (-near, run.length_mm + near), (0.0, depth))
        if span is None:
            continue
        low, high = span
        if high <= near:
            yield joint.name, f"{joint.name} at its left end"
        elif low >= run.length_mm - near:
            yield joint.name, f"{joint.name} at its right end"
        else:
            yield joint.name, f"{joint.name} {_inside(run, low, high)}"


def _inside(run: Run, low: float, high: float) -> str:
    middle = (low + high) / 2
    placed = place_units(run)
    unit = min(placed, key=lambda p: max(p.left_mm - middle, middle - p.right_mm, 0.0))
    where = f"{low:.0f}" if high - low < 1 else f"{low:.0f} to {high:.0f}"
    return f"at {where} mm from its left end, under unit {unit.unit.name!r}"


def _crossed(
    x: np.ndarray, y: np.ndarray, along: tuple[float, float], out: tuple[float, float]
) -> tuple[float, float] | None:
    """Return from where to where along the run a line lies in a rectangle, if it does."""
    start, end = 0.0, 1.0
    for values, (low, high) in ((x, along), (y, out)):
        step = float(values[1] - values[0])
        if abs(step) < 1e-9:
            if not low <= float(values[0]) <= high:
                return None
            continue
        one, other = sorted(((low - values[0]) / step, (high - values[0]) / step))
        start, end = max(start, float(one)), min(end, float(other))
    if start > end:
        return None
    ends = sorted(float(x[0] + share * (x[1] - x[0])) for share in (start, end))
    return ends[0], ends[1]
