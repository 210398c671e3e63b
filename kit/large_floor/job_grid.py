"""The floor of a job as a grid of heights: its scan's cells, or the surface between readings."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from kit.flatness import grid_of_lattice, grid_of_surface
from kit.flatness.readings_near import readings_by_cell_mm
from kit.height_grid import Array, HeightGrid
from kit.job import Job
from kit.job import Survey as Table
from kit.parts import Survey
from kit.readings.grid import place_name
from kit.readings.scan_file import CELL_MM, scan_floor


class JobGrid(NamedTuple):
    """A job's floor in cells, and how far apart the readings lie that it comes from.

    Parameters
    ----------
    grid : HeightGrid
        Heights as adjusted, above the job's datum.
    readings_mm : (ny, nx) array
        By cell [mm]; 0 for a scan, nan in holes between readings.
    source : str
        Where it comes from, in words.
    """

    grid: HeightGrid
    readings_mm: Array
    source: str


def grid_of_job(job: Job, survey: Survey, cell_mm: float | None = None) -> JobGrid:
    """Return the floor of a job as a grid of heights.

    Parameters
    ----------
    job, survey : Job, Survey
        The job and its floor. Of several scans the first one's cells are taken.
    cell_mm : float, optional
        Side of the cells [mm]; unless given, the scan's own, or 100 mm without a scan. A scan is
        reduced anew to other cells than its own, and brought to the job's heights as a whole.

    Raises
    ------
    Refusal
        Where the cells are larger than what was read, or no cells that a scan can be reduced to.
    """
    place = next((n for n, one in enumerate(job.surveys) if one.kind == "scan"), None)
    if place is None:
        grid = grid_of_surface(survey.surface, CELL_MM if cell_mm is None else cell_mm)
        apart = readings_by_cell_mm(survey.surface, grid)
        return JobGrid(grid, apart, "the surface between readings")
    scan = job.surveys[place]
    source = f"the scan {scan.file}"
    own = _adjusted_cells(survey, scan)
    if cell_mm is None or cell_mm == own.cell_mm:
        return JobGrid(own, _nowhere_apart(own), source)
    key = f"job.toml, survey {place + 1}"
    asked = scan.model_copy(update={"cell_mm": cell_mm})
    as_read = scan_floor(job.folder, scan, key).grid
    other = scan_floor(job.folder, asked, key).grid
    # A scan has one offset: every cell of it is adjusted by as much.
    moved = float(own.height_mm[own.known].mean() - as_read.height_mm[as_read.known].mean())
    moved_grid = replace(other, height_mm=other.height_mm + moved)
    return JobGrid(moved_grid, _nowhere_apart(other), source)


def _nowhere_apart(grid: HeightGrid) -> Array:
    return np.zeros(grid.height_mm.shape)


def _adjusted_cells(survey: Survey, scan: Table) -> HeightGrid:
    """Return a scan's own cells at their adjusted heights."""
    side = CELL_MM if scan.cell_mm is None else scan.cell_mm
    read = survey.heights.residuals
    names = set(read.loc[read["survey"] == scan.file, "point"])
    points = survey.heights.points
    # A scan also reads points of other tables; these lie anywhere, and are no cells.
    cells = points[[
        name in names and name == place_name(x, y)
        for name, x, y in zip(points["point"], points["x_mm"], points["y_mm"], strict=True)
    ]]  # fmt: skip
    return grid_of_lattice(cells["x_mm"], cells["y_mm"], cells["height_mm"], cells["sd_mm"], side)
