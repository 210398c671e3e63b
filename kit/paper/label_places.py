"""Where letters find room on a drawing: their boxes, what is taken, lines of a width."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from kit.paper.letters import letters_wide_mm
from kit.paper.marks import Letters, Mark, Place
from kit.paper.printable import harmless
from kit.paper.text_lines import lines_of

#: How far letters reach above and below their baseline, as a share of their size (measured on
#: the faces in use, for figures, capitals and small letters).
ABOVE, BELOW = 0.78, 0.24

#: From one baseline to the next, as a share of the size.
LEADING = 1.22


class Box(NamedTuple):
    """An upright rectangle of paper [mm], y downwards."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Tell whether two boxes share more than an edge."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def holds(self, other: Box) -> bool:
        """Tell whether another box lies wholly within this one."""
        return (
            self.left <= other.left
            and other.right <= self.right
            and self.top <= other.top
            and other.bottom <= self.bottom
        )

    def grown(self, by_mm: float) -> Box:
        """Return the box with so much more room on every side [mm]."""
        return Box(self.left - by_mm, self.top - by_mm, self.right + by_mm, self.bottom + by_mm)


def bounds(places: Sequence[Place]) -> Box:
    """Return the upright box around places [mm]."""
    x, y = [place[0] for place in places], [place[1] for place in places]
    return Box(min(x), min(y), max(x), max(y))


def letters_box(one: Letters) -> Box:
    """Return the room that a line of letters takes, lying or turned by 90 degrees [mm]."""
    wide = letters_wide_mm(one.text, one.size_mm, bold=one.bold)
    before = {"start": 0.0, "middle": wide / 2, "end": wide}[one.anchor]
    (x, y), up, down = one.at, ABOVE * one.size_mm, BELOW * one.size_mm
    if one.angle_deg == 90:
        return Box(x - up, y - wide + before, x + down, y + before)
    return Box(x - before, y - up, x - before + wide, y + down)


def letters_of(marks: Iterable[Mark]) -> tuple[Letters, ...]:
    """Return the lines of letters among marks."""
    return tuple(mark for mark in marks if isinstance(mark, Letters))


class Taken:
    """The room on a drawing that letters must keep off.

    Parameters
    ----------
    within : Box
        All letters stay inside it [mm].
    boxes : iterable of Box
        What is taken from the first.
    """

    def __init__(self, within: Box, boxes: Iterable[Box] = ()) -> None:
        self.within = within
        self._boxes = list(boxes)

    def take(self, *boxes: Box) -> None:
        """Keep letters off boxes from now on."""
        self._boxes.extend(boxes)

    def free(self, box: Box) -> bool:
        """Tell whether a box lies inside and meets nothing that is taken."""
        return self.within.holds(box) and not any(box.meets(other) for other in self._boxes)

    def first(self, tries: Iterable[Sequence[Letters]]) -> tuple[Letters, ...]:
        """Return the first lines of letters that find room, and take it; empty where none do.

        Parameters
        ----------
        tries : iterable of sequence of Letters
            The best place first, each with all its lines.
        """
        for lines in tries:
            boxes = [letters_box(line).grown(0.25) for line in lines]
            if boxes and all(self.free(box) for box in boxes):
                self._boxes.extend(boxes)
                return tuple(lines)
        return ()


def lines_within(text: str, size_mm: float, wide_mm: float, *, bold: bool = False) -> list[str]:
    """Break a text into lines that are at most so wide; what has no blanks is broken anywhere.

    Parameters
    ----------
    text : str
    size_mm, wide_mm : float
        Of the face, and of a line [mm].
    bold : bool
        In the bold face.

    Returns
    -------
    list of str
        Nothing of the text is lost but blanks at the ends of lines.
    """
    broken = lines_of(harmless(text).replace("\n", " "), wide_mm, size_mm, bold=bold)
    return [line.text for line in broken if line.text]


def column(
    at: Place, lines: Sequence[str], size_mm: float, *, bold: bool = False, halo: bool = False
) -> tuple[Letters, ...]:
    """Return lines of letters below each other.

    Parameters
    ----------
    at : Place
        Middle of the room that they take together [mm].
    lines : sequence of str
    size_mm : float
        Of the face [mm].
    bold, halo : bool
        As of `Letters`.
    """
    step = LEADING * size_mm
    first = at[1] - step * (len(lines) - 1) / 2 + (ABOVE - BELOW) / 2 * size_mm
    return tuple(
        Letters((at[0], first + n * step), line, size_mm, "middle", bold=bold, halo=halo)
        for n, line in enumerate(lines)
    )
