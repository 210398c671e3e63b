"""The profile to which a frame is cut so that it lies on the floor with its top level."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pandas as pd

from kit.base.checks import CLOSED_MM
from kit.base.datum import Bound
from kit.base.runs import Floats

#: The columns of a profile.
PROFILE = [
    "member", "along_mm", "x_mm", "y_mm", "depth_mm", "cut_mm", "floor_mm", "floor_sd_mm", "over",
]  # fmt: skip


@dataclass(frozen=True, eq=False)
class Ways:
    """From the floor up to the datum, at every place under a frame, before it is levelled.

    Parameters
    ----------
    floor_mm : array of shape (places,)
        Height of the floor, less the front lift there [mm].
    bridged : array of bool, shape (places,)
        Where the frame must clear a no-go area.
    clear_mm : float
        By how much it clears it [mm].
    """

    floor_mm: Floats
    bridged: np.ndarray[tuple[int], np.dtype[np.bool]]
    clear_mm: float

    @classmethod
    def under(
        cls, places: pd.DataFrame, height_mm: Floats, lift_mm: float, clear_mm: float
    ) -> Ways:
        """Return them from places with lift_share and over, and the floor there [mm]."""
        lifted = height_mm - lift_mm * places["lift_share"].to_numpy(dtype=float)
        return cls(lifted, places["over"].to_numpy() != "", clear_mm)

    @property
    def edge_mm(self) -> Floats:
        """Where the edge of the frame lies, less the front lift [mm]."""
        return self.floor_mm + self.clear_mm * self.bridged

    def highest(self) -> int:
        """Return the place where least is left of the frame."""
        return int(np.argmax(self.edge_mm))

    def left_mm(self, datum_mm: float) -> float:
        """Return the least depth that is left of a member at a level [mm]."""
        return datum_mm - float(self.edge_mm[self.highest()])

    def lowest(self) -> int:
        """Return the place where the frame reaches down furthest; it reaches into no area."""
        return int(np.argmin(np.where(self.bridged, math.inf, self.floor_mm)))

    def depth_mm(self, datum_mm: float) -> float:
        """Return the greatest depth that a member needs at a level [mm]."""
        return datum_mm - float(self.floor_mm[self.lowest()])


def deepest_bound(ways: Ways, places: pd.DataFrame, boards_mm: Iterable[float]) -> Bound:
    """Return how high the datum may lie so that the deepest board reaches the floor everywhere.

    Of the places bearer, own_x_mm and lies ("member" or "rung") are told.
    """
    deepest, at = max(boards_mm), ways.lowest()
    place = places.iloc[at]
    return Bound(
        float(ways.floor_mm[at]) + deepest,
        f"deepest board, {deepest:g} mm, over the lowest floor"
        f" ({place['lies']} {place['bearer']} at x = {place['own_x_mm']:.0f} mm)",
    )


def shallowest_board(
    boards_mm: Sequence[float], depth_mm: float, prices: Sequence[float]
) -> int | None:
    """Return the index of the shallowest board that is at least so deep; None where none is.

    Of equally deep ones it is the cheapest; one without a price, nan, comes after those.
    """
    enough = [index for index, mm in enumerate(boards_mm) if mm >= depth_mm - CLOSED_MM]
    dear = [math.inf if math.isnan(price) else price for price in prices]
    return min(enough, key=lambda index: (boards_mm[index], dear[index]), default=None)


def cut_profile(
    places: pd.DataFrame, datum_mm: float, lift_mm: float, board_mm: float, clear_mm: float
) -> pd.DataFrame:
    """Return what is left of the board along every member.

    Parameters
    ----------
    places : DataFrame
        member, along_mm, x_mm, y_mm, lift_share, over, floor_mm, floor_sd_mm; the floor nan where
        it was not surveyed.
    datum_mm, lift_mm : float
        Base top at the back row, and how much the front row is set high [mm].
    board_mm : float
        Depth of the board before it is cut [mm].
    clear_mm : float
        How far the frame clears the floor of a no-go area [mm].

    Returns
    -------
    DataFrame
        Columns of `PROFILE`: depth_mm is left of the board, cut_mm comes off its lower edge.

    Notes
    -----
    Eq. (1): depth = top - floor, top = datum + lift * share. Over a no-go area the frame is cut
    clear: Eq. (2): depth = min(board, top - floor - clear).
    """
    floor = places["floor_mm"].to_numpy(dtype=float)
    top = datum_mm + lift_mm * places["lift_share"].to_numpy(dtype=float)
    depth = top - floor  # Eq. (1)
    over = places["over"].to_numpy() != ""
    depth = np.where(over, np.minimum(board_mm, depth - clear_mm), depth)  # Eq. (2)
    return places.assign(depth_mm=depth, cut_mm=board_mm - depth)[PROFILE]


def scribe_table(profile: pd.DataFrame, board_mm: float) -> pd.DataFrame:
    """Sum a profile up, member by member.

    Parameters
    ----------
    profile : DataFrame
        From `cut_profile`.
    board_mm : float
        Depth of the board before it is cut [mm].

    Returns
    -------
    DataFrame
        member, length_mm, least_mm, greatest_mm, mean_mm (of the depth that is left),
        straight_gap_mm (see `straight_gap_mm`), remains_share (mean depth over the board's);
        nan where nothing of the floor under it was surveyed.
    """
    rows = []
    for member, of_member in profile.groupby("member", sort=False):
        along = of_member["along_mm"].to_numpy(dtype=float)
        depth = of_member["depth_mm"].to_numpy(dtype=float)
        touches = np.isfinite(depth) & (of_member["over"].to_numpy() == "")
        known = depth[np.isfinite(depth)]
        least, greatest = (known.min(), known.max()) if len(known) else (math.nan, math.nan)
        mean = mean_depth_mm(along, depth)
        gap = straight_gap_mm(along[touches], depth[touches])
        length = along[-1] - along[0]
        rows.append((member, length, least, greatest, mean, gap, mean / board_mm))
    columns = [
        "member", "length_mm", "least_mm", "greatest_mm", "mean_mm", "straight_gap_mm",
        "remains_share",
    ]  # fmt: skip
    return pd.DataFrame(rows, columns=columns)


def mean_depth_mm(along_mm: Floats, depth_mm: Floats) -> float:
    """Return the mean depth along a member, straight from place to place [mm].

    Stretches with an end that is not known are left out; nan where nothing is left.
    """
    middle, length = (depth_mm[1:] + depth_mm[:-1]) / 2, np.diff(along_mm)
    known = np.isfinite(middle)
    return float(np.average(middle[known], weights=length[known])) if known.any() else math.nan


def straight_gap_mm(along_mm: Floats, depth_mm: Floats) -> float:
    """Return how far a straight cut would miss a profile where it misses most.

    Parameters
    ----------
    along_mm, depth_mm : arrays of shape (n,)
        The profile, along ascending [mm].

    Returns
    -------
    float
        Greatest departure from the straight line that keeps it least [mm]; nan without a place.

    Notes
    -----
    The best line lies midway between two parallels that hold all places, one of them along an
    edge of their convex hull (from memory).

    Examples
    --------
    >>> straight_gap_mm(np.array([0.0, 100.0, 200.0]), np.array([30.0, 34.0, 30.0]))
    2.0
    """
    if len(along_mm) < 3:
        return 0.0 if len(along_mm) else math.nan
    widths = [
        float(_beyond(along_mm, sign * depth_mm, *edge).max())
        for sign in (1.0, -1.0)
        for edge in _lower_edges(along_mm, sign * depth_mm)
    ]
    return min(widths) / 2


def _beyond(x: Floats, y: Floats, a: int, b: int) -> Floats:
    """Return how far places lie above the line through two of them [mm]."""
    return np.asarray(y - y[a] - (x - x[a]) * (y[b] - y[a]) / (x[b] - x[a]), dtype=float)


def _lower_edges(x: Floats, y: Floats) -> Iterable[tuple[int, int]]:
    """Return the edges of the lower convex hull as pairs of indices."""
    hull: list[int] = []
    for at in range(len(x)):
        while len(hull) > 1:
            a, b = hull[-2], hull[-1]
            if (y[b] - y[a]) * (x[at] - x[a]) < (y[at] - y[a]) * (x[b] - x[a]):
                break
            hull.pop()
        hull.append(at)
    return pairwise(hull)
