"""Heights of a floor along a line, wherever it is drawn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple, Protocol

import numpy as np

from kit.floor import Surface
from kit.height_grid import Array, HeightGrid
from kit.job import refuse

Place = tuple[float, float]

#: Heights [mm] at places (m,), (m,) [mm]; nan where nothing is known.
HeightAt = Callable[[Array, Array], Array]
Ground = HeightGrid | Surface | HeightAt

#: A place counts as on a cell, a line as a whole number of steps, within this share of a step.
ON_CELL = 1e-6


class HasEnds(Protocol):
    """A line of the plan: one that is drawn, or a movement joint of a job."""

    @property
    def from_mm(self) -> Place:
        """Place of its beginning [mm]."""

    @property
    def to_mm(self) -> Place:
        """Place of its end [mm]."""


@dataclass(frozen=True)
class Line:
    """A line along which a floor is told.

    Parameters
    ----------
    name : str
        By which tables name it.
    from_mm, to_mm : tuple of float
        Places of its ends, x and y [mm].
    """

    name: str
    from_mm: Place
    to_mm: Place

    @property
    def length_mm(self) -> float:
        """Length [mm]."""
        return float(np.hypot(self.to_mm[0] - self.from_mm[0], self.to_mm[1] - self.from_mm[1]))


class Profile(NamedTuple):
    """Places along a line (n,) from its beginning, in plan, and heights there [mm]."""

    at_mm: Array
    x_mm: Array
    y_mm: Array
    height_mm: Array


def heights_along(ground: Ground, from_mm: Place, to_mm: Place, step_mm: float) -> Profile:
    """Return a floor's heights in even steps along a line, as far as whole steps go.

    Parameters
    ----------
    ground : HeightGrid, Surface or callable
        The floor. Of a grid heights are bilinear between the four cells around a place.
    from_mm, to_mm : tuple of float
        Ends of the line, x and y [mm].
    step_mm : float
        Step [mm].

    Returns
    -------
    Profile
        Heights are nan over holes and where the survey does not reach: a cell that has a share in
        a place and no height leaves that place without one.

    Raises
    ------
    Refusal
        Where the line leaves the grid (the middles of its outer cells) or is shorter than a step.
    """
    long = float(np.hypot(to_mm[0] - from_mm[0], to_mm[1] - from_mm[1]))
    if not (np.isfinite(step_mm) and step_mm > 0):
        raise refuse("line, step", f"{step_mm:g} mm", "more than 0 mm")
    if not (np.isfinite(long) and long >= step_mm * (1 - ON_CELL)):
        raise refuse("line", f"{long:g} mm long", f"{step_mm:g} mm or more")
    at = step_mm * np.arange(int(long / step_mm + ON_CELL) + 1, dtype=float)
    x = from_mm[0] + at / long * (to_mm[0] - from_mm[0])
    y = from_mm[1] + at / long * (to_mm[1] - from_mm[1])
    if isinstance(ground, HeightGrid):
        for end in (from_mm, to_mm):
            _require_inside(ground, end)
    return Profile(at, x, y, heights_at(ground, x, y))


def heights_at(ground: Ground, x_mm: Array, y_mm: Array) -> Array:
    """Return heights (m,) [mm] of a floor at places; nan where nothing is known."""
    if isinstance(ground, HeightGrid):
        return _bilinear(ground, x_mm, y_mm)
    if isinstance(ground, Surface):
        known = ground.surveyed(x_mm, y_mm)
        heights = np.full(len(x_mm), np.nan)
        if known.any():
            heights[known] = ground.predict(x_mm[known], y_mm[known]).height_mm
        return heights
    return np.asarray(ground(x_mm, y_mm), dtype=float)


def on_cells(centres: Array, at_mm: Array) -> Array:
    """Return places (m,) along an axis, those on a cell's middle but for round-off put on it."""
    step = (centres[-1] - centres[0]) / max(len(centres) - 1, 1) or 1.0
    near = np.clip(np.rint((at_mm - centres[0]) / step), 0, len(centres) - 1).astype(np.intp)
    return np.where(np.abs(at_mm - centres[near]) < ON_CELL * step, centres[near], at_mm)


def _require_inside(grid: HeightGrid, end: Place) -> None:
    slack = ON_CELL * grid.cell_mm
    for value, centres in zip(end, (grid.x_mm, grid.y_mm), strict=True):
        if not centres[0] - slack <= value <= centres[-1] + slack:
            x, y = grid.x_mm, grid.y_mm
            raise refuse(
                "line",
                f"an end at x {end[0]:g}, y {end[1]:g} mm, outside the grid of heights",
                f"x {x[0]:g} to {x[-1]:g}, y {y[0]:g} to {y[-1]:g} mm",
            )


def _bilinear(grid: HeightGrid, x_mm: Array, y_mm: Array) -> Array:
    """Return heights between cells (m,) [mm]; nan outside, and where a cell in use has none."""
    row, up = _cell(grid.y_mm, y_mm, grid.cell_mm)
    column, over = _cell(grid.x_mm, x_mm, grid.cell_mm)
    height = np.zeros(len(x_mm))
    for rows, part in ((row, 1 - up), (np.minimum(row + 1, len(grid.y_mm) - 1), up)):
        for columns, share in (
            (column, 1 - over),
            (np.minimum(column + 1, len(grid.x_mm) - 1), over),
        ):
            weight = part * share
            height += np.where(weight > 0, weight * grid.height_mm[rows, columns], 0.0)
    return height


def _cell(centres: Array, at_mm: Array, cell_mm: float) -> tuple[np.ndarray, Array]:
    """Return the cell before each place (m,), and which share of the way to the next it lies.

    A share of nan, for a place outside, makes the height nan.
    """
    steps = (at_mm - centres[0]) / cell_mm
    near = np.rint(steps)
    steps = np.where(np.abs(steps - near) < ON_CELL, near, steps)
    inside = (steps >= 0) & (steps <= len(centres) - 1)
    before = np.floor(np.where(inside, steps, 0)).astype(np.intp)
    return before, np.where(inside, steps - before, np.nan)
