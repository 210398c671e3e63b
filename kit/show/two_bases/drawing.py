"""What pictures of two bases share: an image with its words, marks that differ without colour."""

from __future__ import annotations

from typing import Any

from kit.ink import paint
from kit.ink.svg import Picture, box
from kit.ink.table import Page, Table, page
from kit.show.board.lettering import Swatch, hatched

#: Width of a page of pictures [px].
PAGE_PX = 960.0

#: Looks of the first and of the second base: dark and full, light and hatched.
FIRST: dict[str, Any] = {"fill": paint.ACCENT, "stroke": paint.INK, "stroke_width": 1.2}
SECOND: dict[str, Any] = {"fill": paint.TIMBER, "stroke": paint.INK, "stroke_width": 1.2}
HOLLOW: dict[str, Any] = {
    "fill": paint.PAPER,
    "stroke": paint.FAINT_INK,
    "stroke_width": 1.2,
    "stroke_dasharray": "3 2",
}


def image(picture: Picture) -> str:
    """Return a picture as an image: one whole, with its words as its name."""
    return picture.svg.replace('role="group"', 'role="img"', 1)


def bar(left: float, top: float, wide: float, tall: float, winner: str) -> str:
    """Return a bar of the first ("a") or second ("b") base, hollow where neither is better."""
    look = {"a": FIRST, "b": SECOND}.get(winner, HOLLOW)
    drawn = box(left, top, wide, tall, **look)
    if winner == "b":
        drawn += hatched(left, top, wide, tall, step_px=6, stroke=paint.INK, stroke_width=0.8)
    return drawn


def bar_swatch(winner: str) -> Swatch:
    """Return what draws such a bar in a key."""
    return lambda x, y: bar(x, y, 18, 10, winner)


def beside(pictures: list[Picture], tables: list[Table]) -> Page:
    """Put pictures, on paper that stays white, above the tables of their numbers."""
    paper = "background:#fff;color:#1d2730;overflow-x:auto;margin-bottom:1em"
    drawn = "".join(f'<div style="{paper}">{image(one)}</div>' for one in pictures)
    return page(Page(drawn), *tables)
