"""The menu of a base in zones: what each number of zones takes, and which cannot be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby

from kit.base.stack_rules import to_mm
from kit.ink.escape import chart_text
from kit.ink.lengths import Units
from kit.ink.paint import FAINT_INK, INK
from kit.levels.menu import Choice
from kit.show.chart import Drawing, Trace, axis, layout, title_text
from kit.show.large_floor.zones_tables import reason

#: Height of the picture [px].
TALL_PX = 200.0

#: From so many bars on their figures stand upright, and from so many only the table has them.
UPRIGHT_FROM, NONE_FROM = 18, 40

#: Times the highest bar that the picture is high: figures stand on the bars.
HEAD_ROOM = 1.35

#: Grounds of the runs' bars: each differs in its tone and in its hatching.
_GROUNDS = (
    ("#5d6872", ""), ("#c9d3d9", "/"), ("#e9e2d2", "."), ("#8f9ba3", "x"),
    ("#f4f6f7", "\\"), ("#b59f7c", "-"), ("#dfe5e8", "|"), ("#74808a", "+"),
)  # fmt: skip

#: What stands where a number of zones cannot be.
CANNOT = "✗"


def menu_drawing(menu: Sequence[Choice], taken: Mapping[str, int], units: Units = "mm") -> Drawing:
    """Return the packing of each number of zones as bars, crosses where it cannot be.

    Parameters
    ----------
    menu : sequence of Choice
        Run by run, each from one zone on.
    taken : mapping of str to int
        How many zones each run was parted into; their bars have a heavy rim and ✓.
    units : {"mm", "in"}
        Of the words that say why a number cannot be.

    Returns
    -------
    Drawing
        A trace a run.
    """
    by_run = [(run, list(choices)) for run, choices in groupby(menu, lambda one: one.run)]
    traces = [
        _bars(run, choices, taken.get(run, 0), number, len(menu))
        | {"hovertext": [_told(choice, units) for choice in choices]}
        for number, (run, choices) in enumerate(by_run)
    ]
    most = max((choice.zones for choice in menu), default=1)
    highest = max((_metres(choice) for choice in menu), default=0.0) or 1.0
    sentence = f"{CANNOT}: that number cannot be; the table below says why. ✓: taken."
    drawn = layout(title_text("How many zones, each run by itself", [sentence]), TALL_PX, 100)
    step = max(1, -(-most // 25))
    across = axis("zones in the run", range=[0.5, most + 0.5], dtick=step, tick0=1, showgrid=False)
    up = axis("packing [m]", range=[0.0, highest * HEAD_ROOM])
    legend = drawn["legend"] | {"entrywidth": 90}
    bars = {"barmode": "group", "bargap": 0.25, "bargroupgap": 0.08, "legend": legend}
    return Drawing(traces, drawn | bars | {"xaxis": across, "yaxis": up})


def _metres(choice: Choice) -> float:
    return 0.0 if choice.why_not else float(to_mm(choice.packing)) / 1000


def _bars(run: str, choices: Sequence[Choice], taken: int, number: int, bars: int) -> Trace:
    colour, hatching = _GROUNDS[number % len(_GROUNDS)]
    here = [choice.zones == taken for choice in choices]
    return {
        "type": "bar",
        "meta": f"menu of {run}",
        "xaxis": "x",
        "name": f"run {chart_text(run)}",
        "x": [choice.zones for choice in choices],
        "y": [_metres(choice) for choice in choices],
        "text": [_words(choice, its, bars) for choice, its in zip(choices, here, strict=True)],
        "textposition": "outside",
        "textangle": -90 if bars >= UPRIGHT_FROM else 0,
        "textfont": {"size": 11, "color": INK},
        "cliponaxis": False,
        "constraintext": "none",
        "marker": {
            "color": colour,
            "pattern": {"shape": hatching, "fgcolor": INK, "bgcolor": colour, "size": 6},
            "line": {"color": INK, "width": [3.0 if its else 0.8 for its in here]},
        },
        "hovertemplate": "%{hovertext}<extra></extra>",
        "hoverlabel": {"bordercolor": FAINT_INK},
        "showlegend": True,
    }


def _words(choice: Choice, taken: bool, bars: int) -> str:
    if choice.why_not:
        return CANNOT
    figure = "" if bars >= NONE_FROM else f"{_metres(choice):.2f}"
    between = " " if bars >= UPRIGHT_FROM else "<br>"
    return f"<b>✓{between}{figure}</b>" if taken else figure


def _told(choice: Choice, units: Units) -> str:
    zones = f"{choice.zones} zone{'s' if choice.zones > 1 else ''}"
    if choice.why_not:
        why = chart_text(reason(choice, units))
        return f"run {chart_text(choice.run)}, {zones} cannot be:<br>{why}"
    return (
        f"run {chart_text(choice.run)}, {zones}:<br>{_metres(choice):.2f} m of packing,"
        f" {choice.pieces} packers"
    )
