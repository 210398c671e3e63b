"""The way from stack to stack: short, and how much shorter one could be at most."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.job import refuse

Array = NDArray[np.float64]
Rows = NDArray[np.intp]

#: Places that are moved together, at most, when a way is bettered.
LONGEST_SEGMENT = 3
#: A way is bettered by more than this [mm], or it is left as it is.
WORTH_MM = 1e-6
#: Steps of the lower bound: after so many it hardly rises.
BOUND_STEPS = 150
#: The walk begins no further off than this along x or y [mm].
FARTHEST_START_MM = 1_000_000.0
#: More places than this have no bettering of their own: the matrix of distances would be 200 MB.
MOST_PLACES = 5000


@dataclass(frozen=True, eq=False)
class Walk:
    """An open way through places.

    Parameters
    ----------
    order : (n,) array of int
        The places in the order in which they are visited.
    length_mm : float
        From the start through all of them [mm], in straight lines.
    bound_mm : float
        No way is shorter than this [mm].
    """

    order: Rows
    length_mm: float
    bound_mm: float

    @property
    def excess(self) -> float:
        """By which share the way may be longer than the shortest, at most."""
        return self.length_mm / self.bound_mm - 1 if self.bound_mm > 0 else 0.0


def walk_through(x_mm: ArrayLike, y_mm: ArrayLike, start_mm: tuple[float, float]) -> Walk:
    """Return a short way from a start through all places, ending anywhere.

    Parameters
    ----------
    x_mm, y_mm : (n,) array_like
        Places [mm].
    start_mm : tuple of float
        Where the walk begins [mm].

    Returns
    -------
    Walk
        The nearest place next, then bettered by turning stretches round (2-opt) and by moving up
        to three places elsewhere (Or-opt) until neither helps; the bound is that of Held and
        Karp [1]_.

    Raises
    ------
    Refusal
        Where there is no place, or more than 5,000, or the start is further off than 1 km.

    References
    ----------
    .. [1] M. Held, R. M. Karp, The traveling-salesman problem and minimum spanning trees,
       Operations Research 18 (1970) 1138-1162 (from memory). For an open way a further place is
       put in that costs nothing to reach, from the start and from the end.
    """
    x, y = np.asarray(x_mm, dtype=float), np.asarray(y_mm, dtype=float)
    if not 1 <= len(x) <= MOST_PLACES:
        raise refuse("walking order", f"{len(x)} places", f"1 to {MOST_PLACES} in one zone")
    if not all(abs(each) <= FARTHEST_START_MM for each in start_mm):  # nan too
        found = f"x {start_mm[0]:g}, y {start_mm[1]:g} mm"
        allowed = f"numbers up to {FARTHEST_START_MM:g} mm"
        raise refuse("start of the walk (--start)", found, allowed)
    apart = _apart(np.append(start_mm[0], x), np.append(start_mm[1], y))
    way = _bettered(_nearest_next(apart), apart)
    return Walk(way[1:] - 1, _length(way, apart), _bound(apart, _length(way, apart)))


def _apart(x: Array, y: Array) -> Array:
    return np.asarray(np.hypot(x[:, None] - x[None, :], y[:, None] - y[None, :]))


def _length(way: Rows, apart: Array) -> float:
    return float(apart[way[:-1], way[1:]].sum())


def _nearest_next(apart: Array) -> Rows:
    """Return the way (n + 1,) that always goes to the nearest place left; 0 is the start."""
    left = np.ones(len(apart), dtype=bool)
    way = [0]
    for _ in range(len(apart) - 1):
        left[way[-1]] = False
        way.append(int(np.argmin(np.where(left, apart[way[-1]], np.inf))))
    return np.array(way, dtype=np.intp)


def _bettered(way: Rows, apart: Array) -> Rows:
    while True:
        turned = _turned(way, apart)
        moved = _moved(turned, apart)
        if moved is None:
            return turned
        way = moved


def _turned(way: Rows, apart: Array) -> Rows:
    """Turn the stretch that saves most, until none saves anything."""
    count = len(way)
    if count < 3:
        return way
    # Turning way[i+1..j] replaces (i, i+1) and (j, j+1); the end of the way has no edge after it.
    above = np.triu(np.ones((count, count), dtype=bool), 2)
    while True:
        step = np.append(apart[way[:-1], way[1:]], 0.0)
        between = apart[way][:, way]
        after = np.zeros((count, count))
        after[:-1, :-1] = between[1:, 1:]
        saves = step[:, None] + step[None, :] - between - after
        i, j = np.unravel_index(int(np.argmax(np.where(above, saves, -np.inf))), saves.shape)
        if saves[i, j] <= WORTH_MM:
            return way
        way = np.concatenate([way[: i + 1], way[i + 1 : j + 1][::-1], way[j + 1 :]])


def _moved(way: Rows, apart: Array) -> Rows | None:
    """Return the way with the few places moved that saves most; None where no move saves."""
    best, found = WORTH_MM, None
    for size in range(1, min(LONGEST_SEGMENT, len(way) - 2) + 1):
        for first in range(1, len(way) - size + 1):
            held, rest = way[first : first + size], np.delete(way, slice(first, first + size))
            gap = apart[rest[first - 1], rest[first]] if first < len(rest) else 0.0
            ends = apart[way[first - 1], held[0]]
            ends += apart[held[-1], rest[first]] if first < len(rest) else 0.0
            for some in (held, held[::-1]):
                costs = apart[rest, some[0]].copy()
                costs[:-1] += apart[some[-1], rest[1:]] - apart[rest[:-1], rest[1:]]
                place = int(np.argmin(costs))
                if ends - gap - costs[place] > best:
                    best = float(ends - gap - costs[place])
                    found = np.concatenate([rest[: place + 1], some, rest[place + 1 :]])
    return found


def _bound(apart: Array, length_mm: float) -> float:
    """Return Held and Karp's bound on an open way from place 0, by subgradient steps."""
    price = np.zeros(len(apart))
    best, stride = 0.0, length_mm / len(apart)
    for step in range(BOUND_STEPS):
        tree, degree = _spanning_tree(apart + price[:, None] + price[None, :])
        # The further place joins the start and the cheapest other end.
        end = 1 + int(np.argmin(price[1:]))
        degree[0] += 1
        degree[end] += 1
        best = max(best, tree + price[0] + price[end] - 2 * float(price.sum()))
        price = price + stride * 0.97**step * (degree - 2)
    return min(best, length_mm)


def _spanning_tree(cost: Array) -> tuple[float, NDArray[np.int64]]:
    """Return the cost of the least spanning tree and how many edges each place has in it."""
    count = len(cost)
    nearest, by = cost[0].copy(), np.zeros(count, dtype=np.intp)
    nearest[0] = np.inf
    degree, total = np.zeros(count, dtype=np.int64), 0.0
    joined = np.zeros(count, dtype=bool)
    joined[0] = True
    for _ in range(count - 1):
        new = int(np.argmin(nearest))
        total += float(nearest[new])
        degree[[new, by[new]]] += 1
        joined[new] = True
        closer = ~joined & (cost[new] < nearest)
        nearest[closer], by[closer] = cost[new][closer], new
        nearest[new] = np.inf
    return total, degree
