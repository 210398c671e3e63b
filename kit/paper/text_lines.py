"""Text broken into lines of a width, each in the order in which it is drawn.

Lines are broken in the order of reading; only then is each put into the order of the eye, by the
Unicode bidirectional algorithm (Unicode Standard Annex 9): its levels are found over a whole
paragraph, its reversal (rule L2) is made line by line.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby

from kit.paper.letters import letters_wide_mm
from kit.paper.printable import letters_known

#: From one baseline to the next, as a share of the letters' size (common practice, no source).
LEADING = 1.32

#: Bidirectional classes of letters and numbers that may be read from the right.
_FROM_RIGHT = frozenset({"R", "AL", "AN"})

#: Joins the signs beside it into one; nothing is broken there.
_JOINER = "\u200d"

#: What stands in front of these is one word with them: "2 1/2 in" broken behind the 2 reads as 2.
_FRACTION, _UNIT_OF_ONE = re.compile(r"\d+/\d"), re.compile(r"in\b")


@dataclass(frozen=True)
class Run:
    """Letters that are drawn in one go.

    Parameters
    ----------
    text : str
        In the order of reading.
    from_right : bool
        Whether they are read from the right.
    joined : bool
        Whether their shapes hang on each other, or on marks above and below.
    """

    text: str
    from_right: bool = False
    joined: bool = False


@dataclass(frozen=True)
class Line:
    """One line of a paragraph.

    Parameters
    ----------
    text : str
        In the order of reading.
    levels : tuple of int
        Bidirectional level of each letter; empty where all is read from the left.
    from_right : bool
        Whether its paragraph begins at the right.
    """

    text: str
    levels: tuple[int, ...] = ()
    from_right: bool = False

    @property
    def runs(self) -> tuple[Run, ...]:
        """What is drawn, from left to right."""
        if not self.levels:
            return tuple(_cut_runs(self.text, from_right=False))
        return tuple(self._reversed_runs())

    def _reversed_runs(self) -> Iterator[Run]:
        for level, group in groupby(_eye_order(self.levels), key=lambda one: self.levels[one]):
            places = sorted(group)
            text = "".join(self.text[place] for place in places)
            right = level % 2 == 1
            runs = list(_cut_runs(text, from_right=right))
            yield from reversed(runs) if right else runs


def _turned(places: list[int], levels: tuple[int, ...], least: int) -> list[int]:
    """Return places with each stretch of letters of a level or a higher one turned round."""
    turned: list[int] = []
    for high, group in groupby(places, key=lambda place: levels[place] >= least):
        stretch = list(group)
        turned += stretch[::-1] if high else stretch
    return turned


def _eye_order(levels: tuple[int, ...]) -> list[int]:
    """Return the places of letters from left to right (rule L2)."""
    places = list(range(len(levels)))
    odd = [level for level in levels if level % 2]
    for least in range(max(levels, default=0), min(odd, default=1) - 1, -1):
        places = _turned(places, levels, least)
    return places


def _hangs_together(text: str) -> bool:
    return not text.isascii() and any(
        unicodedata.combining(letter) or unicodedata.bidirectional(letter) in {"R", "AL"}
        for letter in text
    )


def _cut_runs(text: str, *, from_right: bool) -> Iterator[Run]:
    """Yield the runs of letters of one direction; signs without letters stand alone."""
    if text.isascii():
        if text:
            yield Run(text, from_right, from_right)
        return
    known = letters_known()
    for has, group in groupby(text, key=lambda letter: ord(letter) in known):
        piece = "".join(group)
        if has:
            yield Run(piece, from_right, from_right or _hangs_together(piece))
        else:
            yield Run(piece[::-1] if from_right else piece)


def _levels(text: str) -> tuple[tuple[int, ...], bool]:
    """Return the level of each letter of a paragraph, and whether it begins at the right."""
    if text.isascii() or not any(unicodedata.bidirectional(one) in _FROM_RIGHT for one in text):
        return (), False
    from fpdf.bidi import BidiParagraph  # noqa: PLC0415 - only for texts that need it

    paragraph = BidiParagraph(text, preserve_bn_chars=True)
    letters = paragraph.get_characters_with_embedding_level()
    return tuple(one.embedding_level for one in letters), paragraph.base_embedding_level == 1


@lru_cache(maxsize=20_000)
def _word_wide(word: str, bold: bool) -> float:
    """Return the width of a word in letters of 1 mm [mm]."""
    return letters_wide_mm(word, 1.0, bold=bold)


def _words(text: str) -> list[str]:
    """Return a paragraph cut behind its spaces, nothing left out, lengths in inches kept whole."""
    words: list[str] = []
    start = 0
    for place in range(1, len(text)):
        if text[place - 1] == " " and text[place] != " " and not _one_length(text, place):
            words.append(text[start:place])
            start = place
    return [*words, text[start:]]


def _one_length(text: str, place: int) -> bool:
    """Tell whether a text goes on behind a space with the rest of a length such as "2 1/2 in"."""
    if not text[max(place - 2, 0)].isdecimal():
        return False
    if _FRACTION.match(text, place):
        return True
    last = text.rfind(" ", 0, place - 1) + 1
    return _UNIT_OF_ONE.match(text, place) is not None and "/" in text[last : place - 1]


def _clusters(word: str) -> list[str]:
    """Return a word cut where it may be broken at all: never before a mark or beside a joiner."""
    clusters: list[str] = []
    for letter in word:
        hangs = unicodedata.category(letter) in {"Mn", "Me", "Mc"} or letter == _JOINER
        if clusters and (hangs or clusters[-1].endswith(_JOINER)):
            clusters[-1] += letter
        else:
            clusters.append(letter)
    return clusters


def _pieces(text: str, most: float, bold: bool) -> Iterator[tuple[str, float]]:
    """Yield the words of a paragraph and their widths; one wider than a line in its clusters."""
    for word in _words(text):
        wide = _word_wide(word, bold)
        if _word_wide(word.rstrip(" "), bold) <= most:
            yield word, wide
        else:
            yield from ((one, _word_wide(one, bold)) for one in _clusters(word))


def _ends(text: str, most: float, bold: bool) -> list[int]:
    """Return where the lines of a paragraph end; spaces may hang over a line's end."""
    ends: list[int] = []
    place, used = 0, 0.0
    for piece, wide in _pieces(text, most, bold):
        seen = _word_wide(piece.rstrip(" "), bold)
        if used > 0 and used + seen > most:
            ends.append(place)
            used = 0.0
        place, used = place + len(piece), used + wide
    return [*ends, place]


