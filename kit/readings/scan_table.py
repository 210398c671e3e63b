"""A laser scan as a table of heights: one of each floor cell, and those of points read otherwise.

A scan knows no names. Its cells are named by their places, as those of a grid, and hang together
by the one offset of the scan. What ties it to a staff survey is the floor itself: where a point of
another table lies inside the scan, the plane of the nine cells about it is the scan's reading of
that point.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from kit.height_grid import HeightGrid
from kit.job.model import Survey
from kit.job.refusal import refuse
from kit.readings.equations import Floats, Mask
from kit.readings.grid import place_name
from kit.readings.remark import Remark
from kit.readings.table import Table, table

#: Cells of floor that the scans of one job may have: up to here a base is solved in seconds.
MOST_CELLS = 20_000

#: Cells of which a straight edge of 2 m is a whole number [mm].
EDGE_STEPS_MM = (10, 20, 40, 50, 80, 100, 125, 200, 250, 400, 500, 1000)

#: Nobody scans less floor than this [m²] (common practice, no source).
LEAST_M2 = 0.5

#: Points of one table that tie a scan: more tie it no better, and each is a row more to adjust.
MOST_TYING = 500

#: An sd_mm so many times what its points leave in doubt is likely meant as the noise of a point.
TOO_LARGE = 3.0

#: Cells about a point whose plane is the scan's reading of it: its own and its neighbours.
_ABOUT = np.arange(-1, 2)


def scan_table(grid: HeightGrid, survey: Survey, points: int) -> Table:
    """Return the cells of a scan as readings of heights.

    Parameters
    ----------
    grid : HeightGrid
        The floor that the scan was reduced to.
    survey : Survey
        ``sd_mm`` is what a cell's height may be off beyond the scatter of its points.
    points : int
        Of the scan; for the words.

    Returns
    -------
    Table
        ``row`` is the number of the cell, along x and then y; ``point`` its place, as of a grid;
        ``sd_mm`` is sqrt(survey's sd² + cell's sd²).

    Raises
    ------
    Refusal
        If no cell shows floor, or less than half a square metre does, or there are more cells
        than can be worked with: it says how large a cell would do.
    """
    cells = grid.table()
    if cells.empty:
        raise refuse(survey.file, "a scan in which no cell shows floor", "a scan of a floor")
    if grid.area_m2 < LEAST_M2:
        found = (
            f"{grid.area_m2:.2f} m² of floor from {points:,} points, which looks like another unit"
        )
        allowed = "the unit of its coordinates as file_unit: m, mm, in or ft"
        raise refuse(survey.file, found, allowed)
    if len(cells) > MOST_CELLS:
        raise too_many_cells(survey.file, len(cells), grid.cell_mm)
    x, y = cells["x_mm"].to_numpy(dtype=float), cells["y_mm"].to_numpy(dtype=float)
    readings = pd.DataFrame(
        {
            "row": np.arange(1, len(cells) + 1),
            "point": [place_name(*place) for place in zip(x.tolist(), y.tolist(), strict=True)],
            "x_mm": x,
            "y_mm": y,
            "observed_mm": cells["height_mm"],
            "sd_mm": np.hypot(survey.sd_mm, cells["sd_mm"]),
            "setup": "",
        }
    )
    whole = table(survey, readings, pd.DataFrame(index=range(len(readings))))
    own = float(np.median(cells["sd_mm"]))
    return replace(
        whole,
        understood=_understood(grid, survey, points, own),
        remarks=_not_of_a_point(survey, own),
    )


def _not_of_a_point(survey: Survey, own_mm: float) -> tuple[Remark, ...]:
    """Return the caution that sd_mm may be meant as something else, where the job gives it."""
    given = "sd_mm" in survey.model_fields_set
    if not given or survey.sd_mm <= TOO_LARGE * own_mm:
        return ()
    said = (
        f"{survey.file}: sd_mm = {survey.sd_mm:g} is more than {TOO_LARGE:g} times the"
        f" {own_mm:.2g} mm to which its points give a cell. sd_mm of a scan is not the noise of a"
        " point, which the points tell themselves, but what a cell's height may be off beyond"
        " that; if it was meant as the noise, leave it out."
    )
    return (Remark(said, caution=True),)


def too_many_cells(name: str, count: int, cell_mm: float) -> Exception:
    """Return the refusal of a scan, or of several together, with too many cells."""
    enough = math.ceil(cell_mm * math.sqrt(count / MOST_CELLS) / 10) * 10
    even = next((side for side in EDGE_STEPS_MM if side >= enough), enough)
    edge = f" ({even} where a straight edge of 2 m is to step from cell to cell)"
    return refuse(
        name,
        f"{count} cells of floor at cell_mm = {cell_mm:g}",
        f"at most {MOST_CELLS} in one job: cell_mm = {enough} would do"
        f"{edge if even != enough else ''}, or cut the scan down to the floor under the base and"
        " around it",
    )


def _understood(grid: HeightGrid, survey: Survey, points: int, own_mm: float) -> str:
    known = int(np.count_nonzero(grid.known))
    missing = grid.known.size - known
    holes = "no hole" if not missing else f"{missing} cells of its rectangle without a height"
    return (
        f"{survey.file} (scan): {points:,} points in {known} cells of floor of {grid.cell_mm:g} mm,"
        f" {grid.area_m2:.1f} m²; {holes}; heights in mm; each cell known to {own_mm:.2f} mm by its"
        f" points, taken as {math.hypot(own_mm, survey.sd_mm):.2f} mm with sd_mm"
    )


def tied(scan: Table, grid: HeightGrid, survey: Survey, others: pd.DataFrame) -> Table:
    """Return a scan's table with its readings of points that other tables read.

    Parameters
    ----------
    scan, grid, survey
        Its table, its cells, and what the job says of it.
    others : DataFrame
        ``survey, point, x_mm, y_mm`` of points that may tie; nan where a place is not known.

    Returns
    -------
    Table
        With a row for each of these points about which all nine cells have a height, and that is
        no cell of the scan itself; of more than 500 of one survey, for 500 spread as far apart as
        they can be. Where there is none, ``untied`` says why.

    Notes
    -----
    Height and doubt at (u, v) from the middle of the cell, c its side, i over the nine cells at
    (u_i, v_i) [1]:

        w_i = 1/9 + (u·u_i + v·v_i) / (6 c²),   h = Σ w_i h_i,                      (1)
        sd² = sd_mm² + Σ w_i² sd_i² + max(0, s² - mean sd_i²),                       (2)

    s² = Σ r²/6 the nine residuals about their plane: what the floor does between the cells that a
    plane does not follow. sd_mm is not made smaller by nine cells: their common error is one.

    References
    ----------
    .. [1] The least-squares plane through a square of nine points, closed form.
    """
    free = others[~others["point"].isin(scan.readings["point"])].dropna(subset=["x_mm", "y_mm"])
    x, y = free["x_mm"].to_numpy(dtype=float), free["y_mm"].to_numpy(dtype=float)
    inside, height, variance = _planes(grid, x, y)
    found = free[inside].assign(observed_mm=height, sd_mm=np.sqrt(survey.sd_mm**2 + variance))
    if found.empty:
        return replace(scan, untied=_why_untied(grid, x, y))
    rows = pd.concat([_spread(one) for _, one in found.groupby("survey", sort=False)])
    rows = rows.drop(columns="survey").assign(
        row=np.arange(len(rows)) + int(scan.readings["row"].max()) + 1, setup=""
    )
    readings = pd.concat([scan.readings, rows[scan.readings.columns]], ignore_index=True)
    few = "" if len(rows) == len(found) else f" {len(rows)} of these, spread over it,"
    words = f"{len(found)} points of other tables lie in it;" if few else f"{len(found)} points of"
    words += few if few else " other tables lie in it and"
    return replace(
        scan,
        readings=readings,
        extra=pd.DataFrame(index=range(len(readings))),
        understood=f"{scan.understood}; {words} tie it to them",
    )


def _spread(points: pd.DataFrame) -> pd.DataFrame:
    """Return 500 points, each the farthest from those before it, in their order; or all."""
    if len(points) <= MOST_TYING:
        return points
    at = points[["x_mm", "y_mm"]].to_numpy(dtype=float)
    chosen = [0]
    apart = np.full(len(at), np.inf)
    while len(chosen) < MOST_TYING:
        apart = np.minimum(apart, np.hypot(*(at - at[chosen[-1]]).T))
        apart[chosen[-1]] = -1.0  # never twice, though all the others stand where it does
        chosen.append(int(np.argmax(apart)))
    return points.iloc[np.sort(chosen)]


def _why_untied(grid: HeightGrid, x: Floats, y: Floats) -> str:
    """Return why no point of another table ties a scan."""
    if not len(x):
        return "no other table has points that could lie in it"
    column = np.rint((x - grid.x_mm[0]) / grid.cell_mm)
    row = np.rint((y - grid.y_mm[0]) / grid.cell_mm)
    rows, columns = grid.height_mm.shape
    there = (row >= 0) & (row < rows) & (column >= 0) & (column < columns)
    there[there] = grid.known[row[there].astype(np.int64), column[there].astype(np.int64)]
    if not there.any():
        return f"none of the {len(x)} points of other tables lies on floor that it shows"
    return (
        f"of the {len(x)} points of other tables {there.sum()} lie on floor that it shows, but"
        " about none of these are all nine cells known"
    )


def _planes(grid: HeightGrid, x: Floats, y: Floats) -> tuple[Mask, Floats, Floats]:
    """Return which places have all nine cells about them, and there height and variance."""
    c = grid.cell_mm
    column = np.rint((x - grid.x_mm[0]) / c).astype(np.int64)
    row = np.rint((y - grid.y_mm[0]) / c).astype(np.int64)
    rows, columns = grid.height_mm.shape
    inside = (row >= 1) & (row < rows - 1) & (column >= 1) & (column < columns - 1)
    at = (row[inside, None, None] + _ABOUT[:, None], column[inside, None, None] + _ABOUT)
    known = grid.known[at].all(axis=(1, 2))
    inside[np.flatnonzero(inside)] = known
    heights, sds = grid.height_mm[at][known], grid.sd_mm[at][known]
    u = (x[inside] - grid.x_mm[column[inside]])[:, None, None]
    v = (y[inside] - grid.y_mm[row[inside]])[:, None, None]
    weight = 1 / 9 + (u * _ABOUT + v * _ABOUT[:, None]) / (6 * c)  # Eq. (1), u_i = c·about
    height = (weight * heights).sum(axis=(1, 2))
    scatter = (weight**2 * sds**2).sum(axis=(1, 2))
    rough = np.maximum(_about_plane(heights) - (sds**2).mean(axis=(1, 2)), 0.0)
    return inside, height, scatter + rough  # Eq. (2) without sd_mm


def _about_plane(heights: Floats) -> Floats:
    """Return s² of nine heights (k, 3, 3) about their plane [mm²]."""
    mean = heights.mean(axis=(1, 2), keepdims=True)
    along = (heights * _ABOUT).sum(axis=(1, 2), keepdims=True) / 6
    out = (heights * _ABOUT[:, None]).sum(axis=(1, 2), keepdims=True) / 6
    left = heights - mean - along * _ABOUT - out * _ABOUT[:, None]
    return np.asarray((left**2).sum(axis=(1, 2)) / 6)


def ties_of(scan: Table, tables: Sequence[Table], places: pd.DataFrame) -> pd.DataFrame:
    """Return the points of other tables that may tie a scan: ``survey, point, x_mm, y_mm``.

    Parameters
    ----------
    scan : Table
        The scan, left out itself.
    tables : sequence of Table
        All tables of the job; scans tie nothing. A point of two tables is the first one's.
    places : DataFrame
        ``Readings.places``.
    """
    first: dict[str, str] = {}
    for other in tables:
        if other is scan or other.kind == "scan":
            continue
        ends = ["point", *(["start"] if "start" in other.readings.columns else [])]
        for name in other.readings[ends].to_numpy().ravel().tolist():
            first.setdefault(name, other.survey)
    survey = places["point"].map(first)
    return places.assign(survey=survey)[survey.notna()]
