"""Letters and patterns of pictures: lines that fit, labels that keep apart, hatching, keys."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

from kit.ink.svg import LETTER_SHARE, LETTERS_PX, element, letters_px, short, words

#: From one line of letters to the next [px].
LINE_PX = 15.0

#: A swatch of a key, wide and tall [px].
SWATCH_PX = (18.0, 10.0)

#: Draws a swatch whose left upper corner is given [px].
Swatch = Callable[[float, float], str]


def letters_in(width_px: float) -> int:
    """Return how many letters of the smallest size fit into a width, at least one."""
    return max(int(width_px / (LETTERS_PX * LETTER_SHARE)), 1)


def fitted(text: str, width_px: float) -> list[str]:
    """Return a text as lines that fit a width; a word that is too long is broken."""
    return textwrap.wrap(text, letters_in(width_px)) or [""]


def paragraph(x: float, y: float, lines: Iterable[str], **attributes: object) -> str:
    """Return lines of letters below each other, the first with its baseline at a place."""
    return "".join(
        words(x, y + number * LINE_PX, text, **attributes) for number, text in enumerate(lines)
    )


def apart(wanted_px: Sequence[float], gap_px: float, least_px: float) -> list[float]:
    """Return places that keep a gap, each as near as can be to where it is wanted.

    Parameters
    ----------
    wanted_px : sequence of float
        Ascending [px].
    gap_px : float
        Least distance of neighbours [px].
    least_px : float
        No place lies before this [px].

    Returns
    -------
    list of float
        In the same order. Least squares under the gaps, by pooling adjacent violators.
    """
    pools: list[tuple[float, int]] = []
    for number, wanted in enumerate(wanted_px):
        pools.append((wanted - number * gap_px, 1))
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            (b, n), (a, m) = pools.pop(), pools.pop()
            pools.append(((a * m + b * n) / (m + n), m + n))
    even = [value for value, count in pools for _ in range(count)]
    return [max(value, least_px) + number * gap_px for number, value in enumerate(even)]


def hatched(
    left: float, top: float, wide: float, tall: float, *, step_px: float = 7.0, **attributes: object
) -> str:
    """Return slanting lines over a rectangle, cut off at its edges.

    Drawn line by line: a pattern is found by its name, and two pictures of one page would share it.
    """
    lines = list(_slants(left, top, wide, tall, step_px))
    look: dict[str, Any] = {"fill": "none", **attributes}
    return element("path", d="".join(lines), **look) if lines else ""


def _slants(left: float, top: float, wide: float, tall: float, step: float) -> Iterator[str]:
    # A line at 45 degrees is where x + y, counted from the left upper corner, stays the same.
    for number in range(1, int((wide + tall) / step) + 1):
        both = number * step
        x0, x1 = max(both - tall, 0.0), min(both, wide)
        if x1 > x0:
            start = f"{short(left + x0)} {short(top + both - x0)}"
            yield f"M{start}L{short(left + x1)} {short(top + both - x1)}"


def key(entries: Iterable[tuple[Swatch, str]], top: float, width_px: float) -> tuple[str, float]:
    """Return a key in words and swatches that wraps at a width, and where it ends.

    Parameters
    ----------
    entries : iterable of (Swatch, str)
        What is drawn, and what it means.
    top : float
        Upper end of its first line [px].
    width_px : float
        Where it wraps [px].

    Returns
    -------
    drawn : str
    bottom : float
        Lower end of its last line [px].
    """
    drawn: list[str] = []
    x, y = 2.0, top + LINE_PX
    for swatch, text in entries:
        wide = SWATCH_PX[0] + 5 + letters_px(text)
        if x > 2 and x + wide > width_px:
            x, y = 2.0, y + LINE_PX + 3
        drawn.append(swatch(x, y - SWATCH_PX[1]) + words(x + SWATCH_PX[0] + 5, y, text))
        x += wide + 14
    return "".join(drawn), y + 5
