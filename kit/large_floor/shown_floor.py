"""The floor that a notebook shows of a job: its scan, a scan that is made, or its readings."""

from __future__ import annotations

import math
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from kit.flatness import GrindFill, grind_and_fill
from kit.flatness.readings_near import near_enough, without_excluded
from kit.height_grid import Array, HeightGrid
from kit.job import Job, Refusal
from kit.large_floor.job_grid import JobGrid, grid_of_job
from kit.parts import Survey
from kit.readings.scan_file import CELL_MM, scan_floor
from kit.scan import MadeHall, make_hall, reduce_scan, write_made_scan

Tell = Callable[[float], None]

#: Folder of the job whose scan is made, and the made scan: its hall's seed, its points.
MADE_FOR, SEED, POINTS = "market-hall", 12, 1_500_000

#: Less area than this is not worth a sentence [m²].
AREA_SEEN_M2 = 0.5

#: Length of the straight edge that the notebook lays [mm].
EDGE_MM = 2000.0


@dataclass(frozen=True, eq=False)
class ShownFloor:
    """A floor in cells, and what must be said of it.

    Parameters
    ----------
    grid : HeightGrid
        Its heights.
    readings_mm : (ny, nx) array
        How far apart the readings lie that each cell comes from; 0 for a scan [mm].
    source : str
        Where it comes from, in words.
    zero : str
        What its heights are above.
    notes : tuple of str
        What was found in the scan and taken away, or that there is none.
    in_cells : callable
        Returns the same floor in cells of another size [mm].
    made : tuple of MadeHall
        The hall, where it is a made one; else empty.
    """

    grid: HeightGrid
    readings_mm: Array = field(repr=False)
    source: str
    zero: str
    notes: tuple[str, ...]
    in_cells: Callable[[float], JobGrid] = field(repr=False)
    made: tuple[MadeHall, ...] = ()


#: Why no grinding and filling can be told.
_TOO_FAR = (
    "Not told: nowhere do the readings lie so close together that a straight edge of"
    f" {EDGE_MM / 1000:g} m can be laid on what is known. Read more places, or scan."
)


@dataclass(frozen=True, eq=False)
class Changes:
    """The least that is ground off and filled; or why it cannot be told.

    Parameters
    ----------
    found : tuple of GrindFill
        One, or none.
    why_not : str
        Why there is none.
    area_m2 : float
        Of the floor that was asked after [m²]; what was found may speak of less.
    """

    found: tuple[GrindFill, ...]
    why_not: str = ""
    area_m2: float = 0.0

    @property
    def left_out(self) -> str:
        """How much of the floor nothing is told of; empty where there is none of it."""
        told = sum(one.grid.area_m2 for one in self.found)
        lost = self.area_m2 - told if self.found else 0.0
        if lost < AREA_SEEN_M2:
            return ""
        return (
            f"{lost:.0f} m² of {self.area_m2:.0f} m² lie too far from readings: what they need is"
            " not in these figures."
        )


def floor_of(job: Job, survey: Survey, tell: Tell | None = None) -> ShownFloor:
    """Return the floor that is looked at: of the job's scan, a made one, or between readings.

    Parameters
    ----------
    job, survey : Job, Survey
        The job and its floor. Only for the market hall, which has no scan of its own, one is made.
    tell : callable, optional
        Told the share of the making and reading that is done, 0 to 1.

    Raises
    ------
    Refusal
        As `grid_of_job`.
    """
    scans = [(place, one) for place, one in enumerate(job.surveys) if one.kind == "scan"]
    if not scans and job.folder.resolve().name == MADE_FOR:
        return made_floor(POINTS, tell)
    own = (scans[0][1].cell_mm if scans else None) or CELL_MM
    told = grid_of_job(job, survey, own if _fits(own) else CELL_MM)
    if scans:
        place, scan = scans[0]
        notes = scan_floor(job.folder, scan, f"job.toml, survey {place + 1}").notes
    else:
        notes = ("This job has no scan: what follows is told of the surface between its readings.",)
    if tell is not None:
        tell(1.0)
    return ShownFloor(
        told.grid, told.readings_mm, told.source, zero_of(job), tuple(notes),
        lambda cell_mm: grid_of_job(job, survey, cell_mm),
    )  # fmt: skip


def _fits(cell_mm: float) -> bool:
    """Tell whether the straight edge is a whole and even number of cells."""
    halves = EDGE_MM / 2 / cell_mm
    return abs(halves - round(halves)) < 1e-9


def made_floor(points: int, tell: Tell | None = None) -> ShownFloor:
    """Return the floor in a made scan of the market hall.

    Parameters
    ----------
    points : int
        Of the scan.
    tell : callable, optional
        Told the share of the making and reading that is done, 0 to 1.
    """
    hall = make_hall(seed=SEED)
    path = Path(tempfile.mkdtemp()) / "hall.laz"
    write_made_scan(hall, path, points, tell=lambda share: tell(share / 2) if tell else None)
    found = reduce_scan(
        path, path.name, CELL_MM, tell=lambda share: tell((1 + share) / 2) if tell else None
    )
    source = f"a made scan of {points:,} points"

    def in_cells(cell_mm: float) -> JobGrid:
        grid = reduce_scan(path, path.name, cell_mm).grid
        return JobGrid(grid, np.zeros_like(grid.height_mm), source)

    notes = ("This scan is made: it is of no real hall.", *found.notes)
    apart = np.zeros_like(found.grid.height_mm)
    zero = "the made scan's own zero"
    return ShownFloor(found.grid, apart, source, zero, notes, in_cells, (hall,))


def zero_of(job: Job) -> str:
    """Return what the heights of a job are above, in words."""
    name = job.floor.benchmark
    return "the highest point read" if name is None else f"the zero of the benchmark {name}"


def least_change(floor: ShownFloor, job: Job, limit_mm: float, cell_mm: float = 250.0) -> Changes:
    """Return the least that is ground off and filled, or why it is not told.

    Parameters
    ----------
    floor, job : ShownFloor, Job
        The floor, and the job that says where it steps.
    limit_mm : float
        Largest departure from a straight edge of 2 m afterwards [mm].
    cell_mm : float
        Of the cells in which it is worked out [mm].
    """
    try:
        told = floor.in_cells(cell_mm)
        asked = without_excluded(told.grid, job.excluded)
        near = near_enough(asked, told.readings_mm, EDGE_MM / 2)
        if not near.known.any():
            return Changes((), _TOO_FAR)
        change = grind_and_fill(near, limit_mm, edge_mm=EDGE_MM, steps=job.floor_steps)
    except Refusal as refusal:
        return Changes((), f"Not told: {refusal}")
    if math.isnan(change.departure_after_mm):
        return Changes((), _TOO_FAR)
    return Changes((change,), area_m2=asked.area_m2)
