"""Heights that a stack of packers can have, and the fewest packers for any target."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from kit.base.stack_rules import BEFORE_ALL, Ints, StackRules
from kit.job.refusal import Refusal, refuse

#: Pieces booked for a target that no stack meets; larger than any real total.
UNREACHABLE = 10**9
#: More distinct sums than this are not tabulated: they lie less than 0.001 mm apart.
MOST_SUMS = 300_000


@dataclass(frozen=True, eq=False)
class SumTable:
    """Every height a stack may have, and what it takes to meet a target.

    Parameters
    ----------
    layers : tuple of (m_k,) arrays
        ``layers[k - 1]``: the heights whose fewest packers are k, ascending [units].
    starts, pieces : (m,) arrays
        Fewest packers for a target t: ``pieces[j]`` for ``starts[j] <= t < starts[j + 1]``
        [units], ``UNREACHABLE`` where no stack lies within the tolerance.
    core : (m,) array
        The heights that are the cheapest answer for a target equal to themselves [units].
    choice_starts, choices : (m,) arrays
        The nearest of the cheapest heights for a target t, as steps like the above [units].
    """

    layers: tuple[Ints, ...]
    starts: Ints
    pieces: Ints
    core: Ints = field(repr=False)
    choice_starts: Ints = field(repr=False)
    choices: Ints = field(repr=False)

    def fewest(self, target: Ints) -> Ints:
        """Return the fewest packers for each target [units]."""
        return self.pieces[np.searchsorted(self.starts, target, side="right") - 1]

    def nearest(self, target: Ints) -> Ints:
        """Return the nearest height of those with the fewest packers [units]."""
        return self.choices[np.searchsorted(self.choice_starts, target, side="right") - 1]

    @property
    def heights(self) -> Ints:
        """All heights a stack may have, ascending [units]."""
        return np.sort(np.concatenate(self.layers))


@lru_cache(maxsize=64)
def sum_table(thicknesses: tuple[int, ...], rules: StackRules) -> SumTable:
    """Tabulate the heights that unlimited packers give.

    Parameters
    ----------
    thicknesses : tuple of int
        Distinct thicknesses [units].
    rules : StackRules
        Tolerance and limits of a stack.

    Returns
    -------
    SumTable
        Heights, fewest packers and nearest height for every target.

    Raises
    ------
    Refusal
        If there are more than ``MOST_SUMS`` different heights.
    """
    layers = tuple(
        layer[layer >= rules.shortest]
        for layer in _layers(thicknesses, rules.max_pieces, rules.longest)
    )
    starts, pieces = _step_function(layers, rules.reach)
    core = [
        layer[pieces[np.searchsorted(starts, layer, side="right") - 1] == count]
        for count, layer in enumerate(layers, start=1)
    ]
    choice_starts, choices = _nearest_steps(layers, starts, pieces)
    return SumTable(layers, starts, pieces, np.sort(np.concatenate(core)), choice_starts, choices)


def _layers(thicknesses: tuple[int, ...], max_pieces: int, longest: int) -> list[Ints]:
    steps = np.array(thicknesses, dtype=np.int64)
    known = np.zeros(1, dtype=np.int64)
    frontier, layers = known, []
    for _ in range(max_pieces):
        grown = (frontier[:, None] + steps[None, :]).ravel()
        grown = np.unique(grown[grown <= longest])
        place = np.minimum(np.searchsorted(known, grown), len(known) - 1)
        frontier = grown[known[place] != grown]
        if len(known) + len(frontier) > MOST_SUMS:
            raise _too_many(thicknesses)
        known = np.sort(np.concatenate([known, frontier]), kind="stable")
        layers.append(frontier)
    return layers


def _too_many(thicknesses: tuple[int, ...]) -> Refusal:
    return refuse(
        "job.toml, stock.packers",
        f"{len(thicknesses)} thicknesses that give more than {MOST_SUMS:,} stacks of different"
        " height",
        "fewer kinds, thicknesses measured to 0.05 mm or coarser, or a lower base.max_pieces or"
        " base.max_stack_mm",
    )


def merge_closed(first: Ints, last: Ints) -> tuple[Ints, Ints]:
    """Merge closed whole-number intervals that overlap or follow on each other.

    Parameters
    ----------
    first, last : (m,) arrays
        Ends of the intervals, both included [units].

    Returns
    -------
    first, last : (k,) arrays
        Ends of the merged intervals, ascending.
    """
    order = np.argsort(first, kind="stable")
    first, furthest = first[order], np.maximum.accumulate(last[order])
    opens = np.ones(len(first), dtype=bool)
    opens[1:] = first[1:] > furthest[:-1] + 1
    closes = np.append(opens[1:], True) if len(first) else opens
    return first[opens], furthest[closes]


def _step_function(layers: tuple[Ints, ...], reach: int) -> tuple[Ints, Ints]:
    # Pieces = 1 + the number of levels k whose stacks of k or fewer packers all miss the target.
    first = last = np.zeros(0, dtype=np.int64)
    places, jumps = [np.array([BEFORE_ALL])], [np.array([1 + len(layers)])]
    for layer in layers:
        first, last = merge_closed(
            np.concatenate([first, layer - reach]), np.concatenate([last, layer + reach])
        )
        places += [first, last + 1]
        jumps += [np.full(len(first), -1), np.full(len(first), 1)]
    starts, where = np.unique(np.concatenate(places), return_inverse=True)
    level = np.cumsum(np.bincount(where, weights=np.concatenate(jumps))).astype(np.int64)
    changes = np.append(True, np.diff(level) != 0)
    pieces = np.where(level > len(layers), UNREACHABLE, level)
    return starts[changes], pieces[changes]


def _nearest_steps(layers: tuple[Ints, ...], starts: Ints, pieces: Ints) -> tuple[Ints, Ints]:
    halfway = [layer[:-1] + (np.diff(layer) + 1) // 2 for layer in layers]
    places = np.unique(np.concatenate([starts, *halfway]))
    level = pieces[np.searchsorted(starts, places, side="right") - 1]
    choices = np.zeros(len(places), dtype=np.int64)
    for count, layer in enumerate(layers, start=1):
        here = level == count
        if len(layer) and here.any():
            choices[here] = nearest_in(layer, places[here])
    return places, choices


def nearest_in(heights: Ints, targets: Ints) -> Ints:
    """Return the nearest of the ascending heights for each target, the higher of two [units]."""
    right = np.clip(np.searchsorted(heights, targets), 0, len(heights) - 1)
    left = np.maximum(right - 1, 0)
    nearer_left = np.abs(targets - heights[left]) < np.abs(heights[right] - targets)
    return heights[np.where(nearer_left, left, right)]


@lru_cache(maxsize=65536)
def thickest_first(total: int, pieces: int, thicknesses: tuple[int, ...]) -> tuple[int, ...]:
    """Return the lexicographically greatest list of exactly so many packers with this sum.

    Parameters
    ----------
    total : int
        Height of the stack [units].
    pieces : int
        Packers in it.
    thicknesses : tuple of int
        Distinct thicknesses, thickest first [units].

    Returns
    -------
    tuple of int
        Thicknesses, thickest first [units]; empty if there is no such list.
    """
    if not thicknesses or not pieces * thicknesses[-1] <= total <= pieces * thicknesses[0]:
        return ()
    for place, thickness in enumerate(thicknesses):
        if pieces == 1:
            if thickness == total:
                return (thickness,)
            continue
        rest = thickest_first(total - thickness, pieces - 1, thicknesses[place:])
        if rest:
            return (thickness, *rest)
    return ()
