"""What all charts share: letters, margins, buttons, and how a notebook shows them."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import plotly.graph_objects as go

from kit.ink.escape import chart_lines, chart_text
from kit.ink.paint import FAINT_INK, GRID, INK, PAPER

Trace = dict[str, Any]

#: Buttons over a chart: a picture, nearer, further, as it was. Nothing leaves the machine.
CONFIG: Mapping[str, Any] = {
    "displaylogo": False,
    "showSendToCloud": False,
    "showEditInChartStudio": False,
    "showLink": False,
    "sendData": False,
    "plotlyServerURL": "",
    "scrollZoom": False,
    "modeBarButtons": [["toImage", "zoom2d", "pan2d", "zoomIn2d", "zoomOut2d", "resetScale2d"]],
}

FONT = {"family": "system-ui, 'Segoe UI', Roboto, Helvetica, Arial, sans-serif", "size": 12}

#: Letters that fit on a line of a title where the page is narrow (800 px).
TITLE_LETTERS = 90


@dataclass(frozen=True, eq=False)
class Chart:
    """A chart as a notebook shows it: fits its width, and has no button that leads away.

    Parameters
    ----------
    figure : Figure
        Plotly's figure, to be changed or saved by whoever likes.
    """

    figure: go.Figure

    def _repr_mimebundle_(self, **_: object) -> dict[str, Any]:
        """Return what JupyterLab draws, with the buttons of `CONFIG`."""
        drawn = json.loads(self.figure.to_json())
        return {
            "application/vnd.plotly.v1+json": {**drawn, "config": dict(CONFIG)},
            "text/plain": self.title,
        }

    @property
    def title(self) -> str:
        """First line of the chart's title."""
        text = str(self.figure.layout.title.text or "Chart")
        return text.split("<br>", maxsplit=1)[0].removeprefix("<b>").removesuffix("</b>")


@dataclass(frozen=True)
class Drawing:
    """Traces and layout, before a chart is made of them."""

    traces: list[Trace]
    layout: dict[str, Any]


def title_text(title: str, sentences: Sequence[str]) -> str:
    """Return a title with sentences below it, each broken to fit a narrow page."""
    below = "<br>".join(chart_lines(sentence, TITLE_LETTERS) for sentence in sentences if sentence)
    small = f'<br><span style="font-size:12px;color:{FAINT_INK}">{below}</span>' if below else ""
    return f"<b>{chart_text(title)}</b>{small}"


def title_lines(text: str) -> int:
    """Return how many lines a title takes."""
    return text.count("<br>") + 1


def layout(
    title: str, plot_px: float, bottom_px: float, right_px: float = 20, over_px: float = 0
) -> dict[str, Any]:
    """Return the layout that all charts start from.

    Parameters
    ----------
    title : str
        From `title_text`.
    plot_px : float
        Height of what is drawn [px].
    bottom_px, right_px : float
        Room for axis and legend below it, and to its right [px].
    over_px : float
        Room for a key between title and what is drawn [px].

    Returns
    -------
    dict
        A layout for plotly.
    """
    top = 44 + 16 * title_lines(title) + over_px
    height = round(plot_px + top + bottom_px)
    return {
        "template": "none",
        "height": height,
        "margin": {"l": 62, "r": right_px, "t": top, "b": bottom_px},
        "paper_bgcolor": PAPER,
        "plot_bgcolor": PAPER,
        "font": {**FONT, "color": INK},
        "title": {
            "text": title,
            "x": 0,
            "xref": "container",
            "pad": {"l": 12},
            "y": 1 - 16 / height,
            "yref": "container",
            "yanchor": "top",
            "font": {"size": 15, "color": INK},
        },
        "legend": {
            "orientation": "h",
            "x": 0,
            "xanchor": "left",
            "yref": "container",
            "y": (bottom_px - 50) / height,
            "yanchor": "top",
            "font": {"size": 11},
            "entrywidth": 168,
            "entrywidthmode": "pixels",
            "itemclick": False,
            "itemdoubleclick": False,
        },
        "hoverlabel": {"align": "left", "bgcolor": PAPER, "font": {**FONT, "color": INK}},
        "dragmode": "zoom",
        "modebar": {"orientation": "h", "bgcolor": "rgba(0,0,0,0)", "color": FAINT_INK},
    }


def axis(title: str, **more: Any) -> dict[str, Any]:
    """Return an axis with its title, thin grid and a line."""
    return {
        "title": {"text": chart_text(title), "standoff": 6, "font": {"size": 12}},
        "gridcolor": GRID,
        "linecolor": FAINT_INK,
        "showline": True,
        "zeroline": False,
        "ticks": "outside",
        "ticklen": 4,
        "tickfont": {"size": 11},
        "automargin": False,
        "ticklabeloverflow": "allow",  # measuring every label again costs 90 ms a change
        **more,
    }


def polygons(shapes: Sequence[Sequence[tuple[float, float]]]) -> tuple[list[Any], list[Any]]:
    """Return the x and y of closed outlines for one trace, a gap between each two."""
    x: list[Any] = []
    y: list[Any] = []
    for shape in shapes:
        if x:
            x.append(None)
            y.append(None)
        x += [place[0] for place in (*shape, shape[0])]
        y += [place[1] for place in (*shape, shape[0])]
    return x, y


def lines_trace(meta: str, name: str, x: list[Any], y: list[Any], **looks: Any) -> Trace:
    """Return lines; a kind of which there is none has no place in the key."""
    return {
        "type": "scatter",
        "meta": meta,
        "xaxis": "x",
        "name": name,
        "x": x,
        "y": y,
        "mode": "lines",
        "hoverinfo": "skip",
        "showlegend": bool(x),
        **looks,
    }
