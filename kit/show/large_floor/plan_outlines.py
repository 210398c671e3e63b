"""What stands on a large floor, seen from above: units, walk, crates."""

from __future__ import annotations

from collections.abc import Iterable

from kit.answer import Answer
from kit.ink.escape import chart_text
from kit.ink.paint import ACCENT, UNIT, UNIT_LINE
from kit.ink.table import records
from kit.show.chart import Trace, polygons
from kit.work_order import WorkOrder

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
        f"<br>{one['packers']} from the floor up<br>crate {one['crate']}"
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


def crate_places(ordered: WorkOrder) -> tuple[list[tuple[float, float]], list[str]]:
    """Return where each crate is opened, and what it holds."""
    first = ordered.steps.drop_duplicates("crate")
    places = list(zip(first["x_mm"].tolist(), first["y_mm"].tolist(), strict=True))
    texts = [
        f"<b>crate {one['crate']}</b>, {one['mass_kg']:.1f} kg: {one['packers']}"
        f"<br>{one['stacks']} stacks, {chart_text(one['from_support'])} to"
        f" {chart_text(one['to_support'])}"
        for one in records(ordered.crates)
    ]
    return places, texts
