"""The net of a survey as it is drawn: where set-ups stand, what they share, which rounds miss."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from kit.ink.table import records
from kit.readings import Heights
from kit.readings.ties import Net

Place = tuple[float, float]


@dataclass(frozen=True)
class Weak:
    """A part that hangs on one point: the point, and pairs of set-ups of which it is the tie."""

    point: str
    pairs: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Round:
    """A round that misses by more than expected; its number is its row in `Heights.loops`."""

    number: int
    words: str
    nodes: tuple[str, ...]
    misclosure_mm: float
    expected_mm: float


@dataclass(frozen=True)
class Network:
    """The net of a survey.

    Parameters
    ----------
    points, setups : dict of str to (float, float)
        Places of points, and the mean of the points of each set-up [mm].
    reads : dict of str to int
        How many points each set-up reads.
    shared : dict of (str, str) to int
        How many points two set-ups share, where they do.
    weak : tuple of Weak
        What hangs on one point.
    rounds : int
        How many rounds close.
    beyond : tuple of Round
        Those further out than expected, the worst first.
    """

    points: dict[str, Place]
    setups: dict[str, Place]
    reads: dict[str, int]
    shared: dict[tuple[str, str], int]
    weak: tuple[Weak, ...]
    rounds: int
    beyond: tuple[Round, ...]

    def place(self, node: str) -> Place | tuple[()]:
        """Return the place of a set-up or a point; nothing where it has none."""
        return self.setups.get(node) or self.points.get(node) or ()

    @property
    def tie_places(self) -> dict[str, Place]:
        """Places of the points that something hangs on [mm]."""
        return {one.point: self.points[one.point] for one in self.weak if one.point in self.points}

    def weak_lines(self) -> Iterator[tuple[Place, Place]]:
        """Yield what joins weak parts to the rest, from set-up to point, once each [mm]."""
        found = (
            (name, one.point)
            for one in self.weak
            if one.point in self.points
            for pair in one.pairs
            for name in pair
        )
        for name, point in dict.fromkeys(found):
            yield self.setups[name], self.points[point]

    def middle(self, one: Round) -> Place:
        """Return the middle of the places of a round [mm]."""
        places = np.array([place for place in map(self.place, one.nodes[1:]) if place])
        x, y = places.mean(axis=0).tolist()
        return x, y


def network(heights: Heights) -> Network:
    """Return the net of a survey.

    Parameters
    ----------
    heights : Heights
        From the adjustment. Points without a place, and set-ups that read none with a place, are
        left out; so are lines of a spirit level and placements of a straight edge, which stand
        nowhere.
    """
    net = heights.weak_ties.net
    names = net.places["point"].tolist()
    at = net.places[["x_mm", "y_mm"]].to_numpy(dtype=float)
    placed = np.isfinite(at).all(axis=1)
    points = {n: (float(x), float(y)) for n, (x, y), known in zip(names, at, placed, strict=True)
              if known}  # fmt: skip
    drawn = [n for n, kind in enumerate(net.kinds) if kind not in ("level", "straightedge")]
    read = {n: np.unique(net.point[net.station == n]) for n in drawn}
    read = {n: held for n, held in read.items() if placed[held].any()}
    means = {n: at[held][placed[held]].mean(axis=0) for n, held in read.items()}
    setups = {net.names[n]: (float(x), float(y)) for n, (x, y) in means.items()}
    return Network(
        points,
        setups,
        {net.names[n]: len(held) for n, held in read.items()},
        dict(_shared(net, read)),
        tuple(_weak(heights, net, set(read))),
        len(heights.loops),
        tuple(_beyond(heights, {*points, *net.names})),
    )


def _shared(
    net: Net, read: dict[int, np.ndarray[tuple[int, ...], np.dtype[np.int64]]]
) -> Iterator[tuple[tuple[str, str], int]]:
    for (one, its), (other, others) in combinations(read.items(), 2):
        count = len(np.intersect1d(its, others, assume_unique=True))
        if count:
            yield (net.names[one], net.names[other]), count


def _weak(heights: Heights, net: Net, drawn: set[int]) -> Iterator[Weak]:
    for tie in heights.weak_ties.ties:
        beside = drawn & set(net.station[net.point == tie.point].tolist())
        pairs = tuple(
            (net.names[one], net.names[other])
            for one in sorted(beside & set(tie.stations.tolist()))
            for other in sorted(beside & set(tie.others.tolist()))
        )
        if pairs:
            yield Weak(str(net.places["point"].iloc[tie.point]), pairs)


def _beyond(heights: Heights, known: set[str]) -> Iterator[Round]:
    for number, one in enumerate(records(heights.loops), start=1):
        if one["beyond"]:
            nodes = tuple(nodes_of(one["round"].split("-"), known))
            figures = float(one["misclosure_mm"]), float(one["expected_within_mm"])
            yield Round(number, str(one["round"]), nodes, *figures)


def nodes_of(parts: Sequence[str], known: set[str]) -> list[str]:
    """Return the names that a round goes through; a name may hold a dash itself.

    Parameters
    ----------
    parts : sequence of str
        The round's words, parted at every dash.
    known : set of str
        Names of set-ups and points.

    Returns
    -------
    list of str
        Empty where the words are not made of known names.

    Examples
    --------
    >>> nodes_of("S1-A-B1-S1".split("-"), {"S1", "A-B1", "B1"})
    ['S1', 'A-B1', 'S1']
    """
    # ways[n] is how the first n parts can be read, longer names first.
    ways: list[list[str]] = [[]]
    readable = [True]
    for end in range(1, len(parts) + 1):
        starts = [
            start for start in range(end) if readable[start] and "-".join(parts[start:end]) in known
        ]
        readable.append(bool(starts))
        name = "-".join(parts[starts[0] : end]) if starts else ""
        ways.append([*ways[starts[0]], name] if starts else [])
    return ways[-1]
