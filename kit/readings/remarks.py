"""Plain sentences that go with adjusted heights: datum, checks, repeats."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

import numpy as np
import pandas as pd
from scipy.spatial import cKDTree

from kit.readings.least_squares import UNCHECKED, Solution
from kit.readings.survey import SAME_PLACE_MM, names_in_words

#: The global test rejects below this probability.
LEVEL = 0.05

#: Remarks of one sort that are told one by one.
MOST_TOLD = 6


def remarks(
    rows: pd.DataFrame,
    places: pd.DataFrame,
    solution: Solution,
    benchmark: str | None,
    sigma0: float,
    p: float,
) -> Iterator[str]:
    """Yield what a person must know about the heights beside the numbers.

    Parameters
    ----------
    rows, places : DataFrame
        ``Readings.rows`` and ``Readings.places``.
    solution : Solution
        The adjustment.
    benchmark : str or None
        The point whose height is known.
    sigma0, p : float
        Of the global test; nan where nothing can be tested.
    """
    yield _datum(places, solution, benchmark)
    yield from _offsets(rows, solution)
    yield from _checks(rows, solution, benchmark)
    yield from _fit(sigma0, p)
    yield from _chance(solution)
    yield from _repeats(rows)
    yield from _coincidences(places)


def _datum(places: pd.DataFrame, solution: Solution, benchmark: str | None) -> str:
    height = solution.values[: len(places)]
    if benchmark is not None:
        fixed = height[int(np.flatnonzero(places["point"] == benchmark)[0])]
        return (
            f"Heights are above the benchmark's zero: {benchmark} is fixed at {fixed:g} mm, sd 0."
        )
    highest = places["point"].iloc[int(np.argmax(height))]
    return (
        f"No benchmark is named: the highest adjusted point, {highest}, is set to 0;"
        " each sd is relative to the mean of all heights."
    )


def _offsets(rows: pd.DataFrame, solution: Solution) -> Iterator[str]:
    """Say which surveys of heights were set to the others by their shared points."""
    model = solution.model
    names = dict(zip(rows["station"], rows["station_name"], strict=True))
    offsets = [names[model.names[column]] for column in model.columns("offset")]
    if solution.free and len(model.columns("set-up")) + len(offsets) < 2:
        return
    for name in offsets:
        yield f"{name} has a datum of its own: its heights are set to the others by common points."


def _checks(rows: pd.DataFrame, solution: Solution, benchmark: str | None) -> Iterator[str]:
    unchecked = solution.redundancy_numbers <= UNCHECKED
    others = (rows["point"] != benchmark).to_numpy(dtype=bool)
    if solution.degrees_of_freedom == 0 or unchecked[others].all():
        yield "No reading can be checked by another: a slip of any size would go unseen."
    elif unchecked.any():
        points = list(dict.fromkeys(rows["point"][unchecked]))
        yield (
            f"{int(unchecked.sum())} of {len(rows)} readings are checked by no other; a slip there"
            f" would go unseen: points {names_in_words(points)}."
        )


def _fit(sigma0: float, p: float) -> Iterator[str]:
    if p < LEVEL:
        yield (
            f"The readings agree less well than their sd allows (sigma0 {sigma0:.2f}, global test"
            f" p {p:.2g}): a reading is wrong, or the stated sd is too small."
        )


def _chance(solution: Solution) -> Iterator[str]:
    """Say how many readings pass the limit for w by chance, where it is one or more."""
    checked = int((solution.redundancy_numbers > UNCHECKED).sum())
    if checked >= 1000:
        yield (
            f"Of {checked} readings that are checked, about {checked / 1000:.0f} look suspect by"
            " chance alone (1 in 1000)."
        )


def _repeats(rows: pd.DataFrame) -> Iterator[str]:
    same = ["station", "point", "observed_mm", "x_mm", "y_mm"]
    groups = rows[rows.duplicated(same, keep=False)].groupby(same, sort=False)
    told = [_repeat(group) for _, group in islice(groups, MOST_TOLD)]
    yield from told
    if groups.ngroups > len(told):
        yield f"{groups.ngroups - len(told)} more readings stand more than once in the same way."


def _repeat(group: pd.DataFrame) -> str:
    where = [f"{s} row {r}" for s, r in zip(group["survey"], group["row"], strict=True)]
    return (
        f"The same reading of point {group['point'].iloc[0]} stands {len(group)} times and"
        f" counts each time: {names_in_words(where)}."
    )


def _coincidences(places: pd.DataFrame) -> Iterator[str]:
    """Say which names stand at one place; a name is what ties readings, a place is not."""
    xy = places[["x_mm", "y_mm"]].to_numpy(dtype=float)
    found = cKDTree(xy).query(xy, k=2)
    distance, nearest = np.asarray(found[0]), np.asarray(found[1])
    own = nearest[:, 1] == np.arange(len(xy))
    other = np.where(own, nearest[:, 0], nearest[:, 1])
    close = np.flatnonzero(distance[:, 1] <= SAME_PLACE_MM)
    pairs = list(
        dict.fromkeys((min(i, j), max(i, j)) for i, j in zip(close, other[close], strict=True))
    )
    names = places["point"].tolist()
    for i, j in pairs[:MOST_TOLD]:
        yield f"{names[i]} and {names[j]} stand at one place and are kept as two points."
    if len(pairs) > MOST_TOLD:
        yield f"{len(pairs) - MOST_TOLD} more pairs of points stand at one place."
