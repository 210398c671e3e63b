"""How far each support is off one level: as read, and after the fewest changes."""

from __future__ import annotations

from typing import Any

import pandas as pd
import plotly.graph_objects as go

from kit.as_built import Checked
from kit.as_built.judged import CONTRADICT
from kit.ink.as_built_words import level_said, other_level
from kit.ink.before_after import DOUBTS, drawn, greatest_mm
from kit.ink.escape import chart_text
from kit.ink.lengths import Units, plan_length, signed_small, small
from kit.ink.paint import ACCENT, FAINT_INK, GRID, INK, PAPER
from kit.job.units import MM_PER_INCH
from kit.show.chart import Chart, Drawing, Trace, axis, layout, title_text

#: Height of one row's plot and of the gap below it [px].
_ROW_PX, _GAP_PX = 160, 46

#: The axis reaches beyond all that is drawn, so that names find room.
_BEYOND = 1.35


def before_after_chart(checked: Checked) -> Chart:
    """Return the supports against the one level, a plot for each row, all at one scale.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`.

    Returns
    -------
    Chart
        Rings as read, with two standard deviations either way; discs after the changes. The band
        is the tolerance.
    """
    drawing = before_after_drawing(checked)
    return Chart(go.Figure(drawing.traces, drawing.layout))


def before_after_drawing(checked: Checked) -> Drawing:
    """Return what `before_after_chart` shows, for a live chart."""
    rows = _rows(checked)
    bearers = list(dict.fromkeys(rows["bearer"]))
    traces = [
        trace
        for place, bearer in enumerate(bearers, start=1)
        for trace in _traces(rows[rows["bearer"] == bearer], place, checked.answer.job.units)
    ]
    return Drawing(traces, _layout(checked, rows, bearers))


def _rows(checked: Checked) -> pd.DataFrame:
    """Return the supports that were read: with before, after and sd in the job's units."""
    rows = drawn(checked)
    scale = 1.0 if checked.answer.job.units == "mm" else 1 / MM_PER_INCH
    scaled = {"before": rows["before_mm"] * scale, "after": rows["after_mm"] * scale}
    return rows.assign(**scaled, sd=rows["sd_mm"] * scale)


def _traces(of_row: pd.DataFrame, place: int, units: Units) -> list[Trace]:
    axes: Trace = {"xaxis": "x", "yaxis": f"y{place}" if place > 1 else "y", "type": "scatter"}
    crossed, of_row = of_row[of_row["crossed"]], of_row[~of_row["crossed"]]
    along = of_row["own_x_mm"].tolist()
    opened = of_row[of_row["changed"]]
    lines_x = [x for one in opened["own_x_mm"] for x in (one, one, None)]
    lines_y = [
        y
        for before, after in zip(opened["before"], opened["after"], strict=True)
        for y in (before, after, None)
    ]
    first = place == 1
    line = {"color": INK, "width": 1.5, "dash": "dot"}
    return [
        {**axes, "meta": "change", "mode": "lines", "x": lines_x, "y": lines_y, "line": line,
         "hoverinfo": "skip", "showlegend": False},
        {**axes, "meta": "before", "mode": "markers", "name": "as read, ± 2 sd", "x": along,
         "y": of_row["before"].tolist(),
         "marker": {"size": 7, "color": PAPER, "line": {"color": INK, "width": 1.5}},
         "error_y": {"array": (DOUBTS * of_row["sd"]).tolist(), "color": FAINT_INK,
                     "thickness": 1.2, "width": 5},
         "hovertext": [_hover(one, units) for one in of_row.to_dict("records")],
         "hoverinfo": "text", "showlegend": first},
        {**axes, "meta": "names", "mode": "text", "x": along, "y": _beyond_doubt(of_row),
         "text": [chart_text(name) for name in of_row["support"]],
         "textposition": [_side(off) for off in of_row["before"]], "textfont": {"size": 11},
         "hoverinfo": "skip", "showlegend": False},
        {**axes, "meta": "after", "mode": "markers", "name": "after the changes",
         "x": opened["own_x_mm"].tolist(), "y": opened["after"].tolist(),
         "marker": {"size": 8, "color": ACCENT}, "hoverinfo": "skip",
         "showlegend": first},
        *([_crossed(crossed, axes)] if len(crossed) else []),
    ]  # fmt: skip


