"""Reading the scans of a job: each file once, in bounded memory."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path

from kit import scan
from kit.height_grid import HeightGrid
from kit.job.model import ScanFrame, Survey
from kit.job.refusal import refuse
from kit.readings.columns import LEAST_SD_MM
from kit.readings.files import find_file
from kit.readings.remark import Remark
from kit.readings.scan_table import MOST_CELLS, scan_table, tied, ties_of, too_many_cells
from kit.readings.survey import Readings
from kit.readings.table import Table

Tell = Callable[[float], None]

#: Side of the squares that a scan is reduced to, unless given [mm].
CELL_MM = 100.0

#: Cells finer than this hold no point or two; coarser ones no longer show a floor [mm] (common
#: practice, no source).
LEAST_CELL_MM, LARGEST_CELL_MM = 10.0, 2000.0

#: What a scan may be kept in.
KINDS = ".csv, .tsv, .txt, .ply, .las, .laz or .e57"

#: Reductions that are kept: to move a base does not read a file of gigabytes again.
KEPT = 4


@dataclass(frozen=True, eq=False)
class Scan:
    """A scan that was read: its table, its cells, and what the job says of it."""

    table: Table
    grid: HeightGrid
    survey: Survey


@dataclass(frozen=True)
class _Asked:
    """What a reduction hangs on: the file as it lies there, and the keys of the job."""

    path: Path
    name: str
    changed_ns: int
    size: int
    cell_mm: float
    survey: Survey
    tell: Tell | None = field(compare=False)


def read_scan(folder: Path, survey: Survey, key: str, tell: Tell | None = None) -> Scan:
    """Return a scan, reduced to the cells of its floor.

    Parameters
    ----------
    folder : Path
        The job's, which holds the file.
    survey : Survey
        Of kind ``scan``.
    key : str
        Where the job names it, for messages.
    tell : callable, optional
        Is told the share that is done, 0 to 1.

    Raises
    ------
    Refusal
        As `scan_floor`; or if there are more cells than can be worked with.
    """
    floor = scan_floor(folder, survey, key, tell)
    table = scan_table(floor.grid, survey, floor.points)
    remarks = tuple(Remark(f"{survey.file}: {note}") for note in floor.notes)
    return Scan(replace(table, remarks=(*table.remarks, *remarks)), floor.grid, survey)


def scan_floor(folder: Path, survey: Survey, key: str, tell: Tell | None = None) -> scan.ScanFloor:
    """Return the floor in a scan of a job, however many cells it has.

    Parameters
    ----------
    folder, survey, key, tell
        As of `read_scan`.

    Raises
    ------
    Refusal
        If the file is missing, outside the folder or no scan; if ``cell_mm`` is below 10 mm or
        above 2 m; if no floor is found.
    """
    cell_mm = CELL_MM if survey.cell_mm is None else survey.cell_mm
    if not LEAST_CELL_MM <= cell_mm <= LARGEST_CELL_MM:
        allowed = f"from {LEAST_CELL_MM:g} to {LARGEST_CELL_MM:g} mm; {CELL_MM:g} unless given"
        raise refuse(f"{key}, cell_mm", f"{cell_mm:g} mm", allowed)
    if survey.sd_mm < LEAST_SD_MM:
        raise refuse(f"{key}, sd_mm", f"{survey.sd_mm:g} mm", f"{LEAST_SD_MM:g} mm or more")
    if survey.sheet is not None:
        raise refuse(f"{key}, sheet", repr(survey.sheet), "no sheet: a scan is no workbook")
    path = find_file(folder, survey.file, f"{key}, file", f"a scan: {KINDS}")
    there = path.stat()
    if not there.st_size:
        raise refuse(survey.file, "an empty file", f"a scan: {KINDS}")
    asked = _Asked(path, survey.file, there.st_mtime_ns, there.st_size, cell_mm, survey, tell)
    return _reduced(asked)


@lru_cache(maxsize=KEPT)
def _reduced(asked: _Asked) -> scan.ScanFloor:
    return scan.reduce_scan(
        asked.path,
        asked.name,
        asked.cell_mm,
        file_unit=asked.survey.file_unit,
        frame=asked.survey.frame or ScanFrame(),
        tell=asked.tell,
    )


def with_ties(readings: Readings, scans: Mapping[int, Scan]) -> Readings:
    """Return the readings, each scan tied to the tables whose points lie in it.

    Parameters
    ----------
    readings : Readings
        All tables, every point placed.
    scans : mapping of int to Scan
        Those among them that are scans, by the number of the table.

    Raises
    ------
    Refusal
        If the scans together have more cells than can be worked with.
    """
    cells = sum(len(one.table.readings) for one in scans.values())
    if cells > MOST_CELLS:
        names = ", ".join(one.survey.file for one in scans.values())
        raise too_many_cells(names, cells, max(one.grid.cell_mm for one in scans.values()))
    tables = list(readings.tables)
    for number, one in scans.items():
        others = ties_of(readings.tables[number], readings.tables, readings.places)
        tables[number] = tied(tables[number], one.grid, one.survey, others)
    return Readings(tuple(tables))
