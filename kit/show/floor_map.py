"""The floor seen from above: humps and hollows, readings, and the base that will stand there."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from kit.answer import Ground, Survey
from kit.base.runs import Floats
from kit.floor import Extreme
from kit.ink.escape import chart_text
from kit.ink.lengths import Units, axis_ticks, length_with_unit, plan_length, signed_small
from kit.ink.lengths import small as small_text
from kit.ink.paint import HOLLOW_TO_HUMP, INK, PAPER
from kit.ink.words import high_point_sentence
from kit.job import Job
from kit.job.units import MM_PER_INCH
from kit.show.chart import Chart, Trace, axis, layout, title_text
from kit.show.plan_marks import next_trace
from kit.show.plan_traces import plan_traces

#: Places across the longer side of the map.
GRID = 120

#: Width of the map on a wide page, and the greatest and least height of what is drawn [px].
WIDE_PX, TALLEST_PX, LEAST_PX = 1040.0, 560.0, 300.0

#: A floor this many times longer than deep is not drawn at one scale.
LONG = 4.0

#: Of what is drawn on a narrow page, where names must still fit beside the rows [px].
NARROW_PX = 490.0

#: Room for the names of back rows behind their walls [px].
NAMES_PX = 34.0

#: Steps of the contours in the job's units; the first that gives few enough lines is taken.
_STEPS = (0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
_MOST_LINES = 12


class Box(NamedTuple):
    """What the map shows: least and greatest x and y [mm]."""

    left: float
    right: float
    back: float
    front: float


def floor_map(
    job: Job,
    survey: Survey,
    ground: Ground | None = None,
    *,
    next_readings: pd.DataFrame | None = None,
) -> Chart:
    """Draw the floor from above, with the wall at the top.

    Parameters
    ----------
    job : Job
        Title, units, no-go areas and services.
    survey : Survey
        Heights, plane and surface; ``answer.survey``.
    ground : Ground, optional
        Bearers, supports and high point; ``answer.ground``. Without it, only the floor.
    next_readings : DataFrame, optional
        From `kit.where_next.where_next`: places to be read next, numbered on the map.

    Returns
    -------
    Chart
        Residuals (height - plane) as a map with contours, empty where nothing was surveyed;
        readings, units, bearers, supports to plan size, no-go areas, services, high point, rivals
        and next reading.
    """
    box = _box(survey, ground)
    traces = [
        residual_trace(survey, box, job.units),
        readings_trace(survey, job.units),
        *plan_traces(job, ground),
        *([] if next_readings is None else [next_trace(next_readings)]),
    ]
    return Chart(go.Figure(traces, _layout(job, survey, ground, box)))


def _box(survey: Survey, base: Ground | None) -> Box:
    """Return the readings' extent, widened to the units where there are any."""
    points = survey.heights.points
    x, y = [points["x_mm"].to_numpy()], [points["y_mm"].to_numpy()]
    if base is not None:
        for placed in base.layout.units:
            ends, depths = [placed.left_mm, placed.right_mm], [0.0, placed.unit.depth_mm]
            corners = base.layout.frames[placed.run].to_site(ends * 2, np.repeat(depths, 2))
            x.append(corners[0])
            y.append(corners[1])
    all_x, all_y = np.concatenate(x), np.concatenate(y)
    beside = 0.03 * max(float(np.ptp(all_x)), float(np.ptp(all_y)))
    names = NAMES_PX / NARROW_PX * float(np.ptp(all_x)) if base is not None else beside
    return Box(
        float(all_x.min()) - beside,
        float(all_x.max()) + (names if _side_walls(base) else beside),
        min(float(all_y.min()) - beside, -names),
        float(all_y.max()) + beside,
    )


def _side_walls(base: Ground | None) -> bool:
    """Tell whether a run stands along another wall than the one at the top."""
    frames = base.layout.frames.values() if base is not None else ()
    return any(frame.direction_deg % 180 != 0 for frame in frames)


def residual_grid(survey: Survey, box: Box) -> tuple[Floats, Floats, Floats, Floats]:
    """Return x, y [mm] of a grid, and residual and sd [mm] at its places (y, x)."""
    step = max(box.right - box.left, box.front - box.back) / GRID
    x = np.linspace(box.left, box.right, math.ceil((box.right - box.left) / step) + 1)
    y = np.linspace(box.back, box.front, math.ceil((box.front - box.back) / step) + 1)
    all_x, all_y = (grid.ravel() for grid in np.meshgrid(x, y))
    known = survey.surface.surveyed(all_x, all_y)
    residual, sd = np.full(len(all_x), np.nan), np.full(len(all_x), np.nan)
    height, sd[known] = survey.surface.predict(all_x[known], all_y[known])
    residual[known] = height - survey.plane.height_mm(all_x[known], all_y[known])
    return x, y, residual.reshape(len(y), len(x)), sd.reshape(len(y), len(x))


