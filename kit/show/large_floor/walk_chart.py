"""The order of the work as a way through the plan."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import plotly.graph_objects as go

from kit.answer import Answer
from kit.ink.lengths import Units, number
from kit.ink.table import Head, Table, records
from kit.show.chart import Chart, axis, layout, title_text
from kit.show.large_floor.cell_map import (
    LEAST_PX,
    TALLEST_PX,
    WIDE_PX,
    numbered_trace,
    plain_ticks,
)
from kit.show.large_floor.floor_marks import NO_MARKS, FloorMarks
from kit.show.large_floor.plan_outlines import (
    crate_places,
    crate_words,
    outlines,
    unit_trace,
    way_trace,
)
from kit.work_order import WorkOrder

#: Room about what is drawn [mm].
ABOUT_MM = 600.0


def walk_chart(
    ordered: WorkOrder,
    zones: Mapping[str, Answer],
    start_mm: tuple[float, float],
    marks: FloorMarks = NO_MARKS,
) -> Chart:
    """Draw the way from stack to stack, with each crate where it is opened.

    Parameters
    ----------
    ordered : WorkOrder
        From `kit.work_order.order_of_work`.
    zones : mapping of str to Answer
        What it was made of.
    start_mm : tuple of float
        Where it begins [mm].
    marks : FloorMarks
        What lies in the floor.
    """
    places, texts = crate_places(ordered)
    corners = [
        corner for answer in zones.values() for shape in outlines(answer) for corner in shape
    ]
    box = np.array([*corners, start_mm])
    left, back = box.min(axis=0) - ABOUT_MM
    right, front = box.max(axis=0) + ABOUT_MM
    edges = (float(left), float(right), float(back), float(front))
    traces = [
        unit_trace(zones.values()),
        *marks.traces(edges),
        way_trace(ordered, start_mm),
        numbered_trace(places, texts, "crate opened here", "crates"),
    ]
    every = records(ordered.pace)[-1]
    said = (
        f"{_counted(every['stacks'], 'stack')}, {_counted(every['packers'], 'packer')},"
        f" {_counted(every['crates'], 'crate')};"
        f" {every['walk_m']:.0f} m to walk, at most {every['walk_at_most_longer']:.0%} longer than"
        f" the shortest way; {every['stacks_per_hour']:.1f} stacks an hour."
    )
    drawn = plan_layout(box, ordered.units, title_text("The order of the work", [said]))
    drawn["annotations"] = marks.names(edges)
    return Chart(go.Figure(traces, drawn))


def _counted(count: int, name: str) -> str:
    return f"{count} {name}" if count == 1 else f"{count} {name}s"


def plan_layout(
    box: np.ndarray[tuple[int, ...], np.dtype[np.float64]], units: Units, title: str
) -> dict[str, Any]:
    """Return the layout of a plan with the wall at the top, about all places of a box (n, 2)."""
    (left, back), (right, front) = box.min(axis=0) - ABOUT_MM, box.max(axis=0) + ABOUT_MM
    deep = min(max(WIDE_PX * (front - back) / (right - left), LEAST_PX), TALLEST_PX)
    across = axis(
        f"x along the wall [{units}]",
        range=[left, right],
        constrain="domain",
        **plain_ticks(left, right, units, 12),
    )
    out = axis(
        f"y out from the wall [{units}]",
        range=[front, back],
        scaleanchor="x",
        constrain="domain",
        constraintoward="top",
        **plain_ticks(back, front, units, 8),
    )
    return layout(title, deep, 110) | {"xaxis": across, "yaxis": out}


def pace_table(ordered: WorkOrder) -> Table:
    """Return what each zone takes and how fast it goes."""
    heads = (
        Head("zone"),
        Head("stacks", right=True),
        Head("packers", right=True),
        Head("mass", "kg"),
        Head("crates", right=True),
        Head("walk", "m"),
        Head("longer than the shortest, at most", "%"),
        Head("time", "min"),
        Head("stacks an hour", right=True),
    )
    rows = tuple(
        (
            str(one["zone"]),
            str(one["stacks"]),
            str(one["packers"]),
            number(one["mass_kg"], 1),
            str(one["crates"]),
            number(one["walk_m"], 1),
            number(100 * one["walk_at_most_longer"], 1),
            number(one["minutes"], 0),
            number(one["stacks_per_hour"], 1),
        )
        for one in records(ordered.pace)
    )
    return Table("What each zone takes", heads, rows, " ".join(ordered.notes))


def crate_table(ordered: WorkOrder) -> Table:
    """Return what goes in each crate."""
    heads = (
        Head("crate"),
        Head("zone"),
        Head("from"),
        Head("to"),
        Head("stacks", right=True),
        Head("packers, printed mm" if ordered.units == "mm" else "packers, as printed", wide=True),
        Head("mass", "kg"),
    )
    rows = tuple(
        (
            str(one["crate"]),
            str(one["zone"]),
            str(one["from_support"]),
            str(one["to_support"]),
            str(one["stacks"]),
            crate_words(str(one["packers"]), ordered.units),
            number(one["mass_kg"], 1),
        )
        for one in records(ordered.crates)
    )
    return Table("Crates, filled in the order of the work", heads, rows)
