"""Grind and fill with the least volume, so that a floor keeps a limit under a straight edge."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from kit.flatness.along import HasEnds
from kit.flatness.by_level import level_grids
from kit.flatness.edge_map import EDGE_MM, steps_of
from kit.flatness.edge_sweep import Tell, part_of
from kit.flatness.grind_fill import fill_up
from kit.flatness.grind_programme import CLOSE_MM, Bounds, Impossible, least_change
from kit.flatness.grind_repair import repaired
from kit.flatness.grind_result import GrindFill, of_levels
from kit.flatness.grind_rules import ANYTHING, GrindRules
from kit.height_grid import Array, HeightGrid
from kit.job import Refusal, refuse

Bools = NDArray[np.bool_]

#: How often chords are looked for at most; 10 to 25 rounds are usual.
ROUNDS = 100


def grind_and_fill(
    grid: HeightGrid,
    limit_mm: float,
    *,
    edge_mm: float = EDGE_MM,
    rules: GrindRules = ANYTHING,
    untouched: Bools | None = None,
    steps: Sequence[HasEnds] = (),
    rounds: int = ROUNDS,
    tell: Tell | None = None,
) -> GrindFill:
    """Find the least grinding and filling that brings a floor within a limit.

    Parameters
    ----------
    grid : HeightGrid
        The floor.
    limit_mm : float
        Largest departure under the straight edge along x and along y, above 0 [mm].
    edge_mm : float
        Its length [mm]: a whole number of cells' steps, two or more.
    rules : GrindRules
        What may be done.
    untouched : (ny, nx) array of bool, optional
        Cells that must be left as they are.
    steps : sequence of HasEnds
        Lines along which the floor steps, drawn out to both sides: see `kit.flatness.by_level`. No
        edge lies across one, so that each level is a question of its own, and the least of the
        whole is the sum of theirs.
    rounds : int
        Where to stop each level, if it is not done before; nothing stops it by the clock.
    tell : callable, optional
        Told the share done, 0 to 1.

    Returns
    -------
    GrindFill
        Within the limit to 1e-6 mm. Done before `rounds` are over it is of least weight
        (`is_least`); stopped, the floor is brought within the limit by `repaired`, and `gap` says
        how far from the least that may be at most. Another change may weigh as little.

    Raises
    ------
    Refusal
        Where the limit is not above 0, the edge does not fit the cells, the rules do not suffice
        (with a place), or it was stopped before anything within the limit was found.

    Notes
    -----
    `kit.flatness.grind_chords` shows that no edge anywhere departs by more than the limit if and,
    half an edge from the ends of lines, only if no cell lies further below a chord. Each such
    condition is linear in the heights, so the least change is a linear programme: `least_change`.
    The floor is taken as a height in the middle of each cell and the edge as lying along rows and
    columns of cells; between them, and askew, nothing is asked. If only filled, the lowest fill
    is least for every cell and found without a search: `fill_up`. Every cell of a large floor is
    in the one programme, nothing is made coarser and nothing cut into blocks: it falls apart by
    itself where no chord joins cells.

    Examples
    --------
    >>> h = np.zeros((1, 9))
    >>> h[0, 4] = 5.0
    >>> grid = HeightGrid(500.0 * np.arange(9), np.zeros(1), h, 0 * h, np.ones((1, 9), int))
    >>> done = grind_and_fill(grid, 3.0, rules=GrindRules(ways="grind"))
    >>> done.change_mm.round(6).tolist(), done.is_least
    ([[0.0, 0.0, 0.0, 0.0, -1.0, 0.0, 0.0, 0.0, 0.0]], True)
    """
    if not 0 < limit_mm < math.inf:
        raise refuse("grind and fill, limit_mm", f"{limit_mm:g} mm", "above 0 mm")
    if rounds < 1:
        raise refuse("grind and fill, rounds", f"{rounds}", "1 or more")
    touched = np.ones(grid.height_mm.shape, dtype=bool) if untouched is None else ~untouched
    if touched.shape != grid.height_mm.shape:
        found = f"shape {touched.shape}"
        raise refuse("grind and fill, untouched", found, f"{grid.height_mm.shape}, as the grid")
    if not grid.known.any():
        raise refuse("grind and fill", "no cell that has a height", "one or more")
    parts = level_grids(grid, steps)
    done = []
    for number, one in enumerate(parts):
        asked = _Asked(one, limit_mm, edge_mm, rules, rules.bounds(touched))
        part = part_of(tell, number, len(parts))
        done.append(asked.filled_up() if rules.ways == "fill" else asked.searched(rounds, part))
    if tell:
        tell(1.0)
    return of_levels(grid, done, steps)


@dataclass(frozen=True, eq=False)
class _Asked:
    """One question, and the two ways to its answer."""

    grid: HeightGrid
    limit_mm: float
    edge_mm: float
    rules: GrindRules
    bounds: Bounds

    @property
    def steps(self) -> int:
        return steps_of(self.edge_mm, self.grid.cell_mm)

    @cached_property
    def height_mm(self) -> Array:
        """Heights about their mean: round-off stays small on a floor far above its datum."""
        return self.grid.height_mm - float(self.grid.height_mm[self.grid.known].mean())

    def filled_up(self) -> GrindFill:
        skim = np.minimum(self.bounds.most_fill_mm, self.rules.skim_mm)
        start = self.height_mm + skim.reshape(self.height_mm.shape)
        found = fill_up(start, self.steps, self.limit_mm)
        change = np.where(self.grid.known, found.height_mm - self.height_mm, 0.0)
        if not self.bounds.allow(change.ravel()).all():
            raise self._refusal(int(np.argmax(change.ravel() - self.bounds.most_fill_mm)))
        weight = self.bounds.weigh(change.ravel())
        return self._answer(change, weight, found.felt - 1.0, 0)

    def searched(self, rounds: int, tell: Tell | None) -> GrindFill:
        asked = (self.height_mm, self.steps, self.limit_mm, self.bounds, rounds, tell)
        try:
            found = least_change(*asked)
        except Impossible as impossible:
            raise self._refusal(impossible.cell) from None
        shape = self.height_mm.shape
        change = found.change_mm.reshape(shape)
        if found.worst_mm > self.limit_mm + CLOSE_MM:
            change = repaired(self.height_mm, change, *asked[1:4])
        return self._answer(change, found.bound, found.felt.reshape(shape), found.rounds)

    def _answer(self, change_mm: Array, bound: float, felt: Array, rounds: int) -> GrindFill:
        known, cell_m2 = self.grid.known, self.grid.cell_mm**2 / 1e6
        sd = math.sqrt(float(np.sum((felt[known] * self.grid.sd_mm[known]) ** 2)))
        return GrindFill(
            self.grid,
            self.edge_mm,
            self.limit_mm,
            self.rules,
            np.where(known, change_mm, np.nan),
            bound * cell_m2,
            sd * cell_m2,
            rounds,
        )

    def _refusal(self, cell: int) -> Refusal:
        row, column = np.unravel_index(cell, self.height_mm.shape)
        x, y = self.grid.x_mm[column], self.grid.y_mm[row]
        found = f"no change within the rules brings the floor about x {x:g}, y {y:g} mm to"
        allowed = "a higher limit, more that may be ground or filled, or fewer cells left untouched"
        return refuse("grind and fill", f"{found} {self.limit_mm:g} mm", allowed)
