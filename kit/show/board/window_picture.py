"""The heights that the packers can make, the fewest packers each takes, and the one chosen."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise
from typing import Any

import numpy as np

from kit.base.runs import Floats
from kit.ink import paint
from kit.ink.lengths import Units, length, length_with_unit
from kit.ink.svg import Picture, box, element, letters_px, line, path, short, words
from kit.show.board.lettering import LINE_PX, fitted, hatched, paragraph
from kit.show.board.window_axis import LEFT_PX, RIGHT_PX, WindowAxis, columns, window_axis
from kit.show.board.window_words import Fewest, fewest, tick_places, window_words
from kit.show.window import Reach

#: Heights of the curve and of the strip, and what lies between [px].
_CURVE_PX, _STRIP_PX, _GAP_PX = 46.0, 13.0, 5.0

#: A hole narrower than this is left as paper between what can be made [px].
_SEEN_PX = 2.0


def window_picture(
    found: Reach, now_mm: float, units: Units, width_px: float, *, pieces_now: int
) -> Picture:
    """Draw which heights can be made and how many packers they take, what is asked for and is.

    Parameters
    ----------
    found : Reach
        From `kit.show.window.reach`.
    now_mm : float
        Base top above the high point [mm].
    units : {"mm", "in"}
        Of the numbers.
    width_px : float
        Width of the picture [px].
    pieces_now : int
        Packers in all stacks at that height.

    Returns
    -------
    Picture
        ``<g class="ufk-window-axis">`` says as ``data-low-mm``, ``data-high-mm``,
        ``data-left-px`` and ``data-right-px`` which height lies where; see `WindowAxis`.
    """
    axis = window_axis(found, now_mm, width_px)
    best = fewest(found)
    head = fitted(best.words(units), width_px - 4)
    top = LINE_PX * (len(head) + 1) + 5
    strip = top + _CURVE_PX + _GAP_PX
    foot = strip + _STRIP_PX
    can = "grey: can be made, if the bag holds enough" + "; white or hatched: cannot" * (
        len(found.feasible_mm) > 1
    )
    ends = [
        *fitted(f"Base height above the high point, in {units}; {can}.", width_px - 4),
        *fitted(
            f"Lowest {length_with_unit(found.low_mm, units)}: {found.binding_low}.", width_px - 4
        ),
        *fitted(
            f"Highest {length_with_unit(found.high_mm, units)}: {found.binding_high}.", width_px - 4
        ),
    ]
    parts = [
        paragraph(2, LINE_PX - 3, head),
        _asked_band(found, axis, top, foot),
        _curve(found, axis, top),
        *_strip(found, axis, strip),
        *_ticks(axis, units, foot),
        *_asked(found, axis, units, foot + 21, width_px),
        *_now(now_mm, pieces_now, axis, units, top, foot),
        *_lowest(found, best, axis, top),
        paragraph(2, foot + 55, ends),
    ]
    mapping = {
        "data_low_mm": f"{axis.low_mm:.4f}",
        "data_high_mm": f"{axis.high_mm:.4f}",
        "data_left_px": short(axis.left_px),
        "data_right_px": short(axis.right_px),
    }
    inner = element("g", "".join(parts), class_="ufk-window-axis", **mapping)
    said = window_words(found, best, now_mm, pieces_now, units)
    return Picture(width_px, foot + 55 + LINE_PX * (len(ends) - 1) + 6, inner, said)


def _asked_band(found: Reach, axis: WindowAxis, top: float, foot: float) -> str:
    left, wide = axis.part(found.asked_mm)
    return box(left, top, wide, foot - top, fill=paint.ACCENT, fill_opacity=0.13)


def _scale(found: Reach, top: float) -> Callable[[float], float]:
    """Return what turns a number of packers into its height in the picture [px]."""
    pieces = found.curve["pieces"].to_numpy(dtype=float)
    low, high = float(pieces.min()), float(pieces.max())
    scale = (_CURVE_PX - 8) / max(high - low, 1.0)
    return lambda count: top + _CURVE_PX - 4 - (count - low) * scale


def _curve(found: Reach, axis: WindowAxis, top: float) -> str:
    """Draw the fewest packers of each px, over the range that lies within it."""
    least, most = columns(found, axis)
    y = _scale(found, top)
    low, high = float(np.nanmin(least)), float(np.nanmax(most))
    steps, band = [], []
    for first, last in _alike(least):
        x0, x1 = axis.left_px + first, axis.left_px + last
        joined = first > 0 and not np.isnan(least[first - 1])
        steps.append(f"{'L' if joined else 'M'}{short(x0)} {short(y(least[first]))}H{short(x1)}")
    for place in np.flatnonzero(most > least).tolist():
        x = short(axis.left_px + place + 0.5)
        band.append(f"M{x} {short(y(least[place]))}V{short(y(most[place]))}")
    numbers = {round(high): top + 10, round(low): top + _CURVE_PX}
    return "".join(
        [
            element("path", d="".join(band), stroke=paint.PANEL, stroke_width=1) if band else "",
            element(
                "path",
                d="".join(steps),
                fill="none",
                stroke=paint.INK,
                stroke_width=1.5,
                class_="ufk-fewest",
            ),
            *(
                words(LEFT_PX - 4, at, f"{count}", text_anchor="end", fill=paint.FAINT_INK)
                for count, at in numbers.items()
            ),
        ]
    )


def _alike(values: Floats) -> Iterator[tuple[int, int]]:
    """Yield from where to where neighbouring values are the same number."""
    edges = np.flatnonzero(np.append(True, values[1:] != values[:-1]))
    for first, last in zip(edges.tolist(), [*edges[1:].tolist(), len(values)], strict=True):
        if not np.isnan(values[first]):
            yield first, last


def _lowest(found: Reach, best: Fewest, axis: WindowAxis, top: float) -> Iterator[str]:
    """Yield a ring where the curve is lowest, over the line of the present height."""
    y = _scale(found, top)(best.pieces)
    look: dict[str, Any] = {"fill": paint.PAPER, "stroke": paint.INK, "stroke_width": 1.6}
    at = dict.fromkeys(round(axis.px((a + b) / 2), 1) for a, b in best.stretches)
    for x in at:
        yield element("circle", cx=x, cy=y, r=3.6, class_="ufk-lowest", **look)


def _strip(found: Reach, axis: WindowAxis, top: float) -> Iterator[str]:
    """Yield what can be made as a filled strip, and hatch its holes where there is room for it."""
    ends = axis.part((found.low_mm, found.high_mm))
    stretches = [axis.part(stretch) for stretch in found.feasible_mm]
    fills = [
        f"M{short(left)} {short(top)}h{wide:.2f}v{_STRIP_PX:g}h{-wide:.2f}z"
        for left, wide in ((left, max(wide, 0.4)) for left, wide in stretches)
    ]
    yield element("path", d="".join(fills), fill=paint.PANEL, class_="ufk-feasible")
    for (_, end), (start, _) in pairwise(found.feasible_mm):
        left, wide = axis.part((end, start))
        hatch = hatched(left, top, wide, _STRIP_PX, step_px=4, stroke=paint.NO_GO, stroke_width=1)
        edge = {"fill": paint.PAPER, "stroke": paint.NO_GO, "stroke_width": 0.8}
        rim = box(left, top, wide, _STRIP_PX, **(edge if wide > _SEEN_PX else {"fill": "none"}))
        drawn = rim + hatch if wide > _SEEN_PX else rim
        yield element("g", drawn, class_="ufk-hole")
    yield box(ends[0], top, ends[1], _STRIP_PX, fill="none", stroke=paint.INK, stroke_width=1)


def _ticks(axis: WindowAxis, units: Units, foot: float) -> Iterator[str]:
    for mm, text in tick_places(axis.low_mm, axis.high_mm, axis.px_per_mm, units):
        x = axis.px(mm)
        yield line(x, foot, x, foot + 4, stroke=paint.INK, stroke_width=1)
        yield words(x, foot + LINE_PX, text, text_anchor="middle")


def _asked(
    found: Reach, axis: WindowAxis, units: Units, y: float, width_px: float
) -> Iterator[str]:
    """Yield the bracket of what the job asks for, and its words below it."""
    low, high = found.asked_mm
    left, wide = axis.part(found.asked_mm)
    bracket = [(left, y - 4), (left, y + 2), (left + wide, y + 2), (left + wide, y - 4)]
    look: dict[str, Any] = {
        "fill": "none",
        "stroke": paint.ACCENT,
        "stroke_width": 1.8,
        "stroke_dasharray": "4 2",
    }
    yield element("path", d=path(bracket), class_="ufk-asked", **look)
    said = f"asked for: {length_with_unit(low, units)}"
    if high > low:
        said = f"asked for: {length(low, units)} to {length_with_unit(high, units)}"
    yield _beside(left + wide / 2, y + 16, said, width_px)


def _now(
    now_mm: float, pieces: int, axis: WindowAxis, units: Units, top: float, foot: float
) -> Iterator[str]:
    """Yield the line where the base is now, with its number above it."""
    x = axis.px(now_mm)
    head = [(x - 4, top - 4), (x + 4, top - 4), (x, top + 3)]
    yield line(x, top - 2, x, foot, stroke=paint.PAPER, stroke_width=5)
    yield line(x, top - 2, x, foot + 2, stroke=paint.MARK, stroke_width=2.4, class_="ufk-now")
    yield element("path", d=path(head, closed=True), fill=paint.MARK)
    said = f"now {length_with_unit(now_mm, units)}: {pieces} packers"
    yield _beside(x, top - 6, said, axis.right_px + RIGHT_PX, font_weight=600)


def _beside(x: float, y: float, text: str, width_px: float, **look: Any) -> str:
    """Write a text with its middle at a place, moved so far aside that it stays in the picture."""
    half = letters_px(text) / 2
    middle = min(max(x, half + 2), max(width_px - half - 2, half + 2))
    return words(middle, y, text, text_anchor="middle", fill=paint.INK, **look)
