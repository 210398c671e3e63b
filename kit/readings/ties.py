"""What a part of a survey hangs on: points that alone tie set-ups to the rest.

Two parts of a survey that share one point only are set to each other by it. Where that point is
read once from one of them, a slip there moves the whole part, and nothing shows it: in the graph
of set-ups and points the reading is a bridge. Where it is read several times from both, no reading
is in doubt, but the point itself is: it is a cut point of the graph, and if it was touched between
two set-ups nothing shows that either.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from kit.readings.equations import Whole


@dataclass(frozen=True, eq=False)
class Tie:
    """One point that alone ties a part of a survey to the rest.

    Parameters
    ----------
    point : int
        Number of the point.
    stations, others : array of int
        Set-ups of the part, and those of the rest; a level's line counts as one.
    points, beyond : array of int
        Points of the part, and those of the rest, the tie left out.
    unchecked : bool
        Whether the part, or the rest, reads the point just once.
    """

    point: int
    stations: Whole
    others: Whole
    points: Whole
    beyond: Whole
    unchecked: bool


@dataclass(frozen=True, eq=False)
class Net:
    """Set-ups, placements and tables of heights, and a level's lines; and the points they read.

    Parameters
    ----------
    rows, places : DataFrame
        ``Readings.rows`` and ``Readings.places``.
    station, point : (readings,) arrays of int
        What each reading joins; of a level's reading both ends stand here, one after the other.
    row : (readings,) array of int
        Which reading.
    names, kinds : list of str
        Of the stations.
    """

    rows: pd.DataFrame
    places: pd.DataFrame
    station: Whole
    point: Whole
    row: Whole
    names: list[str]
    kinds: list[str]

    def number_of(self, point: str | None) -> int:
        """Return the number of a point; -1 for none."""
        found = np.flatnonzero((self.places["point"] == point).to_numpy(dtype=bool))
        return int(found[0]) if len(found) else -1

    @classmethod
    def of(cls, rows: pd.DataFrame, places: pd.DataFrame) -> Net:
        """Return the net of some readings."""
        number = {name: i for i, name in enumerate(places["point"].tolist())}
        level = (rows["kind"] == "level").to_numpy()
        lines = [
            "\n".join(sorted(ends))
            for ends in zip(rows["start"][level], rows["point"][level], strict=True)
        ]
        key = rows["station"].to_numpy(dtype=object).copy()
        key[level] = lines
        name = rows["station_name"].to_numpy(dtype=object).copy()
        name[level] = [f"the line {' to '.join(line.split(chr(10)))}" for line in lines]
        station, _ = pd.factorize(pd.Series(key) + "\n" + rows["kind"].where(level, ""))
        _, first = np.unique(station, return_index=True)
        at = np.flatnonzero(level)
        points = [*rows["point"].map(number), *rows["start"].iloc[at].map(number)]
        return cls(
            rows,
            places,
            np.concatenate([station, station[at]]).astype(np.int64),
            np.array(points, dtype=np.int64),
            np.concatenate([np.arange(len(rows)), at]),
            name[first].tolist(),
            rows["kind"].iloc[first].tolist(),
        )


def find_ties(net: Net, benchmark: str | None) -> list[Tie]:
    """Return the points that alone tie a part to the rest, the largest part first.

    The rest is what holds the benchmark or, without one, the most points. A part that is a single
    line of a level with one point at its end is left out: that reading is unchecked, and told so.
    """
    count, stations = len(net.places), len(net.names)
    stations_of, points_of = np.divmod(np.unique(net.station * count + net.point), count)
    shared = np.bincount(points_of, minlength=count) > 1
    near: list[list[int]] = [[] for _ in range(stations + count)]
    alone: list[list[int]] = [[] for _ in range(stations)]
    for station, point in zip(stations_of.tolist(), points_of.tolist(), strict=True):
        if shared[point]:
            near[station].append(stations + point)
            near[stations + point].append(station)
        else:
            alone[station].append(point)
    home = net.number_of(benchmark)
    found = [
        tie
        for node in _cut_points(near, stations)
        for tie in _ties_at(net, near, alone, node, home)
    ]
    return sorted(found, key=lambda tie: (-len(tie.points), tie.point))


def _cut_points(near: Sequence[Sequence[int]], stations: int) -> list[int]:
    """Return the points without which their net falls apart, by depth-first search [1].

    References
    ----------
    .. [1] Hopcroft, J. and Tarjan, R., Algorithm 447, Comm. ACM 16 (1973) (from memory).
    """
    order = [-1] * len(near)
    low = [0] * len(near)
    cut: set[int] = set()
    clock = 0
    for root in range(stations):
        if order[root] >= 0:
            continue
        stack = [(root, -1, iter(near[root]))]
        order[root] = low[root] = clock
        while stack:
            node, before, rest = stack[-1]
            other = next(rest, -1)
            if other < 0:
                stack.pop()
                low[before] = min(low[before], low[node])
                if before >= stations and low[node] >= order[before]:
                    cut.add(before)
            elif order[other] < 0:
                clock += 1
                order[other] = low[other] = clock
                stack.append((other, node, iter(near[other])))
            elif other != before:
                low[node] = min(low[node], order[other])
        clock += 1
    return sorted(cut)


def _ties_at(
    net: Net,
    near: Sequence[Sequence[int]],
    alone: Sequence[Sequence[int]],
    node: int,
    home: int,
) -> Iterator[Tie]:
    """Yield what hangs on one point: all that falls off without it, but the rest."""
    stations = len(net.names)
    parts = [_Side.of(part, alone, stations) for part in _parts_without(near, node)]
    held = [home in part.points for part in parts]
    main = held.index(True) if any(held) else int(np.argmax([len(part.points) for part in parts]))
    rest, here = parts[main], net.station[net.point == node - stations]
    for part in (*parts[:main], *parts[main + 1 :]):
        level = all(net.kinds[station] == "level" for station in part.stations.tolist())
        if len(part.points) <= level or not len(rest.points):
            continue
        reads = min(int(np.isin(here, side.stations).sum()) for side in (part, rest))
        yield Tie(
            node - stations, part.stations, rest.stations, part.points, rest.points, reads < 2
        )


@dataclass(frozen=True, eq=False)
class _Side:
    stations: Whole
    points: Whole

    @classmethod
    def of(cls, nodes: Sequence[int], alone: Sequence[Sequence[int]], stations: int) -> _Side:
        """Return the stations and all points of a part, those that one of them reads alone too."""
        own = sorted(node for node in nodes if node < stations)
        points = [node - stations for node in nodes if node >= stations]
        points += [point for station in own for point in alone[station]]
        return cls(np.array(own, dtype=np.int64), np.array(sorted(points), dtype=np.int64))


def _parts_without(near: Sequence[Sequence[int]], gone: int) -> Iterator[list[int]]:
    """Yield the nodes of each part that is left about a node when it is taken out."""
    seen = {gone}
    for start in near[gone]:
        if start in seen:
            continue
        seen.add(start)
        part = [start]
        for node in part:
            new = [other for other in near[node] if other not in seen]
            seen.update(new)
            part += new
        yield part
