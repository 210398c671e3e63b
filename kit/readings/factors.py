"""The heights' covariance without its n² numbers: each height's own part, and what they share.

Given the set-ups, the offsets of tables and the placements of straight edges, heights that are
read from them hang together no more: each has a part of its own, and all else that two of them
have in common comes through these few. So the covariance is

    Q = diag(d) + F F',   D = A_h' P A_h,   C = A_h' P A_k,   S = K - C' D^-1 C = L L',   (1)

    d = 1 / D,   F = D^-1 C L'^-1,                                                        (2)

with h the heights and k the others, K = A_k' P A_k [1]. It is exact. Heights that a spirit level
joins two by two belong to the others: their part of d is 0, their rows of F are those of L'^-1.

References
----------
.. [1] Mikhail, E. M. and Ackermann, F., Observations and Least Squares, 1976, elimination of
   unknowns by partitioning (from memory).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy import linalg, sparse

from kit.job.refusal import refuse
from kit.readings.equations import Floats, Mask, Matrix, Whole
from kit.readings.least_squares import Solution

#: Unknowns through which heights may hang together: beyond, their matrix takes gigabytes.
MOST_SHARED = 4000

#: Numbers that the factors may have in all: 800 MB.
MOST_NUMBERS = 100_000_000


class SharedDoubt(NamedTuple):
    """A covariance of n heights as diag(diagonal) + factors @ factors.T [mm²].

    Parameters
    ----------
    diagonal : (n,) array
        What each height's doubt has of its own [mm²].
    factors : (n, k) array
        What it shares with others [mm], k the number of set-ups and the like.
    """

    diagonal: Floats
    factors: Floats


def shared_doubt(solution: Solution) -> SharedDoubt:
    """Return the covariance of a solution's heights as own and shared parts.

    Parameters
    ----------
    solution : Solution
        The adjustment.

    Returns
    -------
    SharedDoubt
        Points in the order of the model. Of a free network the shared part counts from its own
        mean: every difference of two heights has the same variance as by `height_covariance`, a
        height's own variance differs by at most twice the largest own part over n.

    Raises
    ------
    Refusal
        Where more than 4,000 unknowns hang heights together, or the factors would take more than
        800 MB.

    Notes
    -----
    That of a free network from the mean of all heights, S Q S' (see `Solution.height_sd_mm`), is
    singular and so has no own part; with d 1'/n taken to both sides, which no difference sees,
    it is diag(d) + (S F)(S F)'.
    """
    points = solution.model.columns("height")
    position = np.full(len(solution.values), -1, dtype=np.int64)
    position[solution.sought] = np.arange(len(solution.sought))
    design = solution.model.design[:, solution.sought]
    apart = _apart(design, np.isin(solution.sought, points))
    _refuse_too_many(len(points), int((~apart).sum()))
    own, factors = _parted(design, solution.model.sd_mm**-2.0, apart)
    at = position[points]
    own_mm2 = np.where(at >= 0, own[at], 0.0)
    shared = np.where(at[:, None] >= 0, factors[at], 0.0)
    if solution.free:
        shared -= shared.mean(axis=0)
    return SharedDoubt(own_mm2, shared)


def _apart(design: Matrix, is_height: Mask) -> Mask:
    """Return which unknowns are heights of which no reading holds two."""
    held = sparse.csr_array(design[:, np.flatnonzero(is_height)])
    double = np.diff(held.indptr) > 1
    joined = np.zeros(held.shape[1], dtype=bool)
    joined[held[np.flatnonzero(double)].indices] = True
    apart = np.array(is_height)
    apart[np.flatnonzero(is_height)] = ~joined
    return apart


def _refuse_too_many(points: int, shared: int) -> None:
    if shared > MOST_SHARED:
        raise refuse(
            "the readings together",
            f"{shared} set-ups, placements and points that a level joins",
            f"at most {MOST_SHARED} in one job: split it, or read more points from each set-up",
        )
    if points * shared > MOST_NUMBERS:
        raise refuse(
            "the readings together",
            f"{points} points from {shared} set-ups, {points * shared} numbers of shared doubt",
            f"at most {MOST_NUMBERS} in one job: split it, or read fewer points",
        )


def _parted(design: Matrix, weights: Floats, apart: Mask) -> tuple[Floats, Floats]:
    """Return d (unknowns,) and F (unknowns, k) of Eq. (2), all unknowns that are sought."""
    gone, kept = np.flatnonzero(apart), np.flatnonzero(~apart)
    heights, others = sparse.csr_array(design[:, gone]), sparse.csr_array(design[:, kept])
    weighted = sparse.csr_array(sparse.diags_array(weights) @ others)
    diagonal = np.asarray((heights * heights).T @ weights).ravel()  # D
    coupling = sparse.csr_array(heights.T @ weighted)  # C
    scaled = sparse.csr_array(sparse.diags_array(1 / diagonal) @ coupling)
    schur = (others.T @ weighted - coupling.T @ scaled).toarray()  # Eq. (1)
    own, factors = np.zeros(len(apart)), np.zeros((len(apart), len(kept)))
    own[gone] = 1 / diagonal
    if len(kept):
        factors[kept], factors[gone] = _through(schur, scaled, gone, kept)
    return own, factors


def _through(schur: Floats, scaled: Matrix, gone: Whole, kept: Whole) -> tuple[Floats, Floats]:
    """Return the rows of F of the others, L'^-1, and of the heights, D^-1 C L'^-1."""
    lower = linalg.cholesky(schur, lower=True)
    upper = linalg.solve_triangular(lower, np.eye(len(kept)), lower=True).T
    return upper, -np.asarray(scaled @ upper).reshape(len(gone), len(kept))
