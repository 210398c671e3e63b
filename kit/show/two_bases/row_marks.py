"""The parts of one of two elevations: floor, what stands on it, levels, names."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from kit.base.runs import Floats
from kit.ink import paint
from kit.ink.lengths import Units, length
from kit.ink.svg import LETTERS_PX, box, element, halo, line, path, short, words
from kit.show.board.elevation_base import joint
from kit.show.board.elevation_frame import unknown_stretches
from kit.show.board.lettering import LINE_PX, apart, hatched
from kit.show.section import BAND_SD
from kit.show.two_bases.axes import LEFT_PX, MOST_LANES, UNITS_PX, Panel
from kit.show.two_bases.row_view import Foot

_DOTTED: dict[str, Any] = {"stroke_dasharray": "2 2"}

#: Of a foot: height of its plate and of its head, and widths as shares of the plate [px].
_PLATE_PX, _SPINDLE, _HEAD = 4.0, 0.28, 0.62

#: Step of the hatching of a body [px].
_BODY_STEP_PX = 9.0

#: Length of the arms of the bracket that says what is allowed [px].
_ARM_PX = 5.0


def floor(panel: Panel) -> Iterator[str]:
    """Yield ground, its doubt and its line; hatched where it was not surveyed."""
    axes, part = panel.axes, panel.view.part
    for a, b in unknown_stretches(part):
        left, wide, top = axes.x(a), (b - a) * axes.px_per_mm, panel.y(part.profile.highest_mm)
        rim = {"fill": paint.PAPER, "stroke": paint.FAINT_INK, **_DOTTED}
        yield box(left, top, wide, panel.ground_y - top, **rim)
        yield hatched(left, top, wide, panel.ground_y - top, step_px=9, stroke=paint.FAINT_INK)
    for stretch in part.profile.stretches():
        x = [axes.x(mm) for mm in part.profile.x_mm[stretch].tolist()]
        z, sd = part.profile.height_mm[stretch], part.profile.sd_mm[stretch]
        surface = path(zip(x, map(panel.y, z.tolist()), strict=True))
        yield element(
            "path", d=f"{surface}V{short(panel.ground_y)}H{short(x[0])}Z", fill=paint.FLOOR
        )
        upper = list(zip(x, map(panel.y, (z + BAND_SD * sd).tolist()), strict=True))
        lower = list(zip(x, map(panel.y, (z - BAND_SD * sd).tolist()), strict=True))
        rim = {"stroke": paint.FLOOR_LINE, "stroke_width": 0.7, **_DOTTED}
        band = path([*upper, *lower[::-1]], closed=True)
        yield element("path", d=band, fill=paint.DOUBT, class_="ufk-doubt", **rim)
        look = {"fill": "none", "stroke": paint.FLOOR_LINE, "stroke_width": 2}
        yield element("path", d=surface, class_="ufk-floor", **look)


def units(panel: Panel) -> Iterator[str]:
    """Yield the outlines of the units' bottoms, open above, and sides and divisions in them."""
    axes, foot = panel.axes, panel.y(panel.view.top_mm)
    head = foot - UNITS_PX + 4
    look = {"fill": "none", "stroke": paint.UNIT_LINE}
    for placed in panel.view.part.row.units:
        left, right = axes.x(placed.left_mm), axes.x(placed.right_mm)
        outline = path([(left, head), (left, foot), (right, foot), (right, head)])
        yield element("path", d=outline, class_="ufk-unit", **look)
        for one in placed.panels:
            yield line(
                axes.x(one.x_mm), head, axes.x(one.x_mm), foot, stroke=paint.PANEL, **_DOTTED
            )


def stands(panel: Panel) -> Iterator[str]:
    """Yield what is between floor and base top, from what the answer has of it."""
    yield from _body(panel)
    yield from _slabs(panel)
    yield from (mark for foot in panel.view.feet for mark in _foot(panel, foot))
    if panel.view.has_bearer:
        yield from _bearer(panel)


def _slabs(panel: Panel) -> Iterator[str]:
    packers = panel.view.answer.job.stock.packers
    tones = paint.packer_tones([packer.thickness_mm for packer in packers])
    wide = max(panel.view.plate_mm * panel.axes.px_per_mm, 3.0)
    for stack in panel.view.part.stacks:
        for slab in stack.slabs:
            tall = slab.thickness_mm * panel.axes.px_per_high_mm
            left, top = panel.axes.x(slab.x_mm) - wide / 2, panel.y(slab.bottom_mm) - tall
            look = {"fill": tones[slab.kind], "stroke": paint.INK, "stroke_width": 0.8}
            yield box(left, top, wide, tall, class_="ufk-slab", **look)


