"""Weighted least squares over the rows of a model, with or without a fixed height."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kit.readings.elimination import (
    Elimination,
    Entries,
    columns_of,
    eliminate,
    neighbour_pairs,
    rows_of,
)
from kit.readings.equations import Floats, Mask, Matrix, Model, Whole

#: A redundancy number below this is zero but for rounding: nothing checks that reading.
UNCHECKED = 1e-6

#: Columns of the covariance matrix that are solved at a time, to bound the memory.
COLUMNS_AT_ONCE = 512


@dataclass(frozen=True, eq=False)
class Solution:
    """The adjusted unknowns of a model, and all that follows from them.

    Parameters
    ----------
    model : Model
        Rows and unknowns.
    values : (unknowns,) array
        Adjusted, or as fixed [mm].
    sought : (k,) array of int
        Unknowns that were solved for; all others are fixed, in a free network the one that
        stands in for the datum.
    free : bool
        Whether no height is fixed: heights then count from their own mean.
    elimination : Elimination
        The normal matrix of the unknowns solved for.
    """

    model: Model
    values: Floats
    sought: Whole
    free: bool
    elimination: Elimination

    @cached_property
    def residual_mm(self) -> Floats:
        """Adjusted minus observed, v = A x - l [mm], (rows,)."""
        return np.asarray(self.model.design @ self.values - self.model.observed_mm)

    @property
    def degrees_of_freedom(self) -> int:
        """Readings less unknowns solved for."""
        return len(self.model.observed_mm) - len(self.sought)

    @cached_property
    def weighted_square_sum(self) -> float:
        """The sum of squares that was made least, v' P v."""
        return float(np.sum((self.residual_mm / self.model.sd_mm) ** 2))

    @cached_property
    def _design(self) -> Matrix:
        return self.model.design[:, self.sought]

    @cached_property
    def _inverse(self) -> Entries:
        return self.elimination.inverse()

    @cached_property
    def redundancy_numbers(self) -> Floats:
        """Share of each reading's error that shows in its own residual, 0 to 1, (rows,).

        r = 1 - p a' Q a, the diagonal of Q_vv P [1]; their sum is the degrees of freedom.

        References
        ----------
        .. [1] Baarda, W., A testing procedure for use in geodetic networks, Netherlands Geodetic
           Commission, new series 2/5, Delft 1968; Förstner, W., Reliability analysis, 1987
           (from memory).
        """
        design = self._design
        rows, columns = rows_of(design), columns_of(design)
        taken = np.zeros(design.shape[0])
        for one, other in neighbour_pairs(design):
            q = self._inverse.at(columns[one], columns[other])
            part = design.data[one] * design.data[other] * q
            taken += np.bincount(rows[one], part, design.shape[0])
        numbers = 1 - taken / self.model.sd_mm**2  # Eq. of [1]
        return np.clip(numbers, 0.0, 1.0)

    def residual_cofactors(self, row: int) -> Floats:
        """Return the covariances of one residual with all residuals [mm²], (rows,).

        Q_vv = P^-1 - A Q A', one column of it.
        """
        right = self._design[[row]].toarray().ravel()
        column = -(self._design @ self.elimination.solve(right))
        column[row] += self.model.sd_mm[row] ** 2
        return np.asarray(column)

    @cached_property
    def _points(self) -> Whole:
        return self.model.columns("height")

    @cached_property
    def _position(self) -> Whole:
        position = np.full(len(self.values), -1, dtype=np.int64)
        position[self.sought] = np.arange(len(self.sought))
        return position

    @cached_property
    def _mean_cofactors(self) -> Floats:
        """Covariance of each height with the mean height [mm²], before the change of datum."""
        points, position = self._points, self._position[self._points]
        right = np.zeros(len(self.sought))
        right[position[position >= 0]] = 1 / len(points)
        solved = np.append(self.elimination.solve(right), 0.0)
        return np.asarray(solved[position])

    @cached_property
    def height_sd_mm(self) -> Floats:
        """Standard deviation of each height, a priori [mm]; 0 where it is fixed.

        In a free network relative to the mean of all heights, by the S-transformation
        Q' = S Q S', S = I - 1 1'/n [1].

        References
        ----------
        .. [1] Baarda, W., S-transformations and criterion matrices, Netherlands Geodetic
           Commission, new series 5/1, Delft 1973 (from memory).
        """
        position = self._position[self._points]
        solved = position >= 0
        variance = np.zeros(len(position))
        at = position[solved]
        variance[solved] = self._inverse.at(at, at)
        if self.free:
            mean = self._mean_cofactors
            variance = variance - 2 * mean + mean.mean()  # diagonal of S Q S', Eq. of [1]
        return np.sqrt(np.maximum(variance, 0.0))

    def sd_of(self, columns: Whole) -> Floats:
        """Return the standard deviation of unknowns, each in its own unit, (columns,).

        Parameters
        ----------
        columns : (columns,) array of int
            Unknowns that do not move when all heights are lifted together, or are solved for in
            a network that is not free.
        """
        position = self._position[columns]
        variance = np.zeros(len(columns))
        solved = position >= 0
        variance[solved] = self._inverse.at(position[solved], position[solved])
        return np.sqrt(np.maximum(variance, 0.0))

    def response(self, change_mm: Floats) -> Floats:
        """Return how all unknowns move when the readings change, (unknowns,).

        Parameters
        ----------
        change_mm : (rows,) array
            By how much each reading is larger [mm].
        """
        moved = np.zeros(len(self.values))
        moved[self.sought] = self.elimination.solve(
            self._design.T @ (self.model.sd_mm**-2.0 * change_mm)
        )
        return moved

    def difference_sd_mm(self, one: Whole, other: Whole) -> Floats:
        """Return the standard deviation of differences of two heights [mm], (pairs,).

        Parameters
        ----------
        one, other : (pairs,) arrays of int
            Numbers of the points. The datum falls out of a difference.
        """
        position, parts = self._position[self._points], []
        for start in range(0, len(one), COLUMNS_AT_ONCE):
            ends = [position[end[start : start + COLUMNS_AT_ONCE]] for end in (one, other)]
            right = np.zeros((len(self.sought), len(ends[0])))
            for end, sign in zip(ends, (1.0, -1.0), strict=True):
                solved = np.flatnonzero(end >= 0)
                right[end[solved], solved] = sign
            parts.append(np.sum(right * self.elimination.solve(right), axis=0))  # f' Q f
        variance: Floats = np.concatenate([np.zeros(0), *parts])
        return np.asarray(np.sqrt(np.maximum(variance, 0.0)), dtype=np.float64)

    def height_covariance(self) -> Floats:
        """Return the full covariance matrix of the heights [mm²], (points, points)."""
        position = self._position[self._points]
        count = len(position)
        full = np.zeros((count, count))
        for start in range(0, count, COLUMNS_AT_ONCE):
            part = position[start : start + COLUMNS_AT_ONCE]
            right = np.zeros((len(self.sought), len(part)))
            solved = np.flatnonzero(part >= 0)
            right[part[solved], solved] = 1.0
            columns = np.vstack([self.elimination.solve(right), np.zeros(len(part))])
            full[:, start : start + COLUMNS_AT_ONCE] = columns[position]
        if self.free:
            mean = self._mean_cofactors
            full += mean.mean() - mean[:, None] - mean[None, :]  # S Q S'
        return (full + full.T) / 2


