"""Which heights of the base these packers can make, what stops them, and how many they need."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import pandas as pd
import plotly.graph_objects as go

from kit.answer import Answer
from kit.base.datum import Datum, Window, front_lift_mm, height_window, packer_kinds
from kit.base.stacks import PackerKind, StackRules, optimise_stacks, piece_curve
from kit.show import paint
from kit.show.chart import Chart, Trace, axis, layout, title_text
from kit.show.lengths import Units, axis_ticks, length, length_with_unit
from kit.show.table import Head, Table, records

#: How far beyond the wish of the job the picture reaches, in widths of that wish, and at least
#: [mm].
BEYOND, BEYOND_MM = 0.75, 12.0


@dataclass(frozen=True, eq=False)
class Reach:
    """What the packers can make under the layout of an answer, whatever the job wishes.

    Parameters
    ----------
    asked_mm : tuple of float
        Lowest and highest base top above the high point that the job asks for [mm].
    feasible_mm : tuple of (float, float)
        All heights that the packers can make, their number taken as unlimited [mm].
    binding_low, binding_high : str
        What stops a lower and a higher base.
    curve : DataFrame
        from_mm, to_mm, pieces: the fewest packers at each height.
    """

    asked_mm: tuple[float, float]
    feasible_mm: tuple[tuple[float, float], ...]
    binding_low: str
    binding_high: str
    curve: pd.DataFrame

    @property
    def low_mm(self) -> float:
        """Lowest height that the packers can make [mm]."""
        return self.feasible_mm[0][0]

    @property
    def high_mm(self) -> float:
        """Greatest height that the packers can make [mm]."""
        return self.feasible_mm[-1][1]


def reach(answer: Answer, asked_mm: tuple[float, float] | None = None) -> Reach:
    """Find every height that the packers can make, beyond the wish of the job too.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    asked_mm : tuple of float, optional
        The job's wish; that of the answer's base unless given.

    Returns
    -------
    Reach

    Raises
    ------
    Refusal
        Where no height at all can be made.
    """
    base, layout, datum = answer.base, answer.layout, answer.datum
    # No wish: from the thinnest stack that is allowed to the longest.
    lowest = base.bearer.thickness_mm + base.minimum_pack_mm
    highest = base.bearer.thickness_mm + base.max_stack_mm + base.tolerance_mm
    free = base.model_copy(update={"height_mm": (lowest, max(lowest, highest))})
    window = height_window(answer.job, free, answer.ground.known, datum.high_point_mm, layout)
    kinds = [
        replace(kind, count=None) for kind in packer_kinds(answer.job.stock) if kind.count != 0
    ]
    plan = optimise_stacks(*_problem(answer, window, kinds))
    whole = Datum(window, plan, datum.high_point_mm, datum.bearer_mm)
    curve = piece_curve(*_problem(answer, window, kinds))
    up = datum.bearer_mm - datum.high_point_mm
    return Reach(
        base.height_range_mm if asked_mm is None else asked_mm,
        whole.feasible_heights_mm,
        _without_wish(whole.binding_low),
        _without_wish(whole.binding_high),
        curve.assign(from_mm=curve["from_mm"] + up, to_mm=curve["to_mm"] + up),
    )


def _problem(answer: Answer, window: Window, kinds: list[PackerKind]) -> tuple[Any, ...]:
    base, supports = answer.base, answer.supports
    rules = StackRules(
        tolerance_mm=base.tolerance_mm,
        max_pieces=base.max_pieces,
        max_stack_mm=base.max_stack_mm,
        minimum_pack_mm=base.minimum_pack_mm,
    )
    return (
        list(supports["support"]),
        supports["floor_mm"].to_numpy(),
        front_lift_mm(base) * supports["lift_share"].to_numpy(),
        window.low.datum_mm,
        window.high.datum_mm,
        kinds,
        rules,
    )


def _without_wish(binding: str) -> str:
    """Put the picture's own outer ends into the words of what they stand for."""
    if binding.startswith("lowest height asked for"):
        return "thinnest pack that is allowed under the bearer"
    if binding.startswith("greatest height asked for"):
        return "longest stack that is allowed"
    return binding


def bounds_sentences(answer: Answer, found: Reach) -> tuple[str, str]:
    """Return what stops the base at both ends, within the job's wish and beyond it."""
    units, datum = answer.job.units, answer.datum
    low, high = datum.feasible_heights_mm[0][0], datum.feasible_heights_mm[-1][1]
    return (
        f"As asked: from {length_with_unit(low, units)} ({datum.binding_low})"
        f" to {length_with_unit(high, units)} ({datum.binding_high}).",
        f"These packers reach from {length_with_unit(found.low_mm, units)} ({found.binding_low})"
        f" to {length_with_unit(found.high_mm, units)} ({found.binding_high}).",
    )


