"""What lies on the floor map: units, bearers, supports, no-go areas, services, high point."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from kit.answer import Ground
from kit.base.layout import Layout
from kit.ink import paint
from kit.ink.escape import chart_lines, chart_text
from kit.ink.lengths import length_with_unit, plan_length, small
from kit.ink.table import records
from kit.ink.words import on_bearers
from kit.job import Job
from kit.show.chart import Trace, polygons
from kit.show.plan_marks import high_point_traces

#: Supports of one row nearer than this have their names drawn apart [mm].
CLOSE_MM = 170.0

#: Names stay readable over the map's lines.
_HALO = ", ".join(f"{x}px {y}px 2px {paint.PAPER}" for x in (-1, 0, 1) for y in (-1, 0, 1))

Outline = list[tuple[float, float]]


def plan_traces(job: Job, base: Ground | None) -> Iterator[Trace]:
    """Yield everything that lies on the floor map, the lowest first.

    Parameters
    ----------
    job : Job
        No-go areas, services and movement joints.
    base : Ground or None
        Bearers, supports and high point, where they are known.
    """
    if base is not None:
        yield _units(base.layout)
    yield _no_go(job)
    yield from _services(job)
    yield from _movement_joints(job)
    if base is not None:
        if on_bearers(base):
            yield _strips(base.layout, "bearer")
        yield _supports(base.layout, "packer stack" if on_bearers(base) else "support")
        yield from high_point_traces(job, base)
        yield _unit_names(base.layout)
        yield _support_names(job, base.supports, base.layout)


def outline_traces(job: Job, layout: Layout) -> Iterator[Trace]:
    """Yield units, no-go areas, services, rows: what is known before anything is read.

    Parameters
    ----------
    job : Job
        No-go areas, services and movement joints.
    layout : Layout
        The base.
    """
    yield _units(layout)
    yield _no_go(job)
    yield from _services(job)
    yield from _movement_joints(job)
    yield _strips(layout, "row of supports")
    yield _unit_names(layout)


def rectangle(layout: Layout, run: str, x: tuple[float, float], y: tuple[float, float]) -> Outline:
    """Return the site corners of a rectangle given in a run's own frame [mm]."""
    own_x, own_y = [x[0], x[1], x[1], x[0]], [y[0], y[0], y[1], y[1]]
    site_x, site_y = layout.frames[run].to_site(own_x, own_y)
    return list(zip(site_x.tolist(), site_y.tolist(), strict=True))


def _outlines(kind: str, name: str, shapes: list[Outline], colour: str, width: float) -> Trace:
    x, y = polygons(shapes)
    return {
        "type": "scatter",
        "meta": kind,
        "name": name,
        "x": x,
        "y": y,
        "mode": "lines",
        "line": {"color": colour, "width": width},
        "hoverinfo": "skip",
    }


def _units(layout: Layout) -> Trace:
    shapes = [
        rectangle(layout, p.run, (p.left_mm, p.right_mm), (0.0, p.unit.depth_mm))
        for p in layout.units
    ]
    return _outlines("units", "unit", shapes, paint.FAINT_INK, 1.6)


def _unit_names(layout: Layout) -> Trace:
    """Write each unit's name just in front of it; names of supports stand towards the wall."""
    x, y = zip(
        *(
            layout.frames[p.run].to_site((p.left_mm + p.right_mm) / 2, p.unit.depth_mm)
            for p in layout.units
        ),
        strict=True,
    )
    return {
        "type": "scatter",
        "meta": "unit names",
        "x": [float(value) for value in x],
        "y": [float(value) for value in y],
        "mode": "text",
        "text": [chart_lines(p.unit.name, 14, 2) for p in layout.units],
        "textposition": [in_front(layout, p.run) for p in layout.units],
        "textfont": {"size": 11, "color": paint.INK, "shadow": _HALO},
        "hovertext": [chart_text(p.unit.name) for p in layout.units],
        "hovertemplate": "%{hovertext}<extra></extra>",
        "showlegend": False,
    }


def in_front(layout: Layout, run: str) -> str:
    """Return on which side of a unit's front its name stands, as the map is drawn."""
    x, y = layout.frames[run].to_site([0.0, 0.0], [0.0, 1.0])
    out_x, out_y = float(x[1] - x[0]), float(y[1] - y[0])
    if abs(out_y) >= abs(out_x):
        return "bottom center" if out_y > 0 else "top center"
    return "middle right" if out_x > 0 else "middle left"


def _no_go(job: Job) -> Trace:
    shapes: list[Outline] = []
    for area in job.no_go:
        (x, y), (dx, dy) = area.corner_mm, area.size_mm
        shapes.append([(x, y), (x + dx, y), (x + dx, y + dy), (x, y + dy)])
    trace = _outlines("no-go", "no-go area", shapes, paint.NO_GO, 1.2)
    pattern = {"shape": "x", "fgcolor": paint.NO_GO, "size": 8, "solidity": 0.12}
    return trace | {
        "fill": "toself",
        "fillcolor": "rgba(255,255,255,0.01)",
        "fillpattern": pattern,
        "showlegend": bool(shapes),
    }