def solve(model: Model, fixed: Mapping[str, float]) -> Solution:
    """Return the weighted least-squares solution of a model.

    Parameters
    ----------
    model : Model
        Rows and unknowns; connected, see `kit.readings.network`.
    fixed : mapping of str to float
        Heights that are known [mm], by point. If none is given and no row holds a height by
        itself, the network is free, and the mean of its heights is 0.

    Returns
    -------
    Solution
        x from A' P A x = A' P l, P = diag(1/sd²), refined once.

    Raises
    ------
    numpy.linalg.LinAlgError
        If the rows do not determine all unknowns.
    """
    values = np.zeros(len(model.names))
    known = np.zeros(len(model.names), dtype=bool)
    points = model.columns("height")
    for column in points[np.isin(model.names[points], list(fixed))]:
        values[column] = fixed[model.names[column]]
        known[column] = True
    weights = model.sd_mm**-2.0
    free = not known.any() and not grounded_rows(model).any()
    if free:
        known[_stand_in(model, weights)] = True
    sought = np.flatnonzero(~known)
    design = model.design[:, sought]
    elimination = eliminate(design, weights)
    # The second pass takes off what rounding left of the first.
    for _ in range(2):
        misfit = model.observed_mm - model.design @ values
        values[sought] += elimination.solve(design.T @ (weights * misfit))
    if free:
        values -= model.lift * values[points].mean()
    return Solution(model, values, sought, free, elimination)


def grounded_rows(model: Model) -> Mask:
    """Return which rows change when all heights are lifted: they hold a height by themselves."""
    return np.asarray(abs(model.design @ model.lift) > 1e-9)


def _stand_in(model: Model, weights: Floats) -> int:
    strength = (abs(model.design).T @ weights) * (model.lift != 0)
    return int(np.argmax(strength))
