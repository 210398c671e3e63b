"""Where a floor is worst: the largest departures that are not one and the same hollow."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from kit.flatness.edge_map import EdgeMap, Placement
from kit.job import refuse

COLUMNS = (
    "x_mm", "y_mm", "axis", "departure_mm", "from_x_mm", "from_y_mm", "to_x_mm", "to_y_mm",
    "gap_x_mm", "gap_y_mm",
)  # fmt: skip


def worst_places(maps: EdgeMap | Sequence[EdgeMap], count: int, apart_mm: float) -> pd.DataFrame:
    """Return the largest departures whose edges' middles lie apart from each other.

    Parameters
    ----------
    maps : EdgeMap or sequence of EdgeMap
        One direction or several.
    count : int
        How many at most, 1 or more.
    apart_mm : float
        How far apart the middles lie at least, in either direction [mm].

    Returns
    -------
    DataFrame
        The largest first (of equal ones the first map's, smallest y, smallest x): ``x_mm``,
        ``y_mm`` of the edge's middle, ``axis``, ``departure_mm``, its contacts ``from_x_mm``,
        ``from_y_mm``, ``to_x_mm``, ``to_y_mm``, and ``gap_x_mm``, ``gap_y_mm``, the place of the
        largest gap. Fewer rows where fewer places lie so far apart, or depart at all.

    Raises
    ------
    Refusal
        Where the count is under 1 or the distance below 0.
    """
    each = (maps,) if isinstance(maps, EdgeMap) else tuple(maps)
    if count < 1 or not apart_mm >= 0:
        raise refuse("worst places", f"{count}, {apart_mm:g} mm apart", "1 or more, 0 mm or more")
    left = [np.where(one.checked, one.departure_mm, -1.0) for one in each]
    rows: list[Placement] = []
    while len(rows) < count:
        tops = [float(one.max(initial=-1.0)) for one in left]
        which = int(np.argmax(tops)) if tops else -1
        if which < 0 or tops[which] <= 0:
            break
        row, column = np.unravel_index(int(left[which].argmax()), left[which].shape)
        rows.append(each[which].placement(int(row), int(column)))
        left[which][row, column] = -1.0
        for one, departures in zip(each, left, strict=True):
            _strike_out(one, departures, rows[-1].middle_mm, apart_mm)
    return pd.DataFrame([_row(one) for one in rows], columns=list(COLUMNS))


def _strike_out(one: EdgeMap, left: np.ndarray, around: tuple[float, float], apart: float) -> None:
    """Strike out what lies nearer than that, looking only at the square around it."""
    near_x = np.flatnonzero(np.abs(one.x_mm - around[0]) < apart)
    near_y = np.flatnonzero(np.abs(one.y_mm - around[1]) < apart)
    if near_x.size and near_y.size:
        square = left[near_y[0] : near_y[-1] + 1, near_x[0] : near_x[-1] + 1]
        off_y, off_x = one.y_mm[near_y] - around[1], one.x_mm[near_x] - around[0]
        square[np.hypot(off_y[:, None], off_x) < apart] = -1.0


def _row(one: Placement) -> tuple[object, ...]:
    return (
        *one.middle_mm, one.axis, one.departure_mm, *one.from_mm, *one.to_mm, *one.gap_at_mm,
    )  # fmt: skip
