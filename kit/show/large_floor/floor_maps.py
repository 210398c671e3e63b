"""A large floor from above: its heights, its departures, what is ground off and filled."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from kit.flatness import BS_8204, FlatnessReport, worse_of
from kit.height_grid import HeightGrid
from kit.ink.lengths import Units, plan_length, small
from kit.ink.paint import INK
from kit.ink.table import records
from kit.job import MovementJoint
from kit.show.chart import Chart, Trace
from kit.show.large_floor.cell_map import (
    LITTLE_TO_MUCH,
    Key,
    cell_chart,
    joint_trace,
    numbered_trace,
)
from kit.show.large_floor.cells import fewer

#: From the lowest to the highest cell.
HEIGHTS = Key("height", "high", "low")


def height_map(
    grid: HeightGrid,
    title: str,
    units: Units = "mm",
    *,
    joints: Sequence[MovementJoint] = (),
    sentences: Iterable[str] = (),
) -> Chart:
    """Draw the heights of a floor, holes crossed.

    Parameters
    ----------
    grid : HeightGrid
        The floor.
    title : str
        Of the picture.
    units : {"mm", "in"}
        Of the picture.
    joints : sequence of MovementJoint
        Drawn over it.
    sentences : iterable of str
        What to see in it, before what it says itself.
    """
    known = grid.height_mm[grid.known]
    said = [
        *sentences,
        f"{grid.area_m2:.0f} m² of floor in cells of {plan_length(grid.cell_mm, units)} {units};"
        f" lowest {small(float(known.min()), units)}, highest {small(float(known.max()), units)}"
        f" {units}.",
    ]
    cells = fewer(grid.x_mm, grid.y_mm, grid.height_mm, "mean")
    return cell_chart(cells, HEIGHTS, units, title, said, [joint_trace(joints)])


def edge_map_chart(
    report: FlatnessReport, units: Units = "mm", *, joints: Sequence[MovementJoint] = ()
) -> Chart:
    """Draw how far the floor departs from a straight edge, the worst places numbered.

    Parameters
    ----------
    report : FlatnessReport
        From `kit.flatness.flatness_report`.
    units : {"mm", "in"}
        Of the picture.
    joints : sequence of MovementJoint
        Drawn over it.

    Returns
    -------
    Chart
        Each cell by the worse of both directions; the darkest tone stands for 10 mm, the limit of
        SR3, and beyond.
    """
    grid, edge = report.grid, report.along_x.edge_mm
    worst = worse_of((report.along_x, report.along_y))
    cells = fewer(grid.x_mm, grid.y_mm, worst, "greatest")
    key = Key("departure", "little", "much", LITTLE_TO_MUCH, 0.0, max(BS_8204.values()))
    said = [
        f"Largest gap under a straight edge of {plan_length(edge, units)} {units}, laid everywhere"
        " along x and along y; booked at its middle, the worse of both.",
        _classes_said(report),
        "Crossed: no floor seen, or no room for the edge.",
    ]
    over = [joint_trace(joints), _worst_edges(report), _worst_numbers(report, units)]
    return cell_chart(cells, key, units, "How flat the floor is", said, over)


def _classes_said(report: FlatnessReport) -> str:
    told = [one for one in records(report.classes) if one["class"] != "not checked"]
    checked = sum(float(one["area_m2"]) for one in told)
    if not checked:
        return "Nowhere checked."
    shares = (f"{one['class']} {float(one['area_m2']) / checked:.0%}" for one in told)
    return f"Of the {checked:.0f} m² checked: {', '.join(shares)}."


def _worst_edges(report: FlatnessReport) -> Trace:
    """Return the straight edge at each of the worst places, from contact to contact."""
    x: list[float | None] = []
    y: list[float | None] = []
    for one in records(report.worst):
        x += [float(one["from_x_mm"]), float(one["to_x_mm"]), None]
        y += [float(one["from_y_mm"]), float(one["to_y_mm"]), None]
    return {
        "type": "scatter",
        "meta": "worst edges",
        "xaxis": "x",
        "name": "straight edge, contact to contact",
        "x": x,
        "y": y,
        "mode": "lines",
        "line": {"color": INK, "width": 2.4},
        "hoverinfo": "skip",
        "showlegend": bool(x),
    }


def _worst_numbers(report: FlatnessReport, units: Units) -> Trace:
    rows = records(report.worst)
    return numbered_trace(
        [(float(one["x_mm"]), float(one["y_mm"])) for one in rows],
        [f"gap {small(float(one['departure_mm']), units)} {units} along {one['axis']}"
         for one in rows],
        "worst places",
        "worst",
    )  # fmt: skip


def change_map(
    grid: HeightGrid, change_mm: np.ndarray[tuple[int, ...], np.dtype[np.float64]], title: str,
    sentences: Iterable[str], units: Units = "mm",
) -> Chart:  # fmt: skip
    """Draw what is filled (light) and ground off (dark); what is left is of the middle tone.

    Parameters
    ----------
    grid : HeightGrid
        The floor.
    change_mm : (ny, nx) array
        Change of each cell [mm], positive = filled; nan in holes.
    title, sentences
        Of the picture.
    units : {"mm", "in"}
        Of the picture.
    """
    most = float(np.nanmax(np.abs(change_mm)))
    most = most if math.isfinite(most) and most > 0 else 1.0
    key = Key("change", "filled", "ground off", low=-most, high=most)
    cells = fewer(grid.x_mm, grid.y_mm, change_mm, "largest")
    return cell_chart(cells, key, units, title, list(sentences))
