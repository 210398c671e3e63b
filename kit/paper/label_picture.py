"""One label as it is printed: its name, what belongs there, its pile to scale."""

from __future__ import annotations

from collections.abc import Iterator

from kit.ink.escape import cut_text
from kit.paper.label_places import BELOW, lines_within
from kit.paper.label_texts import Label
from kit.paper.letters import letters_wide_mm
from kit.paper.marks import Area, Letters, Mark, Pen, Place, Stroke, box

#: A common size of label paper: three across and eight down a sheet of A4, without gaps (common
#: practice, no source) [mm].
LABEL_MM = (70.0, 37.0)

#: Nothing is printed nearer to a label's edge: printers leave the edge of a sheet free, and
#: sheets lie askew (common practice, no source) [mm].
FREE_MM = 4.0

#: Names are set so that capitals are 8 mm tall (measured on the face: 0.729 of its size) [mm].
_NAME_MM, _SMALLEST_MM = 11.0, 3.5

#: How tall the capitals of a name are, and paper between them and the lines [mm].
_CAPITALS_MM, _BELOW_NAME_MM = 8.05, 1.7

#: Letters of the lines, from the largest try to the smallest [mm].
_LINES_MM = (4.0, 3.5, 3.0, 2.5)

#: From one of their baselines to the next at least, as a share of their size.
_LEADING = 1.05

#: Width of a pile, and how far it lies from the letters [mm].
_PILE_MM, _APART_MM = 14.0, 2.0

#: Scales of piles, times smaller than the real thing.
_SCALES = (1.0, 2.0, 2.5, 5.0, 10.0)

_EDGE, _FLOOR, _CUT = Pen(0.2), Pen(0.5), Pen(0.13, 0.4)


def pile_scale(tallest_mm: float) -> float:
    """Return the scale at which the tallest pile fits a label, times smaller than it is."""
    room = LABEL_MM[1] - 2 * FREE_MM - 4.0
    return next((scale for scale in _SCALES if tallest_mm / scale <= room), _SCALES[-1])


def label_marks(label: Label, at: Place, scale: float) -> Iterator[Mark]:
    """Draw a label.

    Parameters
    ----------
    label : Label
        What it says.
    at : Place
        Its upper left corner on the drawing [mm].
    scale : float
        From `pile_scale`.
    """
    left, top = at[0] + FREE_MM, at[1] + FREE_MM
    room = LABEL_MM[0] - 2 * FREE_MM
    if label.pile_mm:
        room -= _PILE_MM + _APART_MM
        yield from _pile(label, (left + room + _APART_MM, at[1] + LABEL_MM[1] - FREE_MM), scale)
    size = _size(label.name, room)
    name = _fitted(label.name, room, size, bold=True)
    yield Letters((left, top + _CAPITALS_MM), name, size, bold=True)
    yield from _lines(label.lines, (left, top + _CAPITALS_MM), room)


def _size(name: str, room_mm: float) -> float:
    """Return how large a name can be set: smaller only where it is too long."""
    return max(_SMALLEST_MM, min(_NAME_MM, room_mm / letters_wide_mm(name, 1.0, bold=True)))


def _lines(texts: tuple[str, ...], below: Place, room_mm: float) -> Iterator[Mark]:
    """Yield the lines below a name, as large as all of them have room."""
    room = LABEL_MM[1] - 2 * FREE_MM - _CAPITALS_MM - _BELOW_NAME_MM
    for size in _LINES_MM:
        lines = [line for text in texts for line in lines_within(text, size, room_mm)]
        tall = room - BELOW * size
        if len(lines) * _LEADING * size <= tall:
            break
    each = max(_LEADING * size, min(tall / max(4, len(lines)), 1.3 * size))
    for number, line in enumerate(lines, start=1):
        yield Letters((below[0], below[1] + _BELOW_NAME_MM + number * each), line, size)


def _fitted(text: str, room_mm: float, size_mm: float, *, bold: bool = False) -> str:
    """Return as much of a text as has room."""
    letters = len(text)
    while letters > 1 and letters_wide_mm(cut_text(text, letters), size_mm, bold=bold) > room_mm:
        letters -= 1
    return cut_text(text, letters)


def _pile(label: Label, at: Place, scale: float) -> Iterator[Mark]:
    """Yield a pile from the floor up, its lower left corner on the floor."""
    left, low = at[0], at[1] - 3.2
    yield Stroke(((left - 1.0, low), (left + _PILE_MM, low)), _FLOOR)
    for number, (thick, printed) in enumerate(zip(label.pile_mm, label.printed, strict=True)):
        tall = thick / scale
        low -= tall
        yield Area(box(left, low, _PILE_MM - 1.0, tall), 1.0 - 0.1 * (number % 2), _EDGE)
        if tall > 3.2:
            middle = left + (_PILE_MM - 1.0) / 2, low + tall / 2 + 1.0
            yield Letters(middle, printed, 3.0, "middle")
    said = f"1:{scale:g}"
    yield Letters((left + (_PILE_MM - 1.0) / 2, at[1] - 0.3), said, 2.5, "middle")


def cut_marks(at: Place, down: int, across: int) -> Iterator[Mark]:
    """Draw fine crosses at the corners of a grid of labels.

    Parameters
    ----------
    at : Place
        Upper left corner of the grid [mm].
    down, across : int
        How many labels.
    """
    for row in range(down + 1):
        for column in range(across + 1):
            x, y = at[0] + column * LABEL_MM[0], at[1] + row * LABEL_MM[1]
            yield Stroke(((x - 2.0, y), (x + 2.0, y)), _CUT)
            yield Stroke(((x, y - 2.0), (x, y + 2.0)), _CUT)
