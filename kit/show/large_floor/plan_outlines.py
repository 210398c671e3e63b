"""What stands on a large floor, seen from above: units, walk, crates."""

from __future__ import annotations

from collections.abc import Iterable

from kit.answer import Answer
from kit.ink.escape import chart_text
from kit.ink.lengths import Units, printed_size, printed_sizes
from kit.ink.paint import ACCENT, UNIT, UNIT_LINE
from kit.ink.table import records
from kit.job.units import MM_PER_INCH
from kit.show.chart import Trace, polygons
from kit.work_order import WorkOrder

#: Sizes in the tables are off by so much at most [mm].
ROUNDED_MM = 1.01e-4

Corners = list[tuple[float, float]]


def outlines(answer: Answer) -> list[Corners]:
    """Return the corners of every unit in plan [mm]."""
    found = []
    for placed in answer.layout.units:
        left, right, deep = placed.left_mm, placed.right_mm, placed.unit.depth_mm
        x, y = answer.layout.frames[placed.run].to_site(
            [left, right, right, left], [0.0, 0.0, deep, deep]
        )
        found.append(list(zip(x.tolist(), y.tolist(), strict=True)))
    return found


def unit_trace(answers: Iterable[Answer]) -> Trace:
    """Return the units as outlines."""
    x, y = polygons([shape for answer in answers for shape in outlines(answer)])
    return {
        "type": "scatter",
        "meta": "units",
        "xaxis": "x",
        "name": "unit",
        "x": x,
        "y": y,
        "mode": "lines",
        "fill": "toself",
        "fillcolor": UNIT,
        "line": {"color": UNIT_LINE, "width": 1},
        "hoverinfo": "skip",
    }


def way_trace(ordered: WorkOrder, start_mm: tuple[float, float]) -> Trace:
    """Return the way from the start through all stacks, each telling its packers and crate."""
    steps = records(ordered.steps)
    told = [
        f"<b>{one['step']}. {chart_text(one['support'])}</b> ({chart_text(one['zone'])})"
        f"<br>{stack_words(one['packers'], ordered.units)} from the floor up"
        f"<br>crate {one['crate']}"
        for one in steps
    ]
    return {
        "type": "scatter",
        "meta": "way",
        "xaxis": "x",
        "name": "way from stack to stack",
        "x": [start_mm[0], *(one["x_mm"] for one in steps)],
        "y": [start_mm[1], *(one["y_mm"] for one in steps)],
        "mode": "lines+markers",
        "line": {"color": ACCENT, "width": 1.4},
        "marker": {"symbol": "square", "size": 5, "color": ACCENT},
        "hovertext": ["start", *told],
        "hovertemplate": "%{hovertext}<extra></extra>",
    }


def stack_words(packers: str, units: Units) -> str:
    """Return the packers of a stack as they are printed: ``"3/4 + 1/8 in"`` in inch jobs."""
    if units == "mm":
        return packers
    return printed_sizes([_typed(size) for size in packers.split()], units)


def crate_words(packers: str, units: Units) -> str:
    """Return what a crate holds as it is printed: ``"51 x 3/4 in, 20 x 1/16 in"``."""
    if units == "mm":
        return packers
    counted = (one.split(" x ") for one in packers.split(", "))
    return ", ".join(f"{count} x {printed_size(_typed(size), units)}" for count, size in counted)


def _typed(size: str) -> float:
    """Return a size [mm] from the work order's tables, which round: a 64th of an inch is whole."""
    mm = float(size)
    whole = round(mm / MM_PER_INCH * 64)
    exact = whole / 64 * MM_PER_INCH
    return exact if abs(exact - mm) <= ROUNDED_MM else mm


def crate_places(ordered: WorkOrder) -> tuple[list[tuple[float, float]], list[str]]:
    """Return where each crate is opened, and what it holds."""
    first = ordered.steps.drop_duplicates("crate")
    places = list(zip(first["x_mm"].tolist(), first["y_mm"].tolist(), strict=True))
    texts = [
        f"<b>crate {one['crate']}</b>, {one['mass_kg']:.1f} kg:"
        f" {crate_words(one['packers'], ordered.units)}"
        f"<br>{one['stacks']} stacks, {chart_text(one['from_support'])} to"
        f" {chart_text(one['to_support'])}"
        for one in records(ordered.crates)
    ]
    return places, texts
