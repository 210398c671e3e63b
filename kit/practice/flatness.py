"""How flat a practice floor is along a line, in the figures that floors are specified by."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import pandas as pd

from kit.flatness.edge_map import EDGE_MM
from kit.flatness.f_numbers import (
    STATION_MM,
    flatness_number,
    levelness_number,
    second_differences_mm,
)
from kit.job import refuse
from kit.practice.draws import Floats
from kit.practice.floors import PracticeFloor, make_floor
from kit.practice.grades import GRADES, Grade
from kit.practice.moves import Place
from kit.practice.rest import rest

__all__ = [
    "APART",
    "EDGE_MM",
    "FROM_WALL_MM",
    "STATION_MM",
    "Flatness",
    "flatness_along",
    "flatness_number",
    "grade_table",
    "levelness_number",
    "second_differences_mm",
    "worst_gap_mm",
]

#: Steps in which a line under the straight edge of BS 8204 is looked at [mm].
STEP_MM = 25.0

#: Stations apart at which second differences are told: 300 to 1200 mm.
APART = (1, 2, 3, 4)

#: The line that grades are compared along: under the furniture, so far from the wall [mm].
FROM_WALL_MM = 300.0


@dataclass(frozen=True)
class Flatness:
    """Figures of a line.

    Parameters
    ----------
    bends_mm : tuple of float
        Root mean square of second differences at 300, 600, 900 and 1200 mm [mm].
    flatness : float
        F_F of ASTM E1155.
    levelness : float
        F_L of ASTM E1155.
    worst_gap_mm : float
        Largest gap under a straight edge laid anywhere along the line [mm].
    """

    bends_mm: tuple[float, ...]
    flatness: float
    levelness: float
    worst_gap_mm: float


def worst_gap_mm(at_mm: Floats, heights_mm: Floats, edge_mm: float = EDGE_MM) -> float:
    """Return the largest gap [mm] under a straight edge laid from each place of a line.

    It comes to rest as `kit.practice.rest` says, and only what lies between the contacts that
    carry it counts. Where its middle is itself a contact it lies on one of the two facets, as an
    edge in the hand does; `kit.flatness` books the larger gap of both there.

    Parameters
    ----------
    at_mm : ndarray, shape (n,)
        Places along the line in even steps, of which the edge is a whole number [mm].
    heights_mm : ndarray, shape (n,)
        Heights there [mm].
    edge_mm : float
        Length of the edge [mm].

    Raises
    ------
    Refusal
        Where the edge is longer than the line or no whole number of its steps.
    """
    at, z = np.asarray(at_mm, dtype=float), np.asarray(heights_mm, dtype=float)
    step = float(at[1] - at[0])
    steps = round(edge_mm / step)
    if not np.isclose(steps * step, edge_mm) or not 1 <= steps < len(at):
        allowed = f"a whole number of {step:g} mm steps, up to {at[-1] - at[0]:g} mm"
        raise refuse("straight edge", f"{edge_mm:g} mm", allowed)
    under = range(len(at) - steps)
    return max(_gap_mm(at[k : k + steps + 1], z[k : k + steps + 1]) for k in under)


def flatness_along(
    floor: PracticeFloor, start: Place, end: Place, edge_mm: float = EDGE_MM
) -> Flatness:
    """Return the figures of a floor along a line, as it carries: loose boards pressed down.

    Stations lie every 300 mm from the start as far as the line goes; the straight edge is laid
    every 25 mm.

    Raises
    ------
    Refusal
        Where the line leaves the room, has fewer than 12 stations or is shorter than the edge.
    """
    stations = _carried_mm(floor, start, end, STATION_MM)[1]
    at, heights = _carried_mm(floor, start, end, STEP_MM)
    bends = (second_differences_mm(stations, apart) for apart in APART)
    return Flatness(
        tuple(float(np.sqrt(np.mean(bend**2))) for bend in bends),
        flatness_number(stations),
        levelness_number(stations),
        worst_gap_mm(at, heights, edge_mm),
    )


def grade_table(seeds: Iterable[int]) -> pd.DataFrame:
    """Return what the grades come to along the wall, over floors of these seeds.

    Returns
    -------
    DataFrame
        A row a grade: ``grade``, ``words``, ``bend_300_mm`` to ``bend_1200_mm`` (root mean square
        of second differences over all floors), ``F_F``, ``F_L`` (medians; they have no unit),
        ``gap_median_mm``, ``gap_95_mm`` (worst gap under 2 m: what half, and 95 of 100, floors
        keep within).

    Raises
    ------
    Refusal
        Where there is no seed.
    """
    wanted = tuple(seeds)
    if not wanted:
        raise refuse("seeds", "none", "one or more")
    return pd.DataFrame([_row(grade, wanted) for grade in GRADES])


def _row(grade: Grade, seeds: tuple[int, ...]) -> dict[str, object]:
    lines = [_along_wall(make_floor(seed, grade)) for seed in seeds]
    bends = np.sqrt(np.mean(np.square([line.bends_mm for line in lines]), axis=0))
    gaps = [line.worst_gap_mm for line in lines]
    return {
        "grade": grade.name,
        "words": grade.words,
        **{f"bend_{STATION_MM * k:g}_mm": float(b) for k, b in zip(APART, bends, strict=True)},
        "F_F": float(np.median([line.flatness for line in lines])),
        "F_L": float(np.median([line.levelness for line in lines])),
        "gap_median_mm": float(np.median(gaps)),
        "gap_95_mm": float(np.quantile(gaps, 0.95)),
    }


def _along_wall(floor: PracticeFloor) -> Flatness:
    return flatness_along(floor, (0.0, FROM_WALL_MM), (floor.width_mm, FROM_WALL_MM))


def _carried_mm(
    floor: PracticeFloor, start: Place, end: Place, step_mm: float
) -> tuple[Floats, Floats]:
    """Return places along a line in even steps from its start, and the heights there [mm]."""
    long = float(np.hypot(end[0] - start[0], end[1] - start[1]))
    if long < step_mm:
        raise refuse("line", f"{long:g} mm long", f"{step_mm:g} mm or more")
    floor.carried_mm(np.array([start[0], end[0]]), np.array([start[1], end[1]]))  # both inside
    at: Floats = step_mm * np.arange(int(long / step_mm + 1e-9) + 1, dtype=float)
    x = start[0] + at / long * (end[0] - start[0])
    y = start[1] + at / long * (end[1] - start[1])
    return at, floor.carried_mm(x, y)


def _gap_mm(at: Floats, z: Floats) -> float:
    lies = rest(at, z)
    between = (at >= lies.left_mm) & (at <= lies.right_mm)
    return float(np.max(lies.height_mm(at[between]) - z[between]))
