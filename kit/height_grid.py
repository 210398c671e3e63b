"""The floor as a grid of heights: what a scan is reduced to, and what flatness is told from."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from kit.job import refuse

Array = NDArray[np.float64]
Counts = NDArray[np.int64]

#: Steps of a grid are even if they differ by less than this [mm].
EVEN_MM = 1e-6


@dataclass(frozen=True, eq=False)
class HeightGrid:
    """Heights of a floor in square cells.

    Parameters
    ----------
    x_mm : (nx,) array
        Centres of the cells along x, ascending in even steps [mm].
    y_mm : (ny,) array
        The same along y, in the same steps [mm].
    height_mm : (ny, nx) array
        Height of each cell [mm]; nan where nothing is known of it: a hole.
    sd_mm : (ny, nx) array
        Standard deviation of that height [mm]; nan in a hole.
    count : (ny, nx) array of int
        Points or readings that each height comes from; 0 in a hole.
    notes : tuple of str
        What must be said along with the figures.

    Raises
    ------
    Refusal
        Where the steps are not even and equal along x and y, or the shapes do not agree.
    """

    x_mm: Array
    y_mm: Array
    height_mm: Array = field(repr=False)
    sd_mm: Array = field(repr=False)
    count: Counts = field(repr=False)
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        shape = (len(self.y_mm), len(self.x_mm))
        for name in ("height_mm", "sd_mm", "count"):
            if getattr(self, name).shape != shape:
                found = f"shape {getattr(self, name).shape}"
                raise refuse(f"grid of heights, {name}", found, f"{shape}, rows along y")
        steps = np.concatenate([np.diff(self.x_mm), np.diff(self.y_mm)])
        if min(shape) < 1 or not len(steps):
            raise refuse("grid of heights", f"{shape[1]} by {shape[0]} cells", "two cells or more")
        if steps.min() <= 0 or np.ptp(steps) > EVEN_MM:
            found = f"steps from {steps.min():g} to {steps.max():g} mm"
            raise refuse("grid of heights", found, "one even step along x and y")

    @property
    def cell_mm(self) -> float:
        """Side of a cell [mm]."""
        one = self.x_mm if len(self.x_mm) > 1 else self.y_mm
        return float((one[-1] - one[0]) / (len(one) - 1))

    @property
    def known(self) -> NDArray[np.bool_]:
        """Which cells (ny, nx) have a height."""
        return np.asarray(np.isfinite(self.height_mm))

    @property
    def area_m2(self) -> float:
        """Area of the cells that have a height [m²]."""
        return float(np.count_nonzero(self.known)) * self.cell_mm**2 / 1e6

    def table(self) -> pd.DataFrame:
        """Return the cells that have a height: x_mm, y_mm, height_mm, sd_mm, count, row by row."""
        rows, columns = np.nonzero(self.known)
        return pd.DataFrame(
            {
                "x_mm": self.x_mm[columns],
                "y_mm": self.y_mm[rows],
                "height_mm": self.height_mm[rows, columns],
                "sd_mm": self.sd_mm[rows, columns],
                "count": self.count[rows, columns],
            }
        )
