"""Sparse symmetric systems: the solution, and the inverse just where it is wanted.

A hall has 10,000 points and 400 set-ups. The inverse of its normal matrix is full (800 MB), yet
the standard deviations and redundancy numbers need only those of its numbers where the normal
matrix itself is not zero. Two unknowns that never meet in a reading can be eliminated at the same
time, so the work is done in rounds:

1. Of the unknowns that are left, choose as many as possible of which no two are coupled, those
   with the fewest neighbours first. With staff readings, heights and grids this is all points at
   once; in lines and nets of height differences it is about every second point.
2. Eliminate them: their part of the matrix is a diagonal, so S = K - C' D^-1 C (the Schur
   complement) costs one sparse product.
3. Repeat until what is left is small or dense; factorise that rest densely (Cholesky).

The inverse is then had backwards, round by round (Takahashi's equations): with W = D^-1 C,

    Q_ek = -W Q_kk,      Q_ee = D^-1 - Q_ek W',

and each round needs Q_kk only where S is not zero, which the round before has just given. This
was chosen over a general sparse Cholesky because SciPy has none (its LU gives no selected
inverse), because every step is a whole-array operation, and because it holds for any mix of kinds.

References
----------
.. [1] Takahashi, K., Fagan, J. and Chin, M.-S., Formation of a sparse bus impedance matrix, 1973
   (from memory).
.. [2] Golub, G. H. and Plemmons, R. J., Large-scale geodetic least-squares adjustment by
   dissection and orthogonal decomposition, 1980 (from memory).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Protocol

import numpy as np
from scipy import linalg, sparse

from kit.readings.equations import Floats, Mask, Matrix, Whole

#: A rest of this size is solved densely in a few hundredths of a second.
SMALL = 500

#: Below this share of unknowns in a round, rounds no longer pay.
LEAST_SHARE = 0.1

#: Pairs of neighbours that are worked on at a time, to bound the memory.
PAIRS_AT_ONCE = 2_000_000

#: A pivot that lost this much of its diagonal number is zero but for rounding.
LEAST_PIVOT = 1e-13


class Entries(Protocol):
    """An inverse of which some numbers are known."""

    def at(self, rows: Whole, columns: Whole) -> Floats:
        """Return the numbers at the given places."""
        ...


@dataclass(frozen=True, eq=False)
class DenseEntries:
    """An inverse that is known everywhere."""

    inverse: Floats

    def at(self, rows: Whole, columns: Whole) -> Floats:
        """Return the numbers at the given places."""
        return self.inverse[rows, columns]


@dataclass(frozen=True, eq=False)
class PatternEntries:
    """An inverse that is known where a symmetric pattern is, its upper half stored by key."""

    size: int
    keys: Whole
    values: Floats

    def at(self, rows: Whole, columns: Whole) -> Floats:
        """Return the numbers at the given places, all of which must lie in the pattern."""
        wanted = np.minimum(rows, columns) * self.size + np.maximum(rows, columns)
        return self.values[np.searchsorted(self.keys, wanted)]


@dataclass(frozen=True, eq=False)
class Round:
    """Unknowns eliminated together: who left, who stayed, D, and the coupling C of the two."""

    gone: Whole
    kept: Whole
    diagonal: Floats
    coupling: Matrix
    kept_pattern: Matrix

    @property
    def size(self) -> int:
        """Unknowns at the beginning of the round."""
        return len(self.gone) + len(self.kept)

    def expand(self, inverse: Entries) -> PatternEntries:
        """Return the inverse before the round from the inverse after it."""
        coupling = self.coupling
        at = columns_of(coupling)
        across = np.zeros(coupling.nnz)
        weights = coupling.data / self.diagonal[rows_of(coupling)]
        for one, other in neighbour_pairs(coupling):
            q_kk = inverse.at(at[one], at[other])
            across -= np.bincount(other, weights[one] * q_kk, coupling.nnz)  # Q_ek = -W Q_kk
        rows = rows_of(coupling)
        own = 1 / self.diagonal  # Q_ee = D^-1 - Q_ek W'
        own = own - np.bincount(rows, across * weights, len(self.gone))
        return self._gather(inverse, own, across)

    def _gather(self, inverse: Entries, own: Floats, across: Floats) -> PatternEntries:
        gone, other = self.gone[rows_of(self.coupling)], self.kept[columns_of(self.coupling)]
        one_kept, other_kept = self._kept_pairs()
        low = np.concatenate([self.gone, np.minimum(gone, other), self.kept[one_kept]])
        high = np.concatenate([self.gone, np.maximum(gone, other), self.kept[other_kept]])
        values = np.concatenate([own, across, inverse.at(one_kept, other_kept)])
        keys = low * self.size + high
        order = np.argsort(keys, kind="stable")
        return PatternEntries(self.size, keys[order], values[order])

    def _kept_pairs(self) -> tuple[Whole, Whole]:
        upper = sparse.triu(self.kept_pattern).tocoo()
        return upper.coords[0].astype(np.int64), upper.coords[1].astype(np.int64)


@dataclass(frozen=True, eq=False)
class Elimination:
    """A symmetric positive definite matrix, eliminated round by round."""

    rounds: tuple[Round, ...]
    rest: Floats

    def solve(self, right: Floats) -> Floats:
        """Return the solution for one or several right-hand sides, (n,) or (n, m)."""
        column = (slice(None), *([None] * (right.ndim - 1)))
        lefts = []
        for step in self.rounds:
            gone = right[step.gone]
            lefts.append(gone)
            right = right[step.kept] - step.coupling.T @ (gone / step.diagonal[column])
        solution = linalg.cho_solve((self.rest, True), right) if right.size else right
        for step, gone in zip(reversed(self.rounds), reversed(lefts), strict=True):
            whole = np.empty((step.size, *right.shape[1:]))
            whole[step.kept] = solution
            whole[step.gone] = (gone - step.coupling @ solution) / step.diagonal[column]
            solution = whole
        return solution

    def inverse(self) -> Entries:
        """Return the inverse wherever the matrix is not zero."""
        size = len(self.rest)
        full = linalg.cho_solve((self.rest, True), np.eye(size)) if size else self.rest
        entries: Entries = DenseEntries(full)
        for step in reversed(self.rounds):
            entries = step.expand(entries)
        return entries


def eliminate(design: Matrix, weights: Floats) -> Elimination:
    """Return the elimination of the normal matrix A' P A.

    Parameters
    ----------
    design : (rows, unknowns) sparse array
        A.
    weights : (rows,) array
        The diagonal of P.

    Raises
    ------
    numpy.linalg.LinAlgError
        If the rows do not determine all unknowns.
    """
    shape = abs(design)
    # Unknowns that meet in a row belong to the pattern even where their products cancel.
    pattern = _ones(sparse.csr_array(shape.T @ shape))
    matrix = _spread(pattern, sparse.csr_array(design.T @ (_diagonal(weights) @ design)))
    scale = matrix.diagonal()
    rounds: list[Round] = []
    while matrix.shape[0] > SMALL:
        chosen = _uncoupled(matrix)
        if chosen.sum() < LEAST_SHARE * len(chosen):
            break
        _check(matrix.diagonal()[chosen], scale[chosen])
        step, matrix = _round(matrix, chosen)
        scale = scale[step.kept]
        rounds.append(step)
    return Elimination(tuple(rounds), _factor(matrix.toarray(), scale))


def _round(matrix: Matrix, chosen: Mask) -> tuple[Round, Matrix]:
    gone, kept = np.flatnonzero(chosen), np.flatnonzero(~chosen)
    diagonal = matrix.diagonal()[gone]
    coupling = sparse.csr_array(matrix[gone][:, kept])
    block = sparse.csr_array(matrix[kept][:, kept])
    joined = _ones(coupling)
    pattern = _ones(_ones(block) + joined.T @ joined)
    scaled = _diagonal(1 / diagonal) @ coupling
    schur = sparse.csr_array(block - coupling.T @ scaled)  # S = K - C' D^-1 C
    return Round(gone, kept, diagonal, coupling, pattern), _spread(pattern, schur)


def _uncoupled(matrix: Matrix) -> Mask:
    degree = np.diff(matrix.indptr)
    chosen = np.zeros(len(degree), dtype=bool)
    barred = np.zeros(len(degree), dtype=bool)
    starts, ends = matrix.indptr[:-1].tolist(), matrix.indptr[1:].tolist()
    for i in np.argsort(degree, kind="stable").tolist():
        if not barred[i]:
            chosen[i] = True
            barred[matrix.indices[starts[i] : ends[i]]] = True
    return chosen


def _diagonal(values: Floats) -> Matrix:
    return sparse.csr_array(sparse.diags_array(values))


def _ones(matrix: Matrix) -> Matrix:
    ones = sparse.csr_array(matrix)
    ones.sort_indices()
    return sparse.csr_array((np.ones(ones.nnz), ones.indices, ones.indptr), shape=ones.shape)


def _spread(pattern: Matrix, values: Matrix) -> Matrix:
    """Return the values on the whole pattern, with a stored zero wherever they have none."""
    size = pattern.shape[1]
    keys = rows_of(pattern) * size + columns_of(pattern)
    wanted = rows_of(values) * size + columns_of(values)
    data = np.zeros(len(keys))
    data[np.searchsorted(keys, wanted)] = values.data
    return sparse.csr_array((data, pattern.indices, pattern.indptr), shape=pattern.shape)


def columns_of(matrix: Matrix) -> Whole:
    """Return the column of each stored number; wide enough for row times size."""
    return np.asarray(matrix.indices, dtype=np.int64)


def rows_of(matrix: Matrix) -> Whole:
    """Return the row of each stored number."""
    return np.repeat(np.arange(matrix.shape[0], dtype=np.int64), np.diff(matrix.indptr))


def neighbour_pairs(matrix: Matrix) -> Iterator[tuple[Whole, Whole]]:
    """Yield all ordered pairs of stored numbers that share a row, as positions in ``data``."""
    counts = np.diff(matrix.indptr).astype(np.int64)
    ends = np.cumsum(counts * counts)
    cuts = [0]
    while cuts[-1] < len(counts):
        done = ends[cuts[-1] - 1] if cuts[-1] else 0
        reach = int(np.searchsorted(ends, done + PAIRS_AT_ONCE, side="right"))
        cuts.append(max(reach, cuts[-1] + 1))
    for low, high in pairwise(cuts):
        yield _pairs_of_rows(matrix, counts, low, high)


def _pairs_of_rows(matrix: Matrix, counts: Whole, low: int, high: int) -> tuple[Whole, Whole]:
    width = np.repeat(counts[low:high], counts[low:high])
    first = np.repeat(matrix.indptr[low:high].astype(np.int64), counts[low:high])
    one = np.repeat(np.arange(matrix.indptr[low], matrix.indptr[high], dtype=np.int64), width)
    begin = np.repeat(np.cumsum(width) - width, width)
    other = np.repeat(first, width) + np.arange(len(one)) - begin
    return one, other


def _check(pivots: Floats, scale: Floats) -> None:
    if not (pivots > LEAST_PIVOT * scale).all():
        raise np.linalg.LinAlgError("the rows do not determine all unknowns")


def _factor(rest: Floats, scale: Floats) -> Floats:
    if not rest.size:
        return rest
    lower = linalg.cholesky(rest, lower=True)
    _check(np.diag(lower) ** 2, scale)
    return np.asarray(lower)