def lines_of(text: str, wide_mm: float, size_mm: float, *, bold: bool = False) -> tuple[Line, ...]:
    """Return a text as lines that are no wider than a width.

    Parameters
    ----------
    text : str
        Harmless (`kit.paper.printable.harmless`); its own line ends are kept.
    wide_mm : float
        Room for a line [mm].
    size_mm : float
        Size of its letters [mm].
    bold : bool
        In the bold face.

    Returns
    -------
    tuple of Line
        One at least. A word that is wider than the room is broken.
    """
    most = wide_mm / size_mm + 1e-6  # a text as wide as its own column fits in spite of rounding
    lines: list[Line] = []
    for paragraph in text.split("\n"):
        levels, right = _levels(paragraph)
        start = 0
        for end in _ends(paragraph, most, bold):
            words = paragraph[start:end].rstrip(" ")
            lines.append(Line(words, levels[start : start + len(words)], right))
            start = end
    return tuple(lines)


def single_line(text: str) -> Line:
    """Return a text as one line, its own line ends as spaces."""
    text = text.replace("\n", " ")
    levels, right = _levels(text)
    return Line(text, levels, right)


def widest_mm(text: str, size_mm: float, *, bold: bool = False) -> float:
    """Return how wide the widest of a text's own lines is [mm]."""
    return max(_word_wide(line, bold) for line in text.split("\n")) * size_mm


def _unbroken(text: str) -> Iterator[str]:
    return (word.rstrip(" ") for line in text.split("\n") for word in _words(line))


def longest_word_mm(text: str, size_mm: float, *, bold: bool = False) -> float:
    """Return how wide the widest word of a text is [mm]."""
    return max((_word_wide(word, bold) for word in _unbroken(text)), default=0.0) * size_mm
