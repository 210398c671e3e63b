"""The reading plan to carry, and where to read next: tables and a picture."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from kit.base.layout import Layout
from kit.base.reading_plan import ReadingPlan
from kit.ink import paint
from kit.ink.escape import chart_text
from kit.ink.inch_words import in_units
from kit.ink.lengths import Units, axis_ticks, plan_length, small
from kit.ink.table import Head, Page, Table, page, records, sentences
from kit.job import Job
from kit.show.chart import Chart, Trace, axis, layout, title_text
from kit.show.plan_traces import in_front, name_side, outline_traces

#: Width of the picture on a wide page, and greatest and least height of what is drawn [px].
WIDE_PX, TALLEST_PX, LEAST_PX = 1040.0, 520.0, 280.0

#: A floor this many times longer than deep is not drawn at one scale.
LONG = 4.0

#: Shape of each sort of place, the first that fits.
_SHAPES = (
    ("support", "support", "square"),
    ("doorway", "doorway", "triangle-up"),
    ("plinth", "plinth line", "diamond"),
    ("end of row", "end of a row", "pentagon"),
    ("between", "between", "circle"),
)

#: What stands where a reading is to be written.
EMPTY = "…………"


def reading_plan_page(plan: ReadingPlan, units: Units = "mm") -> Page:
    """Return the plan in sentences and as a table to carry.

    Parameters
    ----------
    plan : ReadingPlan
        From `kit.base.reading_plan.reading_plan`.
    units : {"mm", "in"}
        What lengths are shown in.
    """
    notes = (in_units(note, units) for note in plan.notes)
    return page(sentences(notes, "Reading plan"), reading_plan_table(plan, units))


def reading_plan_table(plan: ReadingPlan, units: Units = "mm") -> Table:
    """Return the readings set-up by set-up, with room for what is read."""
    heads = (
        Head("set-up"),
        Head("place"),
        Head("line"),
        Head("along, from its left end", units),
        Head("out from the backs", units),
        Head("x", units),
        Head("y", units),
        Head("read for", wide=True),
        Head("reading", units),
    )
    rows = tuple(
        (
            str(one["setup"]),
            str(one["point"]),
            str(one["line"]),
            plan_length(one["along_mm"], units),
            plan_length(one["out_mm"], units),
            plan_length(one["x_mm"], units),
            plan_length(one["y_mm"], units),
            str(one["why"]),
            EMPTY,
        )
        for one in records(plan.readings)
    )
    return Table("Places to read, in the order of walking", heads, rows)


def reading_plan_chart(job: Job, plan: ReadingPlan) -> Chart:
    """Draw the places to read over the base that will stand there.

    Parameters
    ----------
    job : Job
        Title, units, no-go areas.
    plan : ReadingPlan
        The places.

    Returns
    -------
    Chart
        Places by shape (support, between, plinth, doorway), numbered along their line; a ring
        around what is read twice.
    """
    twice = set(plan.readings.loc[plan.readings.duplicated("point"), "point"])
    traces = [
        *outline_traces(job, plan.layout),
        _rings(plan.points[plan.points["point"].isin(twice)]),
        *_marks(plan.points, plan.layout, job.units),
    ]
    return Chart(go.Figure(traces, _layout(job, plan)))


def _sort(why: str) -> int:
    return next(i for i, (reason, _, _) in enumerate(_SHAPES) if reason in why)


def _side(base: Layout, run: str, sort: str) -> str:
    """Return where a number stands: a plinth is so close to a row that theirs must part."""
    if not run:  # of a doorway
        return "top center"
    front = in_front(base, run)
    return front if sort == "plinth line" else name_side(front)


def _marks(points: pd.DataFrame, base: Layout, units: Units) -> list[Trace]:
    sorts = [_sort(why) for why in points["why"]]
    found = []
    for number, (_, name, symbol) in enumerate(_SHAPES):
        some = points[np.array(sorts) == number]
        if not len(some):
            continue
        found.append(
            {
                "type": "scatter",
                "meta": name,
                "name": name,
                "x": some["x_mm"].tolist(),
                "y": some["y_mm"].tolist(),
                "mode": "markers+text",
                "text": [str(point).rpartition("-")[2] for point in some["point"]],
                "textposition": [_side(base, run, name) for run in some["run"]],
                "textfont": {"size": 10, "color": paint.INK},
                "marker": {
                    "symbol": symbol,
                    "size": 9,
                    "color": paint.PAPER if name == "between" else paint.ACCENT,
                    "line": {"color": paint.INK, "width": 1.2},
                },
                "hovertext": [
                    f"<b>{chart_text(one['point'])}</b>, along"
                    f" {plan_length(one['along_mm'], units)} {units}<br>{chart_text(one['why'])}"
                    for one in records(some)
                ],
                "hovertemplate": "%{hovertext}<extra></extra>",
            }
        )
    return found


def _rings(points: pd.DataFrame) -> Trace:
    return {
        "type": "scatter",
        "meta": "rings",
        "name": "read twice",
        "x": points["x_mm"].tolist(),
        "y": points["y_mm"].tolist(),
        "mode": "markers",
        "marker": {"symbol": "circle-open", "size": 18, "color": paint.MARK, "line": {"width": 2}},
        "hoverinfo": "skip",
    }


def _layout(job: Job, plan: ReadingPlan) -> dict[str, Any]:
    x, y = plan.points["x_mm"].to_numpy(), plan.points["y_mm"].to_numpy()
    beside = 0.04 * max(float(np.ptp(x)), float(np.ptp(y)))
    left, right = float(x.min()) - beside, float(x.max()) + beside
    back, front = min(float(y.min()), 0.0) - beside, float(y.max()) + beside
    wide, deep = right - left, front - back
    plot = min(max(WIDE_PX * deep / wide, LEAST_PX), TALLEST_PX)
    said = [
        plan.notes[0],
        "Supports stand under their own names; other places count along their line.",
    ]
    drawn = layout(title_text(f"Where to read: {job.short_title}", said), plot, 130)
    across = axis(
        f"x along the wall [{job.units}]",
        range=[left, right],
        showgrid=False,
        **axis_ticks(left, right, job.units, 12),
    )
    long = wide > LONG * deep
    one_scale = {"scaleanchor": "x", "constrain": "range", "constraintoward": "top"}
    out = axis(
        f"y out from the wall [{job.units}]" + (", drawn larger" if long else ""),
        range=[front, back],
        showgrid=False,
        **({} if long else one_scale),
        **axis_ticks(back, front, job.units, 6),
    )
    return drawn | {"xaxis": across, "yaxis": out}


def read_next_table(found: pd.DataFrame, units: Units = "mm") -> Table:
    """Return the places that take most doubt off the supports, in the order in which to read them.

    Parameters
    ----------
    found : DataFrame
        From `kit.where_next.where_next`.
    units : {"mm", "in"}
        What lengths are shown in.
    """
    heads = (
        Head("no."),
        Head("x", units),
        Head("y", units),
        Head("nearest support"),
        Head("helps most"),
        Head("mean doubt of the floor under supports, before", units),
        Head("after", units),
        Head("largest doubt, before", units),
        Head("after", units),
    )
    rows = tuple(
        (
            f"{one['order']}",
            plan_length(one["x_mm"], units),
            plan_length(one["y_mm"], units),
            str(one["near"]),
            str(one["helps"]),
            small(one["mean_before_mm"], units),
            small(one["mean_after_mm"], units),
            small(one["worst_before_mm"], units),
            small(one["worst_after_mm"], units),
        )
        for one in records(found)
    )
    note = (
        "Each counts with those before it taken; doubts are one standard deviation. The doubt of"
        " a new set-up is not in them: tie it to two points that are read already."
        if rows
        else "No further reading would lower the mean doubt of the floor under the supports by 1 %."
    )
    return Table("Where to read next for the supports", heads, rows, note)
