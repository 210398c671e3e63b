"""Headings, paragraphs, points and places to sign, as slabs of a page."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from kit.paper.document import Heading, Points, Signatures, Words
from kit.paper.marks import THIN, Pen, box
from kit.paper.pdf_press import Press
from kit.paper.pdf_slabs import Slab
from kit.paper.printable import harmless
from kit.paper.text_lines import LEADING, Line, lines_of

#: Baseline below the top of its line, as a share of the letters' size: the line's middle lies
#: about halfway up the small letters.
BASELINE = 0.98

#: Letters of paragraphs and points: read at arm's length [mm].
WORDS_MM = 3.5

#: Letters of what is said beside: captions, notes, names of blanks [mm].
SMALL_MM = 3.0

#: How far the text of a point stands in from its sign [mm].
_INDENT_MM = 6.5

#: Side of a box to tick with a carpenter's pencil (common practice, no source) [mm].
_TICK_MM = 4.0

#: Room above a line to sign on [mm].
_SIGN_MM = 8.2

#: What is filled in when somebody signs, and the share of the width for each.
_BLANKS = (("name", 0.38), ("date", 0.20), ("signature", 0.42))


@dataclass(frozen=True)
class Column:
    """Where text stands on a page.

    Parameters
    ----------
    left_mm : float
        Its left edge on the page [mm].
    wide_mm : float
        Room for its lines [mm].
    """

    left_mm: float
    wide_mm: float

    def inset(self, by_mm: float) -> Column:
        """Return the column without a strip at its left."""
        return Column(self.left_mm + by_mm, self.wide_mm - by_mm)


def _line_slab(
    line: Line, column: Column, size_mm: float, *, bold: bool, keep: bool, before_mm: float
) -> Slab:
    share = 1.0 if line.from_right else 0.0
    x = column.left_mm + share * column.wide_mm

    def draw(press: Press, top: float) -> None:
        press.put_line(line, (x, top + BASELINE * size_mm), size_mm, bold=bold, share=share)

    return Slab(LEADING * size_mm, draw, before_mm, keep)


def text_slabs(
    text: str, column: Column, size_mm: float, before_mm: float, *, bold: bool = False
) -> list[Slab]:
    """Return a paragraph, a slab a line; its first two and last two lines stay together.

    Parameters
    ----------
    text : str
        As the person wrote it.
    column : Column
        Where it stands.
    size_mm : float
        Size of its letters [mm].
    before_mm : float
        Left free above it [mm].
    bold : bool
        In the bold face.

    Returns
    -------
    list of Slab
        One a line.
    """
    lines = lines_of(harmless(text), column.wide_mm, size_mm, bold=bold)
    last = len(lines) - 1
    return [
        _line_slab(
            line,
            column,
            size_mm,
            bold=bold,
            keep=place < last and place in {0, last - 1},
            before_mm=before_mm if place == 0 else 0.0,
        )
        for place, line in enumerate(lines)
    ]


def kept(slabs: list[Slab]) -> list[Slab]:
    """Return slabs of which none may stand last on a page."""
    return [replace(one, keep=True) for one in slabs]


def heading_slabs(part: Heading, column: Column) -> list[Slab]:
    """Return a heading, which stands together with what follows."""
    size, before = (5.0, 6.0) if part.level == 1 else (4.0, 4.0)
    slabs = text_slabs(part.text, column, size, before, bold=True)
    # A name of thousands of letters cannot stand on one page; its last lines can.
    return [*slabs[:-3], *kept(slabs[-3:])]


def words_slabs(part: Words, column: Column) -> list[Slab]:
    """Return a paragraph."""
    slabs = text_slabs(part.text, column, WORDS_MM, 1.8, bold=part.strong)
    return [*slabs[:-2], *kept(slabs[-2:])] if part.leads else slabs


def _signed(slab: Slab, sign: Callable[[Press, float], None]) -> Slab:
    """Return a slab with a sign drawn at its left."""

    def draw(press: Press, top: float) -> None:
        sign(press, top)
        slab.draw(press, top)

    return replace(slab, draw=draw)


def _sign(sign: str, column: Column) -> Callable[[Press, float], None]:
    """Return what draws the sign of a point whose first line has its top at a height."""

    def tick(press: Press, top: float) -> None:
        middle = top + 0.5 * LEADING * WORDS_MM
        corners = box(column.left_mm + 0.3, middle - _TICK_MM / 2, _TICK_MM, _TICK_MM)
        press.area(corners, 1.0, Pen(0.3))

    def letter(press: Press, top: float) -> None:
        press.letters(sign, (column.left_mm + 0.8, top + BASELINE * WORDS_MM), WORDS_MM)

    return tick if sign == "☐" else letter


def points_slabs(part: Points, column: Column) -> list[Slab]:
    """Return sentences, each behind its sign."""
    slabs: list[Slab] = []
    before = 2.0 if part.sign == "☐" else 1.2
    for text in part.lines:
        first, *others = text_slabs(text, column.inset(_INDENT_MM), WORDS_MM, before)
        slabs += [_signed(first, _sign(part.sign, column)), *others]
    return slabs


def _blanks(column: Column) -> Slab:
    """Return the lines to sign on, each with its name below it."""

    def draw(press: Press, top: float) -> None:
        left = column.left_mm
        for name, share in _BLANKS:
            right = left + share * column.wide_mm
            press.stroke(((left, top + _SIGN_MM), (right - 4.0, top + _SIGN_MM)), THIN)
            press.letters(name, (left, top + _SIGN_MM + SMALL_MM), SMALL_MM)
            left = right

    return Slab(_SIGN_MM + 1.5 * SMALL_MM, draw)


def signature_slabs(part: Signatures, column: Column) -> list[Slab]:
    """Return for each line what is signed, and room for name, date and signature below it."""
    slabs: list[Slab] = []
    for text in part.lines:
        lines = text_slabs(text, column, WORDS_MM, 3.0)
        slabs += [*lines[:-2], *kept(lines[-2:]), _blanks(column)]
    return slabs
