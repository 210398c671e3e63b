"""A run of a base in zones, cut open: floor, stacks, levels, steps, joints."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

import plotly.graph_objects as go

from kit.ink.escape import chart_text, cut_text
from kit.ink.lengths import Units, length, length_with_unit
from kit.ink.paint import ACCENT, FAINT_INK, INK
from kit.ink.svg import letters_px
from kit.job.units import MM_PER_INCH
from kit.large_floor.shown_floor import zero_of
from kit.levels import Zones
from kit.show.chart import Chart, Drawing, axis, layout, title_text
from kit.show.large_floor.cell_map import plain_ticks
from kit.show.large_floor.zones_run import ZonesRun, zones_run
from kit.show.large_floor.zones_traces import (
    bearer_traces,
    crossing_trace,
    floor_traces,
    single_trace,
    stack_trace,
    step_traces,
    unit_trace,
)
from kit.show.spread import lanes

#: Height of the drawing, and width that it has on a narrow page (800 px) [px].
TALL_PX, NARROW_PX = 330.0, 690.0

#: Size of the letters about the drawing, and height of one line of them [px].
LETTERS_PX, LINE_PX = 11.0, 16.0

#: How much wider bold letters are than plain ones (measured on the faces in use).
BOLD = 1.1

#: Letters of a unit's name at most; a name that stands upright needs so much room [px].
UNIT_LETTERS, UPRIGHT_PX = 16, 14.0

#: Room above the highest level, as a share of all heights: units are seen to stand on it.
HEAD_ROOM = 0.12

Annotation = dict[str, Any]
Said = tuple[float, str]


def zones_chart(zones: Zones, run: str) -> Chart:
    """Draw one run cut open along its back row, zone by zone.

    Parameters
    ----------
    zones : Zones
        From `kit.levels.part_into_zones`.
    run : str
        Name of one of its runs.

    Returns
    -------
    Chart
    """
    drawn = zones_drawing(zones, run)
    return Chart(go.Figure(drawn.traces, drawn.layout))


def zones_drawing(zones: Zones, run: str) -> Drawing:
    """Return the same as traces and layout; the traces are of the same kinds for every run."""
    seen, units = zones_run(zones, run), zones.job.units
    below = _lines_below(seen)
    low, high = _ends(seen, _tall(below))
    traces = [
        unit_trace(seen, high, units),
        *floor_traces(seen, low, units),
        stack_trace(seen, units),
        *bearer_traces(seen, units),
        crossing_trace(seen.joints, (seen.lowest_mm, high), units, "movement joint", "dashdot"),
        crossing_trace(seen.floor_steps, (seen.lowest_mm, high), units, "step of the floor", "dot"),
        *step_traces(seen, high, units),
        single_trace(seen, units),
    ]
    return Drawing(traces, _layout(seen, units, (low, high), below, zero_of(zones.job)))


def _per(units: Units) -> float:
    return MM_PER_INCH if units == "in" else 1.0


def _tall(below: Sequence[Annotation]) -> float:
    """Return the height of the letters in the ground [px]."""
    return max((note["yshift"] for note in below), default=0.0) + LINE_PX + 4


def _ends(seen: ZonesRun, letters_tall_px: float) -> tuple[float, float]:
    """Return the lowest and the highest height that is drawn [mm]: letters lie in the ground."""
    low, high = seen.lowest_mm, seen.highest_mm
    tall = max(high - low, 10.0)
    share = letters_tall_px / TALL_PX
    whole = tall * (1 + HEAD_ROOM) / (1 - share)
    return low - whole * share, high + tall * HEAD_ROOM


def _layout(
    seen: ZonesRun, units: Units, ends: tuple[float, float], below: list[Annotation], zero: str
) -> dict[str, Any]:
    above, above_px = _above(seen, units)
    title = title_text(f"Run {seen.run.name} in zones", list(_sentences(seen, units, zero)))
    drawn = layout(title, TALL_PX + above_px, 128)
    drawn["margin"] = drawn["margin"] | {"t": drawn["margin"]["t"] + above_px}
    drawn["legend"] = drawn["legend"] | {"entrywidth": 190}
    end = seen.run.length_mm
    ticks = plain_ticks(0.0, end, units, 12)
    across = axis(f"along the run [{units}]", range=[0.0, end], showgrid=False, **ticks)
    up = axis(f"height [{units}], drawn larger", range=[mm / _per(units) for mm in ends])
    return drawn | {"xaxis": across, "yaxis": up, "annotations": [*above, *below]}


def _sentences(seen: ZonesRun, units: Units, zero: str) -> Iterator[str]:
    count = len(seen.zones)
    packing = sum(zone.packing_mm for zone in seen.zones) / 1000
    yield (
        f"{count} {'zone' if count == 1 else 'zones'}; {packing:.2f} m of packing in all rows of"
        f" the run. Cut open along the back row. Figures: base tops above {zero}, and steps"
        f" [{units}]."
    )
    top = length_with_unit(seen.single.top_mm, units)
    if seen.single.why_not:
        yield (
            "Dashed: one level for all, which cannot be; the lowest that the base allows has its"
            f" top at {top}."
        )
    elif count > 1:
        yield f"Dashed: where one level for all would have its top, {top}."


# ---- letters: in lanes, so that none lies on another ------------------------------------------


def _px(seen: ZonesRun, at_mm: float) -> float:
    return at_mm / seen.run.length_mm * NARROW_PX


def _in_lanes(seen: ZonesRun, said: Sequence[Said], start_px: float, edge: int) -> list[Annotation]:
    """Return words over (edge 1) or in the foot of the drawing (edge 0), each over its place."""
    # Words hang in the picture at its ends, as far as they must.
    order = sorted(said)
    wide = [BOLD * letters_px(text, LETTERS_PX) for _, text in order]
    middles = [
        min(max(_px(seen, at), w / 2), max(NARROW_PX - w / 2, w / 2))
        for (at, _), w in zip(order, wide, strict=True)
    ]
    again = sorted(range(len(order)), key=middles.__getitem__)
    found = lanes([middles[n] for n in again], [wide[n] for n in again])
    return [
        {
            "x": middles[n] / NARROW_PX * seen.run.length_mm,
            "y": edge,
            "yref": "paper",
            "yanchor": "bottom",
            "yshift": start_px + lane * LINE_PX,
            "text": chart_text(order[n][1]),
            "showarrow": False,
            "font": {"size": LETTERS_PX, "color": INK},
            "borderpad": 0,
        }
        for n, lane in zip(again, found, strict=True)
    ]


def _above(seen: ZonesRun, units: Units) -> tuple[list[Annotation], float]:
    """Return steps, zones and unit names, from the drawing upwards, and the room they take [px]."""
    steps = [(step.at_mm, _step_words(step.step_mm, units)) for step in seen.steps]
    zones = [
        ((zone.from_mm + zone.to_mm) / 2, f"{zone.name}: {length(zone.base_top_mm, units)}")
        for zone in seen.zones
    ]
    notes, room = _in_lanes(seen, steps, 3.0, 1), 3.0
    for colour, said in ((ACCENT, notes), (INK, _in_lanes(seen, zones, _top(notes, room), 1))):
        for note in said:
            note["font"] = note["font"] | {"color": colour}
            note["text"] = f"<b>{note['text']}</b>"
        notes = said if said is notes else [*notes, *said]
    room = _top(notes, room)
    names = list(_unit_names(seen, room + 2))
    tallest = max((_tall_px(note) for note in names), default=0.0)
    return [*notes, *names], room + tallest + 4


def _top(notes: Sequence[Annotation], otherwise: float) -> float:
    return max((note["yshift"] + LINE_PX for note in notes), default=otherwise)


def _step_words(step_mm: float, units: Units) -> str:
    if not step_mm:
        return "no step"
    return f"{'up' if step_mm > 0 else 'down'} {length(abs(step_mm), units)}"


def _unit_names(seen: ZonesRun, start_px: float) -> Iterator[Annotation]:
    """Yield the units' names: upright where they are too narrow, every second where narrower."""
    names = [cut_text(placed.unit.name, UNIT_LETTERS) for placed in seen.units]
    wide = [_px(seen, placed.right_mm - placed.left_mm) for placed in seen.units]
    flat = all(letters_px(n, LETTERS_PX) < w - 4 for n, w in zip(names, wide, strict=True))
    end = -math.inf
    for placed, name in zip(seen.units, names, strict=True):
        middle = (placed.left_mm + placed.right_mm) / 2
        if not flat and _px(seen, middle) - end < UPRIGHT_PX:
            continue
        end = _px(seen, middle)
        yield {
            "x": middle,
            "y": 1,
            "yref": "paper",
            "yanchor": "bottom",
            "yshift": start_px,
            "text": chart_text(name),
            "textangle": 0 if flat else -90,
            "showarrow": False,
            "font": {"size": LETTERS_PX, "color": FAINT_INK},
            "borderpad": 0,
            "name": name,
        }


def _tall_px(note: Annotation) -> float:
    return letters_px(note["name"], LETTERS_PX) if note["textangle"] else LINE_PX


def _lines_below(seen: ZonesRun) -> list[Annotation]:
    """Return the names of joints and steps of the floor, and what was not surveyed."""
    x = seen.floor.x_mm.tolist()
    ends = [(x[s.start], x[s.stop - 1]) for s in seen.floor.stretches()]
    edges = [x[0], *(edge for stretch in ends for edge in stretch), x[-1]]
    gaps = [(a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if b > a]
    unread = [((a + b) / 2, "not surveyed") for a, b in gaps]
    said = [(at, cut_text(name, UNIT_LETTERS)) for name, at in (*seen.joints, *seen.floor_steps)]
    return _in_lanes(seen, [*said, *unread], 3.0, 0)
