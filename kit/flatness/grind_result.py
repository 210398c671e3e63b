"""A floor ground and filled: what is done where, how flat it is before and after, the work."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import pandas as pd

from kit.flatness.along import HasEnds
from kit.flatness.by_level import joined, level_grids
from kit.flatness.classes import BS_8204
from kit.flatness.edge_map import EDGE_MM, steps_of, straight_edge_map
from kit.flatness.grind_chords import worst_gap_mm
from kit.flatness.grind_patches import NO_WORK_MM, gathered, patches
from kit.flatness.grind_programme import CLOSE_MM
from kit.flatness.grind_rules import GrindRules
from kit.flatness.grind_words import deep_cautions, grind_cautions
from kit.height_grid import Array, HeightGrid
from kit.job import Compound


@dataclass(frozen=True)
class Work:
    """What is ground off, or what is filled in.

    Parameters
    ----------
    litres, area_m2 : float
        Volume [l] and area [m²].
    deepest_mm, x_mm, y_mm : float
        The most anywhere and its place [mm]; nan where there is none.
    """

    litres: float
    area_m2: float
    deepest_mm: float
    x_mm: float
    y_mm: float


@dataclass(frozen=True, eq=False)
class GrindFill:
    """A floor brought within a limit.

    Parameters
    ----------
    grid : HeightGrid
        The floor before.
    edge_mm, limit_mm : float
        Length of the straight edge and the largest departure wanted [mm].
    rules : GrindRules
    change_mm : (ny, nx) array
        What is done to each cell [mm]: positive is filled in, negative ground off; nan in holes.
    bound_l : float
        No change within the rules weighs less [l: filled + ground_weight · ground].
    weight_sd_l : float
        Standard deviation of that least from the heights' own doubts, to first order [l]. Doubts
        make a floor rougher than it is: the volume is rather told too large than too small.
    rounds : int
        How often chords were looked for; 0 where the answer needs no search.
    steps : tuple of HasEnds
        Lines along which the floor steps: no figure is measured across.
    """

    grid: HeightGrid = field(repr=False)
    edge_mm: float
    limit_mm: float
    rules: GrindRules
    change_mm: Array = field(repr=False)
    bound_l: float
    weight_sd_l: float
    rounds: int
    steps: tuple[HasEnds, ...] = ()

    @cached_property
    def after(self) -> HeightGrid:
        """The floor when it is done, as sure as it was before."""
        height = self.grid.height_mm + self.change_mm
        return HeightGrid(self.grid.x_mm, self.grid.y_mm, height, self.grid.sd_mm, self.grid.count)

    @property
    def filled(self) -> Work:
        """What is filled in."""
        return self._work(self.change_mm)

    @property
    def ground(self) -> Work:
        """What is ground off."""
        return self._work(-self.change_mm)

    @property
    def weight_l(self) -> float:
        """Filled + ground_weight · ground [l]: what is made least."""
        return self.filled.litres + self.rules.ground_weight * self.ground.litres

    @property
    def gap(self) -> float:
        """How much more it weighs than the least at most, as a share of it."""
        more = max(0.0, self.weight_l - self.bound_l)
        return 0.0 if more <= 0 else more / self.weight_l

    @property
    def is_least(self) -> bool:
        """Whether nothing lighter brings the floor within the limit, to a millionth."""
        return self.gap <= 1e-6

    @cached_property
    def worst_before_mm(self) -> float:
        """How far a cell lay below a chord at most [mm]: see `kit.flatness.grind_chords`."""
        return self._worst_mm(self.grid)

    @cached_property
    def worst_after_mm(self) -> float:
        """How far a cell lies below a chord at most when it is done [mm]."""
        return self._worst_mm(self.after)

    @cached_property
    def departure_before_mm(self) -> float:
        """Largest departure of all placements of the edge [mm]; nan where it fits nowhere."""
        return _departure(self.grid, self.edge_mm, self.steps)

    @cached_property
    def departure_after_mm(self) -> float:
        """The same when it is done [mm]."""
        return _departure(self.after, self.edge_mm, self.steps)

    @property
    def class_before(self) -> str:
        """Class of BS 8204 by the largest departure; ``beyond``, or ``not checked``."""
        return self._class(self.departure_before_mm)

    @property
    def class_after(self) -> str:
        """The same when it is done."""
        return self._class(self.departure_after_mm)

    @cached_property
    def patches(self) -> pd.DataFrame:
        """The patches of work: see `kit.flatness.grind_patches.patches`."""
        levels = [one.known for one in level_grids(self.grid, self.steps)]
        return patches(self.grid, np.nan_to_num(self.change_mm), levels)

    def _worst_mm(self, grid: HeightGrid) -> float:
        edge = steps_of(self.edge_mm, grid.cell_mm)
        return max(worst_gap_mm(one.height_mm, edge) for one in level_grids(grid, self.steps))

    def _class(self, departure_mm: float) -> str:
        if self.edge_mm != EDGE_MM or math.isnan(departure_mm):
            return "not checked"
        kept = [name for name, most in BS_8204.items() if departure_mm <= most + CLOSE_MM]
        return min(kept, key=lambda name: BS_8204[name]) if kept else "beyond"

    def _work(self, depth_mm: Array) -> Work:
        depth = np.where(depth_mm > NO_WORK_MM, depth_mm, 0.0)  # a hole is nan: none
        cell_m2 = self.grid.cell_mm**2 / 1e6
        area = float(np.count_nonzero(depth)) * cell_m2
        if not area:
            return Work(0.0, 0.0, math.nan, math.nan, math.nan)
        row, column = np.unravel_index(int(depth.argmax()), depth.shape)
        place = float(self.grid.x_mm[column]), float(self.grid.y_mm[row])
        return Work(float(depth.sum()) * cell_m2, area, float(depth.max()), *place)

    def thin_fill(self, least_mm: float) -> tuple[float, float]:
        """Return area [m²] and volume [l] of the fill that is thinner than so much [mm]."""
        thin = self.change_mm[(self.change_mm > NO_WORK_MM) & (self.change_mm < least_mm)]
        cell_m2 = self.grid.cell_mm**2 / 1e6
        return len(thin) * cell_m2, float(thin.sum()) * cell_m2

    def cautions(self, compound: Compound | None = None) -> tuple[str, ...]:
        """Return what must be said before the work."""
        ground = np.nan_to_num(self.ground.deepest_mm)
        thin = self.thin_fill(compound.least_mm) if compound else (0.0, 0.0)
        sd = float(np.median(self.grid.sd_mm[self.grid.known]))
        return (
            *deep_cautions(float(ground), self.ground.x_mm, self.ground.y_mm),
            *grind_cautions(float(ground), *thin, sd, compound),
        )

    def tables(self) -> dict[str, pd.DataFrame]:
        """Return the tables by file: ``grind-fill.csv`` of the cells, ``grind-patches.csv``."""
        cells = self.grid.table()[["x_mm", "y_mm", "height_mm"]]
        cells["change_mm"] = self.change_mm[self.grid.known]
        cells["after_mm"] = cells["height_mm"] + cells["change_mm"]
        return {"grind-fill.csv": cells, "grind-patches.csv": gathered(self.patches)}


def of_levels(grid: HeightGrid, parts: Sequence[GrindFill], steps: Sequence[HasEnds]) -> GrindFill:
    """Return what is done to a floor from what is done to each of its levels.

    Parameters
    ----------
    grid : HeightGrid
        The whole floor.
    parts : sequence of GrindFill
        One a level, asked alike; those of other levels are holes in its grid.
    steps : sequence of HasEnds
        Where the floor steps.

    Returns
    -------
    GrindFill
        No edge lies on two levels: bounds add up, the doubts of different cells in squares.
    """
    first = parts[0]
    return GrindFill(
        grid,
        first.edge_mm,
        first.limit_mm,
        first.rules,
        joined([one.change_mm for one in parts]),
        sum(one.bound_l for one in parts),
        math.hypot(*(one.weight_sd_l for one in parts)),
        max(one.rounds for one in parts),
        tuple(steps),
    )


def _departure(grid: HeightGrid, edge_mm: float, steps: Sequence[HasEnds]) -> float:
    maps = [straight_edge_map(grid, edge_mm, axis, steps=steps) for axis in ("x", "y")]
    each = [one.departure_mm for one in maps]
    told = np.concatenate([one[np.isfinite(one)] for one in each])
    return float(told.max()) if told.size else math.nan
