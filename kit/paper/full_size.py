"""What strips at full size are made of: pieces that fit a page, scales, joins, control lines."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from kit.ink.lengths import Units, plan_length
from kit.job.units import MM_PER_INCH
from kit.paper.document import Document
from kit.paper.letters import letters_wide_mm
from kit.paper.marks import LINE, THIN, Area, Letters, Mark, Pen, Stroke, box

#: Longest and shortest piece of a strip, and what the last one has at least [mm].
PIECE_MM, _SHORTEST_MM, _LAST_MM = 250.0, 150.0, 60.0

#: What of a piece lies under the next one [mm].
TAB_MM = 12.0

#: From the left edge of a drawing to that of a piece [mm].
LEFT_MM = 3.0

#: A join keeps off marks by this where it can, so that their letters find room [mm].
_CLEAR_MM = 30.0

#: Joins lie at whole steps of a tape: a centimetre, half an inch [mm].
_JOIN_STEPS_MM = {"mm": 10.0, "in": MM_PER_INCH / 2}

#: Letters of a scale and of what is said on a piece [mm].
SCALE_LETTERS_MM = 3.5

#: How far the scale's longest ticks reach, and where its letters stand below its edge [mm].
_LONG_TICK_MM, SCALE_TALL_MM = 5.0, 8.6

#: Room of a control line at the foot of a drawing [mm].
CONTROL_TALL_MM = 11.0

#: What the control line is long [mm].
CONTROL_MM = {"mm": 200.0, "in": 8 * MM_PER_INCH}

#: Sixteenths between two ticks of a kind, and how long those are [mm].
_INCH_TICKS_MM = ((8, 3.8), (4, 3.0), (2, 2.2), (1, 1.4))

_WHERE_CUT = Pen(0.25, 0.35, (2.0, 1.2))


@dataclass(frozen=True)
class StripPiece:
    """One piece of a strip.

    Parameters
    ----------
    strip : str
        Name of its strip.
    number, of : int
        Which of how many.
    from_mm, to_mm : float
        From its left end to the line on which the next piece begins, along the run [mm].
    """

    strip: str
    number: int
    of: int
    from_mm: float
    to_mm: float

    @property
    def last(self) -> bool:
        """Whether no piece follows."""
        return self.number == self.of

    @property
    def length_mm(self) -> float:
        """Its length without what lies under the next one [mm]."""
        return self.to_mm - self.from_mm

    def holds(self, along_mm: float) -> bool:
        """Tell whether a place lies on it; a join lies on both its pieces."""
        return self.from_mm - 1e-9 <= along_mm <= self.to_mm + 1e-9

    def x_mm(self, along_mm: float) -> float:
        """Return where a place lies on the drawing [mm]."""
        return LEFT_MM + along_mm - self.from_mm

    def name(self, units: Units) -> str:
        """Return what stands on it: which piece, from where to where."""
        ends = f"{plan_length(self.from_mm, units)} to {plan_length(self.to_mm, units)} {units}"
        return f"Strip {self.strip}, piece {self.number} of {self.of}: {ends}"


def cut_strip(
    strip: str, from_mm: float, to_mm: float, marks_mm: Sequence[float], units: Units
) -> tuple[StripPiece, ...]:
    """Cut a strip into pieces that fit a page.

    Parameters
    ----------
    strip : str
        Its name.
    from_mm, to_mm : float
        Its ends along the run [mm].
    marks_mm : sequence of float
        Places that joins keep off where they can [mm].
    units : {"mm", "in"}
        Whose whole steps the joins lie at.

    Returns
    -------
    tuple of StripPiece
        From left to right.
    """
    ends, step = [from_mm], _JOIN_STEPS_MM[units]
    while to_mm - ends[-1] > PIECE_MM:
        first = math.ceil((ends[-1] + _SHORTEST_MM) / step)
        last = math.floor((min(ends[-1] + PIECE_MM, to_mm - _LAST_MM) + 1e-9) / step)
        tries = [number * step for number in range(last, first - 1, -1)]
        ends.append(max(tries, key=lambda at: _clear_mm(at, marks_mm)))
    ends.append(to_mm)
    return tuple(
        StripPiece(strip, number, len(ends) - 1, a, b)
        for number, (a, b) in enumerate(pairwise(ends), start=1)
    )


def _clear_mm(at_mm: float, marks_mm: Sequence[float]) -> float:
    """Return how far a join is from the nearest mark, as far as that matters [mm]."""
    return min([_CLEAR_MM, *(abs(at_mm - mark) for mark in marks_mm)])


def scale_marks(
    piece: StripPiece, edge_mm: float, units: Units, lines_mm: Sequence[float] = ()
) -> Iterator[Mark]:
    """Draw a scale that hangs from an edge: every 10 mm, or sixteenths of an inch.

    Parameters
    ----------
    piece : StripPiece
        On which.
    edge_mm : float
        Where the edge lies, down the drawing [mm].
    units : {"mm", "in"}
        Figures every 100 mm, or every inch; all count from the run's left end.
    lines_mm : sequence of float
        Places along the run of lines through the scale, which figures keep off [mm].
    """
    right = piece.x_mm(piece.to_mm)
    lines = [piece.x_mm(at) for at in lines_mm]
    yield Stroke(((LEFT_MM, edge_mm), (right, edge_mm)), LINE)
    step = 10.0 if units == "mm" else MM_PER_INCH / 16
    first, last = math.ceil(piece.from_mm / step - 1e-9), math.floor(piece.to_mm / step + 1e-9)
    for number in range(first, last + 1):
        x = piece.x_mm(number * step)
        tall, figure = _tick(number, units)
        yield Stroke(((x, edge_mm), (x, edge_mm + tall)), THIN)
        if figure:
            yield _figure(figure, x, edge_mm + SCALE_TALL_MM, (LEFT_MM, right), lines)


def _tick(number: int, units: Units) -> tuple[float, str]:
    """Return how long a tick is [mm], and the figure beside it."""
    if units == "mm":
        if number % 10 == 0:
            return _LONG_TICK_MM, f"{number * 10}"
        return (4.0 if number % 5 == 0 else 3.0), ""
    if number % 16 == 0:
        return _LONG_TICK_MM, f"{number // 16}"
    return next(tall for part, tall in _INCH_TICKS_MM if number % part == 0), ""


def _figure(
    text: str, x_mm: float, y_mm: float, within_mm: tuple[float, float], lines_mm: Sequence[float]
) -> Letters:
    """Return a figure right of its tick, or left of it where something is in its way there."""
    wide = letters_wide_mm(text, SCALE_LETTERS_MM)
    right = Letters((x_mm + 0.8, y_mm), text, SCALE_LETTERS_MM)
    left = Letters((x_mm - 0.8, y_mm), text, SCALE_LETTERS_MM, "end")
    for one, low, high in (
        (right, x_mm + 0.4, x_mm + wide + 1.2),
        (left, x_mm - wide - 1.2, x_mm - 0.4),
    ):
        inside = within_mm[0] <= low and high <= within_mm[1]
        if inside and not any(low < line < high for line in lines_mm):
            return one
    return replace(right if x_mm + wide + 1.2 <= within_mm[1] else left, halo=True)


def join_marks(piece: StripPiece, top_mm: float, tall_mm: float, units: Units) -> Iterator[Mark]:
    """Draw a piece's ends: the line that the next one is laid on, and what lies under it.

    Parameters
    ----------
    piece : StripPiece
        Which.
    top_mm, tall_mm : float
        Where it begins down the drawing, and how tall it is [mm].
    units : {"mm", "in"}
        Of the places named.
    """
    right, low = piece.x_mm(piece.to_mm), top_mm + tall_mm
    yield Stroke(((LEFT_MM, top_mm), (LEFT_MM, low)), _WHERE_CUT)
    if piece.number > 1:
        yield _arrow(LEFT_MM, low)
    yield Stroke(((right, top_mm), (right, low)), _WHERE_CUT)
    if piece.last:
        return
    yield _arrow(right, low)
    yield Area(box(right, top_mm, TAB_MM, tall_mm), 0.93, Pen(0.13, 0.5))
    joined = f"{piece.number}|{piece.number + 1}"
    place = f"{plan_length(piece.to_mm, units)} {units}"
    said = (f"join {piece.strip}: {joined} here,", f"left end of {piece.number + 1}", f"on {place}")
    for number, text in enumerate(said):
        size = min(3.0, 3.0 * (tall_mm - 2.0) / letters_wide_mm(text, 3.0))
        yield Letters((right + 3.9 + 3.6 * number, low - 1.0), text, size, angle_deg=90.0)


def _arrow(x_mm: float, low_mm: float) -> Area:
    """Return an arrow below a piece that points up at a join."""
    return Area(((x_mm, low_mm), (x_mm - 1.2, low_mm + 2.4), (x_mm + 1.2, low_mm + 2.4)), 0.0)


def control_words(units: Units) -> str:
    """Return how long the control line of each page is."""
    return "200.0 mm" if units == "mm" else "8 in (203.2 mm)"


def control_marks(document: Document, units: Units) -> Iterator[Mark]:
    """Draw the control line at the foot of a drawing that fills a page of a document."""
    y, right = document.room_mm[1] - 2.0, LEFT_MM + CONTROL_MM[units]
    yield Stroke(((LEFT_MM, y), (right, y)), LINE)
    for x in (LEFT_MM, right):
        yield Stroke(((x, y - 2.0), (x, y + 2.0)), LINE)
    said = (
        f"This line is {control_words(units)}: measure it before you use the strip; print at"
        " 100 %, not fitted to the page."
    )
    yield Letters((LEFT_MM, y - 3.2), said, SCALE_LETTERS_MM)
