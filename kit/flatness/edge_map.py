"""The straight edge laid everywhere on a floor, along x or along y."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from kit.flatness.along import HasEnds
from kit.flatness.by_level import joined, level_grids
from kit.flatness.edge_sweep import Tell, carried, gaps_along, part_of
from kit.height_grid import Array, HeightGrid
from kit.job import refuse

Axis = Literal["x", "y"]
Place = tuple[float, float]

#: Length of the straight edge of BS 8204 [mm].
EDGE_MM = 2000.0
#: An edge may miss a whole number of cells by so much [mm].
WHOLE_MM = 1e-3


@dataclass(frozen=True)
class Placement:
    """One lie of the straight edge.

    Parameters
    ----------
    axis : {"x", "y"}
        Along which the edge lies.
    middle_mm : tuple of float
        Place of its middle [mm].
    departure_mm : float
        Largest gap below it between its contacts [mm].
    from_mm, to_mm : tuple of float
        Places of its outermost contacts [mm].
    gap_at_mm : tuple of float
        Place of the largest gap [mm].
    """

    axis: Axis
    middle_mm: Place
    departure_mm: float
    from_mm: Place
    to_mm: Place
    gap_at_mm: Place


@dataclass(frozen=True, eq=False)
class EdgeMap:
    """Departures of a floor from a straight edge laid everywhere along one axis.

    Parameters
    ----------
    grid : HeightGrid
        The floor.
    axis : {"x", "y"}
        Along which the edge lies.
    edge_mm : float
        Its length [mm].
    x_mm, y_mm : (px,), (py,) array
        Places of the edge's middle [mm]. An edge of an even number of steps is booked at its
        middle cell, and these are the grid's own; of an odd number half way between its two
        middle cells, and along the axis there is one place less than cells.
    departure_mm : (py, px) array
        Largest gap below the edge between its contacts [mm]; nan, not checked, where it does not
        fit, has a hole below, or would lie across a step of the floor.
    """

    grid: HeightGrid = field(repr=False)
    axis: Axis
    edge_mm: float
    x_mm: Array = field(repr=False)
    y_mm: Array = field(repr=False)
    departure_mm: Array = field(repr=False)

    @property
    def steps(self) -> int:
        """Length of the edge in cells' steps."""
        return round(self.edge_mm / self.grid.cell_mm)

    @property
    def checked(self) -> NDArray[np.bool_]:
        """Where the edge could be laid (py, px)."""
        return np.asarray(np.isfinite(self.departure_mm))

    @cached_property
    def by_cell_mm(self) -> Array:
        """Departures (ny, nx) booked at cells [mm].

        An edge of an odd number of steps counts for both its middle cells; a cell between two of
        them by the larger.
        """
        if self.steps % 2 == 0:
            return self.departure_mm
        along = 1 if self.axis == "x" else 0
        before = [(0, 0), (0, 0)]
        after = [(0, 0), (0, 0)]
        before[along], after[along] = (1, 0), (0, 1)
        sides = (np.pad(self.departure_mm, p, constant_values=np.nan) for p in (before, after))
        return np.asarray(np.fmax(*sides))

    def placement(self, row: int, column: int) -> Placement:
        """Return contacts and place of the largest gap of the edge booked at [row, column].

        Raises
        ------
        Refusal
            Where no edge could be laid.
        """
        x, y = float(self.x_mm[column]), float(self.y_mm[row])
        if not self.checked[row, column]:
            where = f"straight edge along {self.axis} at x {x:g}, y {y:g} mm"
            raise refuse(where, "no room for it, or a hole below it", "a place that was checked")
        half = self.steps // 2
        if self.axis == "x":
            profile, first = self.grid.height_mm[row], column - half
        else:
            profile, first = self.grid.height_mm[:, column], row - half
        lie = carried(profile[first : first + self.steps + 1])
        cells = (first + lie.left, first + lie.right, first + lie.gap_at)
        places = [
            (float(self.grid.x_mm[k]), y) if self.axis == "x" else (x, float(self.grid.y_mm[k]))
            for k in cells
        ]
        return Placement(self.axis, (x, y), lie.gap_mm, *places)


