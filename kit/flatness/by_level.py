"""A floor that steps, level by level: nothing is measured across a step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple, cast

import numpy as np
from numpy.typing import NDArray

from kit.flatness.along import HasEnds, Line
from kit.floor.stepped import StepLine, level_words, levels_of
from kit.height_grid import Array, HeightGrid

Bools = NDArray[np.bool_]


class Level(NamedTuple):
    """A part of the floor without a step in it.

    Parameters
    ----------
    number : int
        As `kit.floor.stepped.levels_of` counts.
    words : str
        By which tables name it: on which side of which step it lies.
    cells : (ny, nx) array of bool
        Which cells of the whole floor lie on it, holes as well.
    grid : HeightGrid
        The floor, in the cells of the whole; those of other levels are holes.
    """

    number: int
    words: str
    cells: Bools
    grid: HeightGrid


def levels(grid: HeightGrid, steps: Sequence[HasEnds]) -> tuple[Level, ...]:
    """Return a floor's levels, those that have a height somewhere, the ones before steps first.

    Parameters
    ----------
    grid : HeightGrid
        The floor.
    steps : sequence of HasEnds
        Lines along which the floor steps (`kit.job.FloorStep` or any line), drawn out to both
        sides.

    Returns
    -------
    tuple of Level
        The grid itself where nothing of it lies apart. A cell belongs to the level that its
        middle lies on, even where a step crosses its square; on the line itself, before it.
    """
    lines = step_lines(steps)
    number = _numbers(grid, lines)
    found = np.unique(number[grid.known])
    if len(found) < 2:
        one = int(found[0]) if len(found) else 0
        return (Level(one, level_words(lines, one), np.ones(number.shape, dtype=bool), grid),)
    each = [(int(k), number == k) for k in found]
    return tuple(Level(k, level_words(lines, k), cells, _part(grid, cells)) for k, cells in each)


def level_grids(grid: HeightGrid, steps: Sequence[HasEnds]) -> tuple[HeightGrid, ...]:
    """Return the grids of `levels`; the grid itself where there are no steps."""
    return tuple(one.grid for one in levels(grid, steps)) if steps else (grid,)


def step_lines(steps: Sequence[HasEnds]) -> tuple[StepLine, ...]:
    """Return steps with names: their own, or their numbers from 1."""
    return tuple(
        StepLine(getattr(step, "name", "") or str(number), step.from_mm, step.to_mm)
        for number, step in enumerate(steps, 1)
    )


def drawn_out(grid: HeightGrid, steps: Sequence[HasEnds]) -> tuple[Line, ...]:
    """Return steps as lines that reach beyond the floor on both sides [mm]."""
    wide = float(np.ptp(grid.x_mm) + np.ptp(grid.y_mm)) + 2 * grid.cell_mm
    middle = np.array([grid.x_mm.mean(), grid.y_mm.mean()])
    lines = []
    for step in step_lines(steps):
        start, end = np.array(step.from_mm), np.array(step.to_mm)
        way = (end - start) / np.hypot(*(end - start))
        nearest = start + way * float(way @ (middle - start))
        ends = [nearest - wide * way, nearest + wide * way]
        lines.append(Line(step.name, *((float(x), float(y)) for x, y in ends)))
    return tuple(lines)


def said_of_steps(grid: HeightGrid, steps: Sequence[HasEnds]) -> tuple[str, ...]:
    """Return what must be said of the figures of a floor that steps; nothing where it does not."""
    if len(level_grids(grid, steps)) < 2:
        return ()
    names = ", ".join(step.name for step in step_lines(steps))
    crossed = int(np.count_nonzero(_crossed(grid, steps) & grid.known))
    said = f"The floor steps along {names}: nothing is measured across."
    if not crossed:
        return (said,)
    return (
        said,
        f"Steps cross {crossed} cells. Each counts to the level of its middle with the height it"
        " has: where points of both levels fell into one cell, that is the height of neither.",
    )


def joined(parts: Sequence[Array]) -> Array:
    """Return what is told at each place by the one level that tells of it; nan where none does."""
    return parts[0] if len(parts) == 1 else np.asarray(np.fmax.reduce(parts))


def worst_of_levels(rows: Sequence[dict[str, object]]) -> dict[str, object]:
    """Return one row of a table for all levels, from a row of each.

    The row whose ``worst_mm`` is largest, either way, with ``positions`` and ``beyond`` of all
    levels together, where a row has them; "not kept" where one level does not keep it. What no
    level tells is told as the first has it.
    """
    told = [row for row in rows if row["state"] != "not checked"]
    if len(rows) == 1 or not told:
        return rows[0]
    worst = max(told, key=lambda row: abs(cast("float", row["worst_mm"])))
    sums = {
        name: sum(cast("int", row[name]) for row in told)
        for name in ("positions", "beyond")
        if name in worst
    }
    state = "not kept" if any(row["state"] == "not kept" for row in told) else "kept"
    return worst | sums | {"state": state}


def _numbers(grid: HeightGrid, lines: Sequence[StepLine]) -> NDArray[np.intp]:
    """Return the number of each cell's level (ny, nx)."""
    x, y = (each.ravel() for each in np.meshgrid(grid.x_mm, grid.y_mm))
    return levels_of(lines, x, y).reshape(grid.height_mm.shape)


def _part(grid: HeightGrid, cells: Bools) -> HeightGrid:
    """Return the grid with all other cells as holes."""
    return replace(
        grid,
        height_mm=np.where(cells, grid.height_mm, np.nan),
        sd_mm=np.where(cells, grid.sd_mm, np.nan),
        count=np.where(cells, grid.count, 0),
    )


def _crossed(grid: HeightGrid, steps: Sequence[HasEnds]) -> Bools:
    """Tell which cells (ny, nx) have a step through their squares, not along their sides only."""
    crossed = np.zeros(grid.height_mm.shape, dtype=bool)
    for step in steps:
        (ax, ay), (bx, by) = step.from_mm, step.to_mm
        dx, dy = bx - ax, by - ay
        off = np.abs(dx * (grid.y_mm[:, None] - ay) - dy * (grid.x_mm - ax))
        half = grid.cell_mm / 2 * (abs(dx) + abs(dy))
        crossed |= off < half * (1 - 1e-9)
    return crossed
