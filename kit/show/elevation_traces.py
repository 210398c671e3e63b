"""The traces of one row's elevation, from the floor up."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from kit.answer import Answer
from kit.show import paint
from kit.show.chart import LETTER_PX, Trace
from kit.show.elevation_build import (
    bearer_trace,
    joints_trace,
    levels_trace,
    packers_trace,
    plinth_trace,
    stack_names_traces,
    units_traces,
)
from kit.show.elevation_ground import floor_traces, high_point_trace, no_go_trace
from kit.show.escape import chart_lines
from kit.show.scale import Scale
from kit.show.section import Section

#: Lines of a unit's name at most.
NAME_LINES = 2


def row_traces(answer: Answer, part: Section, scale: Scale, number: int) -> list[Trace]:
    """Return the traces of one row: as many at every height of the base.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    part : Section
        The row.
    scale : Scale
        Ends and enlargement.
    number : int
        Place of the row on the page, 1 at the top.

    Returns
    -------
    list of dict
        Traces for plotly; each carries its kind in ``meta``.
    """
    suffix = "" if number == 1 else str(number)
    on = {"xaxis": f"x{suffix}", "yaxis": f"y{suffix}"}
    traces = [
        *floor_traces(answer, part, scale),
        no_go_trace(part),
        *units_traces(part),
        bearer_trace(answer, part),
        packers_trace(answer, part, scale),
        levels_trace(answer, part, scale),
        plinth_trace(answer, part),
        joints_trace(part),
        high_point_trace(answer, part),
        *stack_names_traces(answer, part, scale),
    ]
    return [{**on, **trace} for trace in traces if len(trace["x"])]


def break_line(scale: Scale, number: int) -> Iterator[dict[str, Any]]:
    """Yield paper over the top of a row and the break line below it: the units go on above."""
    suffix = "" if number == 1 else str(number)
    span = scale.right_mm - scale.left_mm
    # A page that is wider than it is tall shows more than the run on both sides.
    x = np.arange(scale.left_mm - span / 2, scale.right_mm + span / 2, span / 40)
    y = np.where(np.arange(len(x)) % 2, 0.955, 0.985)
    line = "M" + "L".join(f"{across:.1f},{up:.3f}" for across, up in zip(x, y, strict=True))
    on = {"type": "path", "xref": f"x{suffix}", "yref": f"y{suffix} domain", "layer": "above"}
    paper = f"{line}L{x[-1]:.1f},1.02L{x[0]:.1f},1.02Z"
    yield {**on, "path": paper, "fillcolor": paint.PAPER, "line": {"width": 0}}
    yield {**on, "path": line, "line": {"color": paint.UNIT_LINE, "width": 1}}


def unit_names(part: Section, scale: Scale, number: int) -> list[dict[str, Any]]:
    """Return the names of a row's units as annotations below the break line."""
    suffix = "" if number == 1 else str(number)
    drawn = []
    for placed in part.row.units:
        letters = int(placed.unit.width_mm * scale.narrow_px_per_mm / LETTER_PX)
        drawn.append(
            {
                "text": chart_lines(placed.unit.name, max(letters, 3), NAME_LINES),
                "x": (placed.left_mm + placed.right_mm) / 2,
                "y": 0.93,
                "xref": f"x{suffix}",
                "yref": f"y{suffix} domain",
                "yanchor": "top",
                "showarrow": False,
                "bgcolor": "rgba(244, 246, 247, 0.85)",
                "borderpad": 1,
                "font": {"size": 11, "color": paint.FAINT_INK},
            }
        )
    return drawn
