"""Where each standard lets a line run over a floor, and why a drawn one may not be used."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from kit.flatness.along import HasEnds, Line
from kit.flatness.by_level import drawn_out
from kit.flatness.edge_map import EDGE_MM
from kit.flatness.f_numbers import LEVELNESS_STATIONS, STATION_MM
from kit.flatness.plan_distance import (
    ONE_DIRECTION_DEGREES,
    HasCorner,
    apart_mm,
    direction_degrees,
    to_places_mm,
    to_rectangle_mm,
    turned_degrees,
)
from kit.height_grid import Array, HeightGrid
from kit.job import refuse

Standard = Literal["E1155", "DIN 18202", "BS 8204"]

#: ASTM E1155, all from memory: 2 ft to an edge, joint, penetration or column [mm] ...
CLEAR_MM = 600.0
#: ... 11 ft: twelve stations, the fewest that a spread of z can be told from [mm] ...
SHORTEST_MM = (LEVELNESS_STATIONS + 1) * STATION_MM
#: ... 4 ft between lines of one direction [mm].
BETWEEN_MM = 1200.0
#: A square foot [m²], and the areas between which a test section needs 2 √A readings [sq ft].
SQUARE_FOOT_M2, LEAST_SQ_FT, ROOT_UP_TO_SQ_FT, SQ_FT_A_READING = 0.3048**2, 320.0, 1600.0, 30.0

#: Distances on the limit itself are kept, round-off apart [mm].
_SLACK_MM = 1e-6


@dataclass(frozen=True)
class Rule:
    """A standard's rule for where lines run.

    Parameters
    ----------
    standard : str
        The standard.
    says : str
        The rule in plain words.
    source : str
        Where the kit has it from.
    """

    standard: Standard
    says: str
    source: str


_MEMORY = "from memory"

#: Every rule that `check_line` and `lines_for` go by.
LINE_RULES = (
    Rule("E1155", "no line nearer than 600 mm (2 ft) to an edge of the slab, a joint, a "
         "penetration or a column", _MEMORY),
    Rule("E1155", "no line crosses a construction or movement joint", _MEMORY),
    Rule("E1155", "no line shorter than 3300 mm (11 ft)", _MEMORY),
    Rule("E1155", "lines run parallel or square to the longest side of the test section, or at 45 "
         "degrees to it", _MEMORY),
    Rule("E1155", "lines of one direction at least 1200 mm (4 ft) apart, none along another",
         _MEMORY),
    Rule("E1155", "lines spread equally, with at least 2 √A readings up to 1600 sq ft, A/30 "
         "above (never fewer than 80 there); no test section under 320 sq ft", _MEMORY),
    Rule("E1155", "a step of the floor counts as a joint", "common practice, no source"),
    Rule("DIN 18202", "lines anywhere, evenly over a grid; no distance to the edge is kept",
         _MEMORY),
    Rule("BS 8204", "the straight edge anywhere that it has room", _MEMORY),
)  # fmt: skip


def check_line(
    standard: Standard,
    line: Line,
    grid: HeightGrid,
    joints: Sequence[HasEnds] = (),
    holes: Sequence[HasCorner] = (),
    others: Sequence[Line] = (),
    steps: Sequence[HasEnds] = (),
) -> tuple[str, ...]:
    """Return why a drawn line may not be used; nothing where it may.

    Parameters
    ----------
    standard : {"E1155", "DIN 18202", "BS 8204"}
        By whose rules.
    line : Line
        The line.
    grid : HeightGrid
        The floor. Its outline and its holes count as edges of the slab: what stands in a hole is
        not known.
    joints : sequence of HasEnds
        Construction and movement joints.
    holes : sequence of HasCorner
        Columns, pits and penetrations, as rectangles.
    others : sequence of Line
        Lines that are used as well.
    steps : sequence of HasEnds
        Lines along which the floor steps, drawn out to both sides. By no standard does a line
        cross one; E1155 keeps the same distance as from a joint.

    Returns
    -------
    tuple of str
        A sentence a reason.

    Raises
    ------
    Refusal
        For a standard that the kit does not know.

    Notes
    -----
    The rules are `LINE_RULES`, as remembered. The longest side of the test section is the longer
    one of the rectangle about the floor that has heights.
    """
    require_standard(standard)
    if not _inside(line, grid):
        return ("it leaves the grid of heights",)
    floor_steps = drawn_out(grid, steps)
    if standard != "E1155":
        least, words = 2 * grid.cell_mm, "{:g} mm, two cells"
        if standard == "BS 8204":
            least, words = EDGE_MM, "the {:g} mm edge"
        short = (f"it is shorter than {words.format(least)}",) if _under(line, least) else ()
        return (*short, *_near_lines(line, floor_steps, "step", 0.0))
    return (
        *_short(line),
        *_direction(line, grid),
        *_near_edge(line, grid),
        *_near_lines(line, joints, "joint", CLEAR_MM),
        *_near_lines(line, floor_steps, "step", CLEAR_MM),
        *_near_holes(line, holes),
        *_near_others(line, others),
    )


def readings_needed(area_m2: float) -> int:
    """Return how many readings (z) a test section needs: 2 √A, above 1600 sq ft A/30 [sq ft].

    ASTM E1155, from memory. As 2 √A comes to 80 at 1600 sq ft and A/30 to 53, never fewer than 80
    are asked for above it.

    Raises
    ------
    Refusal
        Under 320 sq ft (29.7 m²), which is no test section.
    """
    area = area_m2 / SQUARE_FOOT_M2
    if not area >= LEAST_SQ_FT * (1 - 1e-9):
        least = LEAST_SQ_FT * SQUARE_FOOT_M2
        raise refuse("E1155, test section", f"{area_m2:.1f} m²", f"{least:.1f} m² or more")
    root = 2 * min(area, ROOT_UP_TO_SQ_FT) ** 0.5
    return int(np.ceil(max(root, area / SQ_FT_A_READING) - 1e-6))


def longest_side_degrees(grid: HeightGrid) -> float:
    """Return the direction of the longer side of the floor that has heights: 0 along x, or 90."""
    rows, columns = np.nonzero(grid.known)
    if not rows.size:
        raise refuse("grid of heights", "no cell with a height", "one or more")
    return 0.0 if np.ptp(columns) >= np.ptp(rows) else 90.0


def require_standard(standard: str) -> None:
    """Refuse a standard that the kit has no rules of."""
    known = list(dict.fromkeys(rule.standard for rule in LINE_RULES))
    if standard not in known:
        raise refuse("standard", repr(standard), ", ".join(known))


def edge_places_mm(grid: HeightGrid) -> tuple[Array, Array]:
    """Return the middles (n,), (n,) of unknown cells that border on known ones [mm].

    A ring of unknown cells lies about the grid.
    """
    known = np.pad(grid.known, 1)
    beside = np.zeros_like(known)
    for axis in (0, 1):
        for way in (-1, 1):
            beside |= np.roll(known, way, axis=axis)
    rows, columns = np.nonzero(beside & ~known)
    cell = grid.cell_mm
    return grid.x_mm[0] + cell * (columns - 1.0), grid.y_mm[0] + cell * (rows - 1.0)


def _inside(line: Line, grid: HeightGrid) -> bool:
    return all(
        grid.x_mm[0] - _SLACK_MM <= x <= grid.x_mm[-1] + _SLACK_MM
        and grid.y_mm[0] - _SLACK_MM <= y <= grid.y_mm[-1] + _SLACK_MM
        for x, y in (line.from_mm, line.to_mm)
    )


def _under(line: Line, least_mm: float) -> bool:
    return line.length_mm < least_mm - _SLACK_MM


def _short(line: Line) -> tuple[str, ...]:
    if not _under(line, SHORTEST_MM):
        return ()
    return (f"it is {line.length_mm:.0f} mm long; {SHORTEST_MM:g} mm at least are needed",)


def _direction(line: Line, grid: HeightGrid) -> tuple[str, ...]:
    turned = turned_degrees(direction_degrees(line), longest_side_degrees(grid))
    if min(abs(turned - each) for each in (0.0, 45.0, 90.0)) <= ONE_DIRECTION_DEGREES:
        return ()
    return (f"it runs at {turned:.1f} degrees to the longest side; parallel, square or 45 degrees",)


def _near_edge(line: Line, grid: HeightGrid) -> tuple[str, ...]:
    near = float(np.min(to_places_mm(line, *edge_places_mm(grid)))) - grid.cell_mm / 2
    if near >= CLEAR_MM - _SLACK_MM:
        return ()
    if near <= 0:
        return ("it crosses a hole or the floor's edge",)
    return (f"it comes within {near:.0f} mm of an edge or a hole; {CLEAR_MM:g} mm are kept",)


def _near_lines(
    line: Line, others: Sequence[HasEnds], kind: str, clear_mm: float
) -> tuple[str, ...]:
    """Return which joints or steps a line crosses, or comes nearer to than so much."""
    reasons = []
    for number, other in enumerate(others, 1):
        near, name = apart_mm(line, other), getattr(other, "name", "") or str(number)
        if near == 0:
            reasons.append(f"it crosses {kind} {name}")
        elif near < clear_mm - _SLACK_MM:
            reasons.append(
                f"it comes within {near:.0f} mm of {kind} {name}; {clear_mm:g} mm are kept"
            )
    return tuple(reasons)


def _near_holes(line: Line, holes: Sequence[HasCorner]) -> tuple[str, ...]:
    reasons = []
    for number, hole in enumerate(holes, 1):
        near, name = to_rectangle_mm(line, hole), getattr(hole, "name", "") or str(number)
        if near < CLEAR_MM - _SLACK_MM:
            reasons.append(
                f"it comes within {near:.0f} mm of hole {name}; {CLEAR_MM:g} mm are kept"
            )
    return tuple(reasons)


def _near_others(line: Line, others: Sequence[Line]) -> tuple[str, ...]:
    reasons = []
    for other in others:
        turned = turned_degrees(direction_degrees(line), direction_degrees(other))
        near = apart_mm(line, other)
        if turned <= ONE_DIRECTION_DEGREES and near < BETWEEN_MM - _SLACK_MM:
            reasons.append(
                f"it lies {near:.0f} mm from line {other.name}; {BETWEEN_MM:g} mm are kept"
            )
    return tuple(reasons)
