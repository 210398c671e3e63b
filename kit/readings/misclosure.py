"""Misclosures in plain words: what can be checked by hand, before any adjustment.

Two set-ups that share several points must find the same difference between their lines of sight
at each of them. Going round three or more set-ups, from shared point to shared point, one must
come back to the height from which one started.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy import sparse
from scipy.stats import studentized_range

from kit.readings.survey import names_in_words

#: Misclosures of one sort that are told one by one; of more, only the worst.
MOST_TOLD = 6

#: A point read from many set-ups compares each with this many following ones.
NEIGHBOURS = 8

#: Two-sided 5 % of the normal distribution.
TWO_SIDED_95 = 1.96


@dataclass(frozen=True)
class Misclosure:
    """One comparison: what it is, what came out, and what 19 in 20 stay within [mm]."""

    words: str
    value_mm: float
    expected_mm: float

    @property
    def ratio(self) -> float:
        """What came out, as a share of what is expected."""
        return self.value_mm / self.expected_mm

    def __str__(self) -> str:
        return f"{self.words} {self.value_mm:.1f} mm, expected within {self.expected_mm:.1f} mm"


def misclosure_notes(rows: pd.DataFrame) -> tuple[str, ...]:
    """Return sentences on how well set-ups and surveys that share points agree.

    Parameters
    ----------
    rows : DataFrame
        ``Readings.rows``.

    Returns
    -------
    tuple of str
        Empty where nothing is shared. "Expected within" is what 95 of 100 comparisons stay
        within if every reading has its stated sd.
    """
    means = _means(rows)
    shared = _shared(means)
    if not len(shared):
        return ()
    names = dict(zip(rows["station"], rows["station_name"], strict=True))
    pairs = list(_pairs(shared, names))
    rounds = list(_rounds(means, shared, names))
    return (
        *_told(pairs, "pairs of set-ups that share two points or more"),
        *_told(rounds, "rounds of set-ups"),
    )


def _told(found: list[Misclosure], what: str) -> Iterator[str]:
    worst = sorted(found, key=lambda m: -m.ratio)
    if len(found) <= MOST_TOLD:
        yield from (f"{m}." for m in found)
        return
    beyond = [m for m in worst if m.ratio > 1]
    yield (
        f"{len(found)} {what}: {len(found) - len(beyond)} within what is expected of 19 in 20,"
        f" {len(beyond)} beyond; the worst: {worst[0]}."
    )
    yield from (f"{m}." for m in beyond[1:MOST_TOLD])


def _means(rows: pd.DataFrame) -> pd.DataFrame:
    """Return one line a station and point: how far its line of sight is above the point."""
    down = np.where(rows["kind"] == "staff", rows["observed_mm"], -rows["observed_mm"])
    weight = rows["sd_mm"] ** -2.0
    parts = pd.DataFrame(
        {
            "station": rows["station"],
            "point": rows["point"],
            "weight": weight,
            "weighted": down * weight,
        }
    )
    sums = parts.groupby(["station", "point"], sort=False, as_index=False).sum()
    sums["down"] = sums["weighted"] / sums["weight"]
    sums["variance"] = 1 / sums["weight"]
    sums["order"] = sums.groupby("point", sort=False).cumcount()
    return sums[["station", "point", "down", "variance", "order"]].rename_axis("mean").reset_index()


def _shared(means: pd.DataFrame) -> pd.DataFrame:
    """Return one line for each point that two stations share."""
    often = means[means.groupby("point")["mean"].transform("size") > 1]
    parts = []
    for step in range(1, NEIGHBOURS + 1):
        later = often.assign(order=often["order"] - step)
        parts.append(often.merge(later, on=["point", "order"], suffixes=("_a", "_b")))
    pairs = pd.concat(parts, ignore_index=True)
    # One order of the two stations, whichever of them read the point first.
    turned = pairs["station_a"] > pairs["station_b"]
    swapped = {
        f"{c}_{a}": f"{c}_{b}"
        for c in ("mean", "station", "down", "variance")
        for a, b in (("a", "b"), ("b", "a"))
    }
    pairs = pd.concat([pairs[~turned], pairs[turned].rename(columns=swapped)], ignore_index=True)
    pairs["difference"] = pairs["down_a"] - pairs["down_b"]
    pairs["variance"] = pairs["variance_a"] + pairs["variance_b"]
    return pairs.sort_values(["mean_a", "mean_b"], ignore_index=True)


def _pairs(shared: pd.DataFrame, names: dict[str, str]) -> Iterator[Misclosure]:
    factors: dict[int, float] = {}
    for (one, other), group in shared.groupby(["station_a", "station_b"], sort=False):
        count = len(group)
        if count < 2:
            continue
        if count not in factors:
            factors[count] = float(studentized_range.ppf(0.95, count, np.inf))
        spread = float(group["difference"].max() - group["difference"].min())
        expected = factors[count] * float(np.sqrt(group["variance"].mean()))
        points = names_in_words(group["point"].tolist())
        words = f"{names[one]} and {names[other]} share {points}: differences spread"
        yield Misclosure(words, spread, expected)


def _rounds(
    means: pd.DataFrame, shared: pd.DataFrame, names: dict[str, str]
) -> Iterator[Misclosure]:
    """Yield each round of three or more stations that a spanning tree and one more tie close."""
    stations = list(dict.fromkeys(means["station"]))
    number = {station: i for i, station in enumerate(stations)}
    ties = _ties(shared, number)
    count = len(stations)
    ends = np.array(list(ties)).T
    graph = sparse.coo_array((np.ones(len(ties)), (ends[0], ends[1])), shape=(count, count))
    before: dict[int, int] = {}
    depth = {}
    for root in range(count):
        if root in depth:
            continue
        order, parent = sparse.csgraph.breadth_first_order(graph.tocsr(), root, directed=False)
        for node in order.tolist():
            before[node] = int(parent[node])
            depth[node] = depth[before[node]] + 1 if node != root else 0
    down, variance = means["down"].to_numpy(), means["variance"].to_numpy()
    for one, other in ties:
        if before[one] == other or before[other] == one:
            continue
        path = _path(one, other, before, depth)
        coefficients = _around(path, ties)
        at = np.array(list(coefficients))
        factor = np.array(list(coefficients.values()))
        sd = float(np.sqrt(np.sum(factor**2 * variance[at])))
        # A round about one point that all its stations read closes by itself.
        if sd > 1e-9:
            words = "round " + "-".join(names[stations[i]] for i in (*path, path[0])) + ":"
            yield Misclosure(words, abs(float(factor @ down[at])), TWO_SIDED_95 * sd)


Tie = list[tuple[int, int, float]]


def _ties(shared: pd.DataFrame, number: dict[str, int]) -> dict[tuple[int, int], Tie]:
    """Return for each two stations the readings at shared points, with the weight of each."""
    ties: dict[tuple[int, int], Tie] = {}
    for (one, other), group in shared.groupby(["station_a", "station_b"], sort=False):
        weight = 1 / group["variance"].to_numpy()
        share = (weight / weight.sum()).tolist()
        tie = list(zip(group["mean_a"].tolist(), group["mean_b"].tolist(), share, strict=True))
        ties[number[one], number[other]] = tie
    return ties


def _path(one: int, other: int, before: dict[int, int], depth: dict[int, int]) -> list[int]:
    left, right = [one], [other]
    while left[-1] != right[-1]:
        side = left if depth[left[-1]] >= depth[right[-1]] else right
        side.append(before[side[-1]])
    return left + right[-2::-1]


def _around(path: list[int], ties: dict[tuple[int, int], Tie]) -> dict[int, float]:
    """Return what each mean reading counts for in a round; by the sums a shared error cancels."""
    coefficients: dict[int, float] = {}
    for one, other in zip(path, path[1:] + path[:1], strict=True):
        sign = 1.0 if (one, other) in ties else -1.0
        for a, b, share in ties.get((one, other)) or ties[other, one]:
            coefficients[a] = coefficients.get(a, 0.0) + sign * share
            coefficients[b] = coefficients.get(b, 0.0) - sign * share
    return coefficients
