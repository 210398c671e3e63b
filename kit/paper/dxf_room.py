"""Room for letters in a drawing file: which places are taken, and where the next may stand."""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterator, Sequence

Place = tuple[float, float]

#: Left, upper, right and lower edge in the room's own x and y [mm].
Box = tuple[float, float, float, float]

#: Width of a letter and height of a line, as shares of the letters' size: more than the faces
#: that drawing programs have (common practice, no source).
LETTER_WIDE, LINE_TALL = 0.68, 1.67

#: How far off a name may be put, in steps of its letters' size, and how many ways round.
_STEPS, _WAYS = 16, 16


def letters_wide(line: str) -> float:
    """Return how wide a line is, as a share of its letters' size."""
    wide = sum(1 + (unicodedata.east_asian_width(sign) in "WF") for sign in line)
    return LETTER_WIDE * wide


def letters_box(lines: Sequence[str], middle: Place, size_mm: float, angle_deg: float = 0.0) -> Box:
    """Return the upright rectangle round lines of letters [mm].

    Parameters
    ----------
    lines : sequence of str
        Below each other.
    middle : Place
        Of all of them.
    size_mm : float
        Of the letters.
    angle_deg : float
        By which they are turned.
    """
    wide = size_mm * max(letters_wide(line) for line in lines)
    tall = size_mm * (LINE_TALL * (len(lines) - 1) + 1.2)
    turn = math.radians(angle_deg)
    cos, sin = abs(math.cos(turn)), abs(math.sin(turn))
    half = (wide * cos + tall * sin) / 2, (wide * sin + tall * cos) / 2
    (x, y), (right, low) = middle, half
    return x - right, y - low, x + right, y + low


class Taken:
    """The rectangles where letters stand."""

    def __init__(self) -> None:
        self._boxes: list[Box] = []

    def add(self, box: Box) -> None:
        """Take a place."""
        self._boxes.append(box)

    def free(self, box: Box) -> bool:
        """Tell whether no letters stand there."""
        left, top, right, low = box
        return all(
            right <= one[0] or one[2] <= left or low <= one[1] or one[3] <= top
            for one in self._boxes
        )

    def near(self, lines: Sequence[str], at: Place, size_mm: float) -> Place:
        """Return the free place for letters that is nearest to one; that one if none is free."""
        for place in _round(at, size_mm):
            if self.free(letters_box(lines, place, size_mm)):
                return place
        return at


def _round(at: Place, size_mm: float) -> Iterator[Place]:
    """Yield places in growing rings, wider than tall as letters are."""
    yield at
    for step in range(1, _STEPS + 1):
        for way in range(_WAYS):
            turn = 2 * math.pi * way / _WAYS
            out = step * size_mm * 0.8
            yield at[0] + 2.2 * out * math.cos(turn), at[1] + out * math.sin(turn)
