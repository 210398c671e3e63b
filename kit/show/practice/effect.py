"""What a mistake does to the furniture, drawn larger than it is, with its figure."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from kit.ink import paint
from kit.ink.svg import Picture, box, element, letters_px, line, path
from kit.practice.effects import UNIT_DEPTH_MM, UNIT_HEIGHT_MM, UNIT_WIDTH_MM, Effect
from kit.practice.moves import Place
from kit.show.board.lettering import LINE_PX, fitted, paragraph

#: How often what is out is drawn as large as it is; the largest that fits is taken.
ENLARGED = (200, 100, 50, 20, 10, 5, 2, 1)

#: Width of one drawing, where its ground lies, and room from there to its first words [px].
PANEL_PX, _GROUND_PX, _TO_WORDS_PX = 190.0, 164.0, 22.0

#: Height of a unit on the paper, and the most that its top is drawn over [px].
TALL_PX, MOST_PX = 140.0, 30.0

#: Between the frame and words [px].
_INSIDE_PX = 12.0

#: Of the foot that hangs: length of a unit's front on the paper, and the most of its gap [px].
_FRONT_PX, _MOST_HANG_PX = 110.0, 28.0

_EDGE: dict[str, Any] = {"stroke": paint.INK, "stroke_width": 1.5, "stroke_linejoin": "round"}
_PLUMB: dict[str, Any] = {
    "stroke": paint.FAINT_INK,
    "stroke_width": 1.2,
    "stroke_dasharray": "5 3",
}


@dataclass(frozen=True)
class Drawn:
    """How large something is drawn.

    Parameters
    ----------
    px : float
        On the paper [px].
    words : str
        How it was enlarged.
    """

    px: float
    words: str


def drawn_as(mm: float, px_per_mm: float, most_px: float) -> Drawn:
    """Enlarge a length [mm] as far as it fits; where even its own size does not fit, say so."""
    for times in ENLARGED:
        px = abs(mm) * px_per_mm * times
        if px <= most_px:
            return Drawn(px, f"drawn {times} times as large" if times > 1 else "drawn to scale")
    return Drawn(most_px, "more than can be drawn")


def effect_picture(effect: Effect, width_px: float) -> Picture:
    """Draw a unit that leans, a foot that hangs, two tops: whichever the effect has.

    Parameters
    ----------
    effect : Effect
        What happens; where it has no figure its words stand alone in a box.
    width_px : float
        At most [px]; drawings that do not fit beside each other stand below.

    Returns
    -------
    Picture
        Each drawing is a group with ``data-mm``.
    """
    panels = list(_panels(effect))
    lines = fitted(effect.words, width_px - 2 * _INSIDE_PX)
    across = min(max(1, int(width_px / PANEL_PX)), len(panels))
    top = _INSIDE_PX + 2 + len(lines) * LINE_PX
    rows = math.ceil(len(panels) / max(across, 1))
    bottom = top + rows * _panel_tall(effect) + (0 if rows else 6)
    wide = max(across * PANEL_PX, *(letters_px(text) + 2 * _INSIDE_PX for text in lines))
    look = {"fill": "none", "stroke": paint.FAINT_INK, "stroke_width": 1}
    drawn = [
        box(1, 1, wide - 2, bottom - 2, rx=4, class_="ufk-frame", **look),
        paragraph(_INSIDE_PX, 20, lines, fill=paint.INK),
    ]
    for number, panel in enumerate(panels):
        row, column = divmod(number, across)
        at = f"translate({column * PANEL_PX:g} {top + row * _panel_tall(effect):g})"
        drawn.append(element("g", panel, transform=at))
    return Picture(wide, bottom, "".join(drawn), effect_words(effect))


def _panel_tall(effect: Effect) -> float:
    """Return the height of a drawing: that of a unit, and two or three lines of words [px]."""
    return _GROUND_PX + _TO_WORDS_PX + (3 if effect.lean_mm else 2) * LINE_PX - 2


def effect_words(effect: Effect) -> str:
    """Return the effect's words and each of its figures."""
    figures = _lean_lines(effect)[:1] if effect.lean_mm else []
    figures += _rock_lines(effect)[:1] if effect.rock_mm else []
    figures += _gap_lines(effect)[:1] if effect.gap_mm else []
    return f"{effect.words}. {'; '.join(figures)}." if figures else f"{effect.words}."


