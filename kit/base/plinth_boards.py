"""Which boards a plinth is made of, and where they are joined."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from kit.base.checks import CLOSED_MM
from kit.job import refuse

#: No piece of plinth is shorter, unless the whole run is (common practice, no source) [mm].
SHORTEST_PIECE_MM = 300.0


@dataclass(frozen=True)
class Piece:
    """One piece of plinth, cut to its length.

    Parameters
    ----------
    from_mm, to_mm : float
        Its ends along the run [mm].
    stock_mm : float
        Length of the board that it is cut from [mm].
    """

    from_mm: float
    to_mm: float
    stock_mm: float

    @property
    def length_mm(self) -> float:
        """Its length [mm]."""
        return self.to_mm - self.from_mm


@dataclass(frozen=True)
class _Way:
    """Pieces from a run's left end up to a place, and what speaks for them: less is better."""

    lengths_mm: tuple[float, ...] = ()
    free_joints: int = 0
    bought_mm: float = 0.0

    @property
    def rank(self) -> tuple[int, int, float]:
        return len(self.lengths_mm), self.free_joints, self.bought_mm

    def then(self, lengths_mm: tuple[float, ...], stock_mm: Sequence[float]) -> _Way:
        """Return it with the pieces of a further stretch, joined to it at a side."""
        return _Way(
            (*self.lengths_mm, *lengths_mm),
            self.free_joints + len(lengths_mm) - 1,
            self.bought_mm + sum(_bar_mm(mm, stock_mm) for mm in lengths_mm),
        )


def cut_plinth(
    length_mm: float, sides_mm: Sequence[float], stock_mm: Sequence[float], where: str
) -> tuple[Piece, ...]:
    """Cut the plinth of one run into boards.

    Parameters
    ----------
    length_mm : float
        Length of the run [mm].
    sides_mm : sequence of float
        Sides of units within it, where a joint is preferred [mm].
    stock_mm : sequence of float
        Lengths that the boards come in [mm].
    where : str
        Names the run, for a refusal.

    Returns
    -------
    tuple of Piece
        From left to right: the fewest; of these the ones with the fewest joints away from a side;
        of these the ones for which least length is bought, as far as a shorter board for one
        piece after the other tells.

    Raises
    ------
    Refusal
        Where the boards are so short that a piece would be under `SHORTEST_PIECE_MM`.

    Examples
    --------
    >>> [piece.length_mm for piece in cut_plinth(4000.0, [1700.0, 3800.0], [2400.0], "run A")]
    [1700.0, 2300.0]
    """
    inner = sorted({x for x in sides_mm if CLOSED_MM < x < length_mm - CLOSED_MM})
    fixed = (0.0, *inner, length_mm)
    best = {0: _Way()}
    for end in range(1, len(fixed)):
        ways = [
            best[start].then(lengths, stock_mm)
            for start in range(end)
            if start in best and (lengths := _split(fixed[end] - fixed[start], stock_mm, length_mm))
        ]
        if ways:
            best[end] = min(ways, key=lambda way: way.rank)
    if len(fixed) - 1 not in best:
        raise refuse(
            where,
            f"{length_mm:g} mm of plinth from boards of {max(stock_mm):g} mm at most",
            f"longer boards: no piece is to be shorter than {SHORTEST_PIECE_MM:g} mm",
        )
    return _placed(best[len(fixed) - 1].lengths_mm, length_mm, stock_mm)


def _placed(
    lengths_mm: Sequence[float], length_mm: float, stock_mm: Sequence[float]
) -> tuple[Piece, ...]:
    """Put pieces end to end; the last one ends where the run does."""
    ends = [*accumulate(lengths_mm[:-1], initial=0.0), length_mm]
    bars = (_bar_mm(mm, stock_mm) for mm in lengths_mm)
    return tuple(Piece(a, b, bar) for (a, b), bar in zip(pairwise(ends), bars, strict=True))


def _bar_mm(length_mm: float, stock_mm: Sequence[float]) -> float:
    """Return the shortest board that a piece can be cut from [mm]."""
    return min(mm for mm in stock_mm if mm >= length_mm - CLOSED_MM)


def _split(stretch_mm: float, stock_mm: Sequence[float], run_mm: float) -> tuple[float, ...]:
    """Return the lengths of the fewest pieces of a stretch [mm]; none where one is too short.

    As long as their boards, the last one as long as is left over.
    """
    count = max(1, math.ceil(stretch_mm / max(stock_mm) - CLOSED_MM))
    alone = count == 1 and stretch_mm >= run_mm - CLOSED_MM
    if not alone and stretch_mm < count * SHORTEST_PIECE_MM - CLOSED_MM:
        return ()
    bars = [max(stock_mm)] * count
    for at in reversed(range(count)):
        rest = sum(bars) - bars[at]
        bars[at] = min(mm for mm in stock_mm if rest + mm >= stretch_mm - CLOSED_MM)
    return tuple(_long_enough([*bars[:-1], stretch_mm - sum(bars[:-1])]))


def _long_enough(lengths_mm: list[float]) -> list[float]:
    """Return lengths of the same sum, none too short: what the last one lacks, others give."""
    for at in range(len(lengths_mm) - 1, 0, -1):
        lacks = max(0.0, SHORTEST_PIECE_MM - lengths_mm[at])
        lengths_mm[at] += lacks
        lengths_mm[at - 1] -= lacks
    return lengths_mm
