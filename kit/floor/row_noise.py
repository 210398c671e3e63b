"""The covariance of thousands of readings that share errors, without its n² numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Protocol, runtime_checkable

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array, issparse

from kit.floor.places import Array
from kit.job.refusal import refuse

Rows = NDArray[np.intp]


@runtime_checkable
class SharedErrors(Protocol):
    """What has a diagonal (n,) and factors (n, k): a `RowNoise`, or what becomes one.

    The readings' room is below this one and hands over a class of its own.
    """

    @property
    def diagonal(self) -> Array:
        """Variance of each reading's own error [mm²]."""

    @property
    def factors(self) -> Any:
        """What each shared error adds to each reading [mm]."""


@dataclass(frozen=True, eq=False)
class RowNoise:
    """Covariance of readings whose errors are their own and shared: diag(d) + F·Fᵀ.

    Parameters
    ----------
    diagonal : (n,) array
        Variance of each reading's own error, 0 or more [mm²].
    factors : (n, k) array or scipy.sparse array
        What each of k shared errors, independent and of variance 1, adds to each reading [mm].

    Raises
    ------
    Refusal
        If the shapes do not fit, a number is not finite, or a variance is negative.

    Notes
    -----
    Heights read from set-ups have this covariance exactly. With the points eliminated from the
    normal equations, D their diagonal block, B the block that joins them to the set-ups and
    S = L·Lᵀ the set-ups' reduced block: D⁻¹ + (D⁻¹B L⁻ᵀ)(D⁻¹B L⁻ᵀ)ᵀ, the inverse of a matrix in
    blocks.                                                                         (1)

    Examples
    --------
    >>> noise = RowNoise(np.array([0.25, 0.25, 0.04]), np.array([[0.3], [0.3], [0.0]]))
    >>> noise.part(np.array([0, 1])).round(2).tolist()
    [[0.34, 0.09], [0.09, 0.34]]
    """

    diagonal: Array
    factors: Array | csr_array

    def __post_init__(self) -> None:
        diagonal = np.asarray(self.diagonal, float)
        sparse = issparse(self.factors)
        factors: Any = csr_array(self.factors) if sparse else np.asarray(self.factors, float)
        if diagonal.ndim != 1 or factors.ndim != 2 or factors.shape[0] != len(diagonal):
            found = f"diagonal {diagonal.shape} with factors {factors.shape}"
            raise refuse("floor, noise_covariance", found, "shapes (n,) and (n, k)")
        values = factors.data if isinstance(factors, csr_array) else factors
        if not (np.all(np.isfinite(diagonal)) and np.all(np.isfinite(values))):
            raise refuse("floor, noise_covariance", "a number that is not finite", "finite numbers")
        if np.any(diagonal < 0):
            row = int(np.argmin(diagonal))
            found = f"variance {diagonal[row]}"
            raise refuse(f"floor, noise_covariance, row {row + 1}", found, "0 or more")
        object.__setattr__(self, "diagonal", diagonal)
        object.__setattr__(self, "factors", factors)

    def __len__(self) -> int:
        return len(self.diagonal)

    def variances(self) -> Array:
        """Return the readings' variances (n,) [mm²], shared errors included."""
        own = self.factors
        squares = own.multiply(own) if isinstance(own, csr_array) else own**2
        return np.asarray(self.diagonal + np.asarray(squares.sum(axis=1)).ravel())

    def part(self, rows: Rows) -> Array:
        """Return the covariance (k, k) [mm²] of some of the readings."""
        own = self._rows(rows)
        full = own @ own.T
        full[np.diag_indices_from(full)] += self.diagonal[rows]
        return np.asarray(full)

    def rows(self, rows: slice) -> Array:
        """Return the covariance (k, m) of some readings with all up to the last of them."""
        shared: Any = self.factors[rows] @ self.factors[: rows.stop].T
        out = np.asarray(shared.toarray() if isinstance(shared, csr_array) else shared)
        own = np.arange(len(out))
        out[own, own + rows.start] += self.diagonal[rows]
        return out

    def kept(self, rows: Rows) -> RowNoise:
        """Return the noise of some of the readings, in the order of the rows."""
        return RowNoise(self.diagonal[rows], self.factors[rows])

    def pairs(self, first: Rows, second: Rows) -> Array:
        """Return the covariances (k,) [mm²] of pairs of different readings."""
        return np.asarray(np.einsum("ij,ij->i", self._rows(first), self._rows(second)))

    def averaged(self, weights: csr_array) -> RowNoise:
        """Return the noise of weighted sums of readings that have no reading in common.

        Parameters
        ----------
        weights : (m, n) sparse array
            A row for each sum.
        """
        shared: Any = weights @ self.factors
        return RowNoise(weights.multiply(weights) @ self.diagonal, shared)

    def chief(self) -> Rows:
        """Return the column (n,) of the shared error that each reading has most of."""
        if self.factors.shape[1] == 0:
            return np.zeros(len(self), np.intp)
        size: Any = abs(self.factors)
        return np.asarray(size.argmax(axis=1), np.intp).ravel()

    def _rows(self, rows: Rows) -> Array:
        chosen = self.factors[rows]
        if not isinstance(chosen, csr_array):
            return np.asarray(chosen)
        # Of few readings few shared errors count: the rest of the columns are empty.
        used = np.unique(chosen.indices)
        return np.asarray(chosen[:, used].toarray()) if len(used) else np.zeros((len(rows), 1))
