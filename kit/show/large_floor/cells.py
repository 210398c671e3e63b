"""Cells of a large floor as they are drawn: so few that a page can carry them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from kit.base.runs import Floats

#: Cells across the longer side of a map: a page shows no more, and carries no more.
MOST_CELLS = 240

How = Literal["mean", "greatest", "largest"]


@dataclass(frozen=True, eq=False)
class Cells:
    """Values in even cells, as they are drawn.

    Parameters
    ----------
    x_mm : (nx,) array
        Middles along x [mm].
    y_mm : (ny,) array
        Middles along y [mm].
    value : (ny, nx) array
        What is drawn; nan where there is none.
    together : int
        How many cells of the floor one of these stands for, along each side.
    """

    x_mm: Floats
    y_mm: Floats
    value: Floats
    together: int

    @property
    def cell_mm(self) -> float:
        """Side of a drawn cell [mm]."""
        one = self.x_mm if len(self.x_mm) > 1 else self.y_mm
        return float(one[1] - one[0])

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Least and greatest x, least and greatest y that the cells cover [mm]."""
        half = self.cell_mm / 2
        return (
            float(self.x_mm[0]) - half,
            float(self.x_mm[-1]) + half,
            float(self.y_mm[0]) - half,
            float(self.y_mm[-1]) + half,
        )


def fewer(x_mm: Floats, y_mm: Floats, value: Floats, how: How, most: int = MOST_CELLS) -> Cells:
    """Return cells, several together where there are more than a page shows.

    Parameters
    ----------
    x_mm : (nx,) array
        Middles of the cells along x, in even steps [mm].
    y_mm : (ny,) array
        The same along y [mm].
    value : (ny, nx) array
        Their values; nan where there is none.
    how : {"mean", "greatest", "largest"}
        What stands for several: their mean, the greatest of them, or the one furthest from 0 with
        its sign.
    most : int
        Cells along the longer side.

    Returns
    -------
    Cells
        A cell of which no part has a value has none; otherwise those that have one stand for it.
    """
    together = max(1, math.ceil(max(value.shape) / most))
    if together == 1:
        return Cells(x_mm, y_mm, value, 1)
    rows, columns = (math.ceil(side / together) * together for side in value.shape)
    padded = np.full((rows, columns), np.nan)
    padded[: value.shape[0], : value.shape[1]] = value
    blocks = padded.reshape(rows // together, together, columns // together, together)
    flat = blocks.transpose(0, 2, 1, 3).reshape(rows // together, columns // together, -1)
    return Cells(
        _middles(x_mm, together, columns), _middles(y_mm, together, rows), _joined(flat, how),
        together,
    )  # fmt: skip


def _middles(places: Floats, together: int, count: int) -> Floats:
    step = float(places[1] - places[0]) if len(places) > 1 else 0.0
    first = float(places[0]) + step * (together - 1) / 2
    return np.asarray(first + step * together * np.arange(count // together), dtype=float)


def _joined(flat: Floats, how: How) -> Floats:
    """Return one value for the last axis, of those that are known."""
    known: NDArray[np.bool_] = np.isfinite(flat)
    out = np.full(flat.shape[:-1], np.nan)
    some = known.any(axis=-1)
    if how == "mean":
        total = np.where(known, flat, 0.0).sum(axis=-1)
        out[some] = total[some] / known.sum(axis=-1)[some]
        return out
    size = np.where(known, flat if how == "greatest" else np.abs(flat), -np.inf)
    place = np.argmax(size, axis=-1)
    out[some] = np.take_along_axis(flat, place[..., None], axis=-1)[..., 0][some]
    return out
