"""The floor of a job as a grid of heights: its scan's cells, or the surface between readings."""

from __future__ import annotations

from typing import NamedTuple

from kit.flatness import grid_of_lattice, grid_of_surface, readings_apart_mm
from kit.height_grid import HeightGrid
from kit.job import Job
from kit.parts import Survey
from kit.readings.grid import place_name
from kit.readings.scan_file import CELL_MM


class JobGrid(NamedTuple):
    """A job's floor in cells, and how far apart the readings lie that it comes from.

    Parameters
    ----------
    grid : HeightGrid
        Heights as adjusted, above the job's datum.
    readings_mm : float
        0 for a scan [mm].
    source : str
        Where it comes from, in words.
    """

    grid: HeightGrid
    readings_mm: float
    source: str


def grid_of_job(job: Job, survey: Survey, cell_mm: float = CELL_MM) -> JobGrid:
    """Return the floor of a job as a grid of heights.

    Parameters
    ----------
    job, survey : Job, Survey
        The job and its floor. Of several scans the first one's cells are taken.
    cell_mm : float
        Side of the cells where there is no scan [mm].

    Raises
    ------
    Refusal
        Where the cells are larger than what was read.
    """
    scan = next((one for one in job.surveys if one.kind == "scan"), None)
    if scan is None:
        grid = grid_of_surface(survey.surface, cell_mm)
        return JobGrid(
            grid, readings_apart_mm(survey.surface, grid), "the surface between readings"
        )
    side = CELL_MM if scan.cell_mm is None else scan.cell_mm
    read = survey.heights.residuals
    names = set(read.loc[read["survey"] == scan.file, "point"])
    points = survey.heights.points
    # A scan also reads points of other tables; these lie anywhere, and are no cells.
    cells = points[[
        name in names and name == place_name(x, y)
        for name, x, y in zip(points["point"], points["x_mm"], points["y_mm"], strict=True)
    ]]  # fmt: skip
    grid = grid_of_lattice(cells["x_mm"], cells["y_mm"], cells["height_mm"], cells["sd_mm"], side)
    return JobGrid(grid, 0.0, f"the scan {scan.file}")
