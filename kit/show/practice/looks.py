"""How things look on a practice plan; each differs from the others by shape, not by colour alone.

Every function draws the same on the plan and in the key.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

from kit.ink import paint
from kit.ink.svg import box, element, line, path
from kit.practice.moves import Place
from kit.show.board.label_places import Box
from kit.show.board.lettering import SWATCH_PX, Swatch, hatched
from kit.show.board.plan_picture import star

#: Whose a mark is: told from the start, put down by a move, or shown after the answer.
Whose = Literal["given", "laid", "revealed"]

_WIDE, _TALL = SWATCH_PX


@dataclass(frozen=True)
class Strength:
    """How strongly something put down is drawn.

    Parameters
    ----------
    opacity : float
        0 to 1.
    thick_px : float
        Of an instrument's line [px].
    """

    opacity: float
    thick_px: float


NEWEST = Strength(1.0, 6.0)


def strength(age: int) -> Strength:
    """Return how strongly a move is drawn: 0 the newest, the older the fainter."""
    return NEWEST if age == 0 else Strength(max(0.4, 0.8 - 0.1 * age), 3.0)


def place_mark(at: Place, whose: Whose, strong: Strength = NEWEST) -> str:
    """Draw a place: an open square (given), a dot (put down), a star (revealed)."""
    x, y = at
    if whose == "revealed":
        look = {"fill": paint.MARK, "stroke": paint.PAPER, "stroke_width": 1.4}
        return element("path", d=star(at, 9.0), class_="ufk-place", data_whose=whose, **look)
    if whose == "given":
        return box(
            x - 4, y - 4, 8, 8, fill=paint.PAPER, stroke=paint.INK, stroke_width=1.6,
            class_="ufk-place", data_whose=whose,
        )  # fmt: skip
    radius = 5.5 if strong is NEWEST else 4.0
    return element(
        "circle", cx=x, cy=y, r=radius, fill=paint.ACCENT, stroke=paint.PAPER, stroke_width=1.2,
        opacity=strong.opacity, class_="ufk-place", data_whose=whose,
    )  # fmt: skip


def line_mark(start: Place, end: Place, whose: Whose, strong: Strength = NEWEST) -> str:
    """Draw a line; of an instrument put down, a bar across it shows its marked end."""
    if whose == "given":
        look: dict[str, Any] = {"stroke": paint.INK, "stroke_width": 1.6}
    elif whose == "revealed":
        look = {"stroke": paint.MARK, "stroke_width": 2.6, "stroke_dasharray": "9 4"}
    else:
        look = {"stroke": paint.ACCENT, "stroke_width": strong.thick_px, "opacity": strong.opacity}
    drawn = line(*start, *end, **look, class_="ufk-line", data_whose=whose)
    if whose != "laid":
        return drawn
    # A white rim keeps the newest apart from an older one under it.
    rim = line(*start, *end, stroke=paint.PAPER, stroke_width=strong.thick_px + 3)
    return (rim if strong is NEWEST else "") + drawn + _marked_end(start, end, strong)


def _marked_end(start: Place, end: Place, strong: Strength) -> str:
    long = math.hypot(end[0] - start[0], end[1] - start[1]) or 1.0
    half = 8.0 if strong is NEWEST else 6.0
    dx, dy = -(end[1] - start[1]) / long * half, (end[0] - start[0]) / long * half
    look: dict[str, Any] = {"stroke": paint.INK, "stroke_width": 4, "opacity": strong.opacity}
    ends = (start[0] - dx, start[1] - dy, start[0] + dx, start[1] + dy)
    return line(*ends, **look, class_="ufk-marked-end")


def outline_mark(inside: Box, whose: Whose, strong: Strength = NEWEST) -> str:
    """Draw a rectangle: full (given), thick (put down), dashed (revealed)."""
    looks: dict[Whose, dict[str, Any]] = {
        "given": {"stroke": paint.TIMBER_LINE, "stroke_width": 1.6, "fill": paint.TIMBER,
                  "fill_opacity": 0.35},
        "laid": {"stroke": paint.ACCENT, "stroke_width": strong.thick_px / 2, "fill": "none",
                 "opacity": strong.opacity},
        "revealed": {"stroke": paint.MARK, "stroke_width": 2.2, "fill": "none",
                     "stroke_dasharray": "9 4"},
    }  # fmt: skip
    return _sized(inside, class_="ufk-outline", data_whose=whose, **looks[whose])


def loose_board(inside: Box) -> str:
    """Draw a board that moves: dashed, crossed corner to corner."""
    left, top, right, bottom = inside
    look: dict[str, Any] = {"stroke": paint.INK, "stroke_width": 1.3, "stroke_dasharray": "4 2"}
    cross = f"M{left:.1f} {top:.1f}L{right:.1f} {bottom:.1f}M{right:.1f} {top:.1f}"
    crossed = element("path", d=f"{cross}L{left:.1f} {bottom:.1f}", fill="none", **look)
    return _sized(inside, fill="none", class_="ufk-loose", **look) + crossed


def soft_place(middle: Place, radius_px: float) -> str:
    """Draw where joists give: a ring of dots and one half as wide."""
    look: dict[str, Any] = {
        "fill": "none", "stroke": paint.INK, "stroke_linecap": "round",
        "stroke_dasharray": "0.1 6", "stroke_width": 2.4,
    }  # fmt: skip
    x, y = middle
    ring = element("circle", cx=x, cy=y, r=radius_px, class_="ufk-soft", **look)
    return ring + element("circle", cx=x, cy=y, r=radius_px / 2, **look)


def heated_zone(inside: Box) -> str:
    """Draw where there is heating under the boards: wavy lines in a frame of long dashes."""
    look: dict[str, Any] = {"stroke": paint.SERVICE, "fill": "none"}
    frame = _sized(
        inside, stroke_width=1.6, stroke_dasharray="12 4", class_="ufk-heated", **look
    )  # fmt: skip
    waves = element("path", d=_waves(inside), stroke_width=1, stroke_opacity=0.6, **look)
    return frame + waves


def _waves(inside: Box) -> str:
    left, top, right, bottom = inside
    step, half = 26.0, 8.0
    parts = []
    for row in range(max(int((bottom - top) / step), 1)):
        y = top + (row + 0.5) * min(step, bottom - top)
        count = int((right - left - 2) / half)
        turns = "".join(f"q{half / 2:g} {(-1) ** n * 4} {half:g} 0" for n in range(count))
        parts.append(f"M{left + 1:.1f} {y:.1f}{turns}" if count > 0 else "")
    return "".join(parts)


def highest_mark(at: Place) -> str:
    """Draw the highest place: a full triangle that points up."""
    return _triangle(at, -6.0, fill=paint.INK, class_="ufk-highest")


def lowest_mark(at: Place) -> str:
    """Draw the lowest place: a hollow triangle that points down."""
    return _triangle(at, 6.0, fill=paint.PAPER, class_="ufk-lowest")


def _triangle(at: Place, tip_px: float, **look: Any) -> str:
    x, y = at
    corners = [(x - 6, y - 0.7 * tip_px), (x + 6, y - 0.7 * tip_px), (x, y + tip_px)]
    rim = {"stroke": paint.INK if look["fill"] == paint.PAPER else paint.PAPER}
    return element("path", d=path(corners, closed=True), stroke_width=1.4, **rim, **look)


def _sized(inside: Box, **look: Any) -> str:
    left, top, right, bottom = inside
    return box(left, top, right - left, bottom - top, **look)


def place_swatch(whose: Whose, age: int = 0) -> Swatch:
    """Return what draws a place in a key."""
    return lambda x, y: place_mark((x + _WIDE / 2, y + _TALL / 2), whose, strength(age))


def line_swatch(whose: Whose, age: int = 0) -> Swatch:
    """Return what draws an instrument in a key."""
    middle = _TALL / 2
    return lambda x, y: line_mark(
        (x + 2, y + middle), (x + _WIDE, y + middle), whose, strength(age)
    )


def outline_swatch(whose: Whose, age: int = 0) -> Swatch:
    """Return what draws an outline in a key."""
    return lambda x, y: outline_mark(Box(x, y, x + _WIDE, y + _TALL), whose, strength(age))


def band_swatch(tone: str) -> Swatch:
    """Return what draws a band of the map in a key."""
    look = {"fill": tone, "stroke": paint.FAINT_INK, "stroke_width": 0.8}
    return lambda x, y: box(x, y, _WIDE, _TALL, **look)


def loose_swatch(x: float, y: float) -> str:
    """Draw a loose board in a key."""
    return loose_board(Box(x, y, x + _WIDE, y + _TALL))


def soft_swatch(x: float, y: float) -> str:
    """Draw a soft place in a key."""
    return soft_place((x + _WIDE / 2, y + _TALL / 2), 7.0)


def heated_swatch(x: float, y: float) -> str:
    """Draw a heated zone in a key."""
    return heated_zone(Box(x, y, x + _WIDE, y + _TALL))


def highest_swatch(x: float, y: float) -> str:
    """Draw the highest place in a key."""
    return highest_mark((x + _WIDE / 2, y + _TALL / 2))


def lowest_swatch(x: float, y: float) -> str:
    """Draw the lowest place in a key."""
    return lowest_mark((x + _WIDE / 2, y + _TALL / 2))


def hatched_swatch(x: float, y: float) -> str:
    """Draw what nobody saw in a key."""
    return hatched(x, y, _WIDE, _TALL, step_px=5, stroke=paint.FAINT_INK, stroke_width=0.9) + box(
        x, y, _WIDE, _TALL, fill="none", stroke=paint.FAINT_INK, stroke_width=0.8
    )
