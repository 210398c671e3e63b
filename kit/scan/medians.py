"""Exact medians of many groups at once, without sorting all values.

Values are counted in a few steps of height for each group; only those in the step that holds a
group's middle can be its median. They are counted again in finer steps, and the few that are
left are sorted: selection by distribution (Knuth, The Art of Computer Programming 3, section
5.3.3 on selection, from memory), for all groups side by side.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Whole = NDArray[np.int64]

#: Values that are worked on at once: what is made of them stays in a machine's cache.
_AT_ONCE = 1 << 16
#: Counters that stay there beside them.
_COUNTERS = 1 << 20
_LEAST_STEPS, _MOST_STEPS = 8, 64
_MOST_ROUNDS = 4
#: Sorting a value takes about this many times as long as counting it.
_SORTING = 8
#: A first guess at each median is made from about this many of its values, and lies most likely
#: within half of so many standard deviations from it: √(π/2)/√8 is 0.44.
_SAMPLE, _WIDTH_SDS = 8, 3.0


@dataclass(frozen=True)
class _Open:
    """What the medians may still be.

    Parameters
    ----------
    group, value : (m,) arrays
        Values that are left, and their groups.
    below : (groups,) array of int
        Values of each group that were below those left.
    start : (groups,) array
        Where those left begin, but for some that lie beyond.
    width : float
        How far they reach, but for some that lie beyond.
    """

    group: Whole
    value: Array
    below: Whole
    start: Array
    width: float


def medians(group: Whole, value: Array, groups: int, count: Whole) -> Array:
    """Return the median of each group of values.

    Parameters
    ----------
    group : (n,) array of int
        Which group each value belongs to, from 0 to ``groups - 1``.
    value : (n,) array
        The values, all finite.
    groups : int
        How many groups there are.
    count : (groups,) array of int
        Values in each.

    Returns
    -------
    (groups,) array
        The middle value, or half the sum of the two middle ones; nan for a group without values.
        Exact to the last bit.
    """
    if not len(value):
        return np.full(groups, np.nan)
    left = _guessed(group, value, groups)
    for _ in range(_MOST_ROUNDS):
        if len(left.value) * _SORTING < len(value) or not left.width > 0:
            break
        left = _narrowed(left, groups, count)
    return _of_few(left, groups, count)


def _guessed(group: Whole, value: Array, groups: int) -> _Open:
    """Return all values, and a guess at where the medians lie, from some values of each group."""
    every = max(len(value) // (_SAMPLE * groups), 1)
    some, its = value[::every], group[::every]
    count = np.bincount(its, minlength=groups)
    none = np.zeros(groups, dtype=np.int64)
    middle = _of_few(_Open(its, some, none, np.zeros(groups), 0.0), groups, count)
    width = _WIDTH_SDS * 1.4826 * float(np.median(np.abs(some - middle[its])))
    start = np.where(count > 0, middle, some[0]) - width / 2
    return _Open(group, value, none, start, width)


def _narrowed(left: _Open, groups: int, count: Whole) -> _Open:
    """Return the values in the steps that hold the two middle ones of each group."""
    steps = int(np.clip(_COUNTERS // groups, _LEAST_STEPS, _MOST_STEPS))
    cell, held = _counted(left, groups, steps)
    upto = np.cumsum(held, axis=1)
    rank = np.maximum(count - 1, 0) // 2 - left.below
    first = np.count_nonzero(upto <= rank[:, None], axis=1)
    rank = count // 2 - left.below
    last = np.minimum(np.count_nonzero(upto <= rank[:, None], axis=1), steps - 1)
    first = np.minimum(first, last)
    middle = np.arange(groups)
    wanted = np.zeros((groups, steps), dtype=np.bool_)
    wanted[middle, first] = wanted[middle, last] = True
    keep = _where(wanted.ravel(), cell)
    below = left.below + upto[middle, first] - held[middle, first]
    width = left.width / (steps - 2)
    start = left.start + (first - 1) * width
    return _Open(left.group[keep], left.value[keep], below, start, width)


def _counted(left: _Open, groups: int, steps: int) -> tuple[NDArray[np.int32], Whole]:
    """Return the step of each value, counted through all groups, and how many each step holds."""
    held = np.zeros(groups * steps, dtype=np.int64)
    cell = np.empty(len(left.value), dtype=np.int32)
    for i in range(0, len(cell), _AT_ONCE):
        group = left.group[i : i + _AT_ONCE]
        step = left.value[i : i + _AT_ONCE] - np.take(left.start, group)
        step *= (steps - 2) / left.width
        step += 1
        # The first and the last step hold what lies beyond.
        np.clip(step, 0, steps - 1, out=step)
        here = step.astype(np.int64)
        here += group * steps
        np.add.at(held, here, 1)
        cell[i : i + _AT_ONCE] = here
    return cell, held.reshape(groups, steps)


def _where(wanted: NDArray[np.bool_], cell: NDArray[np.int32]) -> Whole:
    """Return which values stand in steps that are wanted."""
    found = [
        np.flatnonzero(np.take(wanted, cell[i : i + _AT_ONCE])) + i
        for i in range(0, len(cell), _AT_ONCE)
    ]
    return np.concatenate(found)


def _of_few(left: _Open, groups: int, count: Whole) -> Array:
    """Return the medians by sorting what is left."""
    value = _sorted(left, groups)
    here = np.bincount(left.group, minlength=groups)
    at = np.cumsum(here) - here - left.below
    found = np.full(groups, np.nan)
    some = count > 0
    low = value[(at + (count - 1) // 2)[some]]
    high = value[(at + count // 2)[some]]
    found[some] = np.where(count[some] % 2 == 1, low, (low + high) / 2)
    return found


def _sorted(left: _Open, groups: int) -> Array:
    """Return what is left, sorted by group and value."""
    order = np.argsort(left.value)
    # A stable sort by 16 bits is numpy's radix sort, many times as fast as one by 64.
    for shift in range(0, (groups - 1).bit_length(), 16):
        digit = (left.group[order] >> shift).astype(np.uint16)
        order = order[np.argsort(digit, kind="stable")]
    return left.value[order]
