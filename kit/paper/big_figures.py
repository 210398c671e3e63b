"""The few figures that matter, in letters that are read standing up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kit.ink.escape import CUT
from kit.paper.letters import letters_wide_mm
from kit.paper.marks import LINE, Area, Drawing, Letters, Mark, box

_TALL_MM = 19.0
_EDGE_MM = 2.0
_LABEL_MM = 3.0
_VALUE_MM = 8.0
_BELOW_MM = 3.0
_LEAST_MM = 2.5
_COLUMNS = 3


@dataclass(frozen=True)
class BigFigure:
    """One figure in its box.

    Parameters
    ----------
    label : str
        What it is.
    value : str
        The figure with its unit.
    below : str
        What belongs to it.
    """

    label: str
    value: str
    below: str = ""


def figures_drawing(figures: Sequence[BigFigure], wide_mm: float) -> Drawing:
    """Draw figures in boxes, three in a line.

    Parameters
    ----------
    figures : sequence of BigFigure
        From left to right, then down.
    wide_mm : float
        Width of the drawing [mm].

    Returns
    -------
    Drawing
        Letters of a value are 8 mm, and smaller only where the value is too long for its box.
    """
    wide, lines = wide_mm / _COLUMNS, -(-len(figures) // _COLUMNS)
    marks: list[Mark] = []
    for number, figure in enumerate(figures):
        down, across = divmod(number, _COLUMNS)
        marks += _cell(figure, across * wide, down * _TALL_MM, wide)
    words = "; ".join(f"{one.label}: {one.value} ({one.below})" for one in figures)
    return Drawing(wide_mm, lines * _TALL_MM, tuple(marks), words)


def _cell(figure: BigFigure, left_mm: float, top_mm: float, wide_mm: float) -> Iterator[Mark]:
    at, room = left_mm + _EDGE_MM, wide_mm - 2 * _EDGE_MM
    yield Area(box(left_mm, top_mm, wide_mm, _TALL_MM), pen=LINE)
    lines = (
        (figure.label, 4.2, _LABEL_MM, False),
        (figure.value, 12.0, _VALUE_MM, True),
        (figure.below, 16.9, _BELOW_MM, False),
    )
    for text, down, size, bold in lines:
        if text:
            said, fits = fitted(text, room, size, bold=bold)
            yield Letters((at, top_mm + down), said, fits, bold=bold)


def fitted(text: str, room_mm: float, size_mm: float, *, bold: bool = False) -> tuple[str, float]:
    """Return a text and the size at which it fits into a width.

    Parameters
    ----------
    text : str
        One line.
    room_mm, size_mm : float
        Width that there is, and the size that is wanted [mm].
    bold : bool
        In the bold face.

    Returns
    -------
    tuple of (str, float)
        The size is 2.5 mm at least; where even that is too wide the end of the text is cut, and
        marked as cut.
    """
    size = min(size_mm, size_mm * room_mm / max(letters_wide_mm(text, size_mm, bold=bold), 1e-9))
    if size >= _LEAST_MM:
        return text, size
    while text and letters_wide_mm(text + CUT, _LEAST_MM, bold=bold) > room_mm:
        text = text[:-1]
    return text + CUT, _LEAST_MM
