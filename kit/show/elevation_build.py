"""What is built in an elevation: packers, bearer, levels, plinth, names of stacks, units."""

from __future__ import annotations

from collections.abc import Iterator

from kit.answer import Answer
from kit.show import paint
from kit.show.chart import Trace, bars
from kit.show.escape import chart_text
from kit.show.lengths import length, length_with_unit, nominal, signed_small
from kit.show.scale import Scale, label_lanes
from kit.show.section import Section, Stack

#: Thin lines over the colour of a bar, which stays.
_OVER = {"fillmode": "overlay", "solidity": 0.1}

#: Letters below the floor stay readable where a line runs through them.
_HALO = ", ".join(f"{x}px {y}px 2px {paint.FLOOR}" for x in (-1, 0, 1) for y in (-1, 0, 1))


def units_traces(part: Section) -> Iterator[Trace]:
    """Yield the units' lower part, then their sides and divisions."""
    units = part.row.units
    names = [[chart_text(placed.unit.name)] for placed in units]
    yield bars(
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
    yield bars(
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


def bearer_trace(answer: Answer, part: Section) -> Trace:
    """Return the bearer, one bar a piece."""
    units = answer.job.units
    return bars(
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


def packers_traces(answer: Answer, part: Section) -> Iterator[Trace]:
    """Yield one trace a kind of packer: each packer to scale, with its printed size in it."""
    packers = answer.job.stock.packers
    thicknesses = [packer.thickness_mm for packer in packers]
    tones, patterns = paint.packer_tones(thicknesses), paint.packer_patterns(thicknesses)
    slabs = [slab for stack in part.stacks for slab in stack.slabs]
    for kind, packer in enumerate(packers):
        mine = [slab for slab in slabs if slab.kind == kind]
        size = nominal(packer.mm)
        measured = "" if packer.measured_mm is None else f" (is {packer.thickness_mm:g})"
        yield bars(
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


def levels_trace(answer: Answer, part: Section, scale: Scale) -> Trace:
    """Return the lines of base top and underside, with their heights to the right of the run."""
    units, ends = answer.job.units, [scale.left_mm, scale.right_mm, None]
    levels = {"base top": part.top_mm, "underside": part.underside_mm}
    return {
        "type": "scatter",
        "meta": "levels",
        "x": ends * len(levels),
        "y": [level for mm in levels.values() for level in (mm, mm, None)],
        "mode": "lines+text",
        "text": [
            text for word, mm in levels.items() for text in ("", f" {word} {length(mm, units)}", "")
        ],
        "textposition": "middle right",
        "textfont": {"size": 11, "color": paint.ACCENT},
        "line": {"color": paint.ACCENT, "width": 1.2, "dash": "dashdot"},
        "cliponaxis": False,
        "hoverinfo": "skip",
    }


def plinth_trace(answer: Answer, part: Section) -> Trace:
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


def joints_trace(part: Section) -> Trace:
    """Return the places where two pieces of the bearer butt."""
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


def stack_names_trace(answer: Answer, part: Section, scale: Scale) -> Trace:
    """Return name and height of each stack, below it, lower where names would touch."""
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
