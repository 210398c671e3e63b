"""Lines laid out over a floor by each standard's own rules."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kit.flatness.along import HasEnds, Line
from kit.flatness.by_level import drawn_out, level_grids
from kit.flatness.edge_map import EDGE_MM, Axis
from kit.flatness.f_numbers import LEVELNESS_STATIONS, STATION_MM
from kit.flatness.line_rules import (
    BETWEEN_MM,
    CLEAR_MM,
    SHORTEST_MM,
    Standard,
    readings_needed,
    require_standard,
)
from kit.flatness.plan_distance import HasCorner, places_to_rectangle_mm, to_places_mm
from kit.height_grid import Array, HeightGrid
from kit.job import Refusal

#: Lines by DIN 18202 and BS 8204 are this far apart (common practice, no source) [mm].
EVERY_MM = 1000.0

#: Distances on the limit itself are kept, round-off apart [mm].
_SLACK_MM = 1e-6

Bools = NDArray[np.bool_]


def lines_for(
    standard: Standard,
    grid: HeightGrid,
    joints: Sequence[HasEnds] = (),
    holes: Sequence[HasCorner] = (),
    steps: Sequence[HasEnds] = (),
) -> tuple[Line, ...]:
    """Lay out lines over a floor by a standard's own rules.

    Parameters
    ----------
    standard : {"E1155", "DIN 18202", "BS 8204"}
        By whose rules: see `kit.flatness.line_rules.LINE_RULES`.
    grid : HeightGrid
        The floor; its outline and holes count as edges.
    joints : sequence of HasEnds
        Construction and movement joints.
    holes : sequence of HasCorner
        Columns, pits and penetrations.
    steps : sequence of HasEnds
        Lines along which the floor steps, drawn out to both sides: see `check_line`.

    Returns
    -------
    tuple of Line
        ``X1``, ``X2`` .. along x, ``Y1`` .. along y, along rows and columns of cells. By E1155 the
        fewest evenly spread ones, as many rows as columns, that give the readings needed, or as
        many as there is room for; by DIN 18202 and BS 8204 one every metre, from edge to edge.
        Nothing where no line has room.

    Raises
    ------
    Refusal
        For a standard that the kit does not know.
    """
    require_standard(standard)
    levels = [one.known for one in level_grids(grid, steps)]
    if standard != "E1155":
        least = EDGE_MM if standard == "BS 8204" else 2 * grid.cell_mm
        return _named(_Rows(grid, levels, least), every_mm=EVERY_MM)
    clear = _clear(grid, [*joints, *drawn_out(grid, steps)], holes)
    rows = _Rows(grid, [clear & known for known in levels], SHORTEST_MM, STATION_MM)
    try:
        needed = readings_needed(grid.area_m2)
    except Refusal:  # no test section: what there is room for, and its table says so
        needed = 1
    most = int(max(np.ptp(grid.x_mm), np.ptp(grid.y_mm)) / BETWEEN_MM) + 2
    lines: tuple[Line, ...] = ()
    for count in range(1, most):
        lines = _named(rows, count=count)
        if sum(_readings(line) for line in lines) >= needed:
            break
    return lines


class _Rows(NamedTuple):
    """Where lines may lie: cells (ny, nx) of each level, least length, whole steps of it [mm]."""

    grid: HeightGrid
    free: Sequence[Bools]
    least_mm: float
    whole_mm: float = 0.0


def _readings(line: Line) -> int:
    """Return how many z a line gives."""
    return int(line.length_mm / STATION_MM + 1e-6) + 1 - LEVELNESS_STATIONS


def _clear(grid: HeightGrid, joints: Sequence[HasEnds], holes: Sequence[HasCorner]) -> Bools:
    """Return which cells (ny, nx) lie clear of edges, joints and holes."""
    from scipy.ndimage import distance_transform_edt  # noqa: PLC0415 - 'import kit' stays light

    away = np.asarray(distance_transform_edt(np.pad(grid.known, 1)))[1:-1, 1:-1]
    clear = np.asarray((away - 0.5) * grid.cell_mm >= CLEAR_MM - _SLACK_MM)
    for row, y in enumerate(grid.y_mm):
        here = np.full(len(grid.x_mm), float(y))
        for joint in joints:
            clear[row] &= to_places_mm(joint, grid.x_mm, here) >= CLEAR_MM - _SLACK_MM
        for hole in holes:
            clear[row] &= places_to_rectangle_mm(hole, grid.x_mm, here) >= CLEAR_MM - _SLACK_MM
    return clear


def _named(rows: _Rows, count: int = 0, every_mm: float = 0.0) -> tuple[Line, ...]:
    """Return the lines of both directions: so many evenly spread, or one every so far."""
    lines: list[Line] = []
    for axis in ("x", "y"):
        free = [one if axis == "x" else one.T for one in rows.free]
        at = rows.grid.y_mm if axis == "x" else rows.grid.x_mm
        chosen = _spread(np.logical_or.reduce(free), at, count, every_mm)
        found = [
            pair for row in chosen for one in free for pair in _stretches(rows, one[row], row, axis)
        ]
        lines += [
            Line(f"{axis.upper()}{k}", first, last) for k, (first, last) in enumerate(found, 1)
        ]
    return tuple(lines)


def _spread(free: Bools, at_mm: Array, count: int, every_mm: float) -> list[int]:
    """Return rows spread evenly over those with free cells: the middles of equal strips."""
    rows = np.flatnonzero(free.any(axis=1))
    if not rows.size:
        return []
    low, high = float(at_mm[rows[0]]), float(at_mm[rows[-1]])
    if every_mm:
        count = max(1, round((high - low) / every_mm))
    else:
        count = min(count, int((high - low) / BETWEEN_MM + 1e-9) + 1)
    strips = (np.arange(count) + 0.5) / count
    wanted = low + (high - low) * strips
    if not every_mm and count > 1 and (high - low) / count < BETWEEN_MM:
        wanted = np.linspace(low, high, count)  # strips are too narrow: from side to side
    chosen = [int(np.argmin(np.abs(at_mm - place))) for place in wanted]
    return chosen if every_mm else _far_enough(chosen, at_mm)


def _far_enough(chosen: list[int], at_mm: Array) -> list[int]:
    """Return the rows less those that cells have brought too near to the one before."""
    kept: list[int] = []
    for row in chosen:
        if not kept or at_mm[row] - at_mm[kept[-1]] >= BETWEEN_MM - _SLACK_MM:
            kept.append(row)
    return kept


def _stretches(
    rows: _Rows, free: Bools, row: int, axis: Axis
) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    """Return the ends of every free stretch of a row that is long enough, in whole steps."""
    along = rows.grid.x_mm if axis == "x" else rows.grid.y_mm
    across = float((rows.grid.y_mm if axis == "x" else rows.grid.x_mm)[row])
    edges = np.flatnonzero(np.diff(np.pad(free.astype(np.int8), 1)))
    ends = []
    for first, after in zip(edges[::2], edges[1::2], strict=True):
        low, high = float(along[first]), float(along[after - 1])
        long = high - low
        if rows.whole_mm:
            long = rows.whole_mm * int(long / rows.whole_mm + 1e-9)
        if long < rows.least_mm - _SLACK_MM:
            continue
        low += (high - low - long) / 2
        pair = ((low, across), (low + long, across))
        ends.append(pair if axis == "x" else (pair[0][::-1], pair[1][::-1]))
    return ends
