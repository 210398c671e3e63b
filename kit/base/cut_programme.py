"""The cutting programme: which pieces tile the bearers, and which bars they come out of."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, linprog
from scipy.sparse import coo_array, csr_array, vstack

from kit.base.cut_joints import BearerLine, Piece
from kit.base.cut_patterns import Cutting, Floats, Pattern, best_patterns, next_total_mm
from kit.base.effort import Effort, solve_programme

#: With more piece lengths than this, near ones share a slot length: a bound on the cost.
MOST_LENGTHS = 250

_SAME_MM = 1e-6  # two totals of bars, against the solver's own tolerance
_ROUNDING_MM = 1e-7  # lengths that differ by less are one length


@dataclass(frozen=True)
class Programme:
    """The integer programme: pieces that tile each bearer, out of patterns.

    A slot serves any piece that is not longer. Unknowns: whether each piece is made, how often
    each pattern is cut, and how many slots of each length are handed down to shorter pieces.
    """

    lines: tuple[BearerLine, ...]
    pieces: tuple[Piece, ...]
    stock_mm: tuple[float, ...]
    kerf_mm: float
    facing: tuple[tuple[tuple[int, int], tuple[int, int]], ...]

    @cached_property
    def step_mm(self) -> float:
        """Piece lengths within one step share a slot [mm]: nearly 0 unless there are many."""
        lengths = {round(piece.length_mm, 7) for piece in self.pieces}
        spread = max(lengths) - min(lengths)
        return _ROUNDING_MM if len(lengths) <= MOST_LENGTHS else spread / MOST_LENGTHS

    @property
    def is_exact(self) -> bool:
        """Whether every piece has a slot of just its own length."""
        return self.step_mm <= _ROUNDING_MM

    @cached_property
    def cutting(self) -> Cutting:
        """The slot lengths, with stock and kerf; a slot is as long as its longest piece."""
        longest: dict[int, float] = {}
        for piece in self.pieces:
            step = round(piece.length_mm / self.step_mm)
            longest[step] = max(longest.get(step, 0.0), piece.length_mm)
        lengths = tuple(longest[step] for step in sorted(longest, reverse=True))
        return Cutting(lengths, self.stock_mm, self.kerf_mm)

    @cached_property
    def slots(self) -> tuple[int, ...]:
        """Index of the slot length of each piece."""
        index = {round(len_ / self.step_mm): k for k, len_ in enumerate(self.cutting.lengths_mm)}
        return tuple(index[round(piece.length_mm / self.step_mm)] for piece in self.pieces)

    @cached_property
    def tiling(self) -> tuple[csr_array, Floats]:
        """Rows that make pieces tile each bearer, with their right-hand sides."""
        first = np.cumsum([0, *[len(line.cuts_mm) - 1 for line in self.lines]])
        entries: list[tuple[int, int, float]] = []
        for column, piece in enumerate(self.pieces):
            entries.append((int(first[piece.line]) + piece.left, column, 1.0))
            if piece.right < len(self.lines[piece.line].cuts_mm) - 1:
                entries.append((int(first[piece.line]) + piece.right, column, -1.0))
        right = np.zeros(int(first[-1]))
        right[first[:-1]] = 1.0
        return _sparse(entries, (len(right), len(self.pieces))), right

    @cached_property
    def apart(self) -> csr_array:
        """Rows of which each allows at most one joint."""
        ending: dict[tuple[int, int], list[int]] = {}
        for column, piece in enumerate(self.pieces):
            ending.setdefault((piece.line, piece.right), []).append(column)
        entries = [
            (row, column, 1.0)
            for row, pair in enumerate(self.facing)
            for joint in pair
            for column in ending[joint]
        ]
        return _sparse(entries, (len(self.facing), len(self.pieces)))

    def equations(self, patterns: Sequence[Pattern]) -> tuple[csr_array, Floats]:
        """Return tiling, then one balance of slots for each length, over all unknowns."""
        tiling, right = self.tiling
        rows, made, cut = len(right), len(self.pieces), len(patterns)
        lengths = len(self.cutting.lengths_mm)
        table = tiling.tocoo()
        entries = list(zip(*table.coords, table.data, strict=True))
        entries += [(rows + k, column, -1.0) for column, k in enumerate(self.slots)]
        entries += [
            (rows + k, made + column, float(count))
            for column, pattern in enumerate(patterns)
            for k, count in Counter(pattern.slots).items()
        ]
        entries += [(rows + k, made + cut + k, -1.0) for k in range(lengths)]
        entries += [(rows + k + 1, made + cut + k, 1.0) for k in range(lengths - 1)]
        shape = (rows + lengths, made + cut + lengths)
        return _sparse(entries, shape), np.append(right, np.zeros(lengths))

    def spread(self, pieces: Floats, bars: Floats) -> Floats:
        """Return coefficients over all unknowns: of pieces, of patterns, none of slots."""
        return np.concatenate([pieces, bars, np.zeros(len(self.cutting.lengths_mm))])

    def bought(self, patterns: Sequence[Pattern]) -> Floats:
        """Return coefficients over all unknowns that add up the bought length [mm]."""
        bars = np.array([pattern.stock_mm for pattern in patterns])
        return self.spread(np.zeros(len(self.pieces)), bars)

    def rows(self, patterns: Sequence[Pattern]) -> list[LinearConstraint]:
        """Return all rows: tiling, balance of slots, joints apart."""
        table, right = self.equations(patterns)
        rows = [LinearConstraint(table, right, right)]
        if self.facing:
            rows.append(LinearConstraint(self.widened(patterns), -np.inf, 1.0))
        return rows

    def widened(self, patterns: Sequence[Pattern]) -> csr_array:
        """Return `apart` over all unknowns."""
        table = self.apart.tocoo()
        width = len(self.pieces) + len(patterns) + len(self.cutting.lengths_mm)
        return coo_array((table.data, table.coords), (len(self.facing), width)).tocsr()


def _sparse(entries: Sequence[tuple[int, int, float]], shape: tuple[int, int]) -> csr_array:
    if not entries:
        return csr_array(shape)
    rows, columns, data = zip(*entries, strict=True)
    return coo_array((np.array(data), (np.array(rows), np.array(columns))), shape).tocsr()


@dataclass(frozen=True)
class Choice:
    """What the integer programme chose.

    Parameters
    ----------
    pieces : tuple of int
        Indices of the pieces that are made; empty where none were found.
    patterns : tuple of Pattern
        The bars, each as often as it is cut.
    bound : float
        Lower bound of what was made least; inf where the patterns admit no solution.
    proven : bool
        Whether the choice is the least that the patterns allow.
    """

    pieces: tuple[int, ...]
    patterns: tuple[Pattern, ...]
    bound: float
    proven: bool


def fewest_pieces(programme: Programme, effort: Effort) -> Choice:
    """Tile the bearers with as few pieces as the joints allow, whatever the bars."""
    tiling, right = programme.tiling
    rows = [LinearConstraint(tiling, right, right)]
    if programme.facing:
        rows.append(LinearConstraint(programme.apart, -np.inf, 1.0))
    return _integer(programme, (), np.ones(len(programme.pieces)), rows, effort)


def least_bought(
    programme: Programme, patterns: Sequence[Pattern], least_mm: float, effort: Effort
) -> Choice:
    """Buy as little as the patterns allow; least_mm is a known lower bound [mm]."""
    cost = programme.bought(patterns)
    rows = [*programme.rows(patterns), LinearConstraint(cost, least_mm - _SAME_MM, np.inf)]
    return _integer(programme, patterns, cost, rows, effort)


def fewest_cuts(
    programme: Programme, patterns: Sequence[Pattern], bought_mm: float, effort: Effort
) -> Choice:
    """Make as few pieces, and then use as few bars, as the bought length allows [mm]."""
    less = 1 / (2 + bought_mm / programme.stock_mm[0])  # all bars weigh less than one piece
    cost = programme.spread(np.ones(len(programme.pieces)), np.full(len(patterns), less))
    limit = LinearConstraint(programme.bought(patterns), 0.0, bought_mm + _SAME_MM)
    return _integer(programme, patterns, cost, [*programme.rows(patterns), limit], effort)


def _integer(
    programme: Programme,
    patterns: Sequence[Pattern],
    cost: Floats,
    rows: Sequence[LinearConstraint],
    effort: Effort,
) -> Choice:
    made = len(programme.pieces)
    whole = np.zeros(len(cost), dtype=np.int64)
    whole[: made + len(patterns)] = 1
    upper = np.full(len(cost), np.inf)
    upper[:made] = 1
    found = solve_programme(cost, rows, whole, Bounds(0.0, upper), effort)
    often = found.amounts
    return Choice(
        tuple(np.flatnonzero(often[:made]).tolist()),
        tuple(p for p, n in zip(patterns, often[made:], strict=False) for _ in range(int(n))),
        found.bound,
        found.proven,
    )


def patterns_for_length(
    programme: Programme, patterns: Sequence[Pattern], least_mm: float, rounds: int
) -> tuple[tuple[Pattern, ...], float]:
    """Add patterns as long as the linear programme buys less by them.

    Parameters
    ----------
    programme : Programme
        What is to be cut.
    patterns : sequence of Pattern
        To begin with; they must admit a solution.
    least_mm : float
        A lower bound that is known already [mm].
    rounds : int
        At most so many; each costs one linear programme and one dynamic programme.

    Returns
    -------
    tuple of Pattern
        All patterns.
    float
        Lower bound of the bought length, rounded up to a total of whole bars [mm].
    """
    pool, best, stock = dict.fromkeys(patterns), least_mm, programme.stock_mm
    for _ in range(rounds):
        relaxed = _relax(programme, tuple(pool), programme.bought(tuple(pool)), math.inf)
        new, ratio = best_patterns(programme.cutting, relaxed.worth)
        # The values divided by the ratio are feasible for every pattern (Farley's bound).
        best = max(best, next_total_mm(stock, relaxed.least / max(ratio, 1.0) - _SAME_MM))
        fresh = [pattern for pattern in new if pattern not in pool]
        if not fresh or best >= next_total_mm(stock, relaxed.least - _SAME_MM):
            break
        pool.update(dict.fromkeys(fresh))
    return tuple(pool), best


def patterns_for_pieces(
    programme: Programme, patterns: Sequence[Pattern], bought_mm: float, rounds: int
) -> tuple[tuple[Pattern, ...], float]:
    """Add patterns as long as the linear programme makes fewer pieces by them.

    Parameters
    ----------
    programme, patterns, rounds
        As in `patterns_for_length`.
    bought_mm : float
        What may be bought [mm].

    Returns
    -------
    tuple of Pattern
        All patterns.
    float
        Lower bound of the pieces.
    """
    pool, best = dict.fromkeys(patterns), 0.0
    made = np.ones(len(programme.pieces))
    for _ in range(rounds):
        cost = programme.spread(made, np.zeros(len(pool)))
        relaxed = _relax(programme, tuple(pool), cost, bought_mm + _SAME_MM)
        if math.isinf(relaxed.least) or relaxed.per_mm <= 0:
            best = max(best, 0.0 if math.isinf(relaxed.least) else relaxed.least)
            break
        new, ratio = best_patterns(programme.cutting, relaxed.worth / relaxed.per_mm)
        # A dearer millimetre of stock makes the values feasible for every pattern.
        dearer = (max(ratio, 1.0) - 1) * relaxed.per_mm * bought_mm
        best = max(best, relaxed.least - dearer)
        fresh = [pattern for pattern in new if pattern not in pool]
        if not fresh:
            break
        pool.update(dict.fromkeys(fresh))
    return tuple(pool), best


@dataclass(frozen=True)
class Relaxed:
    """What the programme gives where whole numbers are not asked.

    Parameters
    ----------
    worth : array of shape (lengths,)
        What one more slot of each length would save.
    per_mm : float
        What one more millimetre of stock would save.
    least : float
        The least cost; inf where the patterns admit no solution.
    """

    worth: Floats
    per_mm: float
    least: float


def _relax(
    programme: Programme, patterns: Sequence[Pattern], cost: Floats, bought_mm: float
) -> Relaxed:
    table, right = programme.equations(patterns)
    # A limit that never binds stands for none, so that the last row is always the bought length.
    most_mm = len(programme.pieces) * programme.stock_mm[-1]
    bought = csr_array(programme.bought(patterns)[None, :])
    upper = vstack([programme.widened(patterns), bought]).tocsr()
    limits = np.append(np.ones(len(programme.facing)), min(bought_mm, most_mm))
    # The stubs of linprog do not know sparse tables; linprog does.
    rows: dict[str, Any] = {"A_eq": table, "b_eq": right, "A_ub": upper, "b_ub": limits}
    result: Any = linprog(cost, **rows, method="highs")
    if result.status != 0:
        return Relaxed(np.zeros(len(programme.cutting.lengths_mm)), 0.0, math.inf)
    worth = np.asarray(result.eqlin.marginals, dtype=float)[len(programme.tiling[1]) :]
    per_mm = -float(result.ineqlin.marginals[-1])
    return Relaxed(np.maximum(worth, 0.0), per_mm, float(result.fun))
