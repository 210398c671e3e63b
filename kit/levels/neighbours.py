"""Which units of different runs stand beside each other in plan."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, pairwise

import numpy as np

from kit.base.runs import Floats, Frame, place_units
from kit.job import Run
from kit.levels.bay import Tie

#: Units of different runs that come this near in plan [mm] meet (common practice, no source).
MEET_MM = 100.0


def meetings(runs: Sequence[Run]) -> tuple[Tie, ...]:
    """Return the ties of all units, numbered run by run from left to right.

    Within a run each unit is tied to the next; units of different runs are tied where they come
    within `MEET_MM` of each other: round a corner, or back to back.
    """
    ties, of_run, start = [], [], 0
    for run in runs:
        numbers = range(start, start + len(run.units))
        ties += [Tie(one, other) for one, other in pairwise(numbers)]
        of_run.append(list(zip(numbers, _corners(run), strict=True)))
        start += len(run.units)
    for here, there in combinations(of_run, 2):
        ties += [
            Tie(one, other, in_run=False)
            for one, mine in here
            for other, theirs in there
            if apart_mm(mine, theirs) <= MEET_MM
        ]
    return tuple(ties)


def _corners(run: Run) -> list[Floats]:
    frame = Frame(run.origin_mm, run.direction_deg)
    corners = []
    for placed in place_units(run):
        left, right, depth = placed.left_mm, placed.right_mm, placed.unit.depth_mm
        x, y = frame.to_site([left, right, right, left], [0, 0, depth, depth])
        corners.append(np.column_stack([x, y]))
    return corners


def apart_mm(one: Floats, other: Floats) -> float:
    """Return the distance of two convex shapes (n, 2), (m, 2) that do not overlap [mm]."""
    return min(_corner_to_edges(one, other), _corner_to_edges(other, one))


def _corner_to_edges(corners: Floats, shape: Floats) -> float:
    starts, along = shape, np.roll(shape, -1, axis=0) - shape
    from_start = corners[:, None] - starts[None]
    share = np.clip((from_start * along).sum(-1) / (along**2).sum(-1), 0, 1)
    return float(np.linalg.norm(from_start - share[..., None] * along, axis=-1).min())
