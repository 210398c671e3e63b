"""How loads, bearer and stacks look: arrows, the bent line, marks that differ in shape."""

from __future__ import annotations

from typing import Any

from kit.ink import paint
from kit.ink.svg import box, element, line, path, short
from kit.show.board.load_frame import MARK_PX

#: Thickness of the bearer's line [px].
TIMBER_PX = 4.6

#: Half the thickness of an arrow's shaft, half the width and the length of its head [px].
SHAFT_PX, HEAD_HALF_PX, HEAD_PX = 1.0, 3.6, 7.0

#: Half the width of the break at a joint [px].
BREAK_PX = 3.5

#: What is drawn of the level that was meant.
MEANT: dict[str, Any] = {"stroke": paint.ACCENT, "stroke_width": 1.1, "stroke_dasharray": "9 5"}


def mark(kind: str, x: float, y: float) -> str:
    """Return a mark: a filled square carries, a hollow triangle is idle, a diamond rocks."""
    half = MARK_PX / 2
    if kind == "carries":
        return box(x - 4, y - 4, 8, 8, fill=paint.INK, class_="ufk-carries")
    if kind == "idle":
        corners = [(x, y - half), (x + half, y + half - 1), (x - half, y + half - 1)]
        look = {"fill": paint.PAPER, "stroke": paint.MARK, "stroke_width": 2}
    else:
        corners = [(x, y - half - 1), (x + half + 1, y), (x, y + half + 1), (x - half - 1, y)]
        look = {"fill": paint.MARK, "stroke": paint.INK, "stroke_width": 1}
    return element("path", d=path(corners, closed=True), class_=f"ufk-{kind}", **look)


def arrow(x: float, tail: float, tip: float, fill: str, kind: str) -> str:
    """Return an upright arrow; a short one is all head, and never longer than its force says."""
    long = abs(tip - tail)
    head = min(HEAD_PX, long)
    neck = tip + head * (1 if tail > tip else -1)
    wide = HEAD_HALF_PX * max(head / HEAD_PX, 0.4)
    drawn = (
        f"M{short(x - SHAFT_PX)} {short(tail)}V{short(neck)}H{short(x - wide)}"
        f"L{short(x)} {short(tip)}L{short(x + wide)} {short(neck)}H{short(x + SHAFT_PX)}"
        f"V{short(tail)}Z"
    )
    return element("path", d=drawn, fill=fill, class_=kind)


def pressing_arrow(x: float, tail: float, tip: float) -> str:
    """Return the arrow of a load."""
    return arrow(x, tail, tip, paint.INK, "ufk-pressing")


def carried_arrow(x: float, tail: float, tip: float) -> str:
    """Return the arrow of what a stack carries."""
    return arrow(x, tail, tip, paint.ACCENT, "ufk-carried")


def bent(points: list[tuple[float, float]]) -> str:
    """Return a piece of bearer as a thick line whose underside runs through points [px]."""
    up = TIMBER_PX / 2
    raised = path((x, y - up) for x, y in points)
    look = {"fill": "none", "stroke_linejoin": "round"}
    return element("path", d=raised, stroke=paint.TIMBER_LINE, stroke_width=TIMBER_PX, **look)


def meant(left: float, right: float, y: float) -> str:
    """Return the level that was meant."""
    return line(left, y, right, y, class_="ufk-meant", **MEANT)


def splice(x: float, y: float) -> str:
    """Return a hollow ring: a splice, where the bearer may turn as a hinge does."""
    look = {"fill": paint.PAPER, "stroke": paint.TIMBER_LINE, "stroke_width": 1.8}
    return element("circle", "", cx=x, cy=y - TIMBER_PX / 2, r=4.0, class_="ufk-splice", **look)
