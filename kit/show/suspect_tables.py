"""Suspect readings: what is doubted of them, and what the heights would be without them."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pandas as pd
import plotly.graph_objects as go

from kit.ink.lengths import NOTHING, Units, axis_ticks, length, number, signed_small, small
from kit.ink.paint import ACCENT, INK, MARK
from kit.ink.table import Head, Page, Table, page, records, sentences
from kit.readings import Heights, Suspect
from kit.readings.leave_out import WithoutReadings
from kit.readings.suspect import SWAPPED, reading_name
from kit.show.chart import Chart, Drawing, Trace, axis, layout, title_text
from kit.show.survey_tables import agreement_table, misfit_table

#: Points of which heights with and without a reading are shown: those that change most.
MOST_POINTS = 16


def note_list(heights: Heights) -> Page:
    """Return how the tables were understood, and what must be known about the heights."""
    marked = [f"⚠ {n}" if n in heights.cautions else n for n in heights.notes]
    notes = sentences(marked, "What must be known about these heights")
    if not heights.understood:
        return notes
    tables = sentences(
        (f"{line}." for line in heights.understood), "How the tables were understood"
    )
    return page(tables, notes)


def suspect_table(heights: Heights, units: Units = "mm") -> Table:
    """Return the readings in doubt: how wrong each seems, and the likeliest slip.

    Parameters
    ----------
    heights : Heights
        From the adjustment.
    units : {"mm", "in"}
        What lengths are shown in.
    """
    heads = (
        Head("no."),
        Head("reading", wide=True),
        Head("booked", units),
        Head("seems wrong by", units),
        Head("its doubt, 1 sd", units),
        Head("likeliest slip", wide=True),
    )
    rows = []
    for place, finding in enumerate(heights.findings, start=1):
        for choice in finding.choices:
            rows.append((f"{place}", *_suspect_row(heights, finding, choice, units)))
    note = (
        "Readings under one number: one of them is wrong, and the others do not tell which."
        if any(not finding.decided for finding in heights.findings)
        else "Nothing is left out unless you say so."
    )
    return Table("Readings in doubt", heads, tuple(rows), note)


def _suspect_row(
    heights: Heights, finding: Suspect, choice: tuple[int, ...], units: Units
) -> tuple[str, ...]:
    rows, name = heights.further.rows.iloc[list(choice)], choice_words(heights, choice)
    booked = " and ".join(length(mm, units) for mm in rows["observed_mm"])
    if len(choice) > 1:
        return (name, booked, NOTHING, NOTHING, SWAPPED)
    first = choice == finding.choices[0]
    error = signed_small(finding.error_mm, units) if first else NOTHING
    doubt = small(finding.error_sd_mm, units) if first else NOTHING
    slips = " or ".join(finding.slips) if finding.slips and first else "none that is common"
    return (name, booked, error, doubt, slips if first else "")


def choice_words(heights: Heights, choice: tuple[int, ...]) -> str:
    """Return the readings of one choice in words."""
    rows = heights.further.rows.iloc[list(choice)]
    return " and ".join(reading_name(row) for _, row in rows.iterrows())


def without_table(heights: Heights, rows: Sequence[int], units: Units = "mm") -> Table:
    """Return the heights with and without some readings, those that change most first.

    Parameters
    ----------
    heights : Heights
        From the adjustment.
    rows : sequence of int
        Places in ``heights.residuals``, such as a choice of one of ``heights.findings``.
    units : {"mm", "in"}
        What lengths are shown in.
    """
    left = heights.without(rows)
    shown = _most_changed(left)
    heads = (
        Head("point"),
        Head("height, all readings", units),
        Head("doubt", units),
        Head("height without", units),
        Head("doubt without", units),
        Head("change", units),
    )
    lines = tuple(
        (
            str(one["point"]),
            length(one["height_mm"], units),
            small(one["sd_mm"], units),
            length(one["without_mm"], units),
            small(one["without_sd_mm"], units),
            signed_small(one["change_mm"], units),
        )
        for one in records(shown)
    )
    more = len(left.points) - len(shown)
    note = f"{_agreement(heights, left)}" + (f" {more} more points change less." if more else "")
    return Table(f"Heights without {choice_words(heights, tuple(rows))}", heads, lines, note)


def _agreement(heights: Heights, left: WithoutReadings) -> str:
    """Say how well the readings agree with and without."""
    if not left.redundancy:
        return "Without it no reading is checked by another."
    return (
        f"Actual over stated scatter: {number(heights.sigma0, 2)} with all readings,"
        f" {number(left.sigma0, 2)} without (1 is as stated)."
    )


def _most_changed(left: WithoutReadings) -> pd.DataFrame:
    order = left.points["change_mm"].abs().sort_values(ascending=False, kind="stable").index
    return left.points.loc[order[:MOST_POINTS]]


def without_chart(heights: Heights, rows: Sequence[int], units: Units = "mm") -> Chart:
    """Return the heights with and without some readings as a picture: circles and squares.

    Parameters
    ----------
    heights : Heights
        From the adjustment.
    rows : sequence of int
        Places in ``heights.residuals``.
    units : {"mm", "in"}
        What the height axis is lettered in.
    """
    drawing = without_drawing(heights, rows, units)
    return Chart(go.Figure(drawing.traces, drawing.layout))


def without_drawing(heights: Heights, rows: Sequence[int], units: Units) -> Drawing:
    """Return what `without_chart` draws."""
    shown = _most_changed(heights.without(rows))
    looks = (
        ("all readings", "height_mm", "sd_mm", "circle", INK, 0),
        ("without it", "without_mm", "without_sd_mm", "square-open", MARK, 1),
    )
    traces: list[Trace] = [
        {
            "type": "scatter",
            "meta": column,
            "xaxis": "x",
            "mode": "markers",
            "name": name,
            "x": [place + 0.16 * (side * 2 - 1) for place in range(len(shown))],
            "y": shown[column].tolist(),
            "error_y": {"type": "data", "array": (2 * shown[doubt]).tolist(), "color": colour},
            "marker": {"symbol": symbol, "size": 10, "color": colour, "line": {"width": 2}},
            "hovertemplate": "%{y:.1f} mm<extra></extra>",
        }
        for name, column, doubt, symbol, colour, side in looks
    ]
    said = title_text(
        "Heights with and without the reading",
        [choice_words(heights, tuple(rows)), "Lines reach two standard deviations up and down."],
    )
    drawn = layout(said, 260, 96)
    drawn["xaxis"] = axis(
        "point", tickvals=list(range(len(shown))), ticktext=shown["point"].tolist(), showgrid=False
    )
    values = [*shown["height_mm"], *shown["without_mm"]]
    drawn["yaxis"] = axis(f"height [{units}]", **axis_ticks(min(values), max(values), units, 8))
    drawn["colorway"] = [ACCENT]
    return Drawing(traces, drawn)


def unseen_table(heights: Heights, units: Units = "mm", most: int = 8) -> Table:
    """Return the readings in which the largest slips would stay unseen.

    Parameters
    ----------
    heights : Heights
        From the adjustment.
    units : {"mm", "in"}
        What lengths are shown in.
    most : int
        Rows at most.

    Notes
    -----
    The least error that the test finds 4 times in 5 (Baarda 1968).
    """
    table = heights.residuals.assign(place=range(len(heights.residuals)))
    worst = table.sort_values("detectable_mm", ascending=False, kind="stable").head(most)
    heads = (
        Head("reading", wide=True),
        Head("share that others check", "0 to 1"),
        Head("a slip up to", units),
    )
    lines = tuple(
        (
            choice_words(heights, (int(one["place"]),)),
            number(float(one["redundancy"]), 2),
            small(one["detectable_mm"], units) if math.isfinite(one["detectable_mm"]) else "any",
        )
        for one in records(worst)
    )
    note = "A slip smaller than this may stay unseen. " + heights.further.checks_most().strip()
    return Table("Where a slip would hide", heads, lines, note.strip())


def suspect_page(heights: Heights, units: Units = "mm") -> Page:
    """Return how well the readings agree, which are suspect, and the largest misfits.

    Parameters
    ----------
    heights : Heights
        From the adjustment.
    units : {"mm", "in"}
        What lengths are shown in.
    """
    said = sentences(heights.suspects or ("No reading is suspect.",), "Suspect readings")
    table = [suspect_table(heights, units)] if heights.findings else []
    return page(agreement_table(heights), said, *table, misfit_table(heights, units))
