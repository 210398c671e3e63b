"""A spirit level's glass: where its bubble is seen, and which end is the marked one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from kit.ink import paint
from kit.ink.svg import Picture, box, element, letters_px, line, path, words
from kit.practice.instruments import GLASS_RADIUS_M, TRAVEL_MM
from kit.practice.moves import Vial

#: Half the length of the bubble: it just fills the room between the two lines [mm].
HALF_BUBBLE_MM = 3.0

#: A glass is drawn no wider than this, and room is kept at either side [px].
WIDEST_PX, _SIDE_PX = 560.0, 14.0

#: Names of the ends as the picture writes them.
MARKED, OTHER = "marked end", "other end"

_NAMES_Y, _GLASS_TOP, _GLASS_PX, _TICK_PX = 14.0, 24.0, 40.0, 6.0
_NUMBERS_EACH_MM = 2


def vial_picture(vial: Vial, width_px: float) -> Picture:
    """Draw a glass with its two lines, a scale in mm from its middle, and the bubble.

    Parameters
    ----------
    vial : Vial
        Where the bubble is seen.
    width_px : float
        Of the picture [px].

    Returns
    -------
    Picture
        The group of class ``ufk-bubble`` has ``data-mm``, positive towards the other end.
    """
    reach = TRAVEL_MM + HALF_BUBBLE_MM
    scale = (min(width_px, WIDEST_PX) - 2 * _SIDE_PX) / (2 * reach)
    middle = width_px / 2
    drawn = [
        _ends(vial, middle, reach * scale),
        _glass(middle, reach * scale),
        _bubble(vial, middle, scale),
        *_lines(middle, scale),
        *_scale(middle, scale),
    ]
    return Picture(width_px, _GLASS_TOP + _GLASS_PX + 42, "".join(drawn), bubble_words(vial))


def bubble_words(vial: Vial) -> str:
    """Return where the bubble is seen, as a reading is said."""
    at = "the left" if vial.marked_left else "the right"
    seen = f"Glass with its marked end at {at}: "
    if vial.bubble_mm == 0:
        return f"{seen}bubble in the middle."
    end = f"the {OTHER if vial.bubble_mm > 0 else MARKED}"
    if abs(vial.bubble_mm) >= TRAVEL_MM:
        return f"{seen}bubble at the end of the glass, towards {end}, {TRAVEL_MM:g} mm or more off."
    return f"{seen}bubble {abs(vial.bubble_mm):g} mm off towards {end}."


def _ends(vial: Vial, middle: float, half_px: float) -> str:
    """Name both ends; a heavy bar stands at the marked one."""
    left, right = middle - half_px, middle + half_px
    names = (MARKED, OTHER) if vial.marked_left else (OTHER, MARKED)
    bar = left - 8 if vial.marked_left else right + 8
    return (
        words(left, _NAMES_Y, names[0], fill=paint.INK)
        + words(right, _NAMES_Y, names[1], text_anchor="end", fill=paint.INK)
        + line(
            bar, _GLASS_TOP - 2, bar, _GLASS_TOP + _GLASS_PX + 2,
            stroke=paint.INK, stroke_width=6, class_="ufk-marked-end",
        )
    )  # fmt: skip


def _glass(middle: float, half_px: float) -> str:
    look: dict[str, Any] = {
        "fill": paint.HOLLOW_TO_HUMP[2][1],
        "stroke": paint.INK,
        "stroke_width": 1.6,
    }
    size = (middle - half_px, _GLASS_TOP, 2 * half_px, _GLASS_PX)
    return box(*size, rx=10, class_="ufk-glass", **look)


def _bubble(vial: Vial, middle: float, scale: float) -> str:
    """Draw the bubble; a fine line across it is its middle, which the scale tells."""
    way = 1.0 if vial.marked_left else -1.0
    x, y = middle + way * vial.bubble_mm * scale, _GLASS_TOP + _GLASS_PX / 2
    look = {"fill": paint.PAPER, "stroke": paint.INK, "stroke_width": 1.4}
    shape = element("ellipse", cx=x, cy=y, rx=HALF_BUBBLE_MM * scale, ry=_GLASS_PX / 2 - 6, **look)
    below = _GLASS_TOP + _GLASS_PX
    tip = path([(x, below - 1), (x - 5, below - 10), (x + 5, below - 10)], closed=True)
    hand = element("path", d=tip, fill=paint.INK, class_="ufk-hand")
    return element("g", shape + hand, class_="ufk-bubble", data_mm=f"{vial.bubble_mm:g}")


def _lines(middle: float, scale: float) -> Iterator[str]:
    for side in (-1, 1):
        x = middle + side * HALF_BUBBLE_MM * scale
        ends = (x, _GLASS_TOP, x, _GLASS_TOP + _GLASS_PX)
        yield line(*ends, stroke=paint.INK, stroke_width=2.2, class_="ufk-centre-line")


def _scale(middle: float, scale: float) -> Iterator[str]:
    """Letter the distance of the bubble's middle from the glass's middle [mm]."""
    top = _GLASS_TOP + _GLASS_PX + 2
    travel = int(TRAVEL_MM)
    for mm in range(-travel, travel + 1):
        x, numbered = middle + mm * scale, mm % _NUMBERS_EACH_MM == 0
        tall = _TICK_PX if numbered else _TICK_PX / 2
        yield line(x, top, x, top + tall, stroke=paint.INK, stroke_width=1, class_="ufk-tick")
        if numbered:
            yield words(x, top + _TICK_PX + 13, f"{abs(mm)}", text_anchor="middle", fill=paint.INK)
    said = f"mm; 1 mm is {1 / GLASS_RADIUS_M:g} mm per metre"
    x = max(middle, letters_px(said) / 2)
    yield words(x, top + _TICK_PX + 29, said, text_anchor="middle", fill=paint.FAINT_INK)
