"""The domestic guidance for level and flat floors, over a floor known by cells."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from kit.flatness.along import HasEnds
from kit.flatness.by_level import level_grids, worst_of_levels
from kit.flatness.edge_map import EDGE_MM, WHOLE_MM
from kit.flatness.edge_sweep import TOUCH_MM
from kit.height_grid import Array, HeightGrid


@dataclass(frozen=True)
class Guidance:
    """How far a floor may be out of level and flat.

    Parameters
    ----------
    name : str
        Whose it is.
    mm_per_m : float
        Out of level a metre, up to a distance [mm/m].
    up_to_m : int
        That distance, whole metres [m].
    beyond_mm : float
        Out of level beyond it [mm].
    flat_mm : float
        Out of flat, either way, under a 2 m straight edge on equal offsets [mm]; nan where the
        guidance has no such figure.
    """

    name: str
    mm_per_m: float
    up_to_m: int
    beyond_mm: float
    flat_mm: float


#: NHBC Standards 2020, 9.1.5.
NHBC_2020 = Guidance("NHBC Standards 2020, 9.1.5", 3.0, 6, 20.0, 5.0)
#: As a second UK warranty has it (its own page, read second hand); it gives no figure for flat.
SECOND_UK_WARRANTY = Guidance("a second UK warranty", 4.0, 6, 25.0, float("nan"))

#: Rows of a grid are looked at in blocks of about so many cells.
BLOCK_CELLS = 200_000


def domestic_guidance(
    grid: HeightGrid, guidance: Guidance = NHBC_2020, steps: Sequence[HasEnds] = ()
) -> pd.DataFrame:
    """Return how a floor stands against domestic guidance, along x and y.

    Parameters
    ----------
    grid : HeightGrid
        The floor.
    guidance : Guidance
        Whose figures.
    steps : sequence of HasEnds
        Lines along which the floor steps: levels are compared, and the edge is laid, on one level.

    Returns
    -------
    DataFrame
        ``rule``, ``limit_mm``, ``worst_mm``, ``axis``, ``from_x_mm``, ``from_y_mm``, ``to_x_mm``,
        ``to_y_mm`` (the two points, or the ends of the edge), ``state`` ("kept", "not kept",
        "not checked") and ``why``.

    Notes
    -----
    NHBC Standards 2020, 9.1.5: 3 mm a metre up to 6 m, 20 mm beyond; 5 mm either way under 2 m
    "with equal offsets", taken as the departure from the line through the floor at both ends of
    the edge. Levels are compared on lines along x and y, at whole metres up to 6 m and at every
    distance beyond; other directions are not looked at.
    """
    by_level = [_rows(one, guidance) for one in level_grids(grid, steps)]
    return pd.DataFrame([worst_of_levels(rows) for rows in zip(*by_level, strict=True)])


def _rows(grid: HeightGrid, guidance: Guidance) -> list[dict[str, object]]:
    rows = [_level_row(grid, guidance, metres) for metres in range(1, guidance.up_to_m + 1)]
    rows.append(_beyond_row(grid, guidance))
    if np.isfinite(guidance.flat_mm):
        rows.append(_flat_row(grid, guidance))
    return rows


def _level_row(grid: HeightGrid, guidance: Guidance, metres: int) -> dict[str, object]:
    steps = round(1000 * metres / grid.cell_mm)
    row = {"rule": f"out of level over {metres} m", "limit_mm": guidance.mm_per_m * metres}
    if abs(steps * grid.cell_mm - 1000 * metres) > WHOLE_MM or not steps:
        return row | _unknown(f"{metres} m is no whole number of {grid.cell_mm:g} mm cells")
    return row | _told(grid, [_differences(each, steps) for each in _ways(grid)], row)


def _beyond_row(grid: HeightGrid, guidance: Guidance) -> dict[str, object]:
    steps = int(1000 * guidance.up_to_m / grid.cell_mm + 1e-9) + 1
    row = {
        "rule": f"out of level over more than {guidance.up_to_m} m",
        "limit_mm": guidance.beyond_mm,
    }
    return row | _told(grid, [_furthest(each, steps) for each in _ways(grid)], row)


def _flat_row(grid: HeightGrid, guidance: Guidance) -> dict[str, object]:
    steps = round(EDGE_MM / grid.cell_mm)
    row = {"rule": f"out of flat under {EDGE_MM / 1000:g} m", "limit_mm": guidance.flat_mm}
    if steps < 2 or abs(steps * grid.cell_mm - EDGE_MM) > WHOLE_MM:
        return row | _unknown(f"{EDGE_MM / 1000:g} m is not two or more whole cells")
    return row | _told(grid, [_offsets(each, steps) for each in _ways(grid)], row)


#: Worst of profiles [mm], its profile, and the cells of its two ends; nan where there is none.
_Worst = tuple[float, int, int, int]


def _ways(grid: HeightGrid) -> tuple[Array, Array]:
    return grid.height_mm, grid.height_mm.T


def _told(grid: HeightGrid, found: list[_Worst], row: dict[str, object]) -> dict[str, object]:
    """Return the worse of both directions with its place, against the limit of a row."""
    known = [k for k in (0, 1) if np.isfinite(found[k][0])]
    if not known:
        return _unknown("the floor is nowhere known over so far on a line along x or y")
    way = max(known, key=lambda k: found[k][0])
    worst, profile, first, last = found[way]
    at, along = (grid.y_mm, grid.x_mm) if way == 0 else (grid.x_mm, grid.y_mm)
    ends = [(float(along[k]), float(at[profile]))[:: 1 if way == 0 else -1] for k in (first, last)]
    beyond = worst > float(str(row["limit_mm"])) + TOUCH_MM
    return {
        "worst_mm": worst, "axis": "xy"[way],
        "from_x_mm": ends[0][0], "from_y_mm": ends[0][1],
        "to_x_mm": ends[1][0], "to_y_mm": ends[1][1],
        "state": "not kept" if beyond else "kept", "why": "",
    }  # fmt: skip


def _unknown(why: str) -> dict[str, object]:
    places = dict.fromkeys(("from_x_mm", "from_y_mm", "to_x_mm", "to_y_mm"), np.nan)
    return {"worst_mm": np.nan, "axis": "", **places, "state": "not checked", "why": why}


def _differences(profiles_mm: Array, steps: int) -> _Worst:
    """Return the largest difference of level between cells so many steps apart."""
    apart = np.abs(profiles_mm[:, steps:] - profiles_mm[:, :-steps])
    worst, profile, first = _largest(apart)
    return worst, profile, first, first + steps


def _furthest(profiles_mm: Array, steps: int) -> _Worst:
    """Return the largest difference of level between cells that many steps apart or more."""
    if profiles_mm.shape[1] <= steps:
        return np.nan, 0, 0, 0
    before = profiles_mm[:, :-steps]
    highest, lowest = (f.accumulate(before, axis=1) for f in (np.fmax, np.fmin))
    after = profiles_mm[:, steps:]
    worst, profile, last = _largest(np.fmax(highest - after, after - lowest))
    if not np.isfinite(worst):
        return np.nan, 0, 0, 0
    end = profiles_mm[profile, last + steps]
    first = int(np.nanargmax(np.abs(profiles_mm[profile, : last + 1] - end)))
    return worst, profile, first, last + steps


def _offsets(profiles_mm: Array, steps: int) -> _Worst:
    """Return the largest departure, up or down, from the line through both ends of the edge."""
    found: _Worst = (np.nan, 0, 0, 0)
    block = max(1, BLOCK_CELLS // profiles_mm.shape[1])
    for row in range(0, profiles_mm.shape[0] if profiles_mm.shape[1] > steps else 0, block):
        part = np.ascontiguousarray(profiles_mm[row : row + block])
        worst, profile, first = _largest(_departures(part, steps))
        if np.isfinite(worst) and not worst <= found[0]:
            found = worst, row + profile, first, first + steps
    return found


def _departures(profiles_mm: Array, steps: int) -> Array:
    """Return for each place of the edge (m, n - steps) its largest departure [mm]."""
    ends = profiles_mm[:, :-steps], profiles_mm[:, steps:]
    largest = np.zeros(ends[0].shape)
    for k in range(1, steps):
        line = ends[0] + (ends[1] - ends[0]) * (k / steps)
        line -= profiles_mm[:, k : k - steps]
        np.maximum(largest, np.abs(line, out=line), out=largest)  # keeps nan
    return largest


def _largest(values: Array) -> tuple[float, int, int]:
    if not np.isfinite(values).any():
        return np.nan, 0, 0
    row, column = np.unravel_index(int(np.nanargmax(values)), values.shape)
    return float(values[row, column]), int(row), int(column)