def _panels(effect: Effect) -> Iterator[str]:
    if effect.lean_mm:
        yield _panel("lean", effect.lean_mm, _lean(effect), _lean_lines(effect))
    if effect.rock_mm:
        yield _panel("rock", effect.rock_mm, _rock(effect), _rock_lines(effect))
    if effect.gap_mm:
        yield _panel("gap", effect.gap_mm, _gap(effect), _gap_lines(effect))


def _panel(name: str, mm: float, inner: str, lines: list[str]) -> str:
    look: dict[str, Any] = {"text_anchor": "middle", "fill": paint.INK}
    said = paragraph(PANEL_PX / 2, _GROUND_PX + _TO_WORDS_PX, lines, **look)
    return element("g", inner + said, class_=f"ufk-{name}", data_mm=f"{mm:g}")


def _lean_lines(effect: Effect) -> list[str]:
    return [
        f"top hangs over {_size(effect.lean_mm)}",
        f"in {UNIT_HEIGHT_MM / 1000:g} m of height,",
        drawn_as(effect.lean_mm, TALL_PX / UNIT_HEIGHT_MM, MOST_PX).words,
    ]


def _rock_lines(effect: Effect) -> list[str]:
    said = drawn_as(effect.rock_mm, _FRONT_PX / UNIT_WIDTH_MM, _MOST_HANG_PX).words
    return [f"one corner hangs {_size(effect.rock_mm)}", said]


def _gap_lines(effect: Effect) -> list[str]:
    size = _size(effect.gap_mm)
    tops = f"tops {size} apart" if effect.gap_mm > 0 else f"tops press by {size}"
    return [tops, drawn_as(effect.gap_mm, TALL_PX / UNIT_HEIGHT_MM, MOST_PX).words]


def _size(mm: float) -> str:
    return f"{abs(mm):.1f} mm" if abs(mm) < 100 else f"{abs(mm):.0f} mm"


def _turned(points: list[Place], about: Place, sine: float) -> list[Place]:
    """Turn points about one; a positive sine takes what is above it to the right."""
    cosine = math.sqrt(1 - sine**2)
    turned = []
    for x, y in points:
        dx, dy = x - about[0], y - about[1]
        turned.append((about[0] + cosine * dx - sine * dy, about[1] + sine * dx + cosine * dy))
    return turned


def _body(points: list[Place], name: str) -> str:
    return element("path", d=path(points, closed=True), class_=name, fill=paint.UNIT, **_EDGE)


def _unit(left: float, wide: float) -> list[Place]:
    """Return the corners of a unit on the ground: lower left, lower right, upper right, left."""
    top, right = _GROUND_PX - TALL_PX, left + wide
    return [(left, _GROUND_PX), (right, _GROUND_PX), (right, top), (left, top)]


def _lean(effect: Effect) -> str:
    """Draw a unit turned as its base is, beside a plumb line from its foot."""
    scale = TALL_PX / UNIT_HEIGHT_MM
    over = drawn_as(effect.lean_mm, scale, MOST_PX).px * math.copysign(1, effect.lean_mm)
    half, middle = UNIT_DEPTH_MM * scale / 2, PANEL_PX / 2
    about = (middle, _GROUND_PX)
    corners = _turned(_unit(middle - half, 2 * half), about, over / TALL_PX)
    base = _turned([(middle - 44, _GROUND_PX), (middle + 44, _GROUND_PX)], about, over / TALL_PX)
    foot = corners[1] if over > 0 else corners[0]
    top = corners[2] if over > 0 else corners[3]
    return "".join(
        [
            line(middle - 52, _GROUND_PX, middle + 52, _GROUND_PX, **_PLUMB),
            line(*base[0], *base[1], stroke=paint.TIMBER_LINE, stroke_width=4),
            _body(corners, "ufk-unit"),
            line(foot[0], foot[1], foot[0], 12, **_PLUMB),
            _between(foot[0], top[0], top[1] - 6),
        ]
    )


