"""Both bases over one turned setting: every position that was solved, and where they change."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

from kit.ink import paint
from kit.ink.escape import cut_text
from kit.ink.lengths import NOTHING, Units
from kit.ink.svg import Picture, box, element, letters_px, line, path, words
from kit.ink.table import Head, Page, Table, page, records, sentences
from kit.job import refuse
from kit.show.board.lettering import LINE_PX, Swatch, fitted, hatched, key, paragraph
from kit.show.two_bases.drawing import PAGE_PX, beside
from kit.show.two_bases.figures import figure, shown_unit
from kit.show.two_bases.turning_scale import ABOVE_PX, Scale, ticks
from kit.show.two_bases.turning_words import (
    plain_reason,
    setting_figure,
    setting_unit,
    side_of,
    turning_sentence,
)
from kit.side_by_side import Sweep, Turning
from kit.side_by_side.measure import Measure

#: Lines of both: they lead the eye from one solved position to the next, and say no more.
_LEADS: dict[str, dict[str, Any]] = {
    "a": {"stroke": paint.ACCENT, "stroke_width": 1.0, "stroke_dasharray": "7 3"},
    "b": {"stroke": paint.TIMBER_LINE, "stroke_width": 1.0, "stroke_dasharray": "2 3"},
}

#: A stretch of one position is hatched this wide [px].
_LEAST_HATCH_PX = 6.0


def turning_chart(
    sweep: Sweep, key: str, width_px: float = PAGE_PX, *, units: Units = "mm"
) -> Page:
    """Draw both bases over one setting, with the sentences of its turning points and its table.

    Parameters
    ----------
    sweep : Sweep
        From `kit.side_by_side.turning_points`.
    key : str
        Of the measure.
    width_px : float
        Width of the picture [CSS px].
    units : {"mm", "in"}
        Of the figures.

    Returns
    -------
    Page

    Raises
    ------
    Refusal
        Where neither base has such a measure anywhere.
    """
    said = [turning_sentence(one, units) for one in sweep.turnings if one.key == key]
    drawn = beside([turning_picture(sweep, key, width_px, units=units)], [])
    return page(drawn, sentences(said), sweep_table(sweep, key, units=units))


def turning_picture(
    sweep: Sweep, key: str, width_px: float = PAGE_PX, *, units: Units = "mm"
) -> Picture:
    """Draw both bases over one setting.

    Parameters, errors
        As of `turning_chart`.

    Returns
    -------
    Picture
        Nothing is drawn between two solved positions but a thin broken line.
    """
    measure = _measure(sweep, key)
    head = fitted(_head(sweep, measure, units), width_px - 4)
    scale = Scale(sweep, measure, width_px, len(head) * LINE_PX + ABOVE_PX + 10, units)
    below = [part for text in _cannot(sweep, units) for part in fitted(text, width_px - 4)]
    drawn = [
        paragraph(2, 13, head),
        *_axes(scale),
        *_hatches(scale),
        *_turns(scale, key),
        _now(scale),
        *_curves(scale),
    ]
    named, y = _key(scale)
    drawn += [named, paragraph(2, y + LINE_PX + 2, below)]
    turns = [turning_sentence(one, units) for one in sweep.turnings if one.key == key]
    said = " ".join([*head, *turns, *_cannot(sweep, units)])
    return Picture(width_px, y + 6 + LINE_PX * (len(below) + 1), "".join(drawn), said)


def _measure(sweep: Sweep, key: str) -> Measure:
    for stop in sweep.stops:
        for side in (stop.a, stop.b):
            if key in side.measures and side.measures[key].known:
                return side.measures[key]
    allowed = ", ".join(sweep.setting.criteria)
    raise refuse("turning_chart, key", repr(key), f"a measure known somewhere, such as {allowed}")


def _head(sweep: Sweep, measure: Measure, units: Units) -> str:
    setting = sweep.setting
    unit = shown_unit(measure.unit, units)
    up = f"{measure.measure} [{unit}]" if unit else measure.measure
    along = f"{setting.words} [{setting_unit(setting, units)}]"
    low, high = (setting_figure(setting, v, units) for v in (setting.low, setting.high))
    return (
        f"{up[0].upper()}{up[1:]} over {along}, {low} to {high}. Each mark is a position at which"
        " both bases were worked out; between marks nothing is known."
    )


def _axes(scale: Scale) -> Iterator[str]:
    left, right = scale.left_px, scale.width_px - 20
    for value in scale.ticks:
        y = scale.y(value)
        yield line(left, y, right, y, stroke=paint.GRID)
        yield words(left - 8, y + 4, scale.text(value), text_anchor="end")
    yield line(left, scale.top_y, left, scale.base_y, stroke=paint.INK)
    yield line(left, scale.base_y, right, scale.base_y, stroke=paint.INK)
    setting = scale.sweep.setting
    for value in ticks(setting.low, setting.high):
        if setting.low <= value <= setting.high:
            x = scale.x(value)
            yield line(x, scale.base_y, x, scale.base_y + 5, stroke=paint.INK)
            yield words(x, scale.base_y + 18, f"{value:g}", text_anchor="middle")
    along = f"{setting.words} [{setting_unit(setting, scale.units)}]"
    yield words((left + right) / 2, scale.base_y + 18 + LINE_PX, along, text_anchor="middle")


def _hatches(scale: Scale) -> Iterator[str]:
    """Yield hatching over the stretches at which one base cannot be built."""
    for side, step in (("a", 11.0), ("b", 7.0)):
        for stops in scale.refused(side):
            left, right = scale.x(stops[0].value), scale.x(stops[-1].value)
            wide = max(right - left, _LEAST_HATCH_PX)
            left = min(left, scale.width_px - 20 - wide)
            tall = scale.base_y - scale.top_y
            rim = {"fill": paint.NO_GO, "fill_opacity": 0.05, "stroke": paint.NO_GO}
            drawn = box(left, scale.top_y, wide, tall, stroke_dasharray="4 3", **rim)
            drawn += hatched(
                left, scale.top_y, wide, tall, step_px=step, stroke=paint.NO_GO, stroke_width=0.6
            )
            yield element("g", drawn, class_="ufk-cannot", data_side=side)


def _turns(scale: Scale, key: str) -> Iterator[str]:
    """Yield a bracket from the last position as now to the first that is not, with both figures."""
    for one in scale.sweep.turnings:
        if one.key == key and one.turns:
            yield element("g", _bracket(scale, one), class_="ufk-turning")


def _bracket(scale: Scale, one: Turning) -> str:
    low, high = sorted((one.last.value, one.first.value))
    left, right = scale.x(low), scale.x(high)
    top = scale.top_y - 8
    # A narrow one would be a blot: its arms stand a little outside.
    arms = (left - 3, right + 3)
    shape = path([(arms[0], top + 6), (arms[0], top), (arms[1], top), (arms[1], top + 6)])
    lines = "".join(
        line(x, scale.top_y, x, scale.base_y, stroke=paint.INK, stroke_width=0.8)
        for x in (left, right)
    )
    setting = scale.sweep.setting
    figures = [setting_figure(setting, value, scale.units) for value in (low, high)]
    said = f"turns between {figures[0]} and {figures[1]}"
    bracket = element("path", d=shape, fill="none", stroke=paint.INK, stroke_width=1.8)
    # Words of a turning below now end at it and those of one above begin at it: they keep apart.
    half = letters_px(said) / 2
    middle = right - half if one.first.value < one.now.value else left + half
    return lines + bracket + _beside(middle, top - 5, said, scale.width_px)


def _now(scale: Scale) -> str:
    now = scale.sweep.setting.now
    x, top = scale.x(now), scale.top_y - ABOVE_PX + 10
    said = f"now {setting_figure(scale.sweep.setting, now, scale.units)}"
    look = {"stroke": paint.MARK, "stroke_width": 2.4}
    mark = line(x, top + 4, x, scale.base_y, class_="ufk-now", **look)
    return mark + _beside(x, top, said, scale.width_px, font_weight="bold")


def _beside(x: float, y: float, text: str, width_px: float, **look: Any) -> str:
    """Write a text with its middle at a place, moved so far aside that it stays in the picture."""
    half = letters_px(text) / 2 + 2
    middle = min(max(x, half), width_px - half)
    return words(middle, y, text, text_anchor="middle", **look)


def _curves(scale: Scale) -> Iterator[str]:
    for side in ("a", "b"):
        marks = []
        for stretch in scale.known(side):
            points = [(scale.x(stop.value), scale.y(value)) for stop, value in stretch]
            for one, other in pairwise(points):
                marks.append(line(*one, *other, **_LEADS[side]))
            marks += [_mark(side, x, y) for x, y in points]
        yield element("g", "".join(marks), class_="ufk-curve", data_side=side)


def _mark(side: str, x: float, y: float) -> str:
    """Return a solved position: full circle of the first base, hollow square of the second."""
    if side == "a":
        return element("circle", cx=x, cy=y, r=4, fill=paint.ACCENT, stroke=paint.INK)
    look = {"fill": "none", "stroke": paint.TIMBER_LINE, "stroke_width": 1.8}
    return box(x - 4, y - 4, 8, 8, **look)


def _key(scale: Scale) -> tuple[str, float]:
    one, other = (cut_text(name, 50) for name in scale.sweep.names)
    entries: list[tuple[Swatch, str]] = [
        (lambda x, y: line(x, y + 5, x + 18, y + 5, **_LEADS["a"]) + _mark("a", x + 9, y + 5), one),
        (
            lambda x, y: line(x, y + 5, x + 18, y + 5, **_LEADS["b"]) + _mark("b", x + 9, y + 5),
            other,
        ),
    ]
    if any(stop.a.refused or stop.b.refused for stop in scale.sweep.stops):
        entries.append((_cannot_swatch, "one cannot be built here, see below"))
    return key(entries, scale.base_y + 18 + LINE_PX + 6, scale.width_px)


def _cannot_swatch(x: float, y: float) -> str:
    rim = box(x, y, 18, 10, fill="none", stroke=paint.NO_GO, stroke_dasharray="4 3")
    return rim + hatched(x, y, 18, 10, step_px=5, stroke=paint.NO_GO, stroke_width=0.6)


def _cannot(sweep: Sweep, units: Units) -> list[str]:
    """Return from where to where which base cannot be built, and why at the first position."""
    found = []
    for side, name in zip(("a", "b"), sweep.names, strict=True):
        before = ""
        run: list[Any] = []
        for stop in (*sweep.stops, None):
            refused = "" if stop is None else side_of(stop, side).refused
            if refused:
                run.append(stop)
                before = before or refused
            elif run:
                found.append(_stretch(sweep, name, run[0].value, run[-1].value, before, units))
                run, before = [], ""
    return found


def _stretch(sweep: Sweep, name: str, low: float, high: float, why: str, units: Units) -> str:
    setting = sweep.setting
    ends = [setting_figure(setting, value, units) for value in (low, high)]
    unit = setting_unit(setting, units)
    where = f"From {ends[0]} to {ends[1]} {unit}" if ends[0] != ends[1] else f"At {ends[0]} {unit}"
    return f"{where} {name} cannot be built: {plain_reason(why)}"


def sweep_table(sweep: Sweep, key: str, *, units: Units = "mm") -> Table:
    """Return every position that was solved: supports and one measure of both.

    Parameters, errors
        As of `turning_chart`.

    Returns
    -------
    Table
        A dash stands where a base cannot be built or has no such figure.
    """
    measure, (one, other) = _measure(sweep, key), sweep.names
    unit = shown_unit(measure.unit, units)
    heads = (
        Head(sweep.setting.words, setting_unit(sweep.setting, units)),
        Head(f"{measure.measure}, {one}", unit, right=True),
        Head(f"{measure.measure}, {other}", unit, right=True),
        Head(f"supports, {one}", right=True),
        Head(f"supports, {other}", right=True),
    )
    columns = [f"{part}, {name}" for part in (key, "supports") for name in sweep.names]
    rows = []
    for stop in records(sweep.table()):
        # A measure that is not among those by which the setting is judged has no column.
        values = [stop.get(column, math.nan) for column in columns]
        figures = [figure(value, key, measure.unit, units) for value in values[:2]]
        counts = [NOTHING if math.isnan(value) else f"{value:.0f}" for value in values[2:]]
        at = setting_figure(sweep.setting, stop[sweep.setting.words], units)
        rows.append((at, *figures, *counts))
    now = setting_figure(sweep.setting, sweep.setting.now, units)
    note = f"Now {now} {setting_unit(sweep.setting, units)}."
    return Table(f"Positions solved of {sweep.setting.words}", heads, tuple(rows), note)
