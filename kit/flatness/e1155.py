"""Flatness and levelness of a floor along its lines, by ASTM E1155."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import pandas as pd

from kit.flatness.along import Ground, HasEnds, Line, heights_along
from kit.flatness.f_numbers import (
    FLATNESS_MM,
    LEVELNESS_MM,
    STATION_MM,
    FNumber,
    combine,
    f_number,
    levelness_differences_mm,
    second_differences_mm,
)
from kit.flatness.from_surface import why_too_far
from kit.flatness.line_rules import check_line, readings_needed
from kit.flatness.plan_distance import HasCorner
from kit.flatness.readings_near import apart_by_cell, near_enough
from kit.height_grid import Array, HeightGrid
from kit.job import Refusal, refuse

#: The row that stands for all lines.
ALL_LINES = "all lines"


class LineNumbers(NamedTuple):
    """F_F and F_L of a line."""

    flatness: FNumber
    levelness: FNumber
    stations: int


def numbers_along(ground: Ground, line: Line) -> LineNumbers:
    """Return F_F and F_L along a line, by stations every 300 mm from its beginning.

    Raises
    ------
    Refusal
        Where a station has no height, or there are fewer than 12 stations.
    """
    heights = heights_along(ground, line.from_mm, line.to_mm, STATION_MM).height_mm
    holes = int(np.count_nonzero(~np.isfinite(heights)))
    if holes:
        raise refuse(f"line {line.name}", f"{holes} stations over holes", "none")
    return LineNumbers(
        f_number(second_differences_mm(heights), FLATNESS_MM),
        f_number(levelness_differences_mm(heights), LEVELNESS_MM),
        len(heights),
    )


def e1155_of_floor(
    grid: HeightGrid,
    lines: Sequence[Line],
    joints: Sequence[HasEnds] = (),
    holes: Sequence[HasCorner] = (),
    readings_mm: float | Array = 0.0,
    steps: Sequence[HasEnds] = (),
) -> pd.DataFrame:
    """Return F_F and F_L of a floor line by line, and of all lines together.

    Parameters
    ----------
    grid : HeightGrid
        The floor, in cells of 300 mm at most.
    lines : sequence of Line
        Lines, laid out by `lines_for` or drawn.
    joints, holes : sequence
        What lines keep clear of: see `check_line`.
    readings_mm : float or (ny, nx) array
        How far apart the readings lie that the grid comes from [mm]; 0 for a scan. A line is told
        where they are close enough at all of its stations.
    steps : sequence of HasEnds
        Lines along which the floor steps: see `check_line`.

    Returns
    -------
    DataFrame
        A row a line and a last one for all that are told: ``line``, ``from_x_mm``, ``from_y_mm``,
        ``to_x_mm``, ``to_y_mm``, ``stations``, ``q_readings``, ``F_F``, ``z_readings``, ``F_L``,
        ``state`` ("told" or "not checked") and ``why``. A line that the rules do not allow is not
        checked. All lines together are told only where they have the readings that a test section
        of this area needs.

    Notes
    -----
    Constants and rules of ASTM E1155 from memory. The whole floor counts as one test section,
    with all its levels where it steps.
    """
    near = near_enough(grid, readings_mm, STATION_MM)
    spacing = _spacing(grid, near, readings_mm)
    told: list[LineNumbers] = []
    used: list[Line] = []
    rows = []
    for line in lines:
        why = spacing or "; ".join(check_line("E1155", line, grid, joints, holes, used, steps))
        why = why or _far_along(near, line, grid)
        if not why:
            try:
                told.append(numbers_along(grid, line))
                used.append(line)
            except Refusal as refused:
                why = str(refused)
        rows.append(_row(line, told[-1] if not why else None, why))
    return pd.DataFrame([*rows, _all(told, grid.area_m2, spacing)])


def _spacing(grid: HeightGrid, near: HeightGrid, readings_mm: float | Array) -> str:
    """Return why stations cannot be told of a grid anywhere, or nothing."""
    if grid.cell_mm > STATION_MM * (1 + 1e-9):
        return f"cells of {grid.cell_mm:g} mm; {STATION_MM:g} mm at most are needed"
    if near.known.any() or not grid.known.any():
        return ""
    return why_too_far(float(apart_by_cell(grid, readings_mm)[grid.known].max()), STATION_MM)


def _far_along(near: HeightGrid, line: Line, grid: HeightGrid) -> str:
    """Return how many stations of a line lie too far from readings, or nothing."""
    if near is grid:
        return ""
    known, told = (
        np.isfinite(heights_along(one, line.from_mm, line.to_mm, STATION_MM).height_mm)
        for one in (grid, near)
    )
    far = int(np.count_nonzero(known & ~told))
    if not far:
        return ""
    return f"{far} of {len(told)} stations lie where readings are more than {STATION_MM:g} mm apart"


def _row(line: Line, numbers: LineNumbers | None, why: str) -> dict[str, object]:
    (ax, ay), (bx, by) = line.from_mm, line.to_mm
    ends = {"from_x_mm": ax, "from_y_mm": ay, "to_x_mm": bx, "to_y_mm": by}
    return {"line": line.name, **ends, **_numbers(numbers), **_state(why)}


def _all(told: Sequence[LineNumbers], area_m2: float, spacing: str) -> dict[str, object]:
    ends = dict.fromkeys(("from_x_mm", "from_y_mm", "to_x_mm", "to_y_mm"), np.nan)
    why = spacing or _too_few(told, area_m2)
    together = None
    if not why:
        together = LineNumbers(
            combine([one.flatness for one in told]),
            combine([one.levelness for one in told]),
            sum(one.stations for one in told),
        )
    return {"line": ALL_LINES, **ends, **_numbers(together), **_state(why)}


def _too_few(told: Sequence[LineNumbers], area_m2: float) -> str:
    """Return why all lines together say nothing of the floor, or nothing."""
    if not told:
        return "no line could be told"
    readings = sum(one.levelness.readings for one in told)
    try:
        needed = readings_needed(area_m2)
    except Refusal as refused:
        return str(refused)
    return "" if readings >= needed else f"{readings} readings; {needed} at least are needed"


def _numbers(numbers: LineNumbers | None) -> dict[str, object]:
    if numbers is None:
        return {"stations": 0, "q_readings": 0, "F_F": np.nan, "z_readings": 0, "F_L": np.nan}
    return {
        "stations": numbers.stations,
        "q_readings": numbers.flatness.readings, "F_F": numbers.flatness.number,
        "z_readings": numbers.levelness.readings, "F_L": numbers.levelness.number,
    }  # fmt: skip


def _state(why: str) -> dict[str, object]:
    return {"state": "not checked" if why else "told", "why": why}
