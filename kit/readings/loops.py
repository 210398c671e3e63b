"""Rounds of a survey, each short, every independent one once: what can be checked by hand.

A round goes from a set-up to a point that it reads, on to another set-up that reads the point, and
so on until it comes back; with a spirit level, from point to point. Going down to a point and up
to the next set-up, the readings must add up to nothing. Repeats of one reading are their mean
here; a table of heights, a grid or a scan counts as one set-up. Straight edges close no round.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from kit.readings.cycles import Cycle, cycle_basis
from kit.readings.doubt import TWO_SIDED_95
from kit.readings.equations import Floats, Whole
from kit.readings.least_squares import Solution

#: Kinds whose readings go from a station to a point.
OF_STATIONS = ("staff", "heights", "grid", "scan")


@dataclass(frozen=True, eq=False)
class Steps:
    """What leads from node to node: means of readings that join the same two.

    Parameters
    ----------
    names : list of str
        Of the nodes, for people: stations first, then points.
    stations : int
        How many are stations.
    upper, lower : (steps,) arrays of int
        Which nodes.
    fall_mm, variance_mm2 : (steps,) arrays
        How far the lower one is below the upper one, and the variance of that.
    readings : list of array of int
        Which readings each is the mean of.
    """

    names: list[str]
    stations: int
    upper: Whole
    lower: Whole
    fall_mm: Floats
    variance_mm2: Floats
    readings: list[Whole]


def loops(rows: pd.DataFrame, solution: Solution) -> pd.DataFrame:
    """Return the rounds of a survey, the worst first.

    Parameters
    ----------
    rows : DataFrame
        ``Readings.rows``.
    solution : Solution
        The adjustment: a level's own error that it found, or that is known, is taken off first.

    Returns
    -------
    DataFrame
        ``round`` (names in order), ``misclosure_mm``, ``expected_within_mm`` (19 in 20 stay
        within it: 1.96 sd), ``beyond``, ``readings`` (tables and rows). Empty where nothing
        closes. Of staff readings there are as many as readings, repeats counted once, more than
        needed.
    """
    steps = _steps(rows, solution)
    where = list(zip(rows["survey"].tolist(), rows["row"].tolist(), strict=True))
    found = [_row(steps, cycle, where) for cycle in _cycles(steps)]
    columns = ["round", "misclosure_mm", "expected_within_mm", "beyond", "readings"]
    table = pd.DataFrame(found, columns=columns)
    ratio = table["misclosure_mm"] / table["expected_within_mm"]
    return table.iloc[np.argsort(-ratio.to_numpy(dtype=float), kind="stable")].reset_index(
        drop=True
    )


def _steps(rows: pd.DataFrame, solution: Solution) -> Steps:
    here = np.flatnonzero(rows["kind"].isin((*OF_STATIONS, "level")))
    held = rows.iloc[here]
    model = solution.model
    errors = model.columns("own error")
    fall = (model.observed_mm - model.design[:, errors] @ solution.values[errors])[here]
    kind = held["kind"].to_numpy(dtype=object)
    level = kind == "level"
    # A height is counted up from its table's zero, a reading down from its line of sight.
    fall = np.where(level | (kind == "staff"), fall, -fall)
    station, known = pd.factorize(held["station"][~level])
    first = held[~level].drop_duplicates("station")["station_name"].tolist()
    ends = np.concatenate([held["point"].to_numpy(object), held["start"][level].to_numpy(object)])
    point, points = pd.factorize(ends)
    count = len(known)
    upper, lower = np.empty(len(held), dtype=np.int64), point[: len(held)] + count
    upper[~level] = station
    # The level's own fall is from its end to its start: the end stands higher by it.
    upper[level], lower[level] = lower[level], point[len(held) :] + count
    names = [*first, *map(str, points)]
    weight = held["sd_mm"].to_numpy(dtype=float) ** -2.0
    return _means(names, count, (upper, lower), (fall, weight), here)


def _means(
    names: list[str],
    stations: int,
    ends: tuple[Whole, Whole],
    values: tuple[Floats, Floats],
    here: Whole,
) -> Steps:
    (upper, lower), (fall, weight) = ends, values
    turned = upper > lower
    low, high = np.minimum(upper, lower), np.maximum(upper, lower)
    key, step = np.unique(low * len(names) + high, return_inverse=True)
    sums = np.bincount(step, weight, len(key))
    mean = np.bincount(step, weight * np.where(turned, -fall, fall), len(key)) / sums
    order = np.argsort(step, kind="stable")
    bounds = np.searchsorted(step[order], np.arange(1, len(key)))
    readings = list(np.split(here[order], bounds)) if len(key) else []
    return Steps(names, stations, key // len(names), key % len(names), mean, 1 / sums, readings)


def _cycles(steps: Steps) -> Iterator[Cycle]:
    """Yield the rounds: of two stations over each of the points they share, and longer ones."""
    ends = list(zip(steps.upper.tolist(), steps.lower.tolist(), strict=True))
    left = _without_ends(ends, len(steps.names))
    twins = _between_two(steps, ends, left)
    for (one, other), points in twins.items():
        spare = sorted(points, key=lambda at: float(steps.variance_mm2[list(at)].sum()))
        up, down = spare[0]
        for first, second in spare[1:]:
            nodes = (one, ends[first][1], other, ends[up][1])
            yield Cycle(nodes, (first, second, down, up))
            left -= {first, second}
    yield from _longer(steps, ends, sorted(left))


def _without_ends(ends: list[tuple[int, int]], count: int) -> set[int]:
    """Return the steps that are left when nodes of a single step are taken off, again and again."""
    near: list[set[int]] = [set() for _ in range(count)]
    for number, pair in enumerate(ends):
        for node in pair:
            near[node].add(number)
    bare = [node for node in range(count) if len(near[node]) == 1]
    left = set(range(len(ends)))
    for node in bare:
        if not near[node]:
            continue
        number = near[node].pop()
        left.discard(number)
        other = ends[number][0] if ends[number][1] == node else ends[number][1]
        near[other].discard(number)
        if len(near[other]) == 1:
            bare.append(other)
    return left


def _between_two(
    steps: Steps, ends: list[tuple[int, int]], left: set[int]
) -> dict[tuple[int, int], list[tuple[int, int]]]:
    """Return, by pairs of stations, the points that just these two read: a step from each."""
    of_point: dict[int, list[int]] = defaultdict(list)
    for number in sorted(left):
        for node in ends[number]:
            if node >= steps.stations:
                of_point[node].append(number)
    pairs: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
    for found in of_point.values():
        if len(found) == 2 and all(ends[number][0] < steps.stations for number in found):
            first, second = sorted(found, key=lambda number: ends[number][0])
            pairs[ends[first][0], ends[second][0]].append((first, second))
    return pairs


def _longer(steps: Steps, ends: list[tuple[int, int]], left: list[int]) -> Iterator[Cycle]:
    """Yield a basis of the rounds through the steps that are left."""
    if not left:
        return
    nodes = sorted({node for number in left for node in ends[number]})
    place = {node: i for i, node in enumerate(nodes)}
    edges = [(place[ends[number][0]], place[ends[number][1]]) for number in left]
    beside = {node for number in left for node in ends[number] if ends[number][0] >= steps.stations}
    roots = [place[node] for node in nodes if node < steps.stations or node in beside]
    for cycle in cycle_basis(len(nodes), edges, roots):
        yield Cycle(
            tuple(nodes[i] for i in cycle.nodes), tuple(left[number] for number in cycle.edges)
        )


def _row(
    steps: Steps, cycle: Cycle, where: Sequence[tuple[str, int]]
) -> tuple[str, float, float, bool, str]:
    edges = np.array(cycle.edges, dtype=np.int64)
    sign = np.where(steps.upper[edges] == np.array(cycle.nodes), 1.0, -1.0)
    value = abs(float(sign @ steps.fall_mm[edges]))
    expected = TWO_SIDED_95 * float(np.sqrt(steps.variance_mm2[edges].sum()))
    names = [steps.names[node] for node in (*cycle.nodes, cycle.nodes[0])]
    here = sorted(number for edge in cycle.edges for number in steps.readings[edge].tolist())
    told = rows_in_words([where[number] for number in here])
    return "-".join(names), value, expected, value > expected, told


def rows_in_words(where: Iterable[tuple[str, int]]) -> str:
    """Return tables and rows in words: ``a.csv rows 3, 7; b.csv row 2``."""
    tables: dict[str, list[str]] = {}
    for survey, row in where:
        tables.setdefault(survey, []).append(f"{row}")
    return "; ".join(
        f"{survey} row{'s' if len(rows) > 1 else ''} {', '.join(rows)}"
        for survey, rows in tables.items()
    )
