"""Cells that the floor around them does not bear out."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

#: A cell may lie so much off a straight line through cells near it: the floor's own bend and a
#: lip, as a share of a cell's side, and so many standard deviations.
BEND, OFF_SDS = 0.03, 3.0
#: It is borne out if at least this share of the lines bear it out: at the foot of a step, or along
#: a wall, half of them lead over the edge.
SHARE = 1 / 3

_WAYS = ((0, 1), (1, 0), (1, 1), (1, -1))


def borne_out(height_mm: Array, sd_mm: Array, cell_mm: float) -> Flags:
    """Tell which cells the cells around them bear out.

    Through every cell go lines along x, y and both diagonals. On each, two cells before it, two
    behind it, and one on either side foretell its height. It is borne out where at least
    ``SHARE`` of all that can foretell it agree with it, and where none can.

    Parameters
    ----------
    height_mm, sd_mm : (ny, nx) arrays
        Heights and their standard deviations [mm]; nan in holes.
    cell_mm : float
        Side of a cell [mm].
    """
    wide = np.pad(height_mm, 2, constant_values=np.nan)
    doubt = np.pad(sd_mm**2, 2, constant_values=np.nan)
    agree = np.zeros(height_mm.shape, dtype=np.int8)
    can = np.zeros(height_mm.shape, dtype=np.int8)
    for dy, dx in _WAYS:
        for one, other, weights in (
            ((dy, dx), (-dy, -dx), (0.5, 0.5)),
            ((dy, dx), (2 * dy, 2 * dx), (2.0, -1.0)),
            ((-dy, -dx), (-2 * dy, -2 * dx), (2.0, -1.0)),
        ):
            told = weights[0] * _at(wide, one) + weights[1] * _at(wide, other)
            spread = weights[0] ** 2 * _at(doubt, one) + weights[1] ** 2 * _at(doubt, other)
            reach = BEND * cell_mm + OFF_SDS * np.sqrt(sd_mm**2 + spread)
            can += np.isfinite(told)
            agree += np.abs(height_mm - told) <= reach
    return np.asarray((can > 0) & (agree >= SHARE * can), dtype=bool)


def _at(wide: Array, step: tuple[int, int]) -> Array:
    """Return a grid moved by so many rows and columns, out of one with two cells more around."""
    rows, columns = wide.shape[0] - 4, wide.shape[1] - 4
    return wide[2 + step[0] : 2 + step[0] + rows, 2 + step[1] : 2 + step[1] + columns]