def _services(job: Job) -> Iterator[Trace]:
    for service in job.services:
        (x0, y0), (x1, y1) = service.from_mm, service.to_mm
        depth = length_with_unit(service.depth_mm, job.units)
        yield {
            "type": "scatter",
            "meta": "service",
            "name": f"{chart_lines(service.name, 20, 1)}, {depth} deep",
            "x": [x0, (x0 + x1) / 2, x1],
            "y": [y0, (y0 + y1) / 2, y1],
            "mode": "lines",
            "line": {"color": paint.SERVICE, "width": 2.2, "dash": "dash"},
            "hovertext": f"{chart_text(service.name)}: its top {depth} below the floor",
            "hovertemplate": "%{hovertext}<extra></extra>",
            "showlegend": True,
        }


def _movement_joints(job: Job) -> Iterator[Trace]:
    for joint in job.movement_joints:
        (x0, y0), (x1, y1) = joint.from_mm, joint.to_mm
        yield {
            "type": "scatter",
            "meta": "movement joint",
            "name": f"movement joint {chart_lines(joint.name, 20, 1)}",
            "x": [x0, (x0 + x1) / 2, x1],
            "y": [y0, (y0 + y1) / 2, y1],
            "mode": "lines",
            "line": {"color": paint.JOINT, "width": 2.2, "dash": "dashdot"},
            "hovertext": f"movement joint: {chart_text(joint.name)}",
            "hovertemplate": "%{hovertext}<extra></extra>",
            "showlegend": True,
        }


def _strips(layout: Layout, name: str) -> Trace:
    half = layout.bearer_width_mm / 2
    shapes = [
        rectangle(layout, r.run, (r.start_mm, r.end_mm), (r.y_mm - half, r.y_mm + half))
        for r in layout.rows
    ]
    trace = _outlines("bearers", name, shapes, paint.TIMBER_LINE, 1.2)
    return trace | {"fill": "toself", "fillcolor": "rgba(217, 179, 130, 0.45)"}


def _supports(layout: Layout, name: str) -> Trace:
    along, across = (size / 2 for size in layout.packer_size_mm)
    shapes = [
        rectangle(layout, run, (x - along, x + along), (y - across, y + across))
        for run, x, y in zip(
            layout.supports["run"],
            layout.supports["own_x_mm"],
            layout.supports["own_y_mm"],
            strict=True,
        )
    ]
    trace = _outlines("packers", f"{name}, to size", shapes, paint.INK, 1)
    return trace | {"fill": "toself", "fillcolor": "rgba(29, 39, 48, 0.82)"}


def _support_names(job: Job, supports: pd.DataFrame, layout: Layout) -> Trace:
    units = job.units
    return {
        "type": "scatter",
        "meta": "supports",
        "x": supports["x_mm"].tolist(),
        "y": supports["y_mm"].tolist(),
        # Markers that are not seen keep the names clear of the supports and carry the hover text.
        "mode": "markers+text",
        "marker": {"size": 13, "opacity": 0},
        "text": [f"<b>{name}</b>" for name in supports["support"]],
        "textposition": _name_sides(supports, layout),
        "textfont": {"size": 10, "color": paint.INK, "shadow": _HALO},
        "hovertext": [
            f"<b>{row['support']}</b> x {plan_length(row['x_mm'], units)},"
            f" y {plan_length(row['y_mm'], units)} {units}<br>stands for: {row['reasons']}<br>"
            f"floor {length_with_unit(row['floor_mm'], units)} ± {small(row['floor_sd_mm'], units)}"
            for row in records(supports)
        ],
        "hovertemplate": "%{hovertext}<extra></extra>",
        "showlegend": False,
    }


def _name_sides(supports: pd.DataFrame, layout: Layout) -> list[str]:
    """Return on which side of itself each support's name stands: towards the wall."""
    sides: dict[int, str] = {}
    for _, of_row in supports.groupby("bearer", sort=False):
        order = of_row.sort_values("own_x_mm")
        front = in_front(layout, str(order["run"].iloc[0]))
        gaps = np.diff(order["own_x_mm"], prepend=-np.inf, append=np.inf)
        for place, index in enumerate(order.index):
            crowded = (bool(gaps[place] < CLOSE_MM), bool(gaps[place + 1] < CLOSE_MM))
            sides[index] = name_side(front, *crowded)
    return [sides[index] for index in supports.index]


def name_side(front: str, before: bool = False, after: bool = False) -> str:
    """Return a side away from the front, drawn apart from one crowding neighbour."""
    if "middle" in front:
        return "middle left" if front == "middle right" else "middle right"
    aside = "center" if before == after else "right" if before else "left"
    return f"{'top' if front == 'bottom center' else 'bottom'} {aside}"
