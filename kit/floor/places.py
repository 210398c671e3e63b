"""Checks and small sums that every module of this room shares."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.job.refusal import refuse

Array = NDArray[np.float64]

#: Spread across the line over spread along it, under which places count as lying on a line.
COLLINEAR_RATIO = 1e-6


def columns(**given: ArrayLike) -> tuple[Array, ...]:
    """Return the named columns as float arrays of one length, all finite.

    Raises
    ------
    Refusal
        If a column is not one-dimensional, the lengths differ or a number is not finite.
    """
    arrays = {name: np.atleast_1d(np.asarray(values, float)) for name, values in given.items()}
    shapes = {name: array.shape for name, array in arrays.items()}
    if len(set(shapes.values())) != 1 or any(len(shape) != 1 for shape in shapes.values()):
        found = ", ".join(f"{name} {shape}" for name, shape in shapes.items())
        raise refuse("floor", f"shapes {found}", "one number a point, in columns of one length")
    for name, array in arrays.items():
        bad = np.flatnonzero(~np.isfinite(array))
        if bad.size:
            raise refuse(f"floor, {name}, row {bad[0] + 1}", f"{array[bad[0]]}", "a finite number")
    return tuple(arrays.values())


def require_plane(x_mm: Array, y_mm: Array) -> None:
    """Refuse places that do not fix a plane: fewer than three, or all on one line."""
    if len(x_mm) < 3:
        raise refuse("floor", f"{len(x_mm)} point(s)", "at least 3 points, not on one line")
    dx, dy = x_mm - x_mm.mean(), y_mm - y_mm.mean()
    moments = np.array([[dx @ dx, dx @ dy], [dx @ dy, dy @ dy]])
    across, along = np.linalg.eigvalsh(moments)
    # The squared ratio is compared, so rounding of the moments (1e-16) stays far below it.
    if across <= COLLINEAR_RATIO**2 * along or along == 0:
        raise refuse(
            "floor",
            f"{len(x_mm)} points on one line",
            "points that spread in both directions: read a few away from that line",
        )


def distances(x_mm: Array, y_mm: Array, to_x_mm: Array, to_y_mm: Array) -> Array:
    """Return the plan distances [mm] of every place (rows) from every other (columns)."""
    dx = x_mm[:, None] - to_x_mm[None, :]
    dy = y_mm[:, None] - to_y_mm[None, :]
    dx *= dx
    dy *= dy
    dx += dy
    return np.asarray(np.sqrt(dx, out=dx))
