"""The traces of one row's elevation, from the floor up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from kit.answer import Answer
from kit.job.units import MM_PER_INCH
from kit.show import paint
from kit.show.chart import LETTER_PX, Trace, polygons
from kit.show.escape import chart_lines, chart_text
from kit.show.lengths import length, length_with_unit, nominal, signed_small
from kit.show.scale import Scale, label_lanes
from kit.show.section import BAND_SD, Section, Stack

#: Lines of a unit's name at most.
NAME_LINES = 2

#: Thin lines over the colour of a bar, which stays.
_OVER = {"fillmode": "overlay", "solidity": 0.1}

#: Letters below the floor stay readable where a line runs through them.
_HALO = ", ".join(f"{x}px {y}px 2px {paint.FLOOR}" for x in (-1, 0, 1) for y in (-1, 0, 1))


def row_traces(answer: Answer, part: Section, scale: Scale, number: int) -> list[Trace]:
    """Return the traces of one row, always as many for the same stock of packers.

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
    over = {"xaxis": f"x{suffix}", "yaxis": f"y{10 + number}"}
    traces = [
        *_floor(answer, part, scale),
        _no_go(part),
        *_units(answer, part),
        _bearer(answer, part),
        *_packers(answer, part),
        *_levels(answer, part, scale),
        _plinth(answer, part, scale),
        _joints(part),
        _high_point(answer, part),
        _stack_names(answer, part, scale),
    ]
    return [*({**on, **trace} for trace in traces), *({**over, **t} for t in _break(scale))]


def _bars(kind: str, x: Sequence[float], low: Sequence[float], **more: Any) -> Trace:  # noqa: ANN401
    return {"type": "bar", "meta": kind, "x": list(x), "base": list(low), **more}


def _floor(answer: Answer, part: Section, scale: Scale) -> Iterator[Trace]:
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