def steps_of(edge_mm: float, step_mm: float, where: str = "straight edge") -> int:
    """Return an edge's length in steps.

    Raises
    ------
    Refusal
        Where it is no whole number of steps, or fewer than two: nothing lies below it then.
    """
    steps = round(edge_mm / step_mm) if np.isfinite(edge_mm) else 0
    if steps < 2 or abs(steps * step_mm - edge_mm) > WHOLE_MM:
        allowed = f"a whole number of {step_mm:g} mm steps, two or more"
        raise refuse(where, f"{edge_mm:g} mm", allowed)
    return steps


def straight_edge_map(
    grid: HeightGrid,
    edge_mm: float,
    axis: Axis,
    tell: Tell | None = None,
    steps: Sequence[HasEnds] = (),
) -> EdgeMap:
    """Lay a straight edge everywhere on a floor, along one axis.

    Parameters
    ----------
    grid : HeightGrid
        The floor.
    edge_mm : float
        Length of the edge [mm]: a whole number of cells' steps, two or more.
    axis : {"x", "y"}
        Along which it is laid.
    tell : callable, optional
        Told the share done, 0 to 1.
    steps : sequence of HasEnds
        Lines along which the floor steps, drawn out to both sides: see `kit.flatness.by_level`.

    Returns
    -------
    EdgeMap
        A departure for every place of the edge's middle. A hole anywhere below the edge excludes
        that place, and so does a step: nothing is bridged.

    Raises
    ------
    Refusal
        Where the edge is no whole number of steps, or the axis is neither.

    Notes
    -----
    The edge lies on the upper hull of the cells below it; the facet over its middle carries it,
    from its outermost left to its outermost right contact. The departure is the largest gap below
    the edge between these contacts, not beyond them. If the middle itself is a contact, it is the
    larger of the two facets that meet there. A cell within 1e-9 mm of the edge touches it, which
    decides ties of slope: level stretches and cells on one line carry the edge from their first
    to their last. The rule for where an edge comes to rest is common practice, no source; the
    length and the classes are BS 8204's.

    Examples
    --------
    >>> h = np.array([[0.0, -1.0, 0.0, 0.0, -3.0, 0.0]])
    >>> grid = HeightGrid(100.0 * np.arange(6), np.zeros(1), h, 0 * h, np.ones((1, 6), int))
    >>> straight_edge_map(grid, 200, "x").departure_mm.tolist()
    [[nan, 1.0, 0.0, 0.0, 3.0, nan]]
    """
    if axis not in ("x", "y"):
        raise refuse("straight edge, axis", repr(axis), "'x' or 'y'")
    cells = steps_of(edge_mm, grid.cell_mm)
    parts = level_grids(grid, steps)
    gaps = joined(
        [
            _gaps(one, axis, cells, part_of(tell, number, len(parts)))
            for number, one in enumerate(parts)
        ]
    )
    along = grid.x_mm if axis == "x" else grid.y_mm
    along = along if cells % 2 == 0 else (along[:-1] + along[1:]) / 2
    if axis == "x":
        return EdgeMap(grid, axis, float(edge_mm), along, grid.y_mm, gaps)
    return EdgeMap(grid, axis, float(edge_mm), grid.x_mm, along, gaps.T)


def _gaps(grid: HeightGrid, axis: Axis, steps: int, tell: Tell | None) -> Array:
    """Return the gaps under the edge at every place of its middle, rows along the edge."""
    profiles = grid.height_mm if axis == "x" else grid.height_mm.T
    middles = np.full((profiles.shape[0], max(profiles.shape[1] - steps % 2, 0)), np.nan)
    places = max(profiles.shape[1] - steps, 0)
    gaps_along(profiles, steps, tell, middles[:, steps // 2 : steps // 2 + places])
    return middles