def _foot(panel: Panel, foot: Foot) -> Iterator[str]:
    """Yield plate, threaded spindle and head of a foot."""
    wide = max(panel.view.plate_mm * panel.axes.px_per_mm, 6.0)
    x, low, high = (
        panel.axes.x(foot.x_mm),
        panel.y(foot.floor_mm),
        panel.y(foot.floor_mm + foot.set_mm),
    )
    tall, stem, head = min(_PLATE_PX, (low - high) / 3), wide * _SPINDLE, wide * _HEAD
    rim = {"stroke": paint.INK, "stroke_width": 1}
    yield box(x - stem / 2, high, stem, low - high, fill=paint.PAPER, class_="ufk-foot", **rim)
    turns = np.arange(high + tall + 2, low - tall - 1, 3.0).tolist()
    thread = "".join(path([(x - stem / 2, y + 1), (x + stem / 2, y - 1)]) for y in turns)
    yield element("path", d=thread, stroke=paint.INK, stroke_width=0.7) if thread else ""
    yield box(x - wide / 2, low - tall, wide, tall, fill=paint.INK)
    yield box(x - head / 2, high, head, tall, fill=paint.PANEL, **rim)


def _bearer(panel: Panel) -> Iterator[str]:
    part, axes = panel.view.part, panel.axes
    top, foot = panel.y(part.top_mm), panel.y(part.underside_mm)
    for a, b in part.pieces:
        look = {"fill": paint.TIMBER, "stroke": paint.TIMBER_LINE, "stroke_width": 1.4}
        yield box(axes.x(a), top, (b - a) * axes.px_per_mm, foot - top, class_="ufk-bearer", **look)
        grain = [(top + (foot - top) * share) for share in (1 / 3, 2 / 3)]
        strokes = "".join(path([(axes.x(a), y), (axes.x(b), y)]) for y in grain)
        yield element("path", d=strokes, stroke=paint.TIMBER_LINE, stroke_width=0.4)
    yield from (joint(axes.x(x), top, foot - top) for x in part.joints_mm)


def _body(panel: Panel) -> Iterator[str]:
    """Yield a body cut along the floor, hatched, with its crossings."""
    body = panel.view.body
    if body is None:
        return
    top = panel.y(panel.view.top_mm)
    for along, edge in body.stretches():
        x = np.array([panel.axes.x(mm) for mm in along.tolist()])
        y = np.array([panel.y(mm) for mm in edge.tolist()])
        lower = list(zip(x.tolist(), y.tolist(), strict=True))
        shape = path([*lower, (x[-1], top), (x[0], top)], closed=True)
        rim = {"fill": paint.TIMBER, "stroke": paint.INK, "stroke_width": 1.2}
        yield element("path", d=shape, class_="ufk-body", **rim)
        yield element("path", d=_slants(x, y, top), fill="none", stroke=paint.INK, stroke_width=0.5)
    for stack in panel.view.part.stacks:
        x_px, low = panel.axes.x(stack.x_mm), panel.y(stack.floor_mm)
        # A short body would hide its crossings: they reach a little beyond it.
        yield line(
            x_px, top - 3, x_px, low + 3, stroke=paint.INK, stroke_width=2.2, class_="ufk-crossing"
        )


def _slants(x: Floats, y: Floats, top: float) -> str:
    """Return lines at 45 degrees between a level edge above and an edge below, cut off at both."""
    along = np.arange(x[0], x[-1], 1.0)
    below = np.interp(along, x, y)
    drawn = []
    for start in np.arange(x[0] + _BODY_STEP_PX, x[-1] + float(y.max()) - top, _BODY_STEP_PX):
        inside = along[(start - along >= 0) & (top + (start - along) <= below)]
        if len(inside) > 1:
            a, b = float(inside[0]), float(inside[-1])
            drawn.append(path([(a, top + start - a), (b, top + start - b)]))
    return "".join(drawn)


