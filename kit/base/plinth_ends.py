"""What a plinth's boards leave open: returns at open ends, and what closes a corner of two runs."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from kit.base.layout import Layout
from kit.base.runs import Frame
from kit.job import Base, Job

#: Ends of runs that are no further than this from another run make a corner with it [mm]; room
#: for a filler between them (common practice, no source).
_CORNER_MM = 200.0

#: So many places of an end are looked at.
_PLACES = 9


def plinth_ends(job: Job, base: Base, layout: Layout) -> dict[str, str]:
    """Return what has to be added to the plinth of each run that does not end at walls.

    Parameters
    ----------
    job : Job
        Which ends of its runs stand at a wall.
    base : Base
        With or without a plinth.
    layout : Layout
        Its units in plan.

    Returns
    -------
    dict of str to str
        By the run's name, such as "the return at the right end, the closing piece at the corner
        to run B"; only runs of which anything is open.
    """
    if base.plinth is None:
        return {}
    found = {run: list(_open(job, layout, run)) for run in layout.frames}
    return {run: ", ".join(what) for run, what in found.items() if what}


def ends_sentence(what: str) -> str:
    """Return what is open of one run as an instruction.

    Examples
    --------
    >>> ends_sentence("the return at the left end")
    'the return at the left end: not on this paper; measure in place'
    """
    return f"{what}: not on this paper; measure in place"


def _open(job: Job, layout: Layout, name: str) -> Iterator[str]:
    """Yield what is open at the left end of a run, then at its right end."""
    run = next(run for run in job.runs if run.name == name)
    for side, at_wall in (("left", run.left_wall), ("right", run.right_wall)):
        other = _at_corner(layout, name, right=side == "right")
        if other:
            yield f"the closing piece at the corner to run {other} ({side} end)"
        elif not at_wall:
            yield f"the return at the {side} end"


def _at_corner(layout: Layout, name: str, *, right: bool) -> str:
    """Return the run whose units are nearest to one end of a run, if they make a corner there."""
    units = [one for one in layout.units if one.run == name]
    end = units[-1] if right else units[0]
    at = end.right_mm if right else end.left_mm
    places = np.linspace(0.0, end.unit.depth_mm, _PLACES)
    x, y = layout.frames[name].to_site(np.full(_PLACES, at), places)
    away = {
        other: _away_mm(layout, other, frame, x, y)
        for other, frame in layout.frames.items()
        if other != name
    }
    nearest = min(away, key=lambda other: away[other], default="")
    return nearest if nearest and away[nearest] <= _CORNER_MM else ""


def _away_mm(layout: Layout, run: str, frame: Frame, x_mm: np.ndarray, y_mm: np.ndarray) -> float:
    """Return how far the nearest of some places of the room is from a run's units [mm]."""
    own_x, own_y = frame.to_own(x_mm, y_mm)
    return min(
        float(
            np.hypot(
                np.maximum(np.maximum(one.left_mm - own_x, own_x - one.right_mm), 0.0),
                np.maximum(np.maximum(-own_y, own_y - one.unit.depth_mm), 0.0),
            ).min()
        )
        for one in layout.units
        if one.run == run
    )
