"""Bought lengths drawn as bars, with the pieces that come out of each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kit.paper.letters import letters_wide_mm
from kit.paper.marks import LINE, THIN, Area, Drawing, Letters, Mark, Stroke, box

#: How tall a bar is, how much each takes with its line of words, and the words' letters [mm].
_TALL_MM, _EACH_MM, _SAID_MM = 9.0, 16.0, 3.0

#: Letters within a piece, the wanted ones and the least [mm].
_WANTED_MM, _LEAST_MM = 3.5, 2.5

_AIR_MM = 0.8

#: A piece that ends this near the end of its bought length is not cut there [mm].
_NO_CUT_MM = 1e-6

#: Filling of what is left over.
_REST_GREY = 0.82


@dataclass(frozen=True)
class Bar:
    """A bought length and its pieces.

    Parameters
    ----------
    name : str
        What it is, above it.
    length_mm, kerf_mm : float
        Bought length, and what each saw cut takes [mm].
    pieces : tuple of (str, str, float)
        Name, length in words and length [mm], from the left.
    left_words : str
        How much is left over.
    """

    name: str
    length_mm: float
    kerf_mm: float
    pieces: tuple[tuple[str, str, float], ...]
    left_words: str


def bars_drawings(bars: Sequence[Bar], room_mm: tuple[float, float]) -> Iterator[Drawing]:
    """Yield drawings of bars below each other, each drawing no larger than the room.

    Parameters
    ----------
    bars : sequence of Bar
        All drawn to one scale, so that the longest takes the whole width.
    room_mm : tuple of float
        Width and height that a drawing may have [mm].
    """
    wide, tall = room_mm
    share = wide / max((bar.length_mm for bar in bars), default=1.0)
    fits = max(1, int(tall // _EACH_MM))
    for start in range(0, len(bars), fits):
        shown = bars[start : start + fits]
        marks = [
            mark for place, bar in enumerate(shown) for mark in _bar(bar, place * _EACH_MM, share)
        ]
        words = "; ".join(_bar_words(bar) for bar in shown)
        yield Drawing(wide, len(shown) * _EACH_MM, tuple(marks), words, 1 / share)


def _bar_words(bar: Bar) -> str:
    pieces = ", ".join(f"{name} {said}" for name, said, _ in bar.pieces)
    return f"{bar.name}: {pieces}; {bar.left_words}"


def _bar(bar: Bar, top_mm: float, share: float) -> Iterator[Mark]:
    """Yield one bar: its words, what is left over as the ground, its pieces over it."""
    top = top_mm + 4.6
    yield Letters((0.0, top_mm + 3.6), f"{bar.name}; {bar.left_words}", _SAID_MM)
    yield Area(box(0.0, top, bar.length_mm * share, _TALL_MM), grey=_REST_GREY, pen=THIN)
    at = 0.0
    for name, said, length in bar.pieces:
        left, wide = at * share, length * share
        yield Area(box(left, top, wide, _TALL_MM), grey=1.0, pen=LINE)
        yield from _piece_letters(name, said, left, top, wide)
        if at + length < bar.length_mm - _NO_CUT_MM:
            cut = (at + length) * share
            yield Stroke(((cut, top - 0.8), (cut, top + _TALL_MM + 0.8)), LINE)
        at += length + bar.kerf_mm


def _piece_letters(name: str, said: str, left: float, top: float, wide: float) -> Iterator[Mark]:
    """Yield a piece's name and length where they fit, in as large letters as can be; else its name.

    A piece too narrow for its name lying is named upright.
    """
    middle, room = left + wide / 2, wide - 2 * _AIR_MM
    shown = said.partition(" (")[0]  # what it is rounded by stands in the table too
    layouts = ((f"{name}: {said}",), (name, said), (name, shown), (name,))
    sizes = [_size(lines, room) for lines in layouts]
    best = 0 if sizes[0] >= sizes[1] else 1
    best = next((one for one in (best, 2) if sizes[one] >= _LEAST_MM), 3)
    if sizes[best] >= _LEAST_MM:
        yield from _lines(layouts[best], middle, top, sizes[best])
    elif wide >= _LEAST_MM and letters_wide_mm(name, _LEAST_MM, bold=True) <= _TALL_MM - 0.6:
        at = (middle + 0.36 * _LEAST_MM, top + _TALL_MM / 2)
        yield Letters(at, name, _LEAST_MM, "middle", 90.0, bold=True)


def _size(lines: Sequence[str], room: float) -> float:
    """Return the size at which lines fit into a piece."""
    size = min(_WANTED_MM, (_TALL_MM - 1.0) / (1.15 * len(lines)))
    longest = max(letters_wide_mm(line, size, bold=True) for line in lines)
    return min(size, size * room / max(longest, 1e-9))


def _lines(lines: Sequence[str], middle: float, top: float, size: float) -> Iterator[Mark]:
    """Yield lines centred in a bar."""
    pitch = 1.15 * size
    first = top + _TALL_MM / 2 + 0.36 * size - pitch * (len(lines) - 1) / 2
    for place, line in enumerate(lines):
        yield Letters((middle, first + place * pitch), line, size, "middle", bold=True)
