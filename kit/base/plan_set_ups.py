"""How the places of a reading plan are shared out to set-ups."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
import pandas as pd

from kit.base.runs import Floats

#: Places that neighbouring set-ups share at least, so that a slip in one of them shows.
TIES = 3

#: What a second round of set-ups reads again: ends and middle of each line, the places of all
#: supports, or everything.
Again = Literal["ends", "supports", "all"]


def _again(points: pd.DataFrame, again: Again) -> set[int]:
    """Return the places that are read a second time."""
    if again == "all":
        return set(range(len(points)))
    if again == "supports":
        return set(np.flatnonzero(points["why"].str.contains("support")).tolist())
    found: set[int] = set()
    for of_line in points.groupby("line", sort=False).indices.values():
        found |= {int(of_line[0]), int(of_line[len(of_line) // 2]), int(of_line[-1])}
    return found


def set_ups(points: pd.DataFrame, farthest_sight_mm: float, again: Again) -> list[list[int]]:
    """Return which places each set-up reads, in the order of walking.

    The floor is cut across its length into stretches that one set-up can see; neighbours share
    the places nearest to the cut. A second round of set-ups reads again what is to be read twice;
    the very first place closes the first set-up, to show whether the stand has moved.

    Parameters
    ----------
    points : DataFrame
        Places in the order of walking: x_mm, y_mm, line, why.
    farthest_sight_mm : float
        Longest sight of the instrument [mm].
    again : {"ends", "supports", "all"}
        What the second round reads.

    Returns
    -------
    list of list of int
        Row numbers of ``points``, one list a set-up.

    Notes
    -----
    Common practice, no source.
    """
    place = points[["x_mm", "y_mm"]].to_numpy(dtype=float)
    along = _along(place)
    reach = _reach(place, along, farthest_sight_mm)
    stretches = max(1, math.ceil(float(np.ptp(along)) / (2 * reach)))
    cuts = np.linspace(along.min(), along.max(), stretches + 1)
    within = np.clip(np.searchsorted(cuts, along, side="right") - 1, 0, stretches - 1)
    setups = [set(np.flatnonzero(within == i).tolist()) for i in range(stretches)]
    twice = _again(points, again)
    for i, cut in enumerate(cuts[1:-1]):
        near = set(np.argsort(abs(along - cut), kind="stable")[:TIES].tolist())
        twice |= near  # a stretch without ends or middles would be left with one reading or none
        setups[i] |= near
        setups[i + 1] |= near
    first_round = [sorted(numbers) for numbers in setups]
    second_round = [sorted(numbers & twice) for numbers in setups]
    return [[*first_round[0], first_round[0][0]], *first_round[1:], *second_round]


def _reach(place: Floats, along: Floats, sight: float) -> float:
    """Return how far along the floor a set-up in its middle sees both its edges [mm]."""
    middle = place - place.mean(axis=0)
    across = np.sqrt(np.maximum(np.sum(middle**2, axis=1) - along**2, 0.0)).max()
    return float(np.sqrt(max(sight**2 - across**2, (sight / 2) ** 2)))


def _along(place: Floats) -> Floats:
    """Return how far each place lies along the floor's longer direction [mm]."""
    middle = place - place.mean(axis=0)
    return np.asarray(middle @ np.linalg.svd(middle, full_matrices=False)[2][0])
