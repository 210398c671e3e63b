"""A survey of many set-ups from above: who reads what, what ties them, which rounds miss."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
import plotly.graph_objects as go

from kit.base.runs import Frame, place_units
from kit.ink.escape import chart_text
from kit.ink.lengths import Units, small
from kit.ink.paint import ACCENT, FAINT_INK, INK, MARK, PAPER, UNIT, UNIT_LINE
from kit.job import Job
from kit.readings import Heights
from kit.show.chart import Chart, Trace, lines_trace, polygons, title_text
from kit.show.large_floor.cell_map import key_room
from kit.show.large_floor.floor_marks import excluded_traces, marks_of, step_traces
from kit.show.large_floor.network import Network, Place, network
from kit.show.large_floor.network_names import (
    MOST_MARKED,
    NUMBER_PX,
    POINT_PX,
    RING_PX,
    SETUP_PX,
    edges_of,
    names_of,
)
from kit.show.large_floor.walk_chart import plan_layout


def network_chart(heights: Heights, job: Job) -> Chart:
    """Draw set-ups, points and what ties the set-ups to each other.

    Parameters
    ----------
    heights : Heights
        Of a survey.
    job : Job
        Its units of furniture are drawn beneath; its units of length are the picture's.

    Returns
    -------
    Chart
        A set-up stands at the mean of the points that it reads, not where the level stood.
    """
    net = network(heights)
    shapes = list(_outlines(job))
    box = np.array([*net.points.values(), *net.setups.values(), *(c for s in shapes for c in s)])
    marks, edges = marks_of(job), edges_of(box)
    traces = [
        _unit_outlines(shapes),
        *excluded_traces(marks.excluded),
        *step_traces(marks.steps, edges),
        *_tie_traces(net),
        _weak_trace(net),
        _round_trace(net),
        *_point_traces(net),
        _setup_trace(net),
        _number_trace(net, job.units),
    ]
    drawn = plan_layout(box, job.units, title_text("The survey from above", _sentences(net)))
    drawn |= key_room(drawn, traces)
    names = names_of(net, box, marks)
    return Chart(go.Figure(traces, drawn | {"annotations": names}))


def _sentences(net: Network) -> list[str]:
    said = [
        "Each set-up is drawn at the mean of the points that it reads; lines join set-ups that"
        " share points."
    ]
    if net.weak:
        named = ", ".join(dict.fromkeys(one.point for one in net.weak))
        said.append(f"Dashed and named: parts that hang on one point alone ({named}).")
    if net.beyond:
        count = len(net.beyond)
        more = f", the worst {MOST_MARKED} of them drawn" if count > MOST_MARKED else ""
        its = "its number is that" if count == 1 else "their numbers are those"
        verb = "is" if count == 1 else "are"
        said.append(
            f"{count} of {net.rounds} rounds {verb} further out than expected{more};"
            f" {its} of the table."
        )
    return said


def _outlines(job: Job) -> Iterator[list[Place]]:
    for run in job.runs:
        frame = Frame(run.origin_mm, run.direction_deg)
        for placed in place_units(run):
            left, right, deep = placed.left_mm, placed.right_mm, placed.unit.depth_mm
            x, y = frame.to_site([left, right, right, left], [0.0, 0.0, deep, deep])
            yield list(zip(x.tolist(), y.tolist(), strict=True))


def _unit_outlines(shapes: Sequence[Sequence[Place]]) -> Trace:
    looks: dict[str, Any] = {
        "fill": "toself",
        "fillcolor": UNIT,
        "line": {"color": UNIT_LINE, "width": 0.8},
    }
    return lines_trace("units", "unit", *polygons(shapes), **looks)


def _lines(places: Sequence[tuple[Place, Place]]) -> tuple[list[Any], list[Any]]:
    x = [value for (one, other) in places for value in (one[0], other[0], None)]
    y = [value for (one, other) in places for value in (one[1], other[1], None)]
    return x, y


def _tie_traces(net: Network) -> list[Trace]:
    """Return lines between set-ups: the more points they share, the heavier."""
    looks: tuple[tuple[str, float, float, dict[str, Any]], ...] = (
        ("1 point shared", 1, 1, {"color": FAINT_INK, "width": 1.1, "dash": "dot"}),
        ("2 points shared", 2, 2, {"color": FAINT_INK, "width": 1.4}),
        ("3 points or more shared", 3, math.inf, {"color": ACCENT, "width": 3.2}),
    )
    # Ties of a part that hangs on one point are drawn by themselves.
    weak = {frozenset(pair) for one in net.weak for pair in one.pairs}
    return [
        lines_trace(
            name,
            name,
            *_lines(
                [
                    (net.setups[one], net.setups[other])
                    for (one, other), count in net.shared.items()
                    if least <= count <= most and frozenset((one, other)) not in weak
                ]
            ),
            line=line,
        )
        for name, least, most, line in looks
    ]


def _weak_trace(net: Network) -> Trace:
    """Return what joins a weak part to the rest: from set-up to point to set-up."""
    lines = list(net.weak_lines())
    line = {"color": INK, "width": 2.4, "dash": "6px,4px"}
    return lines_trace("weak ties", "hangs on one point", *_lines(lines), line=line)


def _round_trace(net: Network) -> Trace:
    x: list[float | None] = []
    y: list[float | None] = []
    for one in net.beyond[:MOST_MARKED]:
        places = [place for place in map(net.place, one.nodes) if place]
        x += [*(place[0] for place in places), None]
        y += [*(place[1] for place in places), None]
    line = {"color": MARK, "width": 3.4}
    return lines_trace("rounds", "round too far out", x, y, line=line)


def _point_traces(net: Network) -> list[Trace]:
    """Return the points, and rings on those that something hangs on."""
    ties = net.tie_places
    looks: dict[str, Any] = {"mode": "markers", "hoverinfo": "text"}
    ring = {"size": RING_PX, "color": PAPER, "line": {"color": INK, "width": 2}}
    told, named = ([chart_text(name) for name in held] for held in (net.points, ties))
    dot = {"size": POINT_PX, "color": INK}
    every, tied = _columns(net.points.values()), _columns(ties.values())
    return [
        lines_trace("points", "point", *every, **looks, marker=dot, hovertext=told),
        lines_trace("tie points", "", *tied, **looks, marker=ring, hovertext=named)
        | {"showlegend": False},
    ]


def _columns(places: Any) -> tuple[list[float], list[float]]:
    held = list(places)
    return [place[0] for place in held], [place[1] for place in held]


def _setup_trace(net: Network) -> Trace:
    rim = {"color": INK, "width": 2}
    marker = {"symbol": "square", "size": SETUP_PX, "color": PAPER, "line": rim}
    told = [f"<b>{chart_text(name)}</b>, reads {net.reads[name]} points" for name in net.setups]
    looks: dict[str, Any] = {
        "mode": "markers",
        "marker": marker,
        "hoverinfo": "text",
        "hovertext": told,
    }
    return lines_trace("set-ups", "set-up", *_columns(net.setups.values()), **looks)


def _number_trace(net: Network, units: Units) -> Trace:
    """Return the number of each round that is marked, in the middle of it."""
    marked = net.beyond[:MOST_MARKED]
    told = [
        f"round {one.number}: misses {small(one.misclosure_mm, units)} {units}, expected within"
        f" {small(one.expected_mm, units)}<br>{chart_text(one.words)}"
        for one in marked
    ]
    rim = {"color": MARK, "width": 2}
    looks: dict[str, Any] = {
        "mode": "markers+text",
        "text": [f"<b>{one.number}</b>" for one in marked],
        "textfont": {"size": 11, "color": INK},
        "marker": {"symbol": "circle", "size": NUMBER_PX, "color": PAPER, "line": rim},
        "hoverinfo": "text",
        "hovertext": told,
    }
    middles = [net.middle(one) for one in marked]
    return lines_trace("round numbers", "", *_columns(middles), **looks) | {"showlegend": False}
