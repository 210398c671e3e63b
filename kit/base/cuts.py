"""Cutting the bearers: pieces out of stock lengths, joined over stacks, with least waste.

The programme chooses at once where each bearer is joined and which pieces come out of which
bar. Few patterns: all of them are listed and the integer programme is exact. Many: patterns are
generated as the linear programme asks for them (a bounded number of rounds), the integer
programme runs over those, and what the linear programme proves is the lower bound.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import pandas as pd

from kit.base.cut_joints import BearerLine, Piece, check_lines, facing_joints, possible_pieces
from kit.base.cut_patterns import Pattern, all_patterns, fewest_bars, first_fit, next_total_mm
from kit.base.cut_programme import (
    Choice,
    Programme,
    fewest_cuts,
    fewest_pieces,
    generate_patterns,
    least_bought,
)
from kit.base.cut_search import search_cuts
from kit.job.model import Bearer
from kit.job.refusal import Refusal, refuse

__all__ = ["BearerLine", "CutPlan", "cut_bearers"]

#: Placements that the exact search may try before the integer programme takes over.
MOST_PLACEMENTS = 40_000
#: More patterns than this are generated instead of listed.
MOST_LISTED = 4000
#: Rounds in which patterns are generated.
MOST_ROUNDS = 60

_COLUMNS = ["bearer", "stock_mm", "piece", "length_mm", "from_x_mm", "to_x_mm", "bar"]
_SAME_MM = 1e-6  # two totals of bars, against the solver's own tolerance


@dataclass(frozen=True)
class CutPlan:
    """How the bearers are cut.

    Parameters
    ----------
    cuts : DataFrame
        bearer, stock_mm, piece (from the left), length_mm, from_x_mm, to_x_mm, bar (pieces with
        one number come out of one bought length).
    joints : tuple of (str, str)
        Bearer, and the support over which two of its pieces butt.
    bought : DataFrame
        stock_mm, count.
    waste_mm : float
        Bought length less the bearers' length; saw cuts included [mm].
    proven : bool
        Whether no plan buys less.
    gap_mm : float
        What a better plan might save at most; 0 when proven [mm].
    pieces_proven : bool
        Whether no plan that buys as little has fewer pieces, or as few and fewer bars.
    """

    cuts: pd.DataFrame
    joints: tuple[tuple[str, str], ...]
    bought: pd.DataFrame
    waste_mm: float
    proven: bool
    gap_mm: float
    pieces_proven: bool


@dataclass(frozen=True)
class Bar:
    """A bought length and the pieces that come out of it, as indices."""

    stock_mm: float
    pieces: tuple[int, ...]


@dataclass(frozen=True)
class Found:
    """Bars, and what is known of them."""

    bars: tuple[Bar, ...]
    least_mm: float
    pieces_proven: bool

    @property
    def bought_mm(self) -> float:
        """Total bought length [mm]."""
        return math.fsum(bar.stock_mm for bar in self.bars)

    @property
    def order(self) -> tuple[float, int, int]:
        """What is made least, in this order: bought length, pieces, bars."""
        return round(self.bought_mm, 6), sum(len(b.pieces) for b in self.bars), len(self.bars)


def cut_bearers(
    lines: Sequence[BearerLine], bearer: Bearer, packer_length_mm: float, *, seconds: float = 10
) -> CutPlan:
    """Cut the bearers out of stock lengths: least bought length, then fewest pieces, then bars.

    Pieces butt over inner stacks, each on half a packer; joints of neighbouring bearers stand at
    least one stack apart (`kit.base.cut_joints.facing_joints`). n pieces out of a bar of length S:
    Eq. (1): sum of lengths + (n - 1)·kerf <= S, closed. Any number of each stock length.

    Parameters
    ----------
    lines : sequence of BearerLine
        The bearers; they may share bars.
    bearer : Bearer
        Stock lengths and kerf [mm].
    packer_length_mm : float
        Length of a packer along the bearer [mm].
    seconds : float
        Time for the integer programmes together. The same call gives the same plan unless this
        time runs out.

    Returns
    -------
    CutPlan
        The plan, with what is proven of it.

    Raises
    ------
    Refusal
        No stack allows a joint within reach of the longest stock length; joints of neighbours
        cannot be kept apart.

    Notes
    -----
    Column generation: Gilmore and Gomory, Operations Research 9 (1961) 849-859; its lower bound
    before the last round: Farley, Operations Research 38 (1990) 922-923 (both from memory).
    """
    if not (math.isfinite(packer_length_mm) and packer_length_mm > 0):
        raise refuse("packer length", f"{packer_length_mm}", "more than 0 mm")
    frozen = tuple(lines)
    check_lines(frozen)
    stock = tuple(sorted(set(bearer.stock_mm)))
    found, pieces = _solve(frozen, stock, bearer.kerf_mm, packer_length_mm, seconds)
    return _plan(frozen, pieces, found)


@lru_cache(maxsize=64)  # the base's height and its stacks do not move a joint
def _solve(
    lines: tuple[BearerLine, ...],
    stock_mm: tuple[float, ...],
    kerf_mm: float,
    packer_length_mm: float,
    seconds: float,
) -> tuple[Found, tuple[Piece, ...]]:
    pieces = possible_pieces(lines, stock_mm[-1])
    programme = Programme(lines, pieces, stock_mm, kerf_mm, facing_joints(lines, packer_length_mm))
    if not lines:
        return Found((), 0.0, True), pieces
    return _least(programme, seconds), pieces


def _least(programme: Programme, seconds: float) -> Found:
    total = math.fsum(line.length_mm for line in programme.lines)
    least = next_total_mm(programme.stock_mm, total - _SAME_MM)
    reached = search_cuts(programme, least, MOST_PLACEMENTS)
    if reached.made:
        bars: dict[int, list[int]] = {}
        for piece, bar in reached.made:
            bars.setdefault(bar, []).append(piece)
        return Found(_found(programme, list(bars.values())).bars, reached.least_mm, True)
    least = reached.least_mm
    start = _fewest_pieces(programme, seconds / 5)
    found = _from_pieces(programme, start.pieces)
    fewest = len(start.pieces) if start.proven else len(programme.lines)  # a bound in either case
    if found.bought_mm > least + _SAME_MM or not _none_better(programme, found, fewest):
        found, least = _improve(programme, found, least, fewest, seconds)
    done = _none_better(programme, found, fewest)
    return Found(found.bars, min(least, found.bought_mm), found.pieces_proven or done)


def _fewest_pieces(programme: Programme, seconds: float) -> Choice:
    whole = {
        piece.line: i
        for i, piece in enumerate(programme.pieces)
        if (piece.left, piece.right) == (0, len(programme.lines[piece.line].cuts_mm) - 1)
    }
    if len(whole) == len(programme.lines):
        return Choice(tuple(whole.values()), (), float(len(whole)), proven=True)
    choice = fewest_pieces(programme, seconds)
    if not choice.pieces:
        raise _refused(programme, choice.proven)
    return choice


def _refused(programme: Programme, proven: bool) -> Refusal:
    joined = [line.name for line in programme.lines if line.length_mm > programme.stock_mm[-1]]
    found = (
        "no way to keep the joints of neighbours one stack apart"
        if proven
        else ("no way found in the time given to keep the joints of neighbours one stack apart")
    )
    return refuse(
        f"bearers {', '.join(joined)}",
        found,
        f"a longer stock length than {programme.stock_mm[-1]:g} mm in bearer.stock_mm, or more"
        " stacks to join over",
    )


def _none_better(programme: Programme, found: Found, fewest: int) -> bool:
    """Whether as few pieces as can be come out of as few bars as the bought length can be."""
    bars = fewest_bars(programme.stock_mm, found.bought_mm)
    return found.order[1:] == (fewest, bars)


def _improve(
    programme: Programme, found: Found, least_mm: float, fewest: int, seconds: float
) -> tuple[Found, float]:
    """Return the best plan of the integer programmes, and the lower bound [mm]."""
    patterns = all_patterns(programme.cutting, MOST_LISTED)
    complete = bool(patterns)
    if not complete:
        start = [programme.cutting.fill(k) for k in range(len(programme.cutting.lengths_mm))]
        start += [_pattern(programme, bar) for bar in found.bars]
        patterns, least_mm = generate_patterns(programme, start, least_mm, MOST_ROUNDS)
    if found.bought_mm > least_mm + _SAME_MM:
        choice = least_bought(programme, patterns, least_mm, seconds / 2)
        found = _better(programme, found, choice)
        if complete and choice.bound > least_mm:
            least_mm = next_total_mm(programme.stock_mm, choice.bound - _SAME_MM)
    if not _none_better(programme, found, fewest):
        choice = fewest_cuts(programme, patterns, found.bought_mm, seconds * 0.3)
        found = _better(programme, found, choice)
        found = Found(found.bars, least_mm, complete and choice.proven)
    return found, least_mm


def _pattern(programme: Programme, bar: Bar) -> Pattern:
    return Pattern(bar.stock_mm, tuple(sorted(programme.slots[i] for i in bar.pieces)))


def _from_pieces(programme: Programme, pieces: Sequence[int]) -> Found:
    bars = first_fit(programme.cutting, [programme.slots[i] for i in pieces])
    return _found(programme, [[pieces[i] for i in bar] for bar in bars])


def _better(programme: Programme, found: Found, choice: Choice) -> Found:
    """Give each piece, longest first, the next slot, longest first; keep the better plan."""
    if not choice.pieces:
        return found
    slots = sorted((k, bar) for bar, p in enumerate(choice.patterns) for k in p.slots)
    bars: dict[int, list[int]] = {}
    longest = sorted(choice.pieces, key=lambda i: (programme.slots[i], i))
    for piece, (_, bar) in zip(longest, slots, strict=False):
        bars.setdefault(bar, []).append(piece)
    return min(found, _found(programme, list(bars.values())), key=lambda one: one.order)


def _found(programme: Programme, bars: Sequence[Sequence[int]]) -> Found:
    cutting, slots = programme.cutting, programme.slots
    return Found(
        tuple(
            Bar(cutting.shortest_bar_mm([slots[i] for i in bar]), tuple(sorted(bar)))
            for bar in bars
        ),
        0.0,
        False,
    )


def _plan(lines: Sequence[BearerLine], pieces: Sequence[Piece], found: Found) -> CutPlan:
    made = sorted((piece, bar) for bar, one in enumerate(found.bars) for piece in one.pieces)
    numbers: dict[int, int] = {}
    rows: list[tuple[str, float, int, float, float, float, int]] = []
    joints: list[tuple[str, str]] = []
    for index, bar in made:
        piece = pieces[index]
        line = lines[piece.line]
        number = numbers.setdefault(bar, len(numbers) + 1)
        ends = line.cuts_mm[piece.left], line.cuts_mm[piece.right]
        place = 1 + sum(row[0] == line.name for row in rows)
        stock = found.bars[bar].stock_mm
        rows.append((line.name, stock, place, piece.length_mm, *ends, number))
        if piece.left:
            joints.append((line.name, line.support_at(piece.left)))
    counts = sorted(Counter(bar.stock_mm for bar in found.bars).items())
    gap = max(0.0, found.bought_mm - found.least_mm)
    return CutPlan(
        pd.DataFrame(rows, columns=_COLUMNS),
        tuple(joints),
        pd.DataFrame(counts, columns=["stock_mm", "count"]),
        found.bought_mm - math.fsum(line.length_mm for line in lines),
        gap <= _SAME_MM,
        gap if gap > _SAME_MM else 0.0,
        found.pieces_proven,
    )