def residual_trace(survey: Survey, box: Box, units: Units) -> Trace:
    """Return the map of residuals: lightness rises from the deepest hollow to the highest hump."""
    x, y, residual, sd = residual_grid(survey, box)
    if units == "in":
        residual, sd = residual / MM_PER_INCH, sd / MM_PER_INCH
    low, high = float(np.nanmin(residual)), float(np.nanmax(residual))
    step = next((s for s in _STEPS if (high - low) / s <= _MOST_LINES), _STEPS[-1])
    return {
        "type": "contour",
        "meta": "residuals",
        "x": x.tolist(),
        "y": y.tolist(),
        "z": _lists(residual),
        "customdata": _lists(sd),
        "colorscale": [list(stop) for stop in HOLLOW_TO_HUMP],
        "zmin": low,
        "zmax": high,
        "contours": {
            "coloring": "heatmap",
            "showlines": True,
            "showlabels": True,
            "labelfont": {"size": 10, "color": INK},
            "labelformat": "~g",
            "start": math.ceil(low / step) * step,
            "end": math.floor(high / step) * step,
            "size": step,
        },
        "line": {"width": 0.7, "color": INK},
        "colorbar": {
            "title": {
                "text": f"residual [{units}]<br>hump + light<br>hollow − dark",
                "side": "top",
            },
            "ypad": 0,
            "thickness": 14,
            "lenmode": "fraction",
            "len": 1.0,
            "tickfont": {"size": 10},
            "outlinewidth": 0.5,
        },
        "hovertemplate": "x %{x:.0f}, y %{y:.0f} mm<br>residual %{z:.3~f}, sd %{customdata:.3~f} "
        f"{units}<extra></extra>",
    }


def _lists(grid: Floats) -> list[list[float | None]]:
    return [[None if math.isnan(v) else round(v, 4) for v in row] for row in grid.tolist()]


def readings_trace(survey: Survey, units: Units) -> Trace:
    """Return the adjusted points; each tells its name, height, doubt and residual."""
    points = survey.heights.points
    return {
        "type": "scatter",
        "meta": "readings",
        "name": "reading",
        "x": points["x_mm"].tolist(),
        "y": points["y_mm"].tolist(),
        "mode": "markers",
        "marker": {
            "symbol": "circle",
            "size": 6,
            "color": PAPER,
            "line": {"color": INK, "width": 1.3},
        },
        "hovertext": [
            f"<b>{chart_text(name)}</b><br>height {length_with_unit(height, units)}"
            f" ± {small_text(sd, units)} (1 sd)<br>residual {signed_small(residual, units)} {units}"
            for name, height, sd, residual in zip(
                points["point"],
                points["height_mm"],
                points["sd_mm"],
                survey.plane.residual_mm,
                strict=True,
            )
        ],
        "hovertemplate": "%{hovertext}<extra></extra>",
    }


def _layout(job: Job, survey: Survey, base: Ground | None, box: Box) -> dict[str, Any]:
    wide, deep = box.right - box.left, box.front - box.back
    plot = min(max(WIDE_PX * deep / wide, LEAST_PX), TALLEST_PX)
    units = job.units
    drawn = layout(_title(job, survey, base), plot, 150, right_px=110)
    across = axis(
        f"x along the wall [{units}]",
        range=[box.left, box.right],
        constrain="range",
        showgrid=False,
        **axis_ticks(box.left, box.right, units, 12),
    )
    # A long narrow floor at one scale would leave its rows too near to read on a narrow page.
    long = wide > LONG * deep
    one_scale = {"scaleanchor": "x", "constrain": "range", "constraintoward": "top"}
    out = axis(
        f"y out from the wall [{units}]" + (", drawn larger" if long else ""),
        range=[box.front, box.back],
        **({} if long else one_scale),
        showgrid=False,
        **axis_ticks(box.back, box.front, units, 6),
    )
    wall = {
        "type": "line",
        "x0": 0,
        "x1": 1,
        "xref": "x domain",
        "y0": 0,
        "y1": 0,
        "line": {"color": INK, "width": 3},
        "layer": "below",
    }
    return drawn | {"xaxis": across, "yaxis": out, "shapes": [wall]}


def _title(job: Job, survey: Survey, base: Ground | None) -> str:
    units = job.units
    hump, hollow = survey.plane.extremes
    sentences = [
        "What is left of the floor once its even fall is taken off: light humps, dark hollows.",
        f"Highest hump {_place(hump, units)}; deepest hollow {_place(hollow, units)}.",
        high_point_sentence(base.high_point, units) if base is not None else "",
    ]
    return title_text(f"The floor from above: {job.short_title}", sentences)


def _place(extreme: Extreme, units: Units) -> str:
    x, y = plan_length(extreme.x_mm, units), plan_length(extreme.y_mm, units)
    return f"{signed_small(extreme.residual_mm, units)} {units} at x {x}, y {y}"
