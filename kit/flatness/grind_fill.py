"""The least fill that brings a floor within a limit: an answer without a search."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from scipy.sparse import coo_array, csc_array
from scipy.sparse.linalg import splu

from kit.flatness.grind_chords import Chords, both_ways
from kit.height_grid import Array

#: Heights that are raised by less are left [mm]: round-off of the equations.
RAISED_MM = 1e-9


@dataclass(frozen=True, eq=False)
class Filled:
    """A floor filled until nothing lies too far below a chord.

    Parameters
    ----------
    height_mm : (ny, nx) array
        The heights then [mm].
    felt : (ny, nx) array
        By how much the sum of all heights rises where the floor was higher by one at a cell.
    """

    height_mm: Array = field(repr=False)
    felt: Array = field(repr=False)


def fill_up(height_mm: Array, steps: int, limit_mm: float) -> Filled:
    """Fill a floor until no cell lies more than a limit below a chord.

    Parameters
    ----------
    height_mm : (ny, nx) array
        Heights, nan in holes [mm].
    steps : int
        Length of the longest chord in cells' steps.
    limit_mm : float
        How far a cell may lie below any chord, above 0 [mm].

    Returns
    -------
    Filled
        No other fill that suffices is lower at any cell.

    Notes
    -----
    Each condition, h(m) at least share·h(l) + (1 - share)·h(r) - limit, holds of the lower of two
    floors, cell by cell, if it holds of both. So one floor is the lowest of all that lie nowhere
    below the given one and keep every condition: it solves h = max(given, highest chord - limit).
    That is an equation of optimal stopping, solved by Howard's policy iteration [1]_: each cell
    stays as given or hangs under one chord, the linear equations of this choice are solved, and a
    cell over which a chord now lies too high hangs under that one. Heights only rise, each choice
    comes once, so it ends.

    References
    ----------
    .. [1] R. A. Howard, Dynamic Programming and Markov Processes, MIT Press 1960, ch. 4 (from
       memory).
    """
    given = np.where(np.isfinite(height_mm), height_mm, 0.0).ravel()
    holes = ~np.isfinite(height_mm)
    hung = Chords.none()
    height = given
    while True:
        shaped = np.where(holes, np.nan, height.reshape(holes.shape))
        new = _hang(shaped, steps, limit_mm)
        if not len(new):
            return Filled(shaped, _felt(given.size, hung).reshape(holes.shape))
        kept = hung.at(np.flatnonzero(~np.isin(hung.cells[:, 1], new.cells[:, 1])))
        hung = kept + new
        height = _level(given, hung, limit_mm)


def _hang(height_mm: Array, steps: int, limit_mm: float) -> Chords:
    """Return for each cell that is too low the highest chord over it: one of the two ways."""
    along_x, along_y = both_ways(height_mm, steps)
    x_wins = along_x.gap_mm >= along_y.gap_mm
    too_low = np.maximum(along_x.gap_mm, along_y.gap_mm) > limit_mm + RAISED_MM
    rows, columns = np.nonzero(too_low)
    over_x, width = x_wins[rows, columns], height_mm.shape[1]
    before, after = (
        np.where(over_x, a[rows, columns], b[rows, columns])
        for a, b in ((along_x.before, along_y.before), (along_x.after, along_y.after))
    )
    apart = np.where(over_x, 1, width)
    middle = rows * width + columns
    cells = np.stack([middle - before * apart, middle, middle + after * apart], axis=1)
    return Chords(cells, after / (before + after))


def _level(given_mm: Array, hung: Chords, limit_mm: float) -> Array:
    """Solve h = given where a cell stays, h = chord - limit where it hangs: (size,)."""
    right = given_mm.copy()
    right[hung.cells[:, 1]] = -limit_mm
    return np.asarray(splu(_equations(given_mm.size, hung)).solve(right))


def _felt(size: int, hung: Chords) -> Array:
    """Return the slope of the sum of all heights with respect to each given one: (size,)."""
    slope = np.asarray(splu(csc_array(_equations(size, hung).T)).solve(np.ones(size)))
    slope[hung.cells[:, 1]] = 0.0  # whatever lies below the fill is not felt
    return slope


def _equations(size: int, hung: Chords) -> csc_array:
    """Return the matrix (size, size) of `_level`."""
    stays = np.setdiff1d(np.arange(size), hung.cells[:, 1])
    row = np.concatenate([stays, np.repeat(hung.cells[:, 1], 3)])
    column = np.concatenate([stays, hung.cells.ravel()])
    chord = np.stack([-hung.share, np.ones(len(hung)), hung.share - 1], axis=1)
    value = np.concatenate([np.ones(len(stays)), chord.ravel()])
    return csc_array(coo_array((value, (row, column)), shape=(size, size)))
