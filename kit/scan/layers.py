"""A scan as counts in small boxes: cells of the plan, each cut into level slabs."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from kit.job import refuse

Whole = NDArray[np.int64]

#: Height of a slab unless another is asked for [mm].
SLAB_MM = 2.0
#: Heights above the bottom of a slab are counted in whole parts of a millimetre: this many.
PARTS_PER_MM = 1024


@dataclass(frozen=True, eq=False)
class Layers:
    """How many points lie in each box of the plan, and how high they lie in it.

    Everything is counted in whole numbers, so that the same points give the same layers to the
    last bit, in whatever order and in pieces of whatever size they were read.

    Parameters
    ----------
    cell_mm, slab_mm : float
        Sides of a box in the plan, and its height [mm].
    ix, iy, iz : (n,) arrays of int
        Boxes that hold points, ascending by iy, ix, iz: x from ``ix * cell_mm`` up to
        ``(ix + 1) * cell_mm``, y likewise, height from ``iz * slab_mm`` up to
        ``(iz + 1) * slab_mm``.
    count : (n,) array of int
        Points in each.
    sum_z : (n,) array of int
        Sum of their heights above the bottom of the box, each rounded down to a whole part of a
        millimetre [1/1024 mm].
    points, left_out : int
        Points that are counted here, and points that are not.
    notes : tuple of str
        Why points were left out, in words.

    Raises
    ------
    Refusal
        Where the arrays are not equally long.
    """

    cell_mm: float
    slab_mm: float
    ix: Whole = field(repr=False)
    iy: Whole = field(repr=False)
    iz: Whole = field(repr=False)
    count: Whole = field(repr=False)
    sum_z: Whole = field(repr=False)
    points: int
    left_out: int
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        lengths = [len(getattr(self, name)) for name in ("ix", "iy", "iz", "count", "sum_z")]
        if len(set(lengths)) > 1:
            raise refuse("layers of a scan", f"arrays of {lengths} numbers", "equally many of each")

    @property
    def mean_mm(self) -> NDArray[np.float64]:
        """Mean height of the points in each box (n,) [mm], up to 0.001 mm too low by rounding."""
        above = self.sum_z / (self.count * float(PARTS_PER_MM))
        return np.asarray(self.iz * self.slab_mm + above, dtype=np.float64)