def _no_go(part: Section) -> Trace:
    low = part.profile.lowest_mm
    starts, ends = [a for a, _, _ in part.closed], [b for _, b, _ in part.closed]
    return _bars(
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


def _units(answer: Answer, part: Section) -> Iterator[Trace]:
    units = part.row.units
    names = [[chart_text(placed.unit.name)] for placed in units]
    yield _bars(
        "units",
        [(placed.left_mm + placed.right_mm) / 2 for placed in units],
        [part.top_mm for _ in units],
        y=[placed.unit.height_mm for placed in units],
        width=[placed.unit.width_mm for placed in units],
        marker={"color": paint.UNIT, "line": {"color": paint.UNIT_LINE, "width": 1}},
        customdata=names,
        hovertemplate="%{customdata[0]}<extra></extra>",
    )
    panels = [(placed, panel) for placed in units for panel in placed.panels]
    yield _bars(
        "panels",
        [panel.x_mm for _, panel in panels],
        [part.top_mm for _ in panels],
        y=[placed.unit.height_mm for placed, _ in panels],
        width=[panel.thickness_mm for _, panel in panels],
        marker={"color": paint.PANEL, "line": {"color": paint.UNIT_LINE, "width": 1}},
        name="unit side or division",
        customdata=[[chart_text(placed.unit.name), panel.kind] for placed, panel in panels],
        hovertemplate="%{customdata[1]} of %{customdata[0]}<extra></extra>",
    )


def _bearer(answer: Answer, part: Section) -> Trace:
    units = answer.job.units
    return _bars(
        "bearer",
        [(a + b) / 2 for a, b in part.pieces],
        [part.underside_mm for _ in part.pieces],
        y=[part.top_mm - part.underside_mm for _ in part.pieces],
        width=[b - a for a, b in part.pieces],
        name="bearer",
        marker={
            "color": paint.TIMBER,
            "line": {"color": paint.TIMBER_LINE, "width": 1.4},
            "pattern": {**_OVER, "shape": "-", "fgcolor": paint.TIMBER_LINE, "size": 7},
        },
        customdata=[[n, length_with_unit(b - a, units)] for n, (a, b) in enumerate(part.pieces, 1)],
        hovertemplate="bearer, piece %{customdata[0]}: %{customdata[1]}<extra></extra>",
    )


def _packers(answer: Answer, part: Section) -> Iterator[Trace]:
    packers = answer.job.stock.packers
    thicknesses = [packer.thickness_mm for packer in packers]
    tones, patterns = paint.packer_tones(thicknesses), paint.packer_patterns(thicknesses)
    slabs = [slab for stack in part.stacks for slab in stack.slabs]
    for kind, packer in enumerate(packers):
        mine = [slab for slab in slabs if slab.kind == kind]
        size = nominal(packer.mm)
        measured = "" if packer.measured_mm is None else f" (is {packer.thickness_mm:g})"
        yield _bars(
            f"packer {kind}",
            [slab.x_mm for slab in mine],
            [slab.bottom_mm for slab in mine],
            y=[slab.thickness_mm for slab in mine],
            width=answer.layout.packer_size_mm[0],
            name=f"packer {size} mm{measured}",
            text=[size for _ in mine],
            textposition="inside",
            insidetextanchor="middle",
            textangle=0,
            insidetextfont={"color": paint.ink_on(tones[kind]), "size": 10},
            marker={
                "color": tones[kind],
                "line": {"color": paint.INK, "width": 0.8},
                "pattern": {
                    **_OVER,
                    "shape": patterns[kind],
                    "fgcolor": paint.ink_on(tones[kind]),
                    "size": 5,
                },
            },
            customdata=[[slab.support, slab.position] for slab in mine],
            hovertemplate=f"%{{customdata[0]}}, packer %{{customdata[1]}} from the floor: {size} mm"
            f"{measured}<extra></extra>",
        )


def _levels(answer: Answer, part: Section, scale: Scale) -> Iterator[Trace]:
    """Yield the lines of base top and underside, with their heights to the right of the run."""
    units = answer.job.units
    end = scale.right_mm
    for kind, word, level in (
        ("base top", "base top", part.top_mm),
        ("datum", "underside", part.underside_mm),
    ):
        yield {
            "type": "scatter",
            "meta": kind,
            "x": [scale.left_mm, end],
            "y": [level, level],
            "mode": "lines+text",
            "text": ["", f" {word}<br> {length_with_unit(level, units)}"],
            "textposition": "middle right",
            "textfont": {"size": 11, "color": paint.ACCENT},
            "line": {"color": paint.ACCENT, "width": 1.2, "dash": "dashdot"},
            "cliponaxis": False,
            "hoverinfo": "skip",
        }


def _plinth(answer: Answer, part: Section, scale: Scale) -> Trace:
    """Return the lower edge of the plinth board before it is cut to the floor, front row only."""
    boards = answer.plinth[answer.plinth["run"] == part.row.run]["board_mm"].dropna()
    trace: Trace = {
        "type": "scatter",
        "meta": "plinth",
        "mode": "lines",
        "x": [],
        "y": [],
        "line": {"color": paint.MARK, "width": 1.6, "dash": "dash"},
    }
    if part.row.label != "F" or not len(boards):
        return trace
    board = float(boards.iloc[0])
    text = length_with_unit(board, answer.job.units)
    return trace | {
        "x": [0.0, part.row.units[-1].right_mm],
        "y": [part.top_mm - board] * 2,
        "name": f"plinth {text}, uncut edge",
        "hovertemplate": f"plinth board {text}, lower edge before cutting<extra></extra>",
    }


def _joints(part: Section) -> Trace:
    middle = (part.top_mm + part.underside_mm) / 2
    return {
        "type": "scatter",
        "meta": "joints",
        "x": list(part.joints_mm),
        "y": [middle for _ in part.joints_mm],
        "mode": "markers",
        "marker": {"symbol": "bowtie", "size": 11, "color": paint.INK},
        "hovertemplate": "joint of the bearer<extra></extra>",
    } | ({"name": "joint of the bearer"} if part.joints_mm else {})


def _high_point(answer: Answer, part: Section) -> Trace:
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


def _stack_names(answer: Answer, part: Section, scale: Scale) -> Trace:
    units = answer.job.units
    places = label_lanes(part, scale.narrow_px_per_mm)
    return {
        "type": "scatter",
        "meta": "stack names",
        "x": [stack.x_mm for stack in part.stacks],
        "y": [stack.floor_mm for stack in part.stacks],
        # Markers that are not seen push the letters down from the floor's line.
        "mode": "markers+text",
        "marker": {"size": 12, "opacity": 0},
        "text": [
            "┊<br>┊<br>" * lane + f"<b>{stack.support}</b><br>{length(stack.height_mm, units)}"
            for lane, stack in zip(places, part.stacks, strict=True)
        ],
        "textposition": "bottom center",
        "textfont": {"size": 11, "color": paint.INK, "shadow": _HALO},
        "cliponaxis": False,
        "hovertext": [_stack_words(answer, stack) for stack in part.stacks],
        "hovertemplate": "%{hovertext}<extra></extra>",
    }


def _stack_words(answer: Answer, stack: Stack) -> str:
    units, packers = answer.job.units, answer.job.stock.packers
    pile = " + ".join(nominal(packers[slab.kind].mm) for slab in stack.slabs)
    return (
        f"<b>{stack.support}</b>, from the floor up: {pile}<br>"
        f"height {length_with_unit(stack.height_mm, units)}, wanted"
        f" {length_with_unit(stack.target_mm, units)},"
        f" error {signed_small(stack.error_mm, units)} {units}"
    )


def _break(scale: Scale) -> Iterator[Trace]:
    """Yield the break line: the units go on above it."""
    span = scale.right_mm - scale.left_mm
    x = np.arange(scale.left_mm - span, scale.right_mm + span, span / 60)
    y = np.where(np.arange(len(x)) % 2, 0.955, 0.985)
    yield {
        "type": "scatter",
        "meta": "break",
        "x": [*x.tolist(), float(x[-1]), float(x[0])],
        "y": [*y.tolist(), 1.01, 1.01],
        "mode": "lines",
        "fill": "toself",
        "fillcolor": paint.PAPER,
        "line": {"color": paint.UNIT_LINE, "width": 1},
        "hoverinfo": "skip",
    }


def unit_names(answer: Answer, part: Section, scale: Scale, number: int) -> list[dict[str, Any]]:
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
