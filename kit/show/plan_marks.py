"""Marks on the floor map: the high point, its rivals, and where to read next."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from kit.answer import Ground
from kit.ink import paint
from kit.ink.escape import chart_text
from kit.ink.lengths import length_with_unit, small
from kit.ink.table import records
from kit.ink.words import certainty_words
from kit.job import Job
from kit.show.chart import Trace


def next_trace(found: pd.DataFrame) -> Trace:
    """Return the places to be read next, numbered in their order."""
    return {
        "type": "scatter",
        "meta": "read next",
        "name": "read next for the supports",
        "x": found["x_mm"].tolist(),
        "y": found["y_mm"].tolist(),
        "mode": "markers+text",
        "text": [f"<b>{order}</b>" for order in found["order"]],
        "textfont": {"size": 11, "color": paint.INK},
        "marker": {
            "symbol": "circle",
            "size": 19,
            "color": paint.PAPER,
            "line": {"color": paint.ACCENT, "width": 2.4},
        },
        "hovertext": [
            f"read here {one['order']}.: it helps {chart_text(one['helps'])} most"
            for one in records(found)
        ],
        "hovertemplate": "%{hovertext}<extra></extra>",
        "showlegend": bool(len(found)),
    }


def high_point_traces(job: Job, base: Ground) -> Iterator[Trace]:
    """Yield the high point, its rivals and the one reading that tells most about it."""
    high, units = base.high_point, job.units
    yield _mark(
        "high point",
        f"high point, {high.certainty:.0%} certain",
        [(high.x_mm, high.y_mm)],
        [
            f"<b>high point {length_with_unit(high.height_mm, units)}</b>"
            f" ± {small(high.sd_mm, units)}<br>{certainty_words(high.certainty)}"
        ],
        symbol="star",
        size=17,
        color=paint.MARK,
    )
    rivals = high.rivals
    yield _mark(
        "rivals",
        "rival of the high point",
        list(zip(rivals["x_mm"], rivals["y_mm"], strict=True)),
        [
            f"rival, {length_with_unit(height, units)}: highest in {share:.0%} of the draws"
            for height, share in zip(rivals["height_mm"], rivals["share"], strict=True)
        ],
        symbol="diamond",
        size=11,
        color=paint.PAPER,
    )
    reading = [high.next_reading] if high.next_reading is not None else []
    yield _mark(
        "next reading",
        "read here next",
        reading,
        ["read here next: it tells most about the high point"] * len(reading),
        symbol="x",
        size=12,
        color=paint.ACCENT,
    )


def _mark(
    kind: str,
    name: str,
    places: list[tuple[float, float]],
    texts: list[str],
    *,
    symbol: str,
    size: float,
    color: str,
) -> Trace:
    return {
        "type": "scatter",
        "meta": kind,
        "name": name,
        "x": [float(x) for x, _ in places],
        "y": [float(y) for _, y in places],
        "mode": "markers",
        "marker": {
            "symbol": symbol,
            "size": size,
            "color": color,
            "line": {"color": paint.INK, "width": 1.3},
        },
        "hovertext": texts,
        "hovertemplate": "%{hovertext}<extra></extra>",
        "showlegend": bool(places),
    }
