"""The stichmass of DIN 18202 along lines and over a floor, against table 3."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike

from kit.flatness.along import HasEnds
from kit.flatness.by_level import level_grids, worst_of_levels
from kit.flatness.edge_sweep import TOUCH_MM
from kit.height_grid import Array, HeightGrid
from kit.job import refuse

#: Measuring distances of table 3 [m].
DISTANCES_M = (0.1, 1.0, 4.0, 10.0, 15.0)

#: DIN 18202 table 3 by its lines: largest stichmass at these distances [mm]. As printed in a trade
#: handbook's table after DIN 18202 (Zentralverband Deutsches Baugewerbe; deploy.doczz.net
#: 5839552).
TABLE_3: Mapping[int, tuple[float, ...]] = MappingProxyType(
    {
        1: (10, 15, 20, 25, 30),  # unfinished tops of slabs, sub-floors
        2: (5, 8, 12, 15, 20),  # the same with higher demands; floors of stores and cellars
        3: (2, 4, 10, 12, 15),  # finished floors
        4: (1, 3, 9, 12, 15),  # finished floors with higher demands
        5: (5, 10, 15, 25, 30),  # unfinished walls, undersides of slabs
        6: (3, 5, 10, 20, 25),  # finished walls, ceilings
        7: (2, 3, 8, 15, 20),  # the same with higher demands
    }
)

#: The line of table 3 for finished floors.
FINISHED_FLOORS = 3
#: A distance may miss a whole number of cells by so much [mm].
WHOLE_MM = 1e-3


def limit_mm(distance_m: float, line: int = FINISHED_FLOORS) -> float:
    """Return the largest stichmass allowed at a measuring distance.

    Parameters
    ----------
    distance_m : float
        Distance between the two outer points [m], 0.1 or more.
    line : int
        Line of table 3, 1 to 7.

    Returns
    -------
    float
        Limit [mm]: linear between the distances of the table, rounded to whole mm, halves up;
        beyond 15 m the limit for 15 m (from memory).

    Raises
    ------
    Refusal
        Below 0.1 m, or for a line that table 3 does not have.
    """
    if line not in TABLE_3:
        allowed = ", ".join(str(each) for each in TABLE_3)
        raise refuse("DIN 18202, table 3", f"line {line}", f"line {allowed}")
    if not distance_m >= DISTANCES_M[0] - 1e-9:
        raise refuse("DIN 18202, measuring distance", f"{distance_m:g} m", "0.1 m or more")
    between = float(np.interp(distance_m, DISTANCES_M, TABLE_3[line]))
    return float(np.floor(between + 0.5 + 1e-9))


def stichmass_mm(heights_mm: ArrayLike, apart: int = 1) -> Array:
    """Return t = h(i) - (h(i-k) + h(i+k)) / 2 [mm] of heights (..., n) in even steps.

    Parameters
    ----------
    heights_mm : (..., n) array_like
        Heights [mm], nan for a hole.
    apart : int
        k, 1 or more: the measuring distance is 2 k steps.

    Returns
    -------
    (..., n - 2 k) array
        Positive = the middle stands above its neighbours; nan where one of the three is a hole.
        Nothing where the heights do not reach so far.
    """
    h = np.asarray(heights_mm, dtype=float)
    if not 1 <= 2 * apart < h.shape[-1]:
        return np.empty((*h.shape[:-1], 0))
    ends = h[..., : -2 * apart] + h[..., 2 * apart :]
    return np.asarray(h[..., apart:-apart] - ends / 2)


def steps_apart(distance_m: float, step_mm: float) -> int:
    """Return k of a measuring distance of 2 k steps; 0 where it is no such distance."""
    apart = round(1000 * distance_m / (2 * step_mm))
    return apart if abs(2 * apart * step_mm - 1000 * distance_m) <= WHOLE_MM else 0


def stichmass_of_floor(
    grid: HeightGrid,
    line: int = FINISHED_FLOORS,
    distances_m: Sequence[float] = DISTANCES_M,
    steps: Sequence[HasEnds] = (),
) -> pd.DataFrame:
    """Return the worst stichmass of a floor at each measuring distance, in both directions.

    Parameters
    ----------
    grid : HeightGrid
        The floor; a distance is told where it is twice a whole number of cells.
    line : int
        Line of DIN 18202 table 3.
    distances_m : sequence of float
        Measuring distances [m].
    steps : sequence of HasEnds
        Lines along which the floor steps: a position has all three points on one level.

    Returns
    -------
    DataFrame
        A row a distance: ``distance_m``, ``limit_mm``, ``positions`` (lies looked at, every
        position along x and y), ``worst_mm`` (positive = hump, negative = hollow),
        ``worst_is`` ("hump", "hollow", or empty), ``x_mm``, ``y_mm`` (its middle), ``axis``,
        ``beyond`` (positions beyond the limit), ``state`` ("kept", "not kept",
        "not checked") and ``why``, for what is not checked.

    Notes
    -----
    DIN 18202 lets lines run anywhere (from memory); every position of the grid is taken, and
    nothing is kept clear of edges.
    """
    parts = level_grids(grid, steps)
    return pd.DataFrame(
        [worst_of_levels([_floor_row(one, float(m), line) for one in parts]) for m in distances_m]
    )


def _floor_row(grid: HeightGrid, distance_m: float, line: int) -> dict[str, object]:
    row = {"distance_m": distance_m, "limit_mm": limit_mm(distance_m, line)}
    apart = steps_apart(distance_m, grid.cell_mm)
    if not apart:
        return row | _unknown(f"not twice a whole number of {grid.cell_mm:g} mm cells")
    along_x = stichmass_mm(grid.height_mm, apart)
    along_y = stichmass_mm(grid.height_mm.T, apart).T
    positions = sum(int(np.isfinite(each).sum()) for each in (along_x, along_y))
    if not positions:
        return row | _unknown(f"the floor is nowhere known over {distance_m:g} m on a line")
    axis, bends = max((("x", along_x), ("y", along_y)), key=lambda each: _largest(each[1]))
    at_y, at_x = np.unravel_index(int(np.nanargmax(np.abs(bends))), bends.shape)
    beyond = sum(
        int((np.abs(each) > float(row["limit_mm"]) + TOUCH_MM).sum()) for each in (along_x, along_y)
    )
    return row | {
        "positions": positions,
        "worst_mm": float(bends[at_y, at_x]),
        "worst_is": hump_or_hollow(float(bends[at_y, at_x])),
        "x_mm": float(grid.x_mm[at_x + apart * (axis == "x")]),
        "y_mm": float(grid.y_mm[at_y + apart * (axis == "y")]),
        "axis": axis,
        "beyond": beyond,
        "state": "not kept" if beyond else "kept",
        "why": "",
    }


def hump_or_hollow(worst_mm: float) -> str:
    """Return what a departure is, by its sign; nothing for none."""
    if not worst_mm:
        return ""
    return "hump" if worst_mm > 0 else "hollow"


def _largest(bends_mm: Array) -> float:
    return float(np.nanmax(np.abs(bends_mm))) if np.isfinite(bends_mm).any() else -1.0


def _unknown(why: str) -> dict[str, object]:
    """Return what a table says of a distance that cannot be told."""
    nothing: dict[str, object] = {"positions": 0, "worst_mm": np.nan, "worst_is": ""}
    nothing |= {"x_mm": np.nan, "y_mm": np.nan, "axis": ""}
    return {**nothing, "beyond": 0, "state": "not checked", "why": why}
