"""A map of the cells of a large floor, with the wall at the top and the holes crossed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import plotly.graph_objects as go

from kit.base.runs import Floats
from kit.ink.lengths import Units, axis_ticks
from kit.ink.paint import FAINT_INK, HOLLOW_TO_HUMP, INK, PAPER
from kit.job import MovementJoint
from kit.job.units import MM_PER_INCH
from kit.show.chart import Chart, Drawing, Trace, axis, layout, title_text
from kit.show.large_floor.cells import Cells

#: Width that heights are made for, between a narrow page (690 px) and a wide one; greatest and
#: least height of what is drawn [px]. On a narrow page little stays empty below it.
WIDE_PX, TALLEST_PX, LEAST_PX = 760.0, 360.0, 180.0

#: Room for the key between title and map [px].
KEY_PX = 56

#: Entries of a key side by side on a narrow page, width of one, height of a row, and what fits
#: in the room that all charts have for it [px].
KEY_ACROSS, KEY_WIDE_PX, KEY_ROW_PX, KEY_FITS_PX = 3, 128, 19, 50

#: Crosses over holes, along the longer side: more would hide each other.
CROSSES = 60

#: From nothing to the most, so that it reads in grey; even nothing is darker than a hole, which
#: is as white as the page.
LITTLE_TO_MUCH = ((0.0, "#e6dcbd"), (0.35, "#c8b688"), (0.7, "#a58a5c"), (1.0, "#6d5030"))


@dataclass(frozen=True)
class Key:
    """What the tones of a map mean.

    Parameters
    ----------
    name : str
        What is shown, without its unit.
    light, dark : str
        What light and dark cells are.
    scale : sequence of (float, str)
        Tones from the least to the greatest value.
    low, high : float
        The values that the ends of the scale stand for [mm]; nan takes them from the cells.
    """

    name: str
    light: str
    dark: str
    scale: Sequence[tuple[float, str]] = HOLLOW_TO_HUMP
    low: float = math.nan
    high: float = math.nan


@dataclass(frozen=True)
class Over:
    """What is drawn over a map: traces in plan millimetres, and names as annotations."""

    traces: Sequence[Trace] = ()
    names: Sequence[dict[str, Any]] = ()


NOTHING_OVER = Over()


def cell_chart(
    cells: Cells,
    key: Key,
    units: Units,
    title: str,
    sentences: Sequence[str],
    over: Over = NOTHING_OVER,
) -> Chart:
    """Draw cells as a map.

    Parameters
    ----------
    cells : Cells
        Values [mm].
    key : Key
        What their tones mean.
    units : {"mm", "in"}
        Of the picture.
    title : str
        What it shows.
    sentences : sequence of str
        What to see in it.
    over : Over
        What is drawn over it.
    """
    drawn = cell_drawing(cells, key, units, title, sentences, over)
    return Chart(go.Figure(drawn.traces, drawn.layout))


def cell_drawing(
    cells: Cells,
    key: Key,
    units: Units,
    title: str,
    sentences: Sequence[str],
    over: Over = NOTHING_OVER,
) -> Drawing:
    """Return the same as traces and layout."""
    told = list(sentences)
    if cells.together > 1:
        told.append(f"Drawn {cells.together} by {cells.together} cells together.")
    drawn = _layout(cells, units, title_text(title, told))
    first = cell_trace(cells, key, units)
    drawn["annotations"] = [_key_words(key, units), *over.names]
    traces = [first, hole_trace(cells), *over.traces]
    drawn |= key_room(drawn, traces)
    # Counted from the picture's own edge: counted from the map's, it would push the title out.
    first["colorbar"]["y"] = 1 - drawn["margin"]["t"] / drawn["height"]
    return Drawing(traces, drawn)


def key_room(drawn: dict[str, Any], traces: Sequence[Trace]) -> dict[str, Any]:
    """Return what of a layout changes so that the key of all traces fits a narrow page."""
    lines = [trace for trace in traces if trace["type"] == "scatter"]
    count = sum(bool(trace.get("showlegend", True)) for trace in lines)
    room = math.ceil(count / KEY_ACROSS) * KEY_ROW_PX + 6
    more = max(room - KEY_FITS_PX, 0)
    height = drawn["height"] + more
    return {
        "height": height,
        "margin": drawn["margin"] | {"b": drawn["margin"]["b"] + more},
        "title": drawn["title"] | {"y": 1 - 16 / height},
        "legend": drawn["legend"]
        | {"entrywidth": KEY_WIDE_PX, "y": (drawn["margin"]["b"] + more - 50) / height},
    }


def _key_words(key: Key, units: Units) -> dict[str, Any]:
    """Return what the tones mean, above their bar."""
    return {
        "text": f"{key.name} [{units}]: {key.light} light, {key.dark} dark",
        "x": 0.0,
        "xref": "paper",
        "xanchor": "left",
        "y": 1.0,
        "yref": "paper",
        "yanchor": "bottom",
        "yshift": KEY_PX - 18,
        "showarrow": False,
        "font": {"size": 11, "color": INK},
    }


def cell_trace(cells: Cells, key: Key, units: Units) -> Trace:
    """Return the cells in their tones."""
    value = cells.value / (MM_PER_INCH if units == "in" else 1.0)
    low, high = _ends(value, key, units)
    return {
        "type": "heatmap",
        "meta": "cells",
        "xaxis": "x",
        "x": cells.x_mm.tolist(),
        "y": cells.y_mm.tolist(),
        "z": [[None if math.isnan(v) else round(v, 4) for v in row] for row in value.tolist()],
        "colorscale": [list(stop) for stop in key.scale],
        "zmin": low,
        "zmax": high,
        "colorbar": {
            # Above the map, whose height hangs on the width of the page.
            "orientation": "h",
            "x": 0.0,
            "xanchor": "left",
            "xpad": 0,
            "yref": "container",
            "yanchor": "bottom",
            "ypad": 8,
            "thickness": 12,
            "lenmode": "fraction",
            "len": 0.6,
            "tickfont": {"size": 10},
            "outlinewidth": 0.5,
        },
        "hoverongaps": False,
        "hovertemplate": f"x %{{x:.0f}}, y %{{y:.0f}} mm<br>{key.name} %{{z:.3~f}} {units}"
        "<extra></extra>",
    }


def _ends(value: Floats, key: Key, units: Units) -> tuple[float, float]:
    """Return what the ends of the scale stand for, never the same value."""
    per = MM_PER_INCH if units == "in" else 1.0
    known = value[np.isfinite(value)]
    least, most = (float(known.min()), float(known.max())) if len(known) else (0.0, 1.0)
    low = least if math.isnan(key.low) else key.low / per
    high = most if math.isnan(key.high) else key.high / per
    return (low, high) if high > low else (low, low + 1.0)


def hole_trace(cells: Cells) -> Trace:
    """Return crosses over what nothing is known of."""
    step = max(1, math.ceil(max(cells.value.shape) / CROSSES))
    unknown = np.isnan(cells.value)[step // 2 :: step, step // 2 :: step]
    rows, columns = np.nonzero(unknown)
    return {
        "type": "scatter",
        "meta": "holes",
        "xaxis": "x",
        "name": "no floor seen here",
        "x": cells.x_mm[step // 2 :: step][columns].tolist(),
        "y": cells.y_mm[step // 2 :: step][rows].tolist(),
        "mode": "markers",
        "marker": {"symbol": "x-thin", "size": 5, "line": {"color": FAINT_INK, "width": 1}},
        "hoverinfo": "skip",
        "showlegend": bool(len(rows)),
    }


def joint_trace(joints: Sequence[MovementJoint]) -> Trace:
    """Return movement joints as dash-dotted lines, each with its name."""
    x: list[float | None] = []
    y: list[float | None] = []
    names: list[str] = []
    for joint in joints:
        x += [joint.from_mm[0], joint.to_mm[0], None]
        y += [joint.from_mm[1], joint.to_mm[1], None]
        names += [joint.name, joint.name, ""]
    return {
        "type": "scatter",
        "meta": "joints",
        "xaxis": "x",
        "name": "movement joint",
        "x": x,
        "y": y,
        "mode": "lines",
        "line": {"color": INK, "width": 2, "dash": "dashdot"},
        "hovertext": names,
        "hovertemplate": "movement joint %{hovertext}<extra></extra>",
        "showlegend": bool(joints),
    }


def numbered_trace(
    places: Sequence[tuple[float, float]], texts: Sequence[str], name: str, meta: str
) -> Trace:
    """Return numbered places, 1 first, each with what it tells."""
    return {
        "type": "scatter",
        "meta": meta,
        "xaxis": "x",
        "name": name,
        "x": [place[0] for place in places],
        "y": [place[1] for place in places],
        "mode": "markers+text",
        "text": [f"<b>{number}</b>" for number in range(1, len(places) + 1)],
        "textfont": {"size": 11, "color": INK},
        "marker": {
            "symbol": "circle",
            "size": 19,
            "color": PAPER,
            "line": {"color": INK, "width": 1.6},
        },
        "hovertext": list(texts),
        "hovertemplate": "%{hovertext}<extra></extra>",
        "showlegend": bool(places),
    }


def plain_ticks(low_mm: float, high_mm: float, units: Units, most: int) -> dict[str, object]:
    """Return the ticks of a plan axis in whole figures: 5000, not 5k."""
    ticks = dict(axis_ticks(low_mm, high_mm, units, most))
    return ticks if units == "in" else ticks | {"tickformat": "d"}


def _layout(cells: Cells, units: Units, title: str) -> dict[str, Any]:
    left, right, back, front = cells.box
    deep = WIDE_PX * (front - back) / (right - left)
    drawn = layout(title, min(max(deep, LEAST_PX), TALLEST_PX), 110, over_px=KEY_PX)
    across = axis(
        f"x along the wall [{units}]",
        range=[left, right],
        constrain="domain",
        showgrid=False,
        **plain_ticks(left, right, units, 12),
    )
    out = axis(
        f"y out from the wall [{units}]",
        range=[front, back],
        scaleanchor="x",
        constrain="domain",
        constraintoward="top",
        showgrid=False,
        **plain_ticks(back, front, units, 8),
    )
    return drawn | {"xaxis": across, "yaxis": out}
