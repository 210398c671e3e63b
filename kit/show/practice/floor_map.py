"""A practice floor in figures: its fall, what is left of it, its highest and lowest place."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from kit.job import refuse
from kit.practice.draws import Floats
from kit.practice.floors import PracticeFloor
from kit.practice.moves import Place
from kit.show.board.map_levels import MOST_LEVELS, STEPS, Levels

#: A floor is looked at on squares of this size, or a little smaller [mm].
SQUARE_MM = 50.0

#: Words for which way a floor falls, from +x towards +y in steps of 45 degrees.
WAYS = (
    "to the right",
    "to the right and into the room",
    "into the room",
    "to the left and into the room",
    "to the left",
    "to the left and to the wall",
    "to the wall",
    "to the right and to the wall",
)


@dataclass(frozen=True, eq=False)
class FloorMap:
    """A practice floor as it carries: loose boards pressed down.

    Parameters
    ----------
    x_mm, y_mm : (n,), (m,) array
        Places of columns and rows [mm].
    carried_mm : (m, n) array
        Heights [mm].
    along_mm_per_m, across_mm_per_m : float
        Rise of the best plane along x and along y [mm/m].
    residual_mm : (m, n) array
        Height - plane, positive = hump [mm].
    """

    x_mm: Floats
    y_mm: Floats
    carried_mm: Floats
    along_mm_per_m: float
    across_mm_per_m: float
    residual_mm: Floats

    @property
    def fall_mm_per_m(self) -> float:
        """How steep the plane is [mm/m]."""
        return math.hypot(self.along_mm_per_m, self.across_mm_per_m)

    @property
    def falls_to_deg(self) -> float:
        """Which way it falls: 0 along x, 90 into the room [degrees, 0 to 360]."""
        return math.degrees(math.atan2(-self.across_mm_per_m, -self.along_mm_per_m)) % 360

    @property
    def highest(self) -> Place:
        """Where it carries highest [mm]."""
        return self._place(int(np.argmax(self.carried_mm)))

    @property
    def lowest(self) -> Place:
        """Where it carries lowest [mm]."""
        return self._place(int(np.argmin(self.carried_mm)))

    @property
    def range_mm(self) -> float:
        """How far the lowest place lies below the highest [mm]."""
        return float(np.ptp(self.carried_mm))

    def _place(self, number: int) -> Place:
        row, column = divmod(number, len(self.x_mm))
        return float(self.x_mm[column]), float(self.y_mm[row])


@lru_cache(maxsize=64)
def floor_map(floor: PracticeFloor) -> FloorMap:
    """Look at a floor on squares, and take its fall off by least squares.

    Parameters
    ----------
    floor : PracticeFloor
        It keeps nothing back here: for after the answer only.
    """
    x = np.linspace(0, floor.width_mm, math.ceil(floor.width_mm / SQUARE_MM) + 1)
    y = np.linspace(0, floor.depth_mm, math.ceil(floor.depth_mm / SQUARE_MM) + 1)
    every_x, every_y = np.meshgrid(x, y)
    carried = floor.carried_mm(every_x, every_y)
    plane = np.column_stack([np.ones(carried.size), every_x.ravel(), every_y.ravel()])
    found = np.linalg.lstsq(plane, carried.ravel(), rcond=None)[0]
    residual = (carried.ravel() - plane @ found).reshape(carried.shape)
    return FloorMap(x, y, carried, 1000 * float(found[1]), 1000 * float(found[2]), residual)


def levels_over(maps: tuple[FloorMap, ...]) -> Levels:
    """Choose the levels for one map, or the same for several.

    Raises
    ------
    Refusal
        Where there is no map.
    """
    if not maps:
        raise refuse("floors", "none", "one or more")
    low = min(0.0, *(float(one.residual_mm.min()) for one in maps))
    high = max(0.0, *(float(one.residual_mm.max()) for one in maps))
    for step in STEPS:
        first, last = math.ceil(low / step), math.floor(high / step)
        if last - first < MOST_LEVELS:
            break
    return Levels(tuple(round(n * step, 6) + 0.0 for n in range(first, last + 1)), step, "mm")


def fall_words(one: FloorMap) -> str:
    """Return how steeply a floor falls, and which way."""
    if one.fall_mm_per_m < 0.05:
        return "no fall"
    way = WAYS[round(one.falls_to_deg / 45) % len(WAYS)]
    return f"falls {one.fall_mm_per_m:.1f} mm/m {way}"
