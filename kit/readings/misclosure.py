"""Misclosures in plain words: what can be checked by hand, before any adjustment.

Two set-ups that share several points must find the same difference between their lines of sight
at each of them. Going round three or more set-ups, from shared point to shared point, one must
come back to the height from which one started. A survey of heights counts as one set-up.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from kit.readings.closure import (
    Misclosure,
    range_quantile,
    round_words,
    told,
)
from kit.readings.cycles import cycle_basis
from kit.readings.doubt import TWO_SIDED_95
from kit.readings.equations import Floats, Whole
from kit.readings.remark import Remark
from kit.readings.survey import names_in_words

#: Kinds of readings that hang together by the station they are taken from.
_OF_STATIONS = ("staff", "heights", "grid", "scan")

#: A round of a smaller sd closes whatever was read: nobody reads so finely [mm].
CLOSES_MM = 1e-5

#: A point read from many set-ups compares each with this many following ones.
NEIGHBOURS = 8


@dataclass(frozen=True, eq=False)
class Shared:
    """What stations share, one entry a point and pair of stations, pair after pair.

    Parameters
    ----------
    stations, points : list of str
        Names for people.
    down_mm, variance_mm2, point : (means,) arrays
        For each station and point: how far its line of sight is above the point, the variance of
        that, and the number of the point.
    mean_a, mean_b : (entries,) arrays of int
        The two means that are compared.
    station_a, station_b, start : (pairs,) arrays of int
        The two stations of a pair, and where its entries begin.
    """

    stations: list[str]
    points: list[str]
    down_mm: Floats
    variance_mm2: Floats
    point: Whole
    mean_a: Whole
    mean_b: Whole
    station_a: Whole
    station_b: Whole
    start: Whole

    @cached_property
    def ends(self) -> Whole:
        """Where the entries of each pair end."""
        return np.append(self.start[1:], len(self.mean_a))

    @cached_property
    def variance_of_difference(self) -> Floats:
        """Of each entry [mm²]."""
        return np.asarray(self.variance_mm2[self.mean_a] + self.variance_mm2[self.mean_b])


def misclosure_remarks(rows: pd.DataFrame) -> tuple[Remark, ...]:
    """Return sentences on how well set-ups and surveys that share points agree.

    Parameters
    ----------
    rows : DataFrame
        ``Readings.rows``.

    Returns
    -------
    tuple of Remark
        Empty where nothing is shared. "Expected within" is what 95 of 100 comparisons stay
        within if every reading has its stated sd: 1.96 sd of a round, and for the spread of k
        differences the 95 % point of the range of k normal values. What is beyond is a caution;
        of more than 6, where some are beyond by chance, what is beyond 1.68 times that.
    """
    held = rows[rows["kind"].isin(_OF_STATIONS)]
    if held.empty:
        return ()
    shared = _shared(held)
    if not len(shared.start):
        return ()
    pairs = told(list(_pairs(shared)), "pairs of set-ups that share two points or more")
    return (*pairs, *told(list(_rounds(shared)), "rounds of set-ups"))


def _shared(rows: pd.DataFrame) -> Shared:
    station, station_names = _numbered(rows["station"], rows["station_name"])
    point, point_names = _numbered(rows["point"], rows["point"])
    down = np.where(rows["kind"] == "staff", rows["observed_mm"], -rows["observed_mm"])
    weight = rows["sd_mm"].to_numpy(dtype=float) ** -2.0
    # One mean for each station and point, those of a point side by side.
    key, mean = np.unique(point * len(station_names) + station, return_inverse=True)
    sums = np.bincount(mean, weight)
    at_point, at_station = key // len(station_names), key % len(station_names)
    one, other = _side_by_side(at_point)
    pair = at_station[one] * len(station_names) + at_station[other]
    order = np.argsort(pair, kind="stable")
    pairs, start = np.unique(pair[order], return_index=True)
    return Shared(
        station_names,
        point_names,
        np.bincount(mean, weight * down) / sums,
        1 / sums,
        at_point,
        one[order],
        other[order],
        pairs // len(station_names),
        pairs % len(station_names),
        start,
    )


def _numbered(keys: pd.Series[str], names: pd.Series[str]) -> tuple[Whole, list[str]]:
    number, _ = pd.factorize(keys)
    _, first = np.unique(number, return_index=True)
    return number.astype(np.int64), names.iloc[first].tolist()


def _side_by_side(point: Whole) -> tuple[Whole, Whole]:
    """Return which means belong to one point, each with its next few."""
    count = len(point)
    steps = [np.zeros(0, dtype=np.int64)]
    steps += [
        np.flatnonzero(point[:-k] == point[k:]) for k in range(1, min(NEIGHBOURS, count - 1) + 1)
    ]
    one = np.concatenate(steps)
    return one, np.concatenate([found + k for k, found in enumerate(steps)])


def _pairs(shared: Shared) -> Iterator[Misclosure]:
    difference = shared.down_mm[shared.mean_a] - shared.down_mm[shared.mean_b]
    highest = np.maximum.reduceat(difference, shared.start)
    lowest = np.minimum.reduceat(difference, shared.start)
    counts = shared.ends - shared.start
    variance = np.add.reduceat(shared.variance_of_difference, shared.start) / counts
    factors = {k: range_quantile(0.95, k) for k in set(counts.tolist()) - {1}}
    for i in np.flatnonzero(counts > 1).tolist():
        expected = factors[int(counts[i])] * float(np.sqrt(variance[i]))
        yield Misclosure(_PairWords(shared, i), float(highest[i] - lowest[i]), expected)


@dataclass(frozen=True)
class _PairWords:
    shared: Shared
    pair: int

    def __call__(self) -> str:
        shared, i = self.shared, self.pair
        entries = shared.mean_a[shared.start[i] : shared.ends[i]]
        points = names_in_words([shared.points[p] for p in shared.point[entries].tolist()])
        one, other = shared.stations[shared.station_a[i]], shared.stations[shared.station_b[i]]
        return f"{one} and {other} share {points}: differences spread"


@dataclass(frozen=True)
class _RoundWords:
    shared: Shared
    path: list[int]

    def __call__(self) -> str:
        return round_words([self.shared.stations[i] for i in (*self.path, self.path[0])])


def _rounds(shared: Shared) -> Iterator[Misclosure]:
    """Yield each of the short rounds of three or more stations that all others are made of."""
    ends = list(zip(shared.station_a.tolist(), shared.station_b.tolist(), strict=True))
    pair = {tie: i for i, tie in enumerate(ends)}
    shares = 1 / shared.variance_of_difference
    total = np.add.reduceat(shares, shared.start)
    shares = shares / np.repeat(total, shared.ends - shared.start)
    for cycle in cycle_basis(len(shared.stations), ends):
        path = list(cycle.nodes)
        means, factors = _around(path, pair, shared, shares)
        sd = float(np.sqrt(np.sum(factors**2 * shared.variance_mm2[means])))
        # A round about points that all its stations read closes by itself, but for rounding.
        if sd > CLOSES_MM:
            value = abs(float(factors @ shared.down_mm[means]))
            yield Misclosure(_RoundWords(shared, path), value, TWO_SIDED_95 * sd)


def _around(
    path: list[int], pair: Mapping[tuple[int, int], int], shared: Shared, shares: Floats
) -> tuple[Whole, Floats]:
    """Return which means a round uses and what each counts for; what cancels counts for 0."""
    means, factors = [], []
    for one, other in zip(path, path[1:] + path[:1], strict=True):
        sign = 1.0 if (one, other) in pair else -1.0
        i = pair[(one, other) if sign > 0 else (other, one)]
        entries = slice(int(shared.start[i]), int(shared.ends[i]))
        means += [shared.mean_a[entries], shared.mean_b[entries]]
        factors += [sign * shares[entries], -sign * shares[entries]]
    unique, inverse = np.unique(np.concatenate(means), return_inverse=True)
    return unique, np.asarray(np.bincount(inverse, np.concatenate(factors)), dtype=float)
