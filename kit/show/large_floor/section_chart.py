"""A floor cut open along a line: its profile, and the straight edge where it departs most."""

from __future__ import annotations

import math

import numpy as np

from kit.flatness import Section
from kit.ink.lengths import Units, length_with_unit, plan_length, small
from kit.ink.paint import FAINT_INK, FLOOR, FLOOR_LINE, INK
from kit.ink.table import Table, figures, records
from kit.job.units import MM_PER_INCH
from kit.show.chart import Drawing, Trace, axis, layout, title_text
from kit.show.large_floor.cell_map import plain_ticks

#: Height of the picture [px].
TALL_PX = 300.0


def section_drawing(cut: Section, units: Units) -> Drawing:
    """Return the profile of a line, with the straight edge at its three worst places.

    Parameters
    ----------
    cut : Section
        From `kit.flatness.section`.
    units : {"mm", "in"}
        Of the picture.
    """
    long = float(cut.profile.at_mm[-1])
    title = title_text(
        f"Cut from x {_place(cut.from_mm, units)} to x {_place(cut.to_mm, units)}",
        [_said(cut, units), *cut.not_checked],
    )
    drawn = layout(title, TALL_PX, 110)
    across = axis(f"along the line [{units}]", range=[0.0, long], **plain_ticks(0, long, units, 12))
    up = axis(f"height [{units}], drawn larger", range=_heights(cut, units))
    return Drawing(
        [_profile(cut, units), _edges(cut, units)], drawn | {"xaxis": across, "yaxis": up}
    )


def section_table(cut: Section, units: Units) -> Table:
    """Return the figures of a line: what it allows, and what it does not."""
    heights = cut.profile.height_mm[np.isfinite(cut.profile.height_mm)]
    values = {
        "length": length_with_unit(float(cut.profile.at_mm[-1]), units),
        "lowest to highest": f"{small(float(np.ptp(heights)), units)} {units}"
        if len(heights)
        else "no floor along it",
    }
    for number, one in enumerate(records(cut.worst()), start=1):
        values[f"gap {number} under {plan_length(cut.edge_mm, units)} {units}"] = (
            f"{small(float(one['departure_mm']), units)} {units} at"
            f" {plan_length(float(one['gap_at_mm']), units)}"
        )
    for one in records(cut.stichmass()):
        told = one["state"] if not math.isfinite(float(one["worst_mm"])) else (
            f"{small(float(one['worst_mm']), units)} {units}, limit"
            f" {small(float(one['limit_mm']), units)}"
        )  # fmt: skip
        values[f"DIN 18202, {one['distance_m']:g} m"] = told
    return figures("Along this line", values, " ".join(cut.not_checked))


def _place(at_mm: tuple[float, float], units: Units) -> str:
    return f"{plan_length(at_mm[0], units)}, y {plan_length(at_mm[1], units)} {units}"


def _said(cut: Section, units: Units) -> str:
    worst = records(cut.worst(1))
    if not worst:
        return f"Nowhere off a straight edge of {plan_length(cut.edge_mm, units)} {units}."
    gap = small(float(worst[0]["departure_mm"]), units)
    return (
        f"Largest gap under a straight edge of {plan_length(cut.edge_mm, units)} {units}: {gap}"
        f" {units}, {plan_length(float(worst[0]['gap_at_mm']), units)} along the line."
    )


def _per(units: Units) -> float:
    return MM_PER_INCH if units == "in" else 1.0


def _heights(cut: Section, units: Units) -> list[float]:
    known = cut.profile.height_mm[np.isfinite(cut.profile.height_mm)] / _per(units)
    if not len(known):
        return [0.0, 1.0]
    low, high = float(known.min()), float(known.max())
    room = max(high - low, 4.0 / _per(units)) * 0.15
    return [low - room, high + room]


def _profile(cut: Section, units: Units) -> Trace:
    heights = cut.profile.height_mm / _per(units)
    return {
        "type": "scatter",
        "meta": "profile",
        "xaxis": "x",
        "name": "floor",
        "x": cut.profile.at_mm.tolist(),
        "y": [None if math.isnan(h) else round(h, 4) for h in heights.tolist()],
        "mode": "lines",
        "line": {"color": FLOOR_LINE, "width": 2},
        "fillcolor": FLOOR,
        "connectgaps": False,
        "hovertemplate": f"%{{x:.0f}} mm along<br>%{{y:.2f}} {units}<extra></extra>",
    }


def _edges(cut: Section, units: Units) -> Trace:
    """Return the edge at the worst places as lines from contact to contact."""
    x: list[float | None] = []
    y: list[float | None] = []
    texts: list[str] = []
    for one in records(cut.worst()):
        ends = [float(one["from_mm"]), float(one["to_mm"])]
        at = np.interp(ends, cut.profile.at_mm, cut.profile.height_mm) / _per(units)
        x += [*ends, None]
        y += [*at.tolist(), None]
        gap = f"gap {small(float(one['departure_mm']), units)} {units}"
        texts += [gap, gap, ""]
    return {
        "type": "scatter",
        "meta": "edges",
        "xaxis": "x",
        "name": "straight edge at its worst",
        "x": x,
        "y": y,
        "mode": "lines+markers",
        "line": {"color": INK, "width": 2.2, "dash": "dash"},
        "marker": {"size": 7, "color": FAINT_INK, "symbol": "triangle-down"},
        "hovertext": texts,
        "hovertemplate": "%{hovertext}<extra></extra>",
        "showlegend": bool(x),
    }
