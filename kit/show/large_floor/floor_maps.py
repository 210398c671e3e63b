"""A large floor from above: its heights, its departures, what is ground off and filled."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from kit.flatness import BS_8204, FlatnessReport, worse_of
from kit.flatness.grind_patches import NO_WORK_MM
from kit.height_grid import Array, HeightGrid
from kit.ink.lengths import Units, plan_length, small
from kit.ink.paint import INK
from kit.ink.table import records
from kit.show.chart import Chart, Trace
from kit.show.large_floor.cell_map import LITTLE_TO_MUCH, Key, Over, cell_chart, numbered_trace
from kit.show.large_floor.cells import Cells, fewer
from kit.show.large_floor.floor_marks import NO_MARKS, FloorMarks, line_names, line_trace

#: From the lowest to the highest cell.
HEIGHTS = Key("height", "high", "low")

#: Share of the changed cells whose change the tones of a map tell apart, and the least change
#: that the ends of its scale stand for [mm]: one deep place does not hide all other work.
TOLD_APART, LEAST_END_MM = 98.0, 1.0


def height_map(
    grid: HeightGrid,
    title: str,
    units: Units = "mm",
    *,
    marks: FloorMarks = NO_MARKS,
    zero: str = "",
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
    marks : FloorMarks
        Drawn over it.
    zero : str
        What the heights are above, such as "the zero of the benchmark BM".
    sentences : iterable of str
        What to see in it, before what it says itself.
    """
    known = grid.height_mm[grid.known]
    said = [
        *sentences,
        f"{grid.area_m2:.0f} m² of floor in cells of {plan_length(grid.cell_mm, units)} {units};"
        f" lowest {small(float(known.min()), units)}, highest {small(float(known.max()), units)}"
        f" {units}{f' above {zero}' if zero else ''}.",
    ]
    cells = fewer(grid.x_mm, grid.y_mm, grid.height_mm, "mean")
    return cell_chart(cells, HEIGHTS, units, title, said, over_cells(cells, marks))


def over_cells(
    cells: Cells, marks: FloorMarks, under: Sequence[Trace] = (), above: Sequence[Trace] = ()
) -> Over:
    """Return what lies in a floor over its cells, with traces below and above it."""
    return Over([*under, *marks.traces(cells.box), *above], marks.names(cells.box))


def edge_map_chart(
    report: FlatnessReport, units: Units = "mm", *, marks: FloorMarks = NO_MARKS
) -> Chart:
    """Draw how far the floor departs from a straight edge, the worst places numbered.

    Parameters
    ----------
    report : FlatnessReport
        From `kit.flatness.flatness_report`.
    units : {"mm", "in"}
        Of the picture.
    marks : FloorMarks
        Drawn over it.

    Returns
    -------
    Chart
        Each cell by the worse of both directions; the darkest tone stands for 10 mm, the limit of
        SR3, and beyond. Nothing, 0 mm, has a tone too: white is what is not known.
    """
    grid, edge = report.grid, report.along_x.edge_mm
    worst = worse_of((report.along_x, report.along_y))
    cells = fewer(grid.x_mm, grid.y_mm, worst, "greatest")
    key = Key("departure", "little", "much", LITTLE_TO_MUCH, 0.0, max(BS_8204.values()))
    said = [
        f"Largest gap under a straight edge of {plan_length(edge, units)} {units}, laid everywhere"
        " along x and along y; booked at its middle, the worse of both.",
        _classes_said(report),
        "White and crossed: not checked, because no floor was seen or the edge has no room.",
    ]
    lines = line_trace(report.lines, "line of ASTM E1155")
    worst_over = [_worst_edges(report), _worst_numbers(report, units)]
    over = over_cells(cells, marks, [lines], worst_over)
    over = Over(over.traces, [*line_names(report.lines), *over.names])
    return cell_chart(cells, key, units, "How flat the floor is", said, over)


def _classes_said(report: FlatnessReport) -> str:
    """Return the classes with both shares: of what was checked, and of the floor."""
    rows = [one for one in records(report.classes) if one["class"] != "excluded"]
    floor = sum(float(one["area_m2"]) for one in rows)
    told = [one for one in rows if one["class"] != "not checked"]
    checked = sum(float(one["area_m2"]) for one in told)
    if not checked:
        return "Nowhere checked."
    areas = [(str(one["class"]), float(one["area_m2"])) for one in told]
    shares = (f"{name} {area / checked:.0%} ({area / floor:.0%})" for name, area in areas)
    return (
        f"Shares of the {checked:.0f} m² that were checked (in brackets: of the {floor:.0f} m² of"
        f" floor): {', '.join(shares)}."
    )


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
        "name": "edge at its worst",
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
    grid: HeightGrid,
    change_mm: Array,
    title: str,
    sentences: Iterable[str],
    units: Units = "mm",
    marks: FloorMarks = NO_MARKS,
) -> Chart:
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
    marks : FloorMarks
        Drawn over it.

    Returns
    -------
    Chart
        Its scale ends where 98 in 100 of the changed cells lie, at 1 mm or more; what goes beyond
        has the tone of the end, and the deepest places are told in words.
    """
    most = scale_end_mm(change_mm)
    key = Key("change", "filled", "ground off", low=-most, high=most)
    cells = fewer(grid.x_mm, grid.y_mm, change_mm, "largest")
    said = [*sentences, *_deepest(grid, change_mm, units)]
    if float(np.nanmax(np.abs(change_mm), initial=0.0)) > most:
        said.append(f"Beyond {small(most, units)} {units}: as light or as dark as the scale ends.")
    return cell_chart(cells, key, units, title, said, over_cells(cells, marks))


def scale_end_mm(change_mm: Array) -> float:
    """Return the change that the ends of a map's scale stand for [mm].

    Parameters
    ----------
    change_mm : (ny, nx) array
        Change of each cell [mm]; nan in holes.
    """
    size = np.abs(change_mm[np.isfinite(change_mm)])
    changed = size[size > NO_WORK_MM]
    return max(float(np.percentile(changed, TOLD_APART)) if len(changed) else 0.0, LEAST_END_MM)


def _deepest(grid: HeightGrid, change_mm: Array, units: Units) -> Iterable[str]:
    """Yield where most is filled, and where most is ground off."""
    for words, depth in (("filled", change_mm), ("ground off", -change_mm)):
        known = np.where(np.isfinite(depth), depth, 0.0)
        row, column = np.unravel_index(int(known.argmax()), known.shape)
        if known[row, column] > NO_WORK_MM:
            x, y = (plan_length(float(at), units) for at in (grid.x_mm[column], grid.y_mm[row]))
            most = small(float(known[row, column]), units)
            yield f"Most {words}: {most} {units}, at x {x}, y {y} {units}."
