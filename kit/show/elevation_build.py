"""What is built in an elevation: packers, bearer, levels, plinth, names of stacks, units."""

from __future__ import annotations

from collections.abc import Iterator

from kit.answer import Answer
from kit.show import paint
from kit.show.chart import Trace, bars, polygons
from kit.show.lengths import length, length_with_unit, nominal, signed_small
from kit.show.scale import Scale, label_lanes
from kit.show.section import Section, Stack

#: A packer drawn less tall than this on a narrow page has no figure in it [px].
WRITTEN_PX = 7.0

#: Thin lines over the colour of a bar, which stays.
_OVER = {"fillmode": "overlay", "solidity": 0.15}

#: Letters below the floor stay readable where a line runs through them.
_HALO = ", ".join(f"{x}px {y}px 2px {paint.FLOOR}" for x in (-1, 0, 1) for y in (-1, 0, 1))


def units_traces(part: Section) -> Iterator[Trace]:
    """Yield the units' lower part, then their sides and divisions: one outline each."""
    units, low = part.row.units, part.top_mm
    bodies = [_box(p.left_mm, p.right_mm, low, p.unit.height_mm) for p in units]
    yield _filled("units", bodies, paint.UNIT)
    panels = [
        _box(
            panel.x_mm - panel.thickness_mm / 2,
            panel.x_mm + panel.thickness_mm / 2,
            low,
            placed.unit.height_mm,
        )
        for placed in units
        for panel in placed.panels
    ]
    yield _filled("panels", panels, paint.PANEL) | {"name": "unit side or division"}


def _box(left: float, right: float, low: float, tall: float) -> list[tuple[float, float]]:
    return [(left, low), (right, low), (right, low + tall), (left, low + tall)]


def _filled(kind: str, shapes: list[list[tuple[float, float]]], colour: str) -> Trace:
    """Return filled outlines as one trace, which is drawn much faster than bars."""
    x, y = polygons(shapes)
    return {
        "type": "scatter",
        "meta": kind,
        "x": x,
        "y": y,
        "mode": "lines",
        "fill": "toself",
        "fillcolor": colour,
        "line": {"color": paint.UNIT_LINE, "width": 1},
        "hoverinfo": "skip",
    }


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


def packers_trace(answer: Answer, part: Section, scale: Scale) -> Trace:
    """Return all packers of a row, each to scale, with its printed size in it."""
    packers = answer.job.stock.packers
    tone_of = paint.packer_tones([packer.thickness_mm for packer in packers])
    slabs = [slab for stack in part.stacks for slab in stack.slabs]
    tones = [tone_of[slab.kind] for slab in slabs]
    least = WRITTEN_PX / (scale.enlargement * scale.narrow_px_per_mm)
    return bars(
        "packers",
        [slab.x_mm for slab in slabs],
        [slab.bottom_mm for slab in slabs],
        y=[slab.thickness_mm for slab in slabs],
        width=answer.layout.packer_size_mm[0],
        text=[nominal(packers[s.kind].mm) if s.thickness_mm >= least else "" for s in slabs],
        textposition="inside",
        insidetextanchor="middle",
        textangle=0,
        insidetextfont={"color": [paint.ink_on(tone) for tone in tones], "size": 10},
        marker={"color": tones, "line": {"color": paint.INK, "width": 0.8}},
        customdata=[[s.support, s.position, nominal(packers[s.kind].mm)] for s in slabs],
        hovertemplate="%{customdata[0]}, packer %{customdata[1]} from the floor up: "
        "%{customdata[2]} mm"
        "<extra></extra>",
    )


def packer_keys(answer: Answer) -> Iterator[Trace]:
    """Yield what the legend shows of each kind of packer; nothing of it is drawn."""
    packers = answer.job.stock.packers
    tones = paint.packer_tones([packer.thickness_mm for packer in packers])
    for packer, tone in zip(packers, tones, strict=True):
        measured = "" if packer.measured_mm is None else f" (is {packer.thickness_mm:g})"
        name = f"packer {nominal(packer.mm)} mm{measured}"
        look = {"color": tone, "line": {"color": paint.INK, "width": 0.8}}
        yield bars("key", [None], [None], y=[None], name=name, marker=look)


def levels_trace(answer: Answer, part: Section, scale: Scale) -> Trace:
    """Return the lines of base top and underside, with their heights to the right of the run."""
    units = answer.job.units
    # Letters at the very end of the axis are hidden when rounding puts them beyond it; and one
    # line without a gap, because letters beside a gap get lost when a chart is drawn again.
    end = scale.right_mm - 0.001 * (scale.right_mm - scale.left_mm)
    top, under = part.top_mm, part.underside_mm
    return {
        "type": "scatter",
        "meta": "levels",
        "x": [scale.left_mm, end, end, scale.left_mm],
        "y": [top, top, under, under],
        "mode": "lines+text",
        "text": ["", f" base top {length(top, units)}", f" underside {length(under, units)}", ""],
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


def stack_names_traces(answer: Answer, part: Section, scale: Scale) -> Iterator[Trace]:
    """Yield name and height of each stack, below it, lower where names would touch."""
    units, stacks = answer.job.units, part.stacks
    down = ["┊<br>┊<br>" * lane for lane in label_lanes(part, scale.narrow_px_per_mm)]
    # Plain letters are drawn in half the time of marked ones: hence two traces, and markers that
    # are not seen to push the letters down from the floor's line.
    for kind, texts, weight, push in (
        ("stack names", [stack.support for stack in stacks], "bold", 12),
        ("stack heights", [length(s.height_mm, units) for s in stacks], "normal", 39),
    ):
        yield {
            "type": "scatter",
            "meta": kind,
            "x": [stack.x_mm for stack in stacks],
            "y": [stack.floor_mm for stack in stacks],
            "mode": "markers+text",
            "marker": {"size": push, "opacity": 0},
            "text": [lower + text for lower, text in zip(down, texts, strict=True)],
            "textposition": "bottom center",
            "textfont": {"size": 11, "color": paint.INK, "shadow": _HALO, "weight": weight},
            "cliponaxis": False,
            "hoverinfo": "skip",
        } | ({} if kind == "stack heights" else _stack_hover(answer, part))


def _stack_hover(answer: Answer, part: Section) -> Trace:
    return {
        "hoverinfo": "all",
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
