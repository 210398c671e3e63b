"""Everything that a grid of heights tells of a floor's flatness, as named tables."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import pandas as pd

from kit.flatness.along import HasEnds, Line
from kit.flatness.by_level import said_of_steps
from kit.flatness.classes import classes_by_area
from kit.flatness.domestic import domestic_guidance
from kit.flatness.e1155 import e1155_of_floor
from kit.flatness.edge_map import EDGE_MM, EdgeMap, straight_edge_map
from kit.flatness.edge_sweep import Tell
from kit.flatness.f_numbers import STATION_MM
from kit.flatness.line_layout import lines_for
from kit.flatness.plan_distance import HasCorner
from kit.flatness.readings_near import (
    apart_by_cell,
    area_m2,
    excluded_cells,
    near_enough,
    said_of_excluded,
    said_of_far,
    without,
)
from kit.flatness.section import Section, section
from kit.flatness.stichmass import DISTANCES_M, FINISHED_FLOORS, stichmass_of_floor
from kit.flatness.worst import worst_places
from kit.height_grid import Array, HeightGrid

#: So many worst places are named, this far apart (common practice, no source) [mm].
WORST_COUNT, WORST_APART_MM = 10, 1000.0

#: How far apart readings may lie for the domestic edge of 2 m, and for levels over 1 m [mm].
NEAR_MM = 1000.0

#: What goes with every report.
CAUTIONS = (
    "Flatness is told of the cells as they were read; what lies between them, and loose boards"
    " that give under load, it does not show.",
    "A class or number says nothing of what the floor carries; the kit approves no floor.",
)


@dataclass(frozen=True, eq=False)
class FlatnessReport:
    """How flat a floor is.

    Parameters
    ----------
    grid : HeightGrid
        The floor; what is excluded of it are holes.
    along_x, along_y : EdgeMap
        Departures from a straight edge laid everywhere along x and along y.
    classes : DataFrame
        Areas by class of BS 8204: see `classes_by_area`.
    worst : DataFrame
        See `worst_places`.
    din18202 : DataFrame
        See `stichmass_of_floor`; for finished floors: `stichmass` tells it by other lines.
    e1155 : DataFrame
        See `e1155_of_floor`.
    domestic : DataFrame
        See `domestic_guidance`.
    lines : tuple of Line
        The lines of ASTM E1155: those drawn, or laid out by its rules.
    sections : dict of str to Section
        The lines that were drawn and lie on the grid, by their names.
    notes : tuple of str
        What must be said along with the figures.
    steps : tuple of HasEnds
        Lines along which the floor steps.
    readings_mm : float or (ny, nx) array
        How far apart the readings lie that the grid comes from [mm]; 0 for a scan.
    """

    grid: HeightGrid = field(repr=False)
    along_x: EdgeMap
    along_y: EdgeMap
    classes: pd.DataFrame = field(repr=False)
    worst: pd.DataFrame = field(repr=False)
    din18202: pd.DataFrame = field(repr=False)
    e1155: pd.DataFrame = field(repr=False)
    domestic: pd.DataFrame = field(repr=False)
    lines: tuple[Line, ...]
    sections: dict[str, Section] = field(repr=False)
    notes: tuple[str, ...]
    steps: tuple[HasEnds, ...] = ()
    readings_mm: float | Array = 0.0

    def tables(self) -> dict[str, pd.DataFrame]:
        """Return every table by the name of its file.

        ``straight-edge.csv`` has a row a cell that has a height: ``x_mm``, ``y_mm``,
        ``along_x_mm``, ``along_y_mm`` (departures; empty where not checked).
        """
        named = {
            "straight-edge.csv": self.straight_edge(),
            "classes.csv": self.classes,
            "worst-places.csv": self.worst,
            "din18202.csv": self.din18202,
            "e1155.csv": self.e1155,
            "domestic.csv": self.domestic,
        }
        if self.sections:
            named["sections.csv"] = pd.concat(
                [one.heights.assign(line=name) for name, one in self.sections.items()],
                ignore_index=True,
            )[["line", "at_mm", "x_mm", "y_mm", "height_mm"]]
        return named

    def stichmass(self, line: int) -> pd.DataFrame:
        """Return the table of `din18202` by another line of DIN 18202 table 3.

        Raises
        ------
        Refusal
            Where table 3 has no such line.
        """
        return _din(self.grid, line, apart_by_cell(self.grid, self.readings_mm), self.steps)

    def straight_edge(self) -> pd.DataFrame:
        """Return departures by cell: ``x_mm``, ``y_mm``, ``along_x_mm``, ``along_y_mm``."""
        rows, columns = np.nonzero(self.grid.known)
        return pd.DataFrame(
            {
                "x_mm": self.grid.x_mm[columns],
                "y_mm": self.grid.y_mm[rows],
                "along_x_mm": self.along_x.by_cell_mm[rows, columns],
                "along_y_mm": self.along_y.by_cell_mm[rows, columns],
            }
        )


def flatness_report(  # noqa: PLR0913 - all but the floor by name
    grid: HeightGrid,
    *,
    edge_mm: float = EDGE_MM,
    joints: Sequence[HasEnds] = (),
    holes: Sequence[HasCorner] = (),
    lines: Sequence[Line] = (),
    steps: Sequence[HasEnds] = (),
    readings_mm: float | Array = 0.0,
    excluded: Sequence[HasCorner] = (),
    tell: Tell | None = None,
) -> FlatnessReport:
    """Tell everything of a floor's flatness.

    Parameters
    ----------
    grid : HeightGrid
        The floor.
    edge_mm : float
        Length of the straight edge [mm].
    joints, holes : sequence
        Joints (`kit.job.MovementJoint` or any line) and columns, pits, penetrations
        (`kit.job.NoGo` or any rectangle), which the lines of ASTM E1155 keep clear of.
    lines : sequence of Line
        Lines that a person draws: cut open, and used for ASTM E1155 as far as its rules allow. If
        none is given, lines are laid out by its rules.
    steps : sequence of HasEnds
        Lines along which the floor itself steps, drawn out to both sides (`kit.job.FloorStep` or
        any line): nothing is measured across, cells are told by their middles.
    readings_mm : float or (ny, nx) array
        How far apart the readings lie that the grid comes from, everywhere or cell by cell
        (`kit.flatness.readings_near.readings_by_cell_mm`) [mm]; 0 for a scan. A figure is told
        where they lie close enough for it: other cells are holes to it.
    excluded : sequence of HasCorner
        Areas of which flatness is not asked (`kit.job.Excluded` or any rectangle): cells whose
        middles lie in one are holes to every figure.
    tell : callable, optional
        Told the share done, 0 to 1.

    Raises
    ------
    Refusal
        Where the edge is no whole number of cells, or readings are told of other cells.
    """
    out = excluded_cells(grid, excluded) & grid.known
    notes = (*grid.notes, *said_of_excluded(grid, excluded), *said_of_steps(grid, steps), *CAUTIONS)
    excluded_m2, grid = area_m2(grid, out), without(grid, out)
    apart = apart_by_cell(grid, readings_mm)
    near = near_enough(grid, apart, edge_mm / 2)
    stage = _stages(tell)
    along_x = straight_edge_map(near, edge_mm, "x", stage(0.0, 0.4), steps)
    along_y = straight_edge_map(near, edge_mm, "y", stage(0.4, 0.8), steps)
    # The edge is laid where readings allow it, and told of the whole floor.
    along_x, along_y = (replace(one, grid=grid) for one in (along_x, along_y))
    maps = (along_x, along_y)
    used = tuple(lines) or lines_for("E1155", grid, joints, holes, steps)
    report = FlatnessReport(
        grid, *maps,
        classes_by_area(maps, excluded_m2=excluded_m2),
        worst_places(maps, WORST_COUNT, WORST_APART_MM),
        _din(grid, FINISHED_FLOORS, apart, steps),
        e1155_of_floor(grid, used, joints, holes, apart, steps),
        _domestic(grid, apart, steps),
        used, _sections(grid, lines, edge_mm, steps),
        (*notes, *_far_said(grid, apart, edge_mm)), tuple(steps), apart,
    )  # fmt: skip
    stage(0.8, 1.0)(1.0)
    return report


def _stages(tell: Tell | None) -> Callable[[float, float], Tell]:
    """Return what tells the share done of a stage as a share of the whole."""

    def stage(start: float, end: float) -> Tell:
        return lambda share: tell(start + (end - start) * share) if tell else None

    return stage


def _far_said(grid: HeightGrid, apart_mm: Array, edge_mm: float) -> tuple[str, ...]:
    """Return what readings too far apart leave out, of the straight edge and of stations."""
    needs = (("The straight edge", edge_mm / 2), ("Stations of E1155", STATION_MM))
    told = [(what, said_of_far(grid, apart_mm, needed)) for what, needed in needs]
    return tuple(f"{what}: {said}." for what, said in told if said)


def _din(grid: HeightGrid, line: int, apart_mm: Array, steps: Sequence[HasEnds]) -> pd.DataFrame:
    """Return the stichmass table; a distance needs readings at half of it."""
    rows = []
    for metres in DISTANCES_M:
        near = near_enough(grid, apart_mm, 500 * metres)
        told = stichmass_of_floor(near, line, [metres], steps)
        rows.append(_left_out(told, said_of_far(grid, apart_mm, 500 * metres)))
    return pd.concat(rows, ignore_index=True)


def _left_out(told: pd.DataFrame, why: str) -> pd.DataFrame:
    """Return rows with what readings too far apart leave out, after what they say themselves."""
    if not why:
        return told
    return told.assign(why=["; ".join(filter(None, (one, why))) for one in told["why"]])


def _domestic(grid: HeightGrid, apart_mm: Array, steps: Sequence[HasEnds]) -> pd.DataFrame:
    """Return the domestic table; its edge needs readings at half its length, levels at a metre."""
    table = domestic_guidance(grid, steps=steps)
    near = near_enough(grid, apart_mm, NEAR_MM)
    if near is grid:
        return table
    flat = table["rule"].str.startswith("out of flat") | (table["rule"].str.endswith(" 1 m"))
    of_near = domestic_guidance(near, steps=steps)[flat]
    told = _left_out(of_near, said_of_far(grid, apart_mm, NEAR_MM))
    return pd.concat([table[~flat], told]).sort_index()


def _sections(
    grid: HeightGrid, lines: Sequence[Line], edge_mm: float, steps: Sequence[HasEnds]
) -> dict[str, Section]:
    """Cut the grid open along every line, cell by cell."""
    return {
        line.name: section(grid, line.from_mm, line.to_mm, grid.cell_mm, edge_mm, steps)
        for line in lines
    }
