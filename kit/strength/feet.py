"""What a unit stands on: the tops of the bearers under its corners, and rows that it hangs over.

Heights are against the level that was meant, positive = high. Places are in the run's own frame:
x to the right as one looks at the wall, y out into the room.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations

from kit.base.row_shares import rows_under
from kit.base.runs import PlacedUnit, Row
from kit.job import refuse

#: A gap below this is round-off [mm].
TOUCHES_MM = 1e-9

#: A centre of gravity so near to a row that stands high may tip either way over it [mm].
BALANCED_MM = 1.0


@dataclass(frozen=True)
class Feet:
    """Heights under the four corners of a unit, and where they are.

    Parameters
    ----------
    back_left_mm, back_right_mm, front_left_mm, front_right_mm : float
        Tops of the bearers against the level that was meant, positive = high [mm]; nan where a
        height is not known.
    back_y_mm, front_y_mm : float
        Centre lines of the rearmost and the frontmost row under the unit [mm].
    left_x_mm, right_x_mm : float
        Centre lines of the unit's outer sides [mm].
    """

    back_left_mm: float
    back_right_mm: float
    front_left_mm: float
    front_right_mm: float
    back_y_mm: float
    front_y_mm: float
    left_x_mm: float
    right_x_mm: float


def outer_rows(placed: PlacedUnit, rows: Sequence[Row]) -> tuple[Row, Row]:
    """Return the rearmost and the frontmost row under a unit.

    Raises
    ------
    Refusal
        Where fewer than two of the rows are under it.
    """
    under = _under(placed, rows)
    return under[0], under[-1]


def _under(placed: PlacedUnit, rows: Sequence[Row], side_mm: float | None = None) -> list[Row]:
    under = rows_under(placed, rows, side_mm)
    if len(under) < 2:
        raise refuse(
            f"run {placed.run}, unit {placed.unit.name!r}",
            f"{len(under)} rows of bearers under it",
            "two or more",
        )
    return under


def feet_of(placed: PlacedUnit, rows: Sequence[Row], top_mm: Callable[[str, float], float]) -> Feet:
    """Return the feet of a unit on bearers whose tops are known anywhere along them.

    Its sides do not bend: of more than two rows each side touches the two that its centre of
    gravity lies between and that no other stands above; the rest hang, see `hanging`.

    Parameters
    ----------
    placed : PlacedUnit
        The unit at its place.
    rows : sequence of Row
        The bearers; those under other units only are passed over.
    top_mm : callable
        Takes a bearer's name and a place along the run [mm], gives the height of its top there
        against the level that was meant [mm].

    Returns
    -------
    Feet

    Raises
    ------
    Refusal
        Where fewer than two of the rows are under the unit.
    """
    under = _under(placed, rows)
    panels = placed.panels
    left, right = panels[0].x_mm, panels[-1].x_mm
    (bl, fl), (br, fr) = (
        _ends(placed, _under(placed, rows, side), side, top_mm) for side in (left, right)
    )
    return Feet(bl, br, fl, fr, under[0].y_mm, under[-1].y_mm, left, right)


def hanging(
    placed: PlacedUnit, rows: Sequence[Row], top_mm: Callable[[str, float], float]
) -> tuple[tuple[str, float], ...]:
    """Return the rows that a unit of more than two rows hangs over, and by how much.

    Parameters
    ----------
    placed, rows, top_mm : PlacedUnit, sequence of Row, callable
        As for `feet_of`.

    Returns
    -------
    tuple of (bearer, gap)
        From the wall into the room; the larger gap under its two outer sides [mm]; empty where
        it stands on two rows, which it always touches.
    """
    under = _under(placed, rows)
    if len(under) == 2:
        return ()
    found: dict[tuple[float, str], float] = {}
    for side in (placed.panels[0].x_mm, placed.panels[-1].x_mm):
        under = _under(placed, rows, side)
        back, front = _ends(placed, under, side, top_mm)
        for row in under:
            forward = (row.y_mm - under[0].y_mm) / (under[-1].y_mm - under[0].y_mm)
            gap = back + forward * (front - back) - top_mm(row.name, side)
            found[row.y_mm, row.name] = max(found.get((row.y_mm, row.name), 0.0), gap)
    return tuple((name, gap) for (_, name), gap in sorted(found.items()) if gap > TOUCHES_MM)


def _ends(
    placed: PlacedUnit, under: Sequence[Row], side_mm: float, top_mm: Callable[[str, float], float]
) -> tuple[float, float]:
    """Return how high one side of a unit lies over its rearmost and its frontmost row [mm]."""
    tops = [(row.y_mm, top_mm(row.name, side_mm)) for row in under]
    if len(tops) == 2:
        return tops[0][1], tops[1][1]
    if any(math.isnan(top) for _, top in tops):
        return math.nan, math.nan
    gravity = placed.unit.centre_of_gravity_from_back_mm
    lines = [
        ((top - other) / (y - before), before, other)
        for (before, other), (y, top) in combinations(tops, 2)
        if before - BALANCED_MM <= gravity <= y + BALANCED_MM
    ]
    resting = [
        (slope, y, top)
        for slope, y, top in lines
        if all(other <= top + slope * (at - y) + TOUCHES_MM for at, other in tops)
    ]
    # Right over a high row it may rock either way: the way that leans more is the one to fear.
    slope, y, top = max(resting, key=lambda line: abs(line[0]))
    return top + slope * (tops[0][0] - y), top + slope * (tops[-1][0] - y)
