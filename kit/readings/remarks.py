"""Plain sentences that go with adjusted heights: datum, checks, repeats."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from types import MappingProxyType

import numpy as np
import pandas as pd
from scipy.spatial import cKDTree

from kit.readings.doubt import GLOBAL_TEST_LEVEL
from kit.readings.equations import Whole
from kit.readings.further import Further
from kit.readings.least_squares import UNCHECKED, Solution
from kit.readings.remark import Remark
from kit.readings.slips import LIMIT
from kit.readings.survey import SAME_PLACE_MM, names_in_words

#: Remarks of one sort that are told one by one.
MOST_TOLD = 6

#: What a slip is called in readings of a kind.
_UNSEEN = MappingProxyType(
    {
        "staff": "a misread staff",
        "level": "a packer miscounted under the level",
        "straightedge": "a misread gap",
    }
)


def remarks(
    rows: pd.DataFrame,
    places: pd.DataFrame,
    solution: Solution,
    benchmark: str | None,
    test: tuple[float, float],
    further: Further,
) -> Iterator[Remark]:
    """Yield what a person must know about the heights beside the numbers.

    Parameters
    ----------
    rows, places : DataFrame
        ``Readings.rows`` and ``Readings.places``.
    solution : Solution
        The adjustment.
    benchmark : str or None
        The point whose height is known.
    test : (sigma0, p)
        Of the global test; nan where nothing can be tested.
    further : Further
        What a further reading would check.
    """
    yield Remark(_datum(places, solution, benchmark))
    yield from map(Remark, _offsets(rows, solution))
    yield from _checks(rows, solution, benchmark, further)
    yield from _fit(*test)
    yield from map(Remark, _chance(solution))
    yield from map(Remark, _repeats(rows))
    yield from _coincidences(places, solution)


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


def _checks(
    rows: pd.DataFrame, solution: Solution, benchmark: str | None, further: Further
) -> Iterator[Remark]:
    unchecked = solution.redundancy_numbers <= UNCHECKED
    scanned = (rows["kind"] == "scan").to_numpy(dtype=bool)
    if scanned.all():
        yield Remark(
            "Nothing checks the scan: read three points or more in it with a staff or a level,"
            " well apart, or scan it again from elsewhere.",
            caution=True,
        )
        return
    # A cell is what thousands of points agree on; what ties the scan to the others is checked.
    rows, unchecked = rows[~scanned], unchecked[~scanned]
    others = (rows["point"] != benchmark).to_numpy(dtype=bool) | (rows["start"] != "").to_numpy()
    if solution.degrees_of_freedom == 0 or unchecked[others].all():
        said = _nothing_checked(set(rows["kind"])) + further.checks_most()
        yield Remark(said, caution=True)
    elif unchecked.any():
        points = list(dict.fromkeys(rows["point"][unchecked]))
        yield Remark(
            f"{int(unchecked.sum())} of {len(rows)} readings are checked by no other; a slip there"
            f" would go unseen: points {names_in_words(points)}.{further.checks_most()}"
        )


def _nothing_checked(kinds: set[str]) -> str:
    slips = [slip for kind, slip in _UNSEEN.items() if kind in kinds]
    slips += ["a wrong height in a table"] if kinds & {"heights", "grid"} else []
    return f"No reading can be checked by another: {' or '.join(slips)} would go unseen."


def _fit(sigma0: float, p: float) -> Iterator[Remark]:
    if p < GLOBAL_TEST_LEVEL:
        yield Remark(
            f"The readings agree less well than their sd allows (sigma0 {sigma0:.2f}, global test"
            f" p {p:.2g}, upper tail of chi-square): a reading is wrong, or the stated sd is too"
            " small.",
            caution=True,
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
    same = ["station", "start", "point", "turned", "observed_mm", "x_mm", "y_mm"]
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


def _coincidences(places: pd.DataFrame, solution: Solution) -> Iterator[Remark]:
    """Say which names stand at one place; a name is what ties readings, a place is not."""
    one, other = _pairs_at_one_place(places)
    names = places["point"].tolist()
    gap = abs(solution.values[one] - solution.values[other])
    # The rounding of a solution must not decide where a difference has no doubt.
    allowed = LIMIT * solution.difference_sd_mm(one, other) + 1e-6
    apart = gap > allowed
    # Those that differ first: they are what a person must look at.
    order = np.argsort(-gap / allowed, kind="stable")
    for k in order[:MOST_TOLD].tolist():
        pair = (
            f"{names[one[k]]} and {names[other[k]]} stand at one place and are kept as two points"
        )
        if apart[k]:
            yield Remark(
                f"{pair}, but their heights differ by {gap[k]:.1f} mm, where their sd allow"
                f" {allowed[k]:.1f} mm: a reading, a name or a place is wrong.",
                caution=True,
            )
        else:
            yield Remark(f"{pair}.")
    if len(order) > MOST_TOLD:
        differ = int(apart[order[MOST_TOLD:]].sum())
        tail = f"; the heights of {differ} of them differ beyond their sd" if differ else ""
        yield Remark(
            f"{len(order) - MOST_TOLD} more pairs of points stand at one place{tail}.",
            caution=differ > 0,
        )


def _pairs_at_one_place(places: pd.DataFrame) -> tuple[Whole, Whole]:
    xy = places[["x_mm", "y_mm"]].to_numpy(dtype=float)
    found = cKDTree(xy).query(xy, k=2)
    distance, nearest = np.asarray(found[0]), np.asarray(found[1])
    own = nearest[:, 1] == np.arange(len(xy))
    other = np.where(own, nearest[:, 0], nearest[:, 1])
    close = np.flatnonzero(distance[:, 1] <= SAME_PLACE_MM)
    pairs = np.sort(np.column_stack([close, other[close]]), axis=1)
    unique = np.unique(pairs.reshape(-1, 2), axis=0).astype(np.int64)
    return unique[:, 0], unique[:, 1]
