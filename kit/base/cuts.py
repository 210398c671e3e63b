"""Cutting the bearers: pieces out of stock lengths, joined over stacks, with least waste.

Where each bearer is joined and which pieces come out of which bar is chosen at once. Few
bearers: an exact search, total by total. More: an integer programme over the patterns of a bar,
exact where all patterns can be listed; else patterns are generated as the linear programme asks
for them, in a bounded number of rounds, and what that programme proves is the lower bound. With
very many different piece lengths near ones share a slot length, and the gap is stated against
the plain sum of lengths.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import pandas as pd

from kit.base.cut_joints import BearerLine, Piece, check_lines, facing_joints, possible_pieces
from kit.base.cut_least import Found, least_cuts
from kit.base.cut_programme import Programme
from kit.base.effort import STEPS_A_SECOND
from kit.job import Bearer, refuse

__all__ = ["BearerLine", "CutPlan", "cut_bearers"]

_COLUMNS = ["bearer", "stock_mm", "piece", "length_mm", "from_x_mm", "to_x_mm", "bar"]
#: Steps of the integer programmes unless the caller says otherwise.
MOST_STEPS = 10.0 * STEPS_A_SECOND

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


def cut_bearers(
    lines: Sequence[BearerLine],
    bearer: Bearer,
    packer_length_mm: float,
    *,
    steps: float = MOST_STEPS,
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
    steps : float
        Work of the integer programmes together, as `kit.base.effort` counts it; the rest is
        bounded by other counts. The same call gives the same plan on every machine.

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
    found, pieces = _solve(frozen, stock, bearer.kerf_mm, packer_length_mm, steps)
    return _plan(frozen, pieces, found)


@lru_cache(maxsize=64)  # the base's height and its stacks do not move a joint
def _solve(
    lines: tuple[BearerLine, ...],
    stock_mm: tuple[float, ...],
    kerf_mm: float,
    packer_length_mm: float,
    steps: float,
) -> tuple[Found, tuple[Piece, ...]]:
    pieces = possible_pieces(lines, stock_mm[-1])
    programme = Programme(lines, pieces, stock_mm, kerf_mm, facing_joints(lines, packer_length_mm))
    if not lines:
        return Found((), 0.0, True), pieces
    return least_cuts(programme, steps), pieces


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
