"""What the heights would be without some of the readings.

Nothing is adjusted again: a reading is left out by giving it the value that the others expect of
it, and the doubt that it had taken away comes back [1].

References
----------
.. [1] Cook, R. D. and Weisberg, S., Residuals and Influence in Regression, 1982, section 2.2
   (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import pandas as pd
from scipy.special import chdtrc

from kit.job.refusal import refuse
from kit.readings.doubt import GLOBAL_TEST_LEVEL
from kit.readings.equations import Floats
from kit.readings.least_squares import UNCHECKED, Solution


@dataclass(frozen=True, eq=False)
class Influence:
    """A solution without some of its rows.

    Parameters
    ----------
    values : (unknowns,) array
        The unknowns without these rows.
    height_sd_mm : (points,) array
        Standard deviation of each height then [mm].
    weighted_square_sum : float
        v' P v of what is left.
    degrees_of_freedom : int
        Readings left, less unknowns.
    """

    values: Floats = field(repr=False)
    height_sd_mm: Floats = field(repr=False)
    weighted_square_sum: float
    degrees_of_freedom: int


@dataclass(frozen=True, eq=False)
class WithoutReadings:
    """Heights with and without some of the readings.

    Parameters
    ----------
    points : DataFrame
        ``point, x_mm, y_mm, height_mm, sd_mm, without_mm, without_sd_mm, change_mm``.
    sigma0, redundancy, global_test_p
        Of what is left, as in `Heights`.
    """

    points: pd.DataFrame
    sigma0: float
    redundancy: int
    global_test_p: float


def leave_out(solution: Solution, rows: Sequence[int]) -> Influence:
    """Return a solution without some of its rows.

    Parameters
    ----------
    solution : Solution
        The adjustment of all readings.
    rows : sequence of int
        Numbers of the rows to leave out.

    Raises
    ------
    Refusal
        If nothing else determines what these rows do.

    Notes
    -----
    With K the rows left out, v their residuals, C = P^-1 - A Q A' the covariance of residuals and
    U = Q A_K':

        x' = x + U C_KK^-1 v_K                                              (1)
        Q' = Q + U C_KK^-1 U'                                               (2)
        v' P v less v_K' C_KK^-1 v_K                                        (3)
    """
    at = np.unique(np.asarray(rows, dtype=np.int64))
    count = len(solution.model.observed_mm)
    if not len(at) or at[0] < 0 or at[-1] >= count:
        found = ", ".join(f"{row}" for row in rows) or "none"
        raise refuse("readings to leave out", found, f"numbers from 0 to {count - 1}")
    sd = solution.model.sd_mm[at]
    columns = np.column_stack([solution.residual_cofactors(int(row))[at] for row in at])
    scaled = columns / np.outer(sd, sd)
    if np.linalg.eigvalsh((scaled + scaled.T) / 2).min() < UNCHECKED:
        raise refuse(
            "leaving readings out",
            f"{len(at)} readings without which a height is not determined",
            "readings that the others check",
        )
    residual = solution.residual_mm[at]
    expected = np.linalg.solve(columns, residual)  # C_KK^-1 v_K
    change = np.zeros(len(solution.model.observed_mm))
    change[at] = sd**2 * expected
    unit = _heights_of(solution, [solution.response(_unit(solution, row)) for row in at])
    values = solution.values + solution.response(change)  # Eq. (1)
    if solution.free:
        points = solution.model.columns("height")
        values = values - solution.model.lift * values[points].mean()
    added = np.sum(unit * np.linalg.solve(columns, unit.T).T, axis=1)  # Eq. (2)
    return Influence(
        values,
        np.sqrt(solution.height_sd_mm**2 + np.maximum(added, 0.0)),
        float(solution.weighted_square_sum - residual @ expected),  # Eq. (3)
        solution.degrees_of_freedom - len(at),
    )


def _unit(solution: Solution, row: int) -> Floats:
    """Return the change of readings whose response is U for one row."""
    change = np.zeros(len(solution.model.observed_mm))
    change[row] = solution.model.sd_mm[row] ** 2
    return change


def _heights_of(solution: Solution, responses: list[Floats]) -> Floats:
    """Return the heights' part of U (points, k); in a free network from their mean."""
    heights = np.column_stack(responses)[solution.model.columns("height")]
    return heights - heights.mean(axis=0) if solution.free else heights


def compare(
    points: pd.DataFrame, solution: Solution, rows: Sequence[int], *, scaled: bool
) -> WithoutReadings:
    """Return heights with and without some of the readings.

    Parameters
    ----------
    points : DataFrame
        ``Heights.points``.
    solution : Solution
        The adjustment of all readings.
    rows : sequence of int
        Numbers of the readings to leave out.
    scaled : bool
        Whether doubts follow sigma0 where it is rejected, as those of ``points`` then do: without
        the readings, that of what is left.

    Returns
    -------
    WithoutReadings

    Raises
    ------
    Refusal
        As `leave_out`.

    Notes
    -----
    A free network has no zero of its own: the two sets of heights are laid over each other so
    that half the points rise and half fall.
    """
    without = leave_out(solution, rows)
    height = points["height_mm"].to_numpy(dtype=float)
    then = without.values[: len(points)]
    if solution.free:
        then = then + np.median(height - then)
    dof, left = without.degrees_of_freedom, max(without.weighted_square_sum, 0.0)
    sigma0 = float(np.sqrt(left / dof)) if dof else float("nan")
    p = float(chdtrc(dof, left)) if dof else float("nan")
    factor = sigma0 if scaled and p < GLOBAL_TEST_LEVEL else 1.0
    table = points.assign(
        without_mm=then, without_sd_mm=factor * without.height_sd_mm, change_mm=then - height
    )
    return WithoutReadings(table, sigma0, dof, p)