def _between(x1: float, x2: float, y: float) -> str:
    """Draw a measured distance: a line with a bar at either end."""
    look: dict[str, Any] = {"stroke": paint.MARK, "stroke_width": 2}
    bars = "".join(line(x, y - 5, x, y + 5, **look) for x in (x1, x2))
    return line(x1, y, x2, y, class_="ufk-measure", **look) + bars


def _rock(effect: Effect) -> str:
    """Draw the lower end of a unit, one foot on its stack and the other over its own."""
    hang = drawn_as(effect.rock_mm, _FRONT_PX / UNIT_WIDTH_MM, _MOST_HANG_PX).px
    left, right = (PANEL_PX - _FRONT_PX) / 2, (PANEL_PX + _FRONT_PX) / 2
    feet, top = _GROUND_PX - 34, _GROUND_PX - 100
    body = [(left, top), (left, feet - 8), (right, feet - 8), (right, top)]
    look: dict[str, Any] = {"fill": paint.TIMBER, "stroke": paint.TIMBER_LINE, "stroke_width": 1.2}
    drawn = [
        line(left - 26, _GROUND_PX, right + 26, _GROUND_PX, stroke=paint.FLOOR_LINE,
             stroke_width=3),
        box(left - 4, feet, 22, _GROUND_PX - feet, **look),
        box(right - 18, feet + hang, 22, _GROUND_PX - feet - hang, **look),
        element("path", d=path(body), class_="ufk-unit", fill=paint.UNIT, **_EDGE),
        line(left, top, right, top, **_PLUMB),
        *(box(x, feet - 8, 14, 8, fill=paint.PANEL, **_EDGE) for x in (left, right - 14)),
        _hanging(right + 12, feet, feet + hang),
    ]  # fmt: skip
    return "".join(drawn)


def _hanging(x: float, y1: float, y2: float) -> str:
    look: dict[str, Any] = {"stroke": paint.MARK, "stroke_width": 2}
    bars = "".join(line(x - 5, y, x + 5, y, **look) for y in (y1, y2))
    return line(x, y1, x, y2, class_="ufk-measure", **look) + bars


def _gap(effect: Effect) -> str:
    """Draw two units that meet at their feet; where they would stand in each other it is dark."""
    scale = TALL_PX / UNIT_HEIGHT_MM
    each = drawn_as(effect.gap_mm, scale, MOST_PX).px / 2 * math.copysign(1, effect.gap_mm)
    wide, middle = UNIT_WIDTH_MM * scale, PANEL_PX / 2
    about = (middle, _GROUND_PX)
    one = _turned(_unit(middle - wide, wide), about, -each / TALL_PX)
    other = _turned(_unit(middle, wide), about, each / TALL_PX)
    tops = sorted((one[2][0], other[3][0]))
    drawn = [
        line(middle - wide - 12, _GROUND_PX, middle + wide + 12, _GROUND_PX, **_PLUMB),
        _body(one, "ufk-unit"), _body(other, "ufk-unit"),
        _between(tops[0], tops[1], min(one[2][1], other[3][1]) - 8),
    ]  # fmt: skip
    if effect.gap_mm < 0:
        corners = [about, one[2], other[3]]
        look: dict[str, Any] = {"fill": paint.MARK, "class_": "ufk-pressing", "stroke": paint.INK}
        drawn.insert(3, element("path", d=path(corners, closed=True), **look))
    return "".join(drawn)
