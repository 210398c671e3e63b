"""What a scan tells of a floor: heights, what hides it, and what was taken away."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from kit.height_grid import HeightGrid
from kit.job import refuse
from kit.scan.states import FLOOR, States
from kit.scan.tables import holes_of, tables_of


@dataclass(frozen=True, eq=False)
class ScanFloor:
    """The floor that a scan was reduced to.

    Parameters
    ----------
    grid : HeightGrid
        Its cells; nan where the state is not ``FLOOR``. Nothing is filled in.
    state : (ny, nx) array of int8
        ``FLOOR``, ``COVERED``, ``UNSEEN`` or ``DOUBTFUL``.
    removed : DataFrame
        Patches of points that are not floor, the largest first: where (``over`` or ``under``
        the floor), x_mm, y_mm (middle), area_m2, low_mm, high_mm (of its points over the floor
        there), points.
    points : int
        Points of the scan that were gathered.
    notes : tuple of str
        What was found, in sentences.

    Raises
    ------
    Refusal
        Where states and heights do not agree.
    """

    grid: HeightGrid
    state: States = field(repr=False)
    removed: pd.DataFrame = field(repr=False)
    points: int
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.state.shape != self.grid.height_mm.shape:
            found = f"shape {self.state.shape}"
            raise refuse("states of a scan", found, f"{self.grid.height_mm.shape}, rows along y")
        if not np.array_equal(self.state == FLOOR, self.grid.known):
            raise refuse("states of a scan", "floor without a height", "a height where it is floor")

    def area_m2(self, state: int) -> float:
        """Return the area of the cells of a state [m²]."""
        return float(np.count_nonzero(self.state == state)) * self.grid.cell_mm**2 / 1e6

    @property
    def holes(self) -> pd.DataFrame:
        """Return its holes, see ``kit.scan.tables.holes_of``."""
        return holes_of(self.grid, self.state)

    def tables(self) -> dict[str, pd.DataFrame]:
        """Return its tables by file name: the cells, the holes, what was taken away."""
        return tables_of(self.grid, self.state, self.removed)
