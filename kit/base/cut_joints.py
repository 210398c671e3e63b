"""Where a bearer may be joined: pieces from stack to stack, and joints that must not face."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from kit.job import Problem, Refusal, refuse

_CLOSED_MM = 1e-9  # a piece as long as the bar is allowed; sums of decimals miss by less


@dataclass(frozen=True)
class BearerLine:
    """One bearer as it lies: from end to end over its stacks.

    Parameters
    ----------
    name : str
        Name of the bearer.
    run, row : str
        Where it lies; for the reader only.
    start_mm, end_mm : float
        Its ends along the run's own x [mm].
    supports_mm : tuple of float
        Centres of its stacks along the run's own x, ascending [mm].
    support_names : tuple of str
        Their names, in the same order.
    neighbours : tuple of str
        Names of the bearers beside it, whose joints must not face its own; one side is enough.
    """

    name: str
    run: str
    row: str
    start_mm: float
    end_mm: float
    supports_mm: tuple[float, ...]
    support_names: tuple[str, ...]
    neighbours: tuple[str, ...] = ()

    @property
    def length_mm(self) -> float:
        """Length of the bearer [mm]."""
        return self.end_mm - self.start_mm

    @property
    def cuts_mm(self) -> tuple[float, ...]:
        """Places where a piece may end [mm]: both ends and the inner stacks."""
        return (self.start_mm, *self.supports_mm[1:-1], self.end_mm)

    def support_at(self, cut: int) -> str:
        """Return the name of the stack under an inner place of `cuts_mm`."""
        return self.support_names[cut]


@dataclass(frozen=True)
class Piece:
    """A piece that a bearer may have, between two of its `cuts_mm`.

    Parameters
    ----------
    line : int
        Index of the bearer.
    left, right : int
        Indices into its `cuts_mm`.
    length_mm : float
        Length of the piece [mm].
    """

    line: int
    left: int
    right: int
    length_mm: float


def check_lines(lines: Sequence[BearerLine]) -> None:
    """Refuse bearers whose description does not hold together.

    Raises
    ------
    Refusal
        A name twice, ends or stacks out of order, a neighbour that is not there.
    """
    names = [line.name for line in lines]
    problems: list[Problem] = []
    for line in lines:
        where = f"bearer {line.name}"
        ordered = (line.start_mm, *line.supports_mm, line.end_mm)
        if names.count(line.name) > 1:
            problems.append(Problem(where, "the name twice", "one name for each bearer"))
        if not all(map(math.isfinite, ordered)) or line.length_mm <= 0:
            problems.append(Problem(where, f"{line.start_mm} to {line.end_mm} mm", "end > start"))
        elif any(b < a for a, b in pairwise(ordered)) or len(set(line.supports_mm)) < len(
            line.supports_mm
        ):
            problems.append(Problem(where, f"{ordered}", "stacks ascending, between its ends"))
        if len(line.support_names) != len(line.supports_mm):
            problems.append(Problem(where, f"{line.support_names}", "one name for each stack"))
        problems += [
            Problem(where, f"the neighbour {other!r}", f"one of {', '.join(names)}")
            for other in line.neighbours
            if other not in names or other == line.name
        ]
    if problems:
        raise Refusal(*problems)


def possible_pieces(lines: Sequence[BearerLine], longest_mm: float) -> tuple[Piece, ...]:
    """List every piece that a bar could give, bearer by bearer, from the left.

    Parameters
    ----------
    lines : sequence of BearerLine
        The bearers.
    longest_mm : float
        Longest stock length [mm].

    Returns
    -------
    tuple of Piece
        Those no longer than the longest stock length.

    Raises
    ------
    Refusal
        A bearer in which no stack allows a joint within reach of the longest stock length.
    """
    found: list[Piece] = []
    for index, line in enumerate(lines):
        cuts = line.cuts_mm
        for left, right in pairwise(range(len(cuts))):
            if cuts[right] - cuts[left] > longest_mm + _CLOSED_MM:
                raise refuse(
                    f"bearer {line.name}",
                    f"{cuts[right] - cuts[left]:g} mm from {_place(line, left)} to"
                    f" {_place(line, right)} without a stack that may carry a joint",
                    f"at most the longest of bearer.stock_mm, {longest_mm:g} mm: a longer stock"
                    " length, or a stack between",
                )
        found += [
            Piece(index, left, right, cuts[right] - cuts[left])
            for left in range(len(cuts) - 1)
            for right in range(left + 1, len(cuts))
            if cuts[right] - cuts[left] <= longest_mm + _CLOSED_MM
        ]
    return tuple(found)


def _place(line: BearerLine, cut: int) -> str:
    ends = {0: "its left end", len(line.cuts_mm) - 1: "its right end"}
    return ends.get(cut) or line.support_at(cut)


def facing_joints(
    lines: Sequence[BearerLine], packer_length_mm: float
) -> tuple[tuple[tuple[int, int], tuple[int, int]], ...]:
    """List the pairs of joints that may not both be made.

    Joints of neighbouring bearers stand at least one stack apart: not less than a packer's
    length, and not at the same station. Two stacks of neighbouring bearers are one station
    where each is the other's nearest and no other stack is as near, so that bearers with
    different layouts have stations too (common practice, no source).

    Parameters
    ----------
    lines : sequence of BearerLine
        The bearers.
    packer_length_mm : float
        Length of a packer along the bearer [mm].

    Returns
    -------
    tuple of pair of (int, int)
        Each joint as (index of the bearer, index into its `cuts_mm`).
    """
    return tuple(
        ((a, i), (b, j))
        for a, first in enumerate(lines)
        for b, second in enumerate(lines[a + 1 :], a + 1)
        if second.name in first.neighbours or first.name in second.neighbours
        for i, j in _facing(first.supports_mm, second.supports_mm, packer_length_mm)
        if 0 < i < len(first.supports_mm) - 1 and 0 < j < len(second.supports_mm) - 1
    )


def _facing(
    first: Sequence[float], second: Sequence[float], packer_length_mm: float
) -> Iterator[tuple[int, int]]:
    across = [_nearest(x, second) for x in first]
    back = [_nearest(x, first) for x in second]
    for i, x in enumerate(first):
        for j, other in enumerate(second):
            near = abs(x - other) < packer_length_mm - _CLOSED_MM
            if near or (across[i] == j and back[j] == i):
                yield i, j


def _nearest(x_mm: float, stacks_mm: Sequence[float]) -> int:
    """Return the index of the nearest stack, -1 where two are equally near."""
    distance = sorted((abs(stack - x_mm), i) for i, stack in enumerate(stacks_mm))
    if not distance or (len(distance) > 1 and distance[1][0] - distance[0][0] < _CLOSED_MM):
        return -1
    return distance[0][1]
