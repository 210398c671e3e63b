"""Ways of cutting one bar: patterns, the best pattern at given values, first fit, lower bounds.

A pattern is a bar with slots. A slot of one length also serves any shorter piece, so only
patterns in which no slot could be longer are worth keeping.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_CLOSED_MM = 1e-9  # a bar that is used up exactly is allowed; sums of decimals miss by less
_UNITS_PER_MM = 10_000  # stock lengths are compared in whole 0.0001 mm, finer than any rule
_GAIN = 1e-9  # what a pattern must be worth beyond its bar, relative
_MOST_NEW = 12  # patterns for each stock length and round: fewer rounds, and a small programme
_LARGEST_TABLE = 100_000


@dataclass(frozen=True)
class Pattern:
    """One way of cutting a bar.

    Parameters
    ----------
    stock_mm : float
        Length of the bar [mm].
    slots : tuple of int
        Its slots, longest first, as indices into the lengths in descending order.
    """

    stock_mm: float
    slots: tuple[int, ...]


@dataclass(frozen=True)
class Cutting:
    """What is cut: lengths, stock and kerf.

    Parameters
    ----------
    lengths_mm : tuple of float
        The lengths that pieces may have, descending [mm].
    stock_mm : tuple of float
        Stock lengths, ascending [mm].
    kerf_mm : float
        What a saw cut takes [mm].
    """

    lengths_mm: tuple[float, ...]
    stock_mm: tuple[float, ...]
    kerf_mm: float

    def used_mm(self, slots: Sequence[int]) -> float:
        """Return what slots take out of a bar, the cuts between them included [mm]."""
        return math.fsum(self.lengths_mm[k] for k in slots) + (len(slots) - 1) * self.kerf_mm

    def shortest_bar_mm(self, lengths_mm: Sequence[float]) -> float:
        """Return the shortest stock length that yields the pieces, inf where none does [mm]."""
        # Eq. (1) of `kit.base.cuts.cut_bearers`
        used = math.fsum(lengths_mm) + (len(lengths_mm) - 1) * self.kerf_mm
        return next((s for s in self.stock_mm if used <= s + _CLOSED_MM), math.inf)

    def fill(self, slot: int) -> Pattern:
        """Return a bar filled with slots of one length, as many as the longest bar holds."""
        length = self.lengths_mm[slot]
        often = int((self.stock_mm[-1] + self.kerf_mm) / (length + self.kerf_mm)) + 1
        while math.isinf(bar := self.shortest_bar_mm([length] * often)):
            often -= 1
        return Pattern(bar, (slot,) * often)


def all_patterns(cutting: Cutting, most: int) -> tuple[Pattern, ...]:
    """List every pattern in which no slot could be longer, or nothing if there are too many.

    Parameters
    ----------
    cutting : Cutting
        What is cut.
    most : int
        Give up beyond this many.

    Returns
    -------
    tuple of Pattern
        Complete, or empty.
    """
    found: list[Pattern] = []
    for position, stock in enumerate(cutting.stock_mm):
        shorter = cutting.stock_mm[position - 1] if position else 0.0
        for slots in _fillings(cutting, stock, most * 4):
            if not slots:
                return ()
            if cutting.used_mm(slots) > shorter + _CLOSED_MM and _is_longest(cutting, stock, slots):
                found.append(Pattern(stock, slots))
        if len(found) > most:
            return ()
    return tuple(found)


def _fillings(cutting: Cutting, stock_mm: float, most: int) -> Iterator[tuple[int, ...]]:
    """Yield bars with no room for one more slot, then an empty one if there are too many."""
    takes = [length + cutting.kerf_mm for length in cutting.lengths_mm]
    stack: list[tuple[float, tuple[int, ...]]] = [(stock_mm + cutting.kerf_mm + _CLOSED_MM, ())]
    for _ in range(most):
        if not stack:
            return
        room, slots = stack.pop()
        first = max(slots[-1] if slots else 0, bisect_left(takes, -room, key=lambda take: -take))
        if first == len(takes) and slots:
            yield slots
        for k in range(len(takes) - 1, first - 1, -1):
            if k == first or room - takes[k] >= takes[-1]:  # otherwise `first` makes it longer
                stack.append((room - takes[k], (*slots, k)))
    yield ()


def _is_longest(cutting: Cutting, stock_mm: float, slots: Sequence[int]) -> bool:
    spare = stock_mm - cutting.used_mm(slots)
    lengths = cutting.lengths_mm
    return all(lengths[k - 1] - lengths[k] > spare + _CLOSED_MM for k in set(slots) if k)


def best_patterns(cutting: Cutting, value: Floats) -> tuple[tuple[Pattern, ...], float]:
    """Find patterns worth more than their bars, by dynamic programming.

    Parameters
    ----------
    cutting : Cutting
        What is cut.
    value : array of shape (lengths,)
        What a slot of each length is worth [mm of stock].

    Returns
    -------
    tuple of Pattern
        For each stock length the best with a slot of each length, so far as they gain; each can
        really be cut.
    float
        The largest value of any bar divided by its length, not less than the true one: lengths
        are rounded down to whole grid steps for it.
    """
    step = _grid_step(cutting)
    rooms = np.floor((np.array(cutting.stock_mm) + cutting.kerf_mm) / step + 1e-9).astype(int)
    takes = (np.array(cutting.lengths_mm) + cutting.kerf_mm) / step
    loose = Knapsack(np.floor(takes + 1e-9).astype(int), value, int(rooms.max()))
    ratio = max(loose.worth[r] / s for r, s in zip(rooms, cutting.stock_mm, strict=True))
    found = list(_gaining(cutting, loose, rooms))
    if not found and ratio > 1 + _GAIN:
        tight = Knapsack(np.ceil(takes - 1e-9).astype(int), value, int(rooms.max()))
        found = list(_gaining(cutting, tight, rooms))
    return tuple(found), float(ratio)


def _gaining(cutting: Cutting, table: Knapsack, rooms: NDArray[np.int_]) -> Iterator[Pattern]:
    for stock, room in zip(cutting.stock_mm, rooms, strict=True):
        for slots in table.fillings(int(room), stock * (1 + _GAIN)):
            if cutting.used_mm(slots) <= stock + _CLOSED_MM:
                yield Pattern(stock, slots)


def _grid_step(cutting: Cutting) -> float:
    every = np.array((*cutting.lengths_mm, *cutting.stock_mm, cutting.kerf_mm))
    return 1.0 if np.allclose(every, np.round(every), atol=1e-9, rtol=0) else 0.5


class Knapsack:
    """The most that every room of whole grid steps can hold, any number of each length.

    Parameters
    ----------
    weight : array of int, shape (lengths,)
        What a slot takes [grid steps].
    value : array of shape (lengths,)
        What it is worth.
    top : int
        The largest room [grid steps].
    """

    def __init__(self, weight: NDArray[np.int_], value: Floats, top: int) -> None:
        self.weight, self.value = weight, value
        self.worth = np.zeros(top + 1)
        self.choice = np.full(top + 1, -1)
        order = np.argsort(weight, kind="stable")
        weights, values = weight[order], value[order]
        fitting = np.searchsorted(weights, np.arange(top + 1), side="right")
        for room in range(int(weight.min()), top + 1):
            gains = values[: fitting[room]] + self.worth[room - weights[: fitting[room]]]
            best = int(gains.argmax())
            if gains[best] > 0:
                self.worth[room], self.choice[room] = gains[best], order[best]

    def fillings(self, room: int, least: float) -> Iterator[tuple[int, ...]]:
        """Yield the best fillings that have a slot of one length each and are worth `least`."""
        fits = np.flatnonzero(self.weight <= room)
        worth = self.value[fits] + self.worth[room - self.weight[fits]]
        best = np.argsort(-worth, kind="stable")[:_MOST_NEW]
        for k in fits[best[worth[best] >= least]]:
            slots, left = [int(k)], room - int(self.weight[k])
            while self.choice[left] >= 0:
                slots.append(int(self.choice[left]))
                left -= int(self.weight[slots[-1]])
            yield tuple(sorted(slots))


def first_fit(cutting: Cutting, slots: Sequence[int]) -> tuple[tuple[int, ...], ...]:
    """Put pieces, longest first, each into the first bar with room; then shorten the bars.

    Parameters
    ----------
    cutting : Cutting
        What is cut.
    slots : sequence of int
        The pieces, as indices into its lengths.

    Returns
    -------
    tuple of tuple of int
        Positions in `slots`, bar by bar; of the fillings with bars opened at each one stock
        length, the one that buys least.
    """
    order = sorted(range(len(slots)), key=lambda i: (slots[i], i))
    tries: list[list[list[int]]] = []
    for opened in cutting.stock_mm:
        bars: list[list[int]] = []
        for i in order:
            for bar in bars:
                together = cutting.used_mm([slots[j] for j in (*bar, i)])
                if together <= max(opened, cutting.lengths_mm[slots[bar[0]]]) + _CLOSED_MM:
                    bar.append(i)
                    break
            else:
                bars.append([i])
        tries.append(bars)

    def cost(bars: list[list[int]]) -> tuple[float, int]:
        lengths = [
            cutting.shortest_bar_mm([cutting.lengths_mm[slots[i]] for i in bar]) for bar in bars
        ]
        return math.fsum(lengths), len(bars)

    return tuple(tuple(bar) for bar in min(tries, key=cost))


def next_total_mm(stock_mm: Sequence[float], least_mm: float) -> float:
    """Return the least total of whole bars that is not below a length [mm].

    Where the stock lengths have no common measure of use, the length itself is returned: it
    bounds the total all the same.
    """
    measure, units = _in_common_measure(stock_mm)
    target = math.ceil(least_mm * _UNITS_PER_MM / measure - 1e-10)
    if target > _LARGEST_TABLE:
        return least_mm
    counts = _bars_for(units, 1 << (target + min(units)).bit_length())
    reached = next(t for t in range(max(target, 0), len(counts)) if counts[t] < math.inf)
    return reached * measure / _UNITS_PER_MM


def fewest_bars(stock_mm: Sequence[float], total_mm: float) -> int:
    """Return a lower bound on the number of bars whose lengths add up to a total."""
    measure, units = _in_common_measure(stock_mm)
    total = round(total_mm * _UNITS_PER_MM / measure)
    if total > _LARGEST_TABLE:
        return math.ceil(total_mm / max(stock_mm) - _CLOSED_MM)
    return int(_bars_for(units, 1 << total.bit_length())[total])


def _in_common_measure(stock_mm: Sequence[float]) -> tuple[int, tuple[int, ...]]:
    whole = [round(stock * _UNITS_PER_MM) for stock in stock_mm]
    measure = math.gcd(*whole)
    return measure, tuple(one // measure for one in whole)


@lru_cache(maxsize=16)  # asked again for every total that is tried
def _bars_for(units: tuple[int, ...], most: int) -> list[float]:
    counts: list[float] = [0.0, *[math.inf] * most]
    for total in range(1, most + 1):
        counts[total] = 1 + min((counts[total - u] for u in units if u <= total), default=math.inf)
    return counts