def _crossed(of_row: pd.DataFrame, axes: Trace) -> Trace:
    """Return supports whose readings contradict: on the level, crossed out, for nobody knows."""
    return {
        **axes, "meta": "crossed", "mode": "markers+text", "showlegend": False,
        "x": of_row["own_x_mm"].tolist(), "y": [0.0] * len(of_row),
        "marker": {"size": 12, "symbol": "circle-x-open", "color": INK, "line": {"width": 1.5}},
        "text": [f"{chart_text(name)} read again" for name in of_row["support"]],
        "textposition": "top center", "textfont": {"size": 11}, "hoverinfo": "text",
        "hovertext": [f"<b>{chart_text(name)}</b><br>{CONTRADICT}" for name in of_row["support"]],
    }  # fmt: skip


def _beyond_doubt(of_row: pd.DataFrame) -> list[float]:
    """Return where names begin: at the end of the doubt's bar, on the side where they stand."""
    reach = DOUBTS * of_row["sd"]
    return (of_row["before"] + reach.where(of_row["before"] >= 0, -reach)).tolist()


def _side(off: float) -> str:
    """Return where a name stands: away from the level, so that no change is drawn through it."""
    return "bottom center" if off < 0 else "top center"


def _hover(one: dict[Any, Any], units: Units) -> str:
    lines = [
        f"<b>{chart_text(one['support'])}</b>, {plan_length(one['own_x_mm'], units)} {units} along",
        f"as read {signed_small(one['before_mm'], units)} ± {small(one['sd_mm'], units)} {units}",
    ]
    if one["changed"]:
        lines.append(f"after {signed_small(one['after_mm'], units)} {units}")
    return "<br>".join((*lines, one["verdict"]))


def _layout(checked: Checked, rows: pd.DataFrame, bearers: list[str]) -> dict[str, Any]:
    units = checked.answer.job.units
    limit = checked.tolerance_mm / (1.0 if units == "mm" else MM_PER_INCH)
    most = _BEYOND * greatest_mm(rows, checked.tolerance_mm)
    most = most if units == "mm" else most / MM_PER_INCH
    tall = len(bearers) * (_ROW_PX + _GAP_PX) - _GAP_PX
    title = f"How level the finished base is: {checked.answer.job.short_title}"
    whole = layout(title_text(title, [level_said(checked), *other_level(checked)]), tall, 96)
    whole["shapes"], whole["annotations"] = [], []
    for place, bearer in enumerate(bearers, start=1):
        top = 1 - (place - 1) * (_ROW_PX + _GAP_PX) / tall
        name = f"y{place}" if place > 1 else "y"
        side = axis(
            f"off [{units}]", range=[-most, most], domain=[max(top - _ROW_PX / tall, 0.0), top]
        )
        whole[f"yaxis{place}" if place > 1 else "yaxis"] = {**side, "anchor": "x", "nticks": 5}
        whole["shapes"] += [_band(name, -limit, limit), _level(name)]
        whole["annotations"].append(_heading(f"row {bearer}", top))
    whole["xaxis"] = axis(
        f"along the run [{units}]", anchor="free", position=0, **_along_ticks(rows, units)
    )
    return whole


def _along_ticks(rows: pd.DataFrame, units: Units) -> dict[str, Any]:
    if units == "mm":
        return {}
    last = int(rows["own_x_mm"].max() / MM_PER_INCH)
    step = max(12, 12 * (last // 96))
    ticks = list(range(0, last + 1, step))
    return {"tickvals": [tick * MM_PER_INCH for tick in ticks], "ticktext": [f"{t}" for t in ticks]}


def _band(name: str, low: float, high: float) -> dict[str, Any]:
    return {
        "type": "rect", "xref": "paper", "yref": name, "x0": 0, "x1": 1, "y0": low, "y1": high,
        "fillcolor": GRID, "line": {"width": 0}, "layer": "below",
    }  # fmt: skip


def _level(name: str) -> dict[str, Any]:
    return {
        "type": "line", "xref": "paper", "yref": name, "x0": 0, "x1": 1, "y0": 0, "y1": 0,
        "line": {"color": INK, "width": 1}, "layer": "below",
    }  # fmt: skip


def _heading(text: str, top: float) -> dict[str, Any]:
    return {
        "text": f"<b>{chart_text(text)}</b>", "xref": "paper", "yref": "paper", "x": 0, "y": top,
        "xanchor": "left", "yanchor": "bottom", "showarrow": False,
    }  # fmt: skip
