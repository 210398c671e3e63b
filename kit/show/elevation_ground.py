"""The floor in an elevation: ground, doubt, line, no-go areas, high point."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from kit.answer import Answer
from kit.job.units import MM_PER_INCH
from kit.show import paint
from kit.show.chart import Trace, bars, polygons
from kit.show.escape import chart_text
from kit.show.scale import Scale
from kit.show.section import BAND_SD, Section


def floor_traces(answer: Answer, part: Section, scale: Scale) -> Iterator[Trace]:
    """Yield the ground, the doubt of the floor, and the floor's own line."""
    floor = part.profile
    ground, band = [], []
    for stretch in floor.stretches():
        x, z = floor.x_mm[stretch], floor.height_mm[stretch]
        doubt = BAND_SD * floor.sd_mm[stretch]
        ground.append([*zip(x, z, strict=True), (x[-1], scale.low_mm), (x[0], scale.low_mm)])
        upper, lower = z + doubt, z - doubt
        band.append([*zip(x, upper, strict=True), *zip(x[::-1], lower[::-1], strict=True)])
    for kind, shapes, colour in (("ground", ground, paint.FLOOR), ("doubt", band, paint.DOUBT)):
        x_all, y_all = polygons(shapes)
        yield {
            "type": "scatter",
            "meta": kind,
            "x": x_all,
            "y": y_all,
            "mode": "lines",
            "fill": "toself",
            "fillcolor": colour,
            "line": {"width": 0},
            "hoverinfo": "skip",
        } | ({"name": "doubt of floor, ±2 sd"} if kind == "doubt" else {})
    units = answer.job.units
    one, digits = (1.0, ".1f") if units == "mm" else (MM_PER_INCH, ".2f")
    doubts = BAND_SD * floor.sd_mm
    yield {
        "type": "scatter",
        "meta": "floor",
        "name": "floor",
        "x": floor.x_mm.tolist(),
        "y": [None if np.isnan(z) else float(z) for z in floor.height_mm],
        "mode": "lines",
        "line": {"color": paint.FLOOR_LINE, "width": 2},
        "customdata": (np.stack([floor.x_mm, floor.height_mm, doubts], axis=1) / one).tolist(),
        "hovertemplate": f"floor at %{{customdata[0]:{digits}}}: %{{customdata[1]:{digits}}}"
        f" ± %{{customdata[2]:{digits}}} {units}<extra></extra>",
    }


def no_go_trace(part: Section) -> Trace:
    """Return the no-go areas that the row crosses, hatched from the floor to the bearer."""
    low = part.profile.lowest_mm
    starts, ends = [a for a, _, _ in part.closed], [b for _, b, _ in part.closed]
    return bars(
        "no-go",
        [(a + b) / 2 for a, b in zip(starts, ends, strict=True)],
        [low for _ in starts],
        y=[part.underside_mm - low for _ in starts],
        width=[b - a for a, b in zip(starts, ends, strict=True)],
        marker={
            "color": "rgba(255,255,255,0.0)",
            "line": {"color": paint.NO_GO, "width": 1},
            "pattern": {"shape": "x", "fgcolor": paint.NO_GO, "size": 9, "solidity": 0.12},
        },
        customdata=[[chart_text(name)] for _, _, name in part.closed],
        hovertemplate="no-go area: %{customdata[0]}<extra></extra>",
        **({"name": "no-go area"} if part.closed else {}),
    )


def high_point_trace(answer: Answer, part: Section) -> Trace:
    """Return the high point of the floor, nothing in rows where it does not lie."""
    certainty = f"{answer.high_point.certainty:.0%} certain"
    return {
        "type": "scatter",
        "meta": "high point",
        "x": list(part.high_point[:1]),
        "y": list(part.high_point[1:]),
        "mode": "markers",
        "marker": {
            "symbol": "star",
            "size": 13,
            "color": paint.MARK,
            "line": {"color": paint.INK, "width": 1},
        },
        "hovertemplate": f"high point of the floor under the base, {certainty}<extra></extra>",
    } | ({"name": f"high point ({certainty})"} if part.high_point else {})
