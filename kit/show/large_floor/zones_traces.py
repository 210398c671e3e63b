"""What a run in zones is drawn of: units, floor, stacks, bearers, steps, joints."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from kit.ink.escape import chart_text
from kit.ink.lengths import Units, length, length_with_unit
from kit.ink.paint import (
    ACCENT,
    DOUBT,
    FAINT_INK,
    FLOOR,
    FLOOR_LINE,
    INK,
    PANEL,
    TIMBER,
    TIMBER_LINE,
    UNIT,
    UNIT_LINE,
)
from kit.job.units import MM_PER_INCH
from kit.show.chart import Trace, lines_trace, polygons
from kit.show.large_floor.zones_run import ZonesRun
from kit.show.section import BAND_SD

#: A stack is drawn at least so wide, as a share of the run: 3 px on a page.
LEAST_WIDE = 0.0045

Ends = tuple[float, float]


def _per(units: Units) -> float:
    return MM_PER_INCH if units == "in" else 1.0


def _boxes(meta: str, name: str, boxes: Sequence[tuple[Ends, Ends]], units: Units) -> Trace:
    """Return boxes from (left, right) and (low, high) [mm]."""
    corners = [[(a, low), (b, low), (b, high), (a, high)] for (a, b), (low, high) in boxes]
    x, y = polygons(corners)
    heights = [None if mm is None else mm / _per(units) for mm in y]
    return lines_trace(meta, name, x, heights, fill="toself")


def unit_trace(seen: ZonesRun, high_mm: float, units: Units) -> Trace:
    """Return the units, from their base top up to where the drawing ends."""
    boxes = [
        ((placed.left_mm, placed.right_mm), (zone.base_top_mm, high_mm))
        for zone in seen.zones
        for placed in seen.units[zone.first : zone.last + 1]
    ]
    looks = {"fillcolor": UNIT, "line": {"color": UNIT_LINE, "width": 0.8}}
    return _boxes("units", "unit, cut off above", boxes, units) | looks


def floor_traces(seen: ZonesRun, low_mm: float, units: Units) -> list[Trace]:
    """Return the ground, the doubt of the floor, and its line."""
    per, floor = _per(units), seen.floor
    height, sd = floor.height_mm / per, floor.sd_mm / per
    ground: list[list[tuple[float, float]]] = []
    band: list[list[tuple[float, float]]] = []
    for stretch in floor.stretches():
        x, z, s = (values[stretch] for values in (floor.x_mm, height, sd))
        upper = list(zip(x.tolist(), (z + BAND_SD * s).tolist(), strict=True))
        lower = list(zip(x.tolist(), (z - BAND_SD * s).tolist(), strict=True))
        line = list(zip(x.tolist(), z.tolist(), strict=True))
        ground.append([*line, (line[-1][0], low_mm / per), (line[0][0], low_mm / per)])
        band.append([*upper, *lower[::-1]])
    places = [
        f"{length(x, units)} along<br>floor {length(z, units)}, doubt {length(BAND_SD * s, units)}"
        for x, z, s in zip(
            floor.x_mm.tolist(), floor.height_mm.tolist(), floor.sd_mm.tolist(), strict=True
        )
    ]
    filled: dict[str, Any] = {"fill": "toself"}
    return [
        lines_trace("ground", "ground", *polygons(ground), **filled, fillcolor=FLOOR,
               line={"width": 0, "color": FLOOR}) | {"showlegend": False},
        lines_trace("doubt", f"doubt of the floor, ±{BAND_SD:g} sd", *polygons(band), **filled,
               fillcolor=DOUBT, line={"color": FLOOR_LINE, "width": 0.7, "dash": "dot"}),
        lines_trace("floor", "floor", floor.x_mm.tolist(), _gaps(height),
               line={"color": FLOOR_LINE, "width": 2}, hoverinfo="text", hovertext=places),
    ]  # fmt: skip


def _gaps(values: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> list[float | None]:
    return [None if np.isnan(value) else value for value in values.tolist()]


def stack_trace(seen: ZonesRun, units: Units) -> Trace:
    """Return every stack as a bar from the floor to its top."""
    size = seen.zones[0].answer.layout.packer_size_mm[0]
    half = max(size, LEAST_WIDE * seen.run.length_mm) / 2
    boxes = [
        ((at - half, at + half), (stack.floor_mm, stack.floor_mm + stack.height_mm))
        for at, stack in seen.stacks
    ]
    looks = {"fillcolor": PANEL, "line": {"color": FAINT_INK, "width": 1}}
    return _boxes("stacks", "stack", boxes, units) | looks


def bearer_traces(seen: ZonesRun, units: Units) -> list[Trace]:
    """Return the bearers, and the base top of each zone as a line."""
    boxes = [((b.from_mm, b.to_mm), (b.underside_mm, b.top_mm)) for b in seen.bearers]
    looks = {"fillcolor": TIMBER, "line": {"color": TIMBER_LINE, "width": 1}}
    x: list[float | None] = []
    y: list[float | None] = []
    told: list[str] = []
    for zone in seen.zones:
        top = zone.base_top_mm / _per(units)
        x += [zone.from_mm, (zone.from_mm + zone.to_mm) / 2, zone.to_mm, None]
        y += [top, top, top, None]
        words = (
            f"<b>{chart_text(zone.name)}</b>, {chart_text(zone.from_unit)} to"
            f" {chart_text(zone.to_unit)}<br>base top {length_with_unit(zone.base_top_mm, units)}"
        )
        told += [words, words, words, ""]
    on_bearers = any(bearer.top_mm > bearer.underside_mm for bearer in seen.bearers)
    return [
        _boxes("bearers", "bearer", boxes, units) | looks | {"showlegend": on_bearers},
        lines_trace("levels", "base top of a zone", x, y, line={"color": INK, "width": 3},
               hoverinfo="text", hovertext=told),
    ]  # fmt: skip


def step_traces(seen: ZonesRun, high_mm: float, units: Units) -> list[Trace]:
    """Return each step from one base top to the other, and a thin line up to its words."""
    x: list[float | None] = []
    y: list[float | None] = []
    lead: list[float | None] = []
    for step in seen.steps:
        tops = [zone.base_top_mm / _per(units) for zone in (step.one, step.other)]
        x += [step.at_mm, step.at_mm, None]
        y += [*tops, None]
        lead += [max(tops), high_mm / _per(units), None]
    arrow = {"symbol": "arrow", "size": [0, 13, 0] * len(seen.steps), "angleref": "previous"}
    marker = {**arrow, "color": ACCENT, "opacity": 1}
    line, thin = {"color": ACCENT, "width": 3.2}, {"color": ACCENT, "width": 1.2}
    return [
        lines_trace("leads", "", x, lead, line=thin, showlegend=False),
        lines_trace("steps", "step between zones", x, y, mode="lines+markers", line=line,
               marker=marker),
    ]  # fmt: skip


def crossing_trace(
    crossings: Sequence[tuple[str, float]], ends: Ends, units: Units, name: str, dash: str
) -> Trace:
    """Return what crosses the row, from the ground to the top of the drawing."""
    x = [value for _, at in crossings for value in (at, at, None)]
    y = [value for _ in crossings for value in (*(mm / _per(units) for mm in ends), None)]
    told = [words for one, _ in crossings for words in (chart_text(one), chart_text(one), "")]
    line = {"color": INK, "width": 1.6, "dash": dash}
    return lines_trace(name, name, x, y, line=line, hoverinfo="text", hovertext=told)


def single_trace(seen: ZonesRun, units: Units) -> Trace:
    """Return where the base top of one level for all would lie."""
    top = seen.single.top_mm / _per(units)
    shown = len(seen.zones) > 1 or bool(seen.single.why_not)
    x, y = ([0.0, seen.run.length_mm], [top, top]) if shown else ([], [])
    name = "one level for all" + (" (cannot be)" if seen.single.why_not else "")
    return lines_trace(
        "one level", name, x, y, line={"color": FAINT_INK, "width": 1.4, "dash": "dash"}
    )
