"""One piece of a tape strip as it is printed, at full size."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from kit.ink.escape import cut_text
from kit.ink.lengths import Units, run_length, told_rounding
from kit.paper.full_size import SCALE_LETTERS_MM, StripPiece, join_marks, scale_marks
from kit.paper.label_places import Box, Taken
from kit.paper.letters import letters_wide_mm
from kit.paper.marks import Area, Letters, Mark, Pen, Stroke, box
from kit.paper.strip_rows import RowMark, StripRow

#: How tall a piece is, and how far down its fields reach: marks, names of units [mm].
PIECE_TALL_MM, _MARKS_TO_MM, _UNITS_TO_MM = 36.0, 25.5, 30.5

#: Where the marks' letters begin, below the scale [mm].
_MARKS_FROM_MM = 9.0

#: Pen of each kind of mark, and where on the piece its line begins.
_PENS = {
    "support": (Pen(0.6), 0.0),
    "side": (Pen(0.6), 0.0),
    "end": (Pen(0.4, 0.0, (3.0, 1.0)), 0.0),
    "joint": (Pen(0.4, 0.0, (3.0, 1.0)), 0.0),
    "mid": (Pen(0.25, 0.0, (1.0, 1.0)), 19.0),
}

#: Right of a line and left of it: what of the letters lies there, and how far off [mm].
_SIDES: tuple[tuple[Literal["start", "end"], float], ...] = (("start", 1.2), ("end", -1.2))

_SIDE = Pen(0.25, 0.3, (2.6, 1.0, 0.6, 1.0))

#: A side's line is broken where the marks' letters stand.
_SIDE_LINES_MM = ((0.0, _MARKS_FROM_MM), (_MARKS_TO_MM, _UNITS_TO_MM))

#: What is said before the figure of a mark that has no name.
_WORDS = {"end": "end", "joint": "joint", "mid": "mid-bay"}

#: Lightness of a packer's band.
_BAND = 0.87

#: Letters of a name, a running dimension and a remark, from the largest try to the smallest [mm].
_SIZES_MM = ((6.0, 4.0, 3.5), (4.5, 3.5, 3.5), (3.5, 3.5, 2.8))

_LETTERS_MM = 3.5


def piece_marks(row: StripRow, piece: StripPiece, top_mm: float, units: Units) -> tuple[Mark, ...]:
    """Draw one piece of a row's strip.

    Parameters
    ----------
    row : StripRow
        What is marked.
    piece : StripPiece
        From where to where.
    top_mm : float
        Where its scale's edge lies, down the drawing [mm].
    units : {"mm", "in"}
        Of the job.

    Returns
    -------
    tuple of Mark
        A bold line stands at each support's middle.
    """
    lines = [mark for mark in row.marks if piece.holds(mark.at_mm)]
    return (
        *_bands(row, piece, top_mm),
        *join_marks(piece, top_mm, PIECE_TALL_MM, units),
        *_sides(row, piece, top_mm),
        *(_line(mark, piece, top_mm) for mark in lines),
        *scale_marks(piece, top_mm, units, _through_the_scale(row)),
        *_said(row, lines, piece, top_mm, units),
        *_unit_names(row, piece, top_mm),
        Letters((piece.x_mm(piece.from_mm) + 1.5, top_mm + 34.6), piece.name(units), 3.5),
    )


def _through_the_scale(row: StripRow) -> tuple[float, ...]:
    """Return the places of lines that reach the scale [mm]."""
    return (*row.sides_mm, *(mark.at_mm for mark in row.marks if mark.kind != "mid"))


def _bands(row: StripRow, piece: StripPiece, top_mm: float) -> Iterator[Mark]:
    """Yield each packer's width as a light band."""
    for mark in row.marks:
        left = max(mark.at_mm - row.pad_mm / 2, piece.from_mm)
        right = min(mark.at_mm + row.pad_mm / 2, piece.to_mm)
        if mark.kind == "support" and right > left:
            corners = box(piece.x_mm(left), top_mm, right - left, _MARKS_TO_MM)
            yield Area(corners, _BAND, Pen(0.13, 0.55))