def height_window_chart(answer: Answer, found: Reach | None = None) -> Chart:
    """Draw the packers needed over the height of the base, with the height that was chosen.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    found : Reach, optional
        From `reach`; worked out here unless given.

    Returns
    -------
    Chart
    """
    found = reach(answer) if found is None else found
    units, datum = answer.job.units, answer.datum
    low, high = found.asked_mm
    beyond = max(BEYOND * (high - low), BEYOND_MM)
    ends = (max(found.low_mm, low - beyond), min(found.high_mm, high + beyond))
    shown = found.curve[(found.curve["to_mm"] >= ends[0]) & (found.curve["from_mm"] <= ends[1])]
    top = float(max(shown["pieces"].max(), answer.pieces))
    drawn = layout(
        title_text("Height of the base and packers needed", bounds_sentences(answer, found)),
        250,
        100,
    )
    drawn |= {
        "xaxis": axis(
            f"height of the base top above the high point [{units}]",
            range=[ends[0] - 0.5, ends[1] + 0.5],
            **axis_ticks(ends[0], ends[1], units, 14),
        ),
        "yaxis": axis("packers in all stacks", range=[0, 1.18 * top], nticks=6),
        "shapes": [_asked_band(low, high)],
    }
    traces = [_curve_trace(shown), _chosen_trace(answer, units), _asked_trace()]
    figure = go.Figure(traces, drawn)
    figure.layout.meta = {"chosen_mm": datum.base_height_mm}
    return Chart(figure)


def _curve_trace(curve: pd.DataFrame) -> Trace:
    x: list[float | None] = []
    y: list[float | None] = []
    last = float("nan")
    for start, end, pieces in zip(curve["from_mm"], curve["to_mm"], curve["pieces"], strict=True):
        if start - last > 1e-6:
            x.append(None)
            y.append(None)
        x += [float(start), float(end)]
        y += [float(pieces), float(pieces)]
        last = float(end)
    return {
        "type": "scatter",
        "meta": "curve",
        "name": "fewest packers",
        "x": x,
        "y": y,
        "mode": "lines",
        "line": {"color": paint.INK, "width": 1.8},
        "hovertemplate": "%{x:.1f} mm: %{y:.0f} packers<extra></extra>",
    }


def _chosen_trace(answer: Answer, units: Units) -> Trace:
    height = answer.datum.base_height_mm
    text = f"<b>chosen {length_with_unit(height, units)}: {answer.pieces} packers</b>"
    return {
        "type": "scatter",
        "meta": "chosen",
        "name": "chosen height",
        "x": [height, height],
        "y": [0, answer.pieces],
        "mode": "lines+markers+text",
        "text": ["", text],
        "textposition": "bottom right",
        "textfont": {"size": 12, "color": paint.MARK},
        "marker": {"symbol": "diamond", "size": [0, 13], "color": paint.MARK},
        "line": {"color": paint.MARK, "width": 2.5, "dash": "dash"},
        "hoverinfo": "skip",
    }


def _asked_band(low: float, high: float) -> dict[str, Any]:
    return {
        "type": "rect",
        "x0": low,
        "x1": high,
        "y0": 0,
        "y1": 1,
        "yref": "y domain",
        "fillcolor": "rgba(15, 92, 140, 0.10)",
        "line": {"color": paint.ACCENT, "width": 1, "dash": "dot"},
        "layer": "below",
    }


def _asked_trace() -> Trace:
    """Name the band of the wish in the legend."""
    return {
        "type": "scatter",
        "meta": "asked",
        "name": "asked for in job.toml",
        "x": [None],
        "y": [None],
        "mode": "markers",
        "marker": {
            "symbol": "square",
            "size": 13,
            "color": "rgba(15, 92, 140, 0.16)",
            "line": {"color": paint.ACCENT, "width": 1},
        },
    }


def height_window_table(answer: Answer, found: Reach | None = None) -> Table:
    """Return the numbers of `height_window_chart`, the cheapest heights first.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    found : Reach, optional
        From `reach`; worked out here unless given.

    Returns
    -------
    Table
    """
    found = reach(answer) if found is None else found
    units = answer.job.units
    low, high = found.asked_mm
    inside = found.curve[(found.curve["to_mm"] >= low) & (found.curve["from_mm"] <= high)]
    first = inside.assign(wide=inside["to_mm"] - inside["from_mm"]).sort_values(
        ["pieces", "from_mm"], kind="stable"
    )
    rows = [
        (
            length(max(float(one["from_mm"]), low), units),
            length(min(float(one["to_mm"]), high), units),
            f"{int(one['pieces'])}",
        )
        for one in records(first.head(8))
    ]
    return Table(
        "Heights within what is asked for that need fewest packers",
        (Head("from", units), Head("to", units), Head("packers", "count")),
        tuple(rows),
        note=" ".join(bounds_sentences(answer, found)),
    )
