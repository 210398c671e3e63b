"""Everything that a floor's flatness comes to, as tables: how flat, how much, what to do."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import pandas as pd

from kit.flatness import BS_8204, FlatnessReport, flatness_report
from kit.flatness.grind import grind_and_fill
from kit.flatness.grind_result import GrindFill
from kit.flatness.grind_rules import GrindRules, Ways
from kit.flatness.readings_near import area_m2, near_enough
from kit.flatness.volume_zones import volume_tables
from kit.flatness.volumes_by_level import volumes_by_level
from kit.height_grid import HeightGrid
from kit.job import Job, refuse
from kit.job.model import LONGEST_MM
from kit.large_floor.job_grid import JobGrid, grid_of_job
from kit.parts import Survey

Tell = Callable[[float], None]

#: Share of the time that flatness takes where a floor is ground and filled too.
_TOLD = 0.2


@dataclass(frozen=True)
class FloorAsked:
    """What is asked of a floor.

    Parameters
    ----------
    edge_mm : float
        Length of the straight edge [mm].
    cell_mm : float or None
        Side of the cells [mm]; as `grid_of_job` takes them unless given.
    datum_mm : float or None
        Level that hollows and humps are told against [mm]; unless given, where they balance, each
        level of a floor that steps by itself.
    target : str
        Class of BS 8204 that the floor is to be ground and filled to; none where empty.
    ways : {"both", "grind", "fill"}
        What may be done to it.
    """

    edge_mm: float = 2000.0
    cell_mm: float | None = None
    datum_mm: float | None = None
    target: str = ""
    ways: Ways = "both"


@dataclass(frozen=True, eq=False)
class FloorTold:
    """What came of it.

    Parameters
    ----------
    floor : JobGrid
        The floor in cells.
    report : FlatnessReport
        How flat it is.
    datums_mm : dict of str to float
        What hollows and humps are told against, by the zones of ``volumes.csv`` [mm]; nan for the
        whole of a floor whose levels each have their own.
    change : tuple of GrindFill
        The least that brings it within the target; none where none was asked.
    cautions : tuple of str
        What must be said before anything is ground or filled.
    tables : dict of str to DataFrame
        All tables by the name of their file.
    """

    floor: JobGrid
    report: FlatnessReport
    datums_mm: dict[str, float]
    change: tuple[GrindFill, ...]
    cautions: tuple[str, ...]
    tables: dict[str, pd.DataFrame]


def floor_tables(
    job: Job, survey: Survey, asked: FloorAsked, tell: Tell | None = None
) -> FloorTold:
    """Tell how flat a job's floor is, how much of it is hollow and hump, and what to do.

    Parameters
    ----------
    job, survey : Job, Survey
        The job and its floor; joints, no-go areas, excluded areas and steps of the floor count.
    asked : FloorAsked
        What is asked.
    tell : callable, optional
        Told the share done, 0 to 1.

    Raises
    ------
    Refusal
        Where the target is no class, the datum no height, the edge does not fit the cells, or the
        readings leave no place for the straight edge and a target is asked for.
    """
    limit = _limit(asked.target)
    _refuse_datum(asked.datum_mm)
    floor = grid_of_job(job, survey, asked.cell_mm)
    report = flatness_report(
        floor.grid,
        edge_mm=asked.edge_mm,
        joints=job.movement_joints,
        holes=job.no_go,
        steps=job.floor_steps,
        readings_mm=floor.readings_mm,
        excluded=job.excluded,
        tell=_part(tell, 0.0, _TOLD if asked.target else 1.0),
    )
    levels = volumes_by_level(report.grid, asked.datum_mm, job.floor_steps)
    datums = {name: one.datum_mm for name, one in levels.items()}
    compound = next((base.compound for base in job.bases if base.compound), None)
    hollows = volume_tables({name: one.volumes for name, one in levels.items()}, compound)
    hollows["volumes.csv"].insert(1, "datum_mm", list(datums.values()))
    tables = report.tables() | hollows
    change: tuple[GrindFill, ...] = ()
    if asked.target:
        ground = _near(floor, report, asked)
        rules = GrindRules(ways=asked.ways)
        change = (
            grind_and_fill(
                ground,
                limit,
                edge_mm=asked.edge_mm,
                rules=rules,
                steps=job.floor_steps,
                tell=_part(tell, _TOLD, 1.0),
            ),
        )
        tables |= change[0].tables()
    cautions = tuple(
        words for one in change for words in (*_left_out(report, one.grid), *one.cautions(compound))
    )
    return FloorTold(floor, report, datums, change, cautions, tables)


def _limit(target: str) -> float:
    if target and target not in BS_8204:
        raise refuse("--class", repr(target), ", ".join(BS_8204))
    return BS_8204[target] if target else 0.0


def _refuse_datum(datum_mm: float | None) -> None:
    if datum_mm is not None and not abs(datum_mm) <= LONGEST_MM:  # nan too
        raise refuse("--datum", f"{datum_mm:g} mm", f"a height up to {LONGEST_MM:g} mm")


def _near(floor: JobGrid, report: FlatnessReport, asked: FloorAsked) -> HeightGrid:
    """Return the floor as far as readings tell the edge of it: the rest is left as it is."""
    near = near_enough(report.grid, floor.readings_mm, asked.edge_mm / 2)
    laid = any(one.checked.any() for one in (report.along_x, report.along_y))
    if near is not report.grid and not laid:
        apart = float(floor.readings_mm[report.grid.known].max())
        found = f"{asked.target!r}, and readings up to {apart:.0f} mm apart"
        allowed = f"readings {asked.edge_mm / 2:g} mm apart or less, or a scan"
        raise refuse("--class", found, allowed)
    return near


def _left_out(report: FlatnessReport, near: HeightGrid) -> Iterator[str]:
    floor = report.grid
    lost = area_m2(floor, floor.known & ~near.known)
    if lost > 0:
        yield (
            f"Grinding and filling are told of {near.area_m2:.1f} m² of {floor.area_m2:.1f} m²:"
            f" {lost:.1f} m² lie too far from readings. What they need is not in the figures, and"
            " no class is promised there or along their borders: read more places, or scan."
        )
    classes = report.classes
    unchecked = float(classes.loc[classes["class"] == "not checked", "area_m2"].sum())
    if unchecked > 0:
        yield (
            f"No straight edge could be laid about {unchecked:.1f} m² of {floor.area_m2:.1f} m²"
            " (not checked in classes.csv): the class is promised for the rest only."
        )


def _part(tell: Tell | None, low: float, high: float) -> Tell | None:
    return None if tell is None else lambda share: tell(low + share * (high - low))