def _sides(row: StripRow, piece: StripPiece, top_mm: float) -> Iterator[Mark]:
    for at in row.sides_mm:
        if piece.holds(at):
            x = piece.x_mm(at)
            for low, high in _SIDE_LINES_MM:
                yield Stroke(((x, top_mm + low), (x, top_mm + high)), _SIDE)


def _line(mark: RowMark, piece: StripPiece, top_mm: float) -> Stroke:
    pen, down = _PENS[mark.kind]
    x = piece.x_mm(mark.at_mm)
    return Stroke(((x, top_mm + down), (x, top_mm + _MARKS_TO_MM)), pen)


def _said(
    row: StripRow, lines: list[RowMark], piece: StripPiece, top_mm: float, units: Units
) -> Iterator[Mark]:
    """Yield what is said beside each line: name, running dimension, remark."""
    left, right = piece.x_mm(piece.from_mm), piece.x_mm(piece.to_mm)
    taken = Taken(Box(left, top_mm + _MARKS_FROM_MM, right, top_mm + _UNITS_TO_MM))
    for mark in lines:
        pen, down = _PENS[mark.kind]
        x, half = piece.x_mm(mark.at_mm), pen.width_mm / 2
        taken.take(Box(x - half, top_mm + down, x + half, top_mm + _MARKS_TO_MM))
    joints = {mark.at_mm for mark in row.marks if mark.kind == "joint"}
    for kind in ("support", "side", "end", "mid", "joint"):
        for mark in lines:
            texts = _texts(mark, row, joints, units)
            if mark.kind == kind and any(texts):
                yield from taken.first(_tries(texts, piece.x_mm(mark.at_mm), top_mm))


def _texts(mark: RowMark, row: StripRow, joints: set[float], units: Units) -> tuple[str, str, str]:
    """Return name, figure and remark of a mark; a joint over a support is said at the support."""
    figure, off = run_length(mark.at_mm, units), told_rounding(mark.at_mm, units)
    if mark.kind == "support":
        joint = "joint" if any(abs(at - mark.at_mm) < 1e-6 for at in joints) else ""
        return mark.name, figure, " ".join(text for text in (off, joint) if text)
    if mark.kind == "side":
        return "", figure, off
    if mark.kind == "joint" and any(
        m.kind == "support" and abs(m.at_mm - mark.at_mm) < 1e-6 for m in row.marks
    ):
        return "", "", ""
    return "", "", f"{_WORDS[mark.kind]} {figure}" + (f" ({off})" if off else "")


def _tries(texts: tuple[str, str, str], x: float, top_mm: float) -> Iterator[list[Letters]]:
    """Yield where the letters of a mark may stand: right of its line, left of it, upright."""
    for sizes in _SIZES_MM:
        for anchor, side in _SIDES:
            downs = (14.2, 19.2, 24.0)
            yield [
                Letters((x + side, top_mm + down), text, size, anchor, bold=down < 15)
                for text, size, down in zip(texts, sizes, downs, strict=True)
                if text
            ]
    whole = " ".join(text for text in texts if text)
    for size in (3.5, 3.0, 2.5, 2.0):
        for side in (0.6 + 0.78 * size, -0.6 - 0.24 * size):
            at = (x + side, top_mm + _MARKS_TO_MM - 0.5)
            yield [Letters(at, whole, size, angle_deg=90.0, bold=True)]


def _unit_names(row: StripRow, piece: StripPiece, top_mm: float) -> Iterator[Mark]:
    """Yield each unit's name between its sides, cut where it has no room."""
    for placed in row.units:
        left, right = max(placed.left_mm, piece.from_mm), min(placed.right_mm, piece.to_mm)
        text = _fitted(placed.unit.name, right - left - 3.0)
        if text:
            middle = piece.x_mm((left + right) / 2)
            yield Letters((middle, top_mm + 29.6), text, SCALE_LETTERS_MM, "middle")


def _fitted(text: str, room_mm: float) -> str:
    """Return as much of a name as has room; nothing where less than three letters have."""
    letters = len(text)
    while letters > 2:
        said = cut_text(text, letters)
        if letters_wide_mm(said, _LETTERS_MM) <= room_mm:
            return said
        letters -= 1
    return ""
