"""Elevations: each bearer row seen from the front, packer by packer, heights enlarged."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import plotly.graph_objects as go

from kit.answer import Answer
from kit.job import refuse
from kit.show.chart import Chart, Trace, axis, layout, title_text
from kit.show.elevation_build import packer_keys
from kit.show.elevation_traces import break_line, row_traces, unit_names
from kit.show.escape import chart_text
from kit.show.lengths import axis_ticks, length_with_unit
from kit.show.scale import PAGE, Paper, Scale, scale_of
from kit.show.section import Section, profile, run_length_mm, section, sections

#: Between two rows: axis, title of the next [px].
BETWEEN_PX = 74.0

_ROW_WORDS = {"B": "back row", "M": "middle row", "F": "front row", "D": "further row"}


@dataclass(frozen=True)
class Drawing:
    """Traces and layout of the elevations of one run, before a chart is made of them."""

    traces: list[Trace]
    layout: dict[str, Any]


def elevation(answer: Answer, bearer: str) -> Chart:
    """Draw the elevation of one bearer row.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    bearer : str
        Name of the bearer, such as ``"B"`` or ``"A-F"``.

    Returns
    -------
    Chart
        Floor with its doubt, stacks packer by packer, bearer with its joints, the lower part of
        the units; heights are enlarged, and the title says how many times.

    Raises
    ------
    Refusal
        If there is no such bearer.
    """
    for row in answer.layout.rows:
        if row.name == bearer:
            parts = [section(answer, row, profile(answer, row))]
            return _chart(draw(answer, row.run, parts, PAGE))
    names = ", ".join(repr(row.name) for row in answer.layout.rows)
    raise refuse("elevation", repr(bearer), f"one of {names}")


def elevations(answer: Answer, run: str | None = None, paper: Paper = PAGE) -> Chart:
    """Draw the elevations of all rows of a run below each other, to one scale.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    run : str, optional
        Name of the run; the first one unless given.
    paper : Paper
        Widths and height to draw for.

    Returns
    -------
    Chart

    Raises
    ------
    Refusal
        If there is no such run.
    """
    names = [one.name for one in answer.job.runs]
    name = names[0] if run is None else run
    if name not in names:
        raise refuse("elevations", repr(run), "one of " + ", ".join(map(repr, names)))
    return _chart(draw(answer, name, sections(answer, name), paper))


def _chart(drawing: Drawing) -> Chart:
    return Chart(go.Figure(drawing.traces, drawing.layout))


def draw(
    answer: Answer,
    run: str,
    parts: Sequence[Section],
    paper: Paper,
    room_mm: float | None = None,
) -> Drawing:
    """Draw rows of a run below each other.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    run : str
        Name of the run.
    parts : sequence of Section
        The rows to draw, from the top of the page down.
    paper : Paper
        Widths and height to draw for.
    room_mm : float, optional
        Base top above the high point for which there is room at least, so that the scale stays
        when the height changes below it; the greatest that the base allows unless given [mm].

    Returns
    -------
    Drawing
        With the same number of traces for the same rows, whatever the height of the base.
    """
    room = answer.base.height_range_mm[1] if room_mm is None else room_mm
    top = answer.datum.high_point_mm + room
    scale = scale_of(parts, run_length_mm(answer, run), top, paper)
    traces = [{"xaxis": "x", "yaxis": "y", **key} for key in packer_keys(answer)] + [
        trace
        for number, part in enumerate(parts, start=1)
        for trace in row_traces(answer, part, scale, number)
    ]
    _name_once(traces)
    count = len(parts)
    whole = count * scale.plot_px + (count - 1) * BETWEEN_PX
    drawn = layout(_title(answer, run, parts, scale), whole, 172, right_px=98)
    drawn |= {
        "barmode": "overlay",
        "annotations": [*_annotations(answer, parts, scale)],
        "uniformtext": {"minsize": 8, "mode": "hide"},
        "shapes": [one for n in range(1, count + 1) for one in break_line(scale, n)],
    }
    for number, part in enumerate(parts, start=1):
        top = 1 - (number - 1) * (scale.plot_px + BETWEEN_PX) / whole
        domain = [max(top - scale.plot_px / whole, 0.0), min(top, 1.0)]
        drawn |= _axes(answer, part, scale, number, domain, last=number == count)
    return Drawing(traces, drawn)


def _name_once(traces: Sequence[Trace]) -> None:
    """Let the legend name each kind of trace once, where it first has a name."""
    named: set[str] = set()
    for trace in traces:
        name = trace.get("name")
        trace["showlegend"] = name is not None and name not in named
        named |= {name} if name is not None else set()


def _title(answer: Answer, run: str, parts: Sequence[Section], scale: Scale) -> str:
    what = f"Row {parts[0].row.name}" if len(parts) == 1 else f"All rows of run {run}"
    return title_text(
        f"{what}, seen from the room: floor, stacks, bearer, units",
        [
            f"Heights, above {_zero(answer)}, are drawn {scale.enlargement} times larger than"
            " lengths.",
            "Dark band along the floor: its doubt, ±2 standard deviations (the floor lies in it"
            " 95 times in 100). Below each stack: name and height.",
        ],
    )


def _axes(
    answer: Answer,
    part: Section,
    scale: Scale,
    number: int,
    domain: list[float],
    *,
    last: bool,
) -> dict[str, Any]:
    units, suffix = answer.job.units, "" if number == 1 else str(number)
    along = f"along run {part.row.run} from its left end [{units}]" if last else ""
    low, high = scale.low_mm, scale.high_mm
    return {
        f"xaxis{suffix}": axis(
            along,
            range=[scale.left_mm, scale.right_mm],
            anchor=f"y{suffix}",
            showgrid=False,
            **axis_ticks(scale.left_mm, scale.right_mm, units, 12),
        ),
        f"yaxis{suffix}": axis(
            f"height [{units}]",
            range=[low, high],
            domain=domain,
            anchor=f"x{suffix}",
            scaleanchor=f"x{suffix}",
            scaleratio=scale.enlargement,
            constrain="range",
            constraintoward="bottom",
            **axis_ticks(low, high, units, 7),
        ),
    }


def _zero(answer: Answer) -> str:
    benchmark = answer.job.floor.benchmark
    if benchmark is None:
        return "the highest reading"
    return benchmark if answer.job.floor.benchmark_mm == 0 else "zero"


def _annotations(
    answer: Answer, parts: Sequence[Section], scale: Scale
) -> Iterator[dict[str, Any]]:
    for number, part in enumerate(parts, start=1):
        suffix = "" if number == 1 else str(number)
        word = _ROW_WORDS[part.row.label]
        yield {
            "text": f"<b>{chart_text(part.row.name)}</b>  {word},"
            f" {length_with_unit(part.row.y_mm, answer.job.units)} from the wall to its middle",
            "xref": "paper",
            "x": 0,
            "xanchor": "left",
            "yref": f"y{suffix} domain",
            "y": 1,
            "yanchor": "bottom",
            "yshift": 3,
            "showarrow": False,
            "font": {"size": 12},
        }
        if number == 1 or part.row.units != parts[number - 2].row.units:
            yield from unit_names(part, scale, number)
