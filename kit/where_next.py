"""Which further readings would take most doubt off the stacks."""

from __future__ import annotations

import numpy as np
import pandas as pd

from kit.base.runs import Floats
from kit.floor.read_next import read_next
from kit.job import Job
from kit.parts import Ground, Survey
from kit.threads import one_thread

#: Places to be read next are looked for on squares of this size [mm].
NEXT_GRID_MM = 120.0


@one_thread
def where_next(job: Job, survey: Survey, ground: Ground, count: int = 6) -> pd.DataFrame:
    """Return the further readings that take most doubt off the floor under the supports.

    Parameters
    ----------
    job : Job
        No-go areas.
    survey, ground : Survey, Ground
        The readings so far, and the layout over them.
    count : int
        Readings at most.

    Returns
    -------
    DataFrame
        As `kit.floor.read_next.read_next`, with ``order`` (from 1), ``near`` (the support
        nearest to the place) and ``helps`` (the support whose doubt falls most) by name. Places
        are supports and what lies under bearers, outside no-go areas.
    """
    supports = ground.supports
    places = pd.concat([supports[["x_mm", "y_mm"]], _thinned(ground.known)], ignore_index=True)
    places = places[~_closed(job, places)]
    sd = float(survey.heights.residuals["sd_mm"].median())
    found = read_next(survey.surface, _places(supports), _places(places), sd, count)
    names = supports["support"].to_numpy(dtype=object)
    x, y = _places(supports)
    apart = np.hypot(
        found["x_mm"].to_numpy(dtype=float)[:, None] - x,
        found["y_mm"].to_numpy(dtype=float)[:, None] - y,
    )
    near = names[np.argmin(apart, axis=1)] if len(found) else []
    helped = names[found["helps"].to_numpy(dtype=np.int64)] if len(found) else []
    order = np.arange(1, len(found) + 1)
    return found.assign(order=order, near=near, helps=helped)


def _thinned(known: pd.DataFrame) -> pd.DataFrame:
    """Return one place in each square of the footprint: places beside each other tell the same."""
    squares = (known[["x_mm", "y_mm"]] / NEXT_GRID_MM).round()
    first = ~squares.assign(bearer=known["bearer"]).duplicated()
    return known.loc[first, ["x_mm", "y_mm"]]


def _closed(job: Job, places: pd.DataFrame) -> np.ndarray[tuple[int], np.dtype[np.bool]]:
    """Return where no staff can stand; where only screws may not, it can."""
    areas = [area for area in job.no_go if area.forbids == "supports"]
    at = places[["x_mm", "y_mm"]].itertuples(index=False, name=None)
    return np.array([any(area.holds(x, y) for area in areas) for x, y in at], dtype=bool)


def _places(table: pd.DataFrame) -> tuple[Floats, Floats]:
    return table["x_mm"].to_numpy(dtype=float), table["y_mm"].to_numpy(dtype=float)
