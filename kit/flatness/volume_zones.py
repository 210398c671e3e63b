"""Hollow and hump by zones of the plan, and the compound that the hollows take."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from kit.flatness.volumes import Datum, Side, Volumes, volumes
from kit.height_grid import HeightGrid
from kit.job import Compound, refuse

Bools = NDArray[np.bool_]

#: The zone of all cells that lie in none, and the row of the whole floor.
ELSEWHERE, WHOLE = "elsewhere", "whole floor"


@dataclass(frozen=True)
class PlanZone:
    """A part of the plan.

    Parameters
    ----------
    name : str
    corners_mm : tuple of (x, y)
        Its corners in order, three or more [mm]; the last one is joined to the first.
    """

    name: str
    corners_mm: tuple[tuple[float, float], ...]

    def __post_init__(self) -> None:
        if len(self.corners_mm) < 3 or not np.isfinite(self.corners_mm).all():
            found = f"{len(self.corners_mm)} corners"
            raise refuse(f"zone {self.name!r}", found, "three or more, each with x and y in mm")

    @classmethod
    def rectangle(cls, name: str, x_mm: tuple[float, float], y_mm: tuple[float, float]) -> PlanZone:
        """Return the rectangle between two x and two y."""
        (left, right), (back, front) = sorted(x_mm), sorted(y_mm)
        return cls(name, ((left, back), (right, back), (right, front), (left, front)))

    def cells(self, grid: HeightGrid) -> Bools:
        """Return the cells (ny, nx) whose middles lie in it.

        By the even-odd rule; a middle on the line between two zones that share it lies in one of
        them only.
        """
        inside = np.zeros(grid.height_mm.shape, dtype=bool)
        x, y = grid.x_mm[None, :], grid.y_mm[:, None]
        ends = self.corners_mm[1:] + self.corners_mm[:1]
        for (x0, y0), (x1, y1) in zip(self.corners_mm, ends, strict=True):
            if y0 == y1:
                continue
            beside = (y0 <= y) != (y1 <= y)
            inside ^= beside & (x < x0 + (y - y0) * (x1 - x0) / (y1 - y0))
        return inside


def bands(grid: HeightGrid, along: Literal["x", "y"], width_mm: float) -> tuple[PlanZone, ...]:
    """Return bands side by side that tell how hollow and hump change along x or along y.

    Parameters
    ----------
    grid : HeightGrid
    along : {"x", "y"}
        The direction in which one band follows the other.
    width_mm : float
        Of each band [mm], a cell or more; the last one is as wide as the floor leaves it.

    Raises
    ------
    Refusal
        Where the width is less than a cell.
    """
    if not width_mm >= grid.cell_mm:
        raise refuse("bands, width_mm", f"{width_mm:g} mm", f"a cell, {grid.cell_mm:g} mm, or more")
    half = grid.cell_mm / 2
    x, y = ((float(v[0]) - half, float(v[-1]) + half) for v in (grid.x_mm, grid.y_mm))
    low, high = x if along == "x" else y
    edges = [*np.arange(low, high - 1e-6, width_mm).tolist(), high]
    made = []
    for start, end in pairwise(edges):
        name = f"{along} {start:.0f} to {end:.0f} mm"
        sides = ((start, end), y) if along == "x" else (x, (start, end))
        made.append(PlanZone.rectangle(name, *sides))
    return tuple(made)


@dataclass(frozen=True)
class Powder:
    """The compound that a fill takes, in whole bags."""

    kg: float
    bags: int

    @classmethod
    def of(cls, compound: Compound, litres: float) -> Powder:
        """Return what so many litres of set compound take, with what is mixed and not used."""
        kg = litres * compound.powder_kg_per_l * (1 + compound.waste_percent / 100)
        # Round-off must not buy a bag.
        return cls(kg, math.ceil(kg / compound.bag_kg - 1e-9))


def volumes_by_zone(
    grid: HeightGrid, datum: Datum, zones: Sequence[PlanZone], *, common_sd_mm: float = 0.0
) -> dict[str, Volumes]:
    """Tell hollow and hump zone by zone.

    Parameters
    ----------
    grid, datum, common_sd_mm
        As for `volumes`.
    zones : sequence of PlanZone
        A cell belongs to the zone that its middle lies in.

    Returns
    -------
    dict
        By name, in the zones' order; then what lies in none as ``elsewhere``, where there is any
        floor, and ``whole floor``. The zones' volumes and areas add up to the whole floor's.

    Raises
    ------
    Refusal
        Where zones overlap, two have one name, or one has no cell with a height.
    """
    names = [zone.name for zone in zones]
    if len({*names, ELSEWHERE, WHOLE}) < len(names) + 2:
        allowed = f"a name of its own for each, none of {ELSEWHERE!r}, {WHOLE!r}"
        raise refuse("zones of the plan", ", ".join(names), allowed)
    taken = np.zeros(grid.height_mm.shape, dtype=bool)
    found: dict[str, Volumes] = {}
    for zone in zones:
        cells = zone.cells(grid)
        if (cells & taken).any():
            raise refuse(f"zone {zone.name!r}", "cells of a zone before it", "zones side by side")
        if not (cells & grid.known).any():
            raise refuse(f"zone {zone.name!r}", "no cell that has a height", "one or more")
        found[zone.name] = _of_cells(grid, datum, cells, common_sd_mm)
        taken |= cells
    if zones and (~taken & grid.known).any():
        found[ELSEWHERE] = _of_cells(grid, datum, ~taken, common_sd_mm)
    return found | {WHOLE: volumes(grid, datum, common_sd_mm=common_sd_mm)}


def _of_cells(grid: HeightGrid, datum: Datum, cells: Bools, common_sd_mm: float) -> Volumes:
    """Tell of some cells; only they and their neighbours have a say, so only these are taken."""
    rows, columns = (
        slice(max(int(v[0]) - 1, 0), int(v[-1]) + 2)
        for v in (np.flatnonzero(cells.any(axis=1)), np.flatnonzero(cells.any(axis=0)))
    )
    near = _part(grid, rows, columns)
    its_datum = _part(datum, rows, columns) if isinstance(datum, HeightGrid) else datum
    return volumes(near, its_datum, common_sd_mm=common_sd_mm, cells=cells[rows, columns])


def _part(grid: HeightGrid, rows: slice, columns: slice) -> HeightGrid:
    inside = (rows, columns)
    return replace(
        grid,
        x_mm=grid.x_mm[columns],
        y_mm=grid.y_mm[rows],
        height_mm=grid.height_mm[inside],
        sd_mm=grid.sd_mm[inside],
        count=grid.count[inside],
    )


def volume_tables(
    by_zone: dict[str, Volumes], compound: Compound | None = None
) -> dict[str, pd.DataFrame]:
    """Return the table of hollow and hump by zone, under the name of its file.

    Parameters
    ----------
    by_zone : dict
        As `volumes_by_zone` gives it.
    compound : Compound, optional
        What the hollows are filled with: adds powder [kg], bags, and whether the deepest hollow
        is within what the compound may be laid at once.

    Returns
    -------
    dict
        ``volumes.csv``: zone, area_m2, holes_m2, net_l, then litres, area, mean and greatest
        depth with their standard deviations and the place of the greatest, of fill and of cut.
        Bags are of each zone by itself: zones poured one after the other from one pallet take
        what the row of the whole floor says.
    """
    rows = []
    for name, one in by_zone.items():
        row: dict[str, object] = {"zone": name, "area_m2": one.area_m2, "holes_m2": one.holes_m2}
        row |= {"net_l": one.net_l} | _row("fill", one.fill) | _row("cut", one.cut)
        if compound is not None:
            powder = Powder.of(compound, one.fill.litres)
            within = not one.fill.greatest_mm > compound.greatest_mm  # nan: no hollow
            row |= {"powder_kg": powder.kg, "bags": powder.bags, "within_greatest": within}
        rows.append(row)
    return {"volumes.csv": pd.DataFrame(rows)}


def _row(name: str, side: Side) -> dict[str, object]:
    return {
        f"{name}_l": side.litres,
        f"{name}_sd_l": side.litres_sd,
        f"{name}_m2": side.area_m2,
        f"{name}_sd_m2": side.area_sd_m2,
        f"{name}_mean_mm": side.mean_mm,
        f"{name}_mean_sd_mm": side.mean_sd_mm,
        f"{name}_greatest_mm": side.greatest_mm,
        f"{name}_greatest_sd_mm": side.greatest_sd_mm,
        f"{name}_x_mm": side.x_mm,
        f"{name}_y_mm": side.y_mm,
    }