def no_go(panel: Panel) -> Iterator[str]:
    """Yield the no-go areas that the row crosses, hatched, with their names below the floor."""
    axes = panel.axes
    top, low = panel.y(panel.view.part.underside_mm), panel.base_y
    for a, b, _ in panel.view.part.closed:
        left, wide = axes.x(a), (b - a) * axes.px_per_mm
        yield hatched(left, top, wide, low - top, stroke=paint.NO_GO, stroke_width=0.8)
        yield box(left, top, wide, low - top, fill="none", stroke=paint.NO_GO)


def names(panel: Panel) -> Iterator[str]:
    """Yield name and height of each support below the floor, where there is room for them."""
    view, axes = panel.view, panel.axes
    look = halo(stroke=paint.FLOOR, text_anchor="middle", fill=paint.INK)
    leads, texts = [], []
    for stack, mm, lane in zip(view.part.stacks, view.heights_mm, panel.lane_of, strict=True):
        if lane >= MOST_LANES:
            continue
        x, y = axes.x(stack.x_mm), panel.base_y + 8 + 2 * LINE_PX * lane + LETTERS_PX
        lead = {"stroke": paint.INK, "stroke_width": 0.7, **_DOTTED}
        leads.append(line(x, panel.y(stack.floor_mm) + 3, x, y - LETTERS_PX, **lead))
        text = words(x, y, stack.support, font_weight="bold")
        texts.append(element("g", text + words(x, y + LINE_PX, length(mm, axes.units)), **look))
    yield from leads  # below all letters
    yield from texts


def heights(panel: Panel) -> Iterator[str]:
    """Yield the axis of heights at the left, the same in both elevations."""
    axes = panel.axes
    yield line(LEFT_PX - 12, panel.y(axes.high_mm), LEFT_PX - 12, panel.base_y, stroke=paint.INK)
    for mm in axes.ticks_mm:
        y = panel.y(mm)
        yield line(LEFT_PX - 17, y, LEFT_PX - 12, y, stroke=paint.INK)
        yield words(LEFT_PX - 20, y + 4, _tick(mm, axes.units), text_anchor="end")
        yield line(LEFT_PX, y, axes.end_px, y, stroke=paint.GRID, stroke_width=0.7)


def _tick(mm: float, shown: Units) -> str:
    return f"{mm:g}" if shown == "mm" else length(mm, shown)


def levels(panel: Panel, other_mm: float | None) -> Iterator[str]:
    """Yield base top, that of the other base, and between which heights the top may lie."""
    axes, view, end = panel.axes, panel.view, panel.axes.end_px
    named = [(view.top_mm, f"top {length(view.top_mm, axes.units)}", {"stroke_width": 2.0})]
    if other_mm is not None:
        look: dict[str, Any] = {"stroke_width": 1.2, "stroke_dasharray": "1 4"}
        named.append((other_mm, f"other {length(other_mm, axes.units)}", look))
    named.sort(key=lambda one: -one[0])
    places = apart([panel.y(mm) for mm, _, _ in named], LINE_PX, panel.top_y)
    for (mm, text, look), place in zip(named, places, strict=True):
        y = panel.y(mm)
        yield line(LEFT_PX, y, end + 4, y, stroke=paint.ACCENT, class_="ufk-top", **look)
        yield line(end + 4, y, end + 22, place, stroke=paint.INK, stroke_width=0.7, **_DOTTED)
        yield words(end + 25, place + 4, text)
    yield from _allowed(panel, places[-1] + LINE_PX)


def _allowed(panel: Panel, below_y: float) -> Iterator[str]:
    """Yield the bracket of the heights allowed; open above where they reach out of the picture."""
    axes, (low, high) = panel.axes, panel.view.window_mm
    x, foot = axes.end_px + 12, panel.y(low)
    head = panel.y(min(high, axes.high_mm))
    ends = [(x - _ARM_PX, foot), (x, foot), (x, head)]
    ends += [(x - _ARM_PX, head)] if high <= axes.high_mm else []
    look = {"fill": "none", "stroke": paint.FAINT_INK, "stroke_width": 1.4}
    yield element("path", d=path(ends), class_="ufk-allowed", **look)
    if high > axes.high_mm:
        tip = [(x - 3.5, head + 6), (x, head), (x + 3.5, head + 6)]
        yield element("path", d=path(tip), **look)
    text = f"{length(low, axes.units)} to {length(high, axes.units)}"
    y = max(below_y, foot)
    for number, said in enumerate(("allowed:", text)):
        yield words(axes.end_px + 25, y + 4 + number * LINE_PX, said, fill=paint.FAINT_INK)
