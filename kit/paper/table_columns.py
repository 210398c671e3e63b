"""How wide the columns of a printed table are, and how large its letters."""

from __future__ import annotations

from dataclasses import dataclass

from kit.ink.table import Head, Table
from kit.paper.printable import harmless
from kit.paper.text_lines import longest_word_mm, widest_mm

#: Smallest letters of a table [mm]; they read in the hand (common practice, no source).
LEAST_MM = 2.5

#: Left free at each side of a cell, as a share of the letters' size.
_PAD = 0.45

#: A column that takes several lines is not made narrower than so many times its letters' size
#: before the letters are made smaller.
_WIDE_ENOUGH = 13.0

#: No column is made narrower than so many times its letters' size, pads and all.
_NARROWEST = 3.0

#: A column of figures with a text longer than so many times its letters' size holds sentences.
_NO_FIGURE = 14.0

#: A head longer than so many times its letters' size may stand in two lines, for which its column
#: is this share of its length.
_SHORT_HEAD, _TWO_LINES = 7.0, 0.62

#: What stands before the first cell of a row in which something is amiss.
BAD_SIGN = "⚠ "


@dataclass(frozen=True)
class Columns:
    """Columns of one table.

    Parameters
    ----------
    wide_mm : tuple of float
        Width of each, with its pads [mm].
    size_mm : float
        Size of the letters [mm].
    """

    wide_mm: tuple[float, ...]
    size_mm: float

    @property
    def pad_mm(self) -> float:
        """Left free at each side of a cell [mm]."""
        return _PAD * self.size_mm


def head_text(head: Head) -> str:
    """Return what stands above a column: its name, and its unit in brackets."""
    return harmless(f"{head.text} [{head.unit}]" if head.unit else head.text)


def cell_text(table: Table, row: int, column: int) -> str:
    """Return what stands in a cell; the first of a bad row begins with a sign."""
    text = harmless(table.rows[row][column])
    return BAD_SIGN + text if column == 0 and row in table.bad else text


@dataclass(frozen=True)
class _Need:
    """What a column asks for, in letters of 1 mm, its pads with it.

    Parameters
    ----------
    whole : float
        Each of its texts in one line, its head in two.
    least : float
        What it needs to be read well: figures unbroken, words unbroken.
    soft : bool
        Whether its texts may be broken where the page has no room even for that.
    """

    whole: float
    least: float
    soft: bool


def _need(table: Table, column: int) -> _Need:
    head = table.heads[column]
    name = head_text(head)
    name_word = longest_word_mm(name, 1.0, bold=True)
    cells = [(cell_text(table, row, column), row in table.bad) for row in range(len(table.rows))]
    text = max((widest_mm(one, 1.0, bold=bad) for one, bad in cells), default=0.0)
    word = max((longest_word_mm(one, 1.0, bold=bad) for one, bad in cells), default=0.0)
    soft = head.style != "n" or text > _NO_FIGURE
    name_line = widest_mm(name, 1.0, bold=True)
    whole = max(text, name_word, min(name_line, max(_TWO_LINES * name_line, _SHORT_HEAD)))
    least = max(text, name_word)
    if head.wide:
        least = max(word, name_word, min(text, _WIDE_ENOUGH))
    return _Need(whole + 2 * _PAD, min(least, whole) + 2 * _PAD, soft)


def _shared(wanted: list[float], room: float) -> list[float]:
    """Return shares that fill a room at most: who wants least gets it, the others alike."""
    most = room
    for place, want in enumerate(sorted(wanted)):
        rest = len(wanted) - place
        if want * rest >= room:
            most = room / rest
            break
        room -= want
    return [min(want, most) for want in wanted]


def _squeezed(needs: list[_Need], room: float) -> list[float]:
    """Return widths where not even the least has room: texts give way first, figures last."""
    hard = sum(need.least for need in needs if not need.soft)
    soft = [need.least for need in needs if need.soft]
    if hard + _NARROWEST * len(soft) > room:
        return _shared([need.least for need in needs], room)
    given = iter(_shared(soft, room - hard))
    return [next(given) if need.soft else need.least for need in needs]


def _widths(needs: list[_Need], room: float) -> list[float]:
    """Return widths for a room, in letters of 1 mm."""
    spare = room - sum(need.least for need in needs)
    if spare < 0:
        return _squeezed(needs, room)
    more = _shared([need.whole - need.least for need in needs], spare)
    return [need.least + add for need, add in zip(needs, more, strict=True)]


def columns_of(table: Table, room_mm: float, letters_mm: float) -> Columns:
    """Return columns that fit a page.

    Parameters
    ----------
    table : Table
        Its texts.
    room_mm : float
        Width between the margins [mm].
    letters_mm : float
        Size of the letters that are wanted [mm].

    Returns
    -------
    Columns
        Never wider than the room together. The letters are made smaller, down to `LEAST_MM`,
        before columns that want one line are broken, and those that take several become narrow.
    """
    needs = [_need(table, column) for column in range(len(table.heads))]
    least = sum(need.least for need in needs)
    size = max(min(letters_mm, room_mm / least), min(LEAST_MM, letters_mm))
    widths = _widths(needs, room_mm / size)
    return Columns(tuple(wide * size for wide in widths), size)
