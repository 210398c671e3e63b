"""What of a text can be printed: signs without letters made visible, none of them lost.

A title may hold anything that can be typed or pasted. Signs that draw nothing but turn the text
around them, end the paper or ring a bell are put down by their number, ``⟨U+202E⟩``; letters that
the faces lack are printed as an empty box, and named at the end of the paper.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from functools import cache

from kit.paper.document import (
    Document,
    Figure,
    Grid,
    Heading,
    Part,
    Points,
    Signatures,
    Words,
)
from kit.paper.letters import FACES
from kit.paper.marks import Letters

#: What ends a line, whatever machine the text comes from.
_LINE_ENDS = re.compile("\r\n|[\r\v\f\x85\u2028\u2029]")

#: Signs that turn the letters after them round, or hold others together for that purpose
#: (Unicode Standard Annex 9, table 1); the marks of one letter's direction turn nothing.
_TURNING = "\u202a-\u202e\u2066-\u2069\u061c"

#: Code points that are no letters in any plane (Unicode Standard 23.7).
_NO_LETTERS = "".join(chr((plane << 16) + end) for plane in range(17) for end in (0xFFFE, 0xFFFF))

#: All that is put down by its number: control signs but the line's end, halves of a letter too.
_STEERING = re.compile(
    f"[\x00-\x09\x0b-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef{_NO_LETTERS}{_TURNING}]"
)


def harmless(text: str) -> str:
    r"""Return a text without signs that steer what prints it.

    Parameters
    ----------
    text : str
        Anything.

    Returns
    -------
    str
        Its lines ended by ``\n``, tabs as spaces, what cannot be seen by its number.
    """
    text = _LINE_ENDS.sub("\n", text).replace("\t", " ")
    if text.isascii() and text.replace("\n", "").isprintable():
        return text
    return _STEERING.sub(lambda met: f"⟨U+{ord(met[0]):04X}⟩", text)


@cache
def letters_known() -> frozenset[int]:
    """Return the code points of all letters that both faces have."""
    from fontTools.ttLib import TTFont  # noqa: PLC0415 - loaded when a paper is first printed

    known = []
    for path in FACES.values():
        with TTFont(path, lazy=True) as font:
            known.append(frozenset(font.getBestCmap()))
    return known[0] & known[1]


def lacking(texts: Iterable[str]) -> tuple[str, ...]:
    """Return the signs of some texts that the faces have no letters for, each once, as met."""
    known = letters_known()
    met = dict.fromkeys(letter for text in texts if not text.isascii() for letter in text)
    return tuple(letter for letter in met if ord(letter) not in known and letter != "\n")


def sign_name(letter: str) -> str:
    """Return number and name of a sign: ``U+1F6E0 HAMMER AND WRENCH``."""
    number, name = f"{ord(letter):04X}", unicodedata.name(letter, "without a name")
    # Ideographs are named by their number alone.
    return name if name.endswith(number) else f"U+{number} {name}"


def _part_texts(part: Part) -> Iterator[str]:
    if isinstance(part, Heading | Words):
        yield part.text
    elif isinstance(part, Points | Signatures):
        yield from part.lines
    elif isinstance(part, Grid):
        yield from (part.table.title, part.table.note)
        for head in part.table.heads:
            yield from (head.text, head.unit)
        for row in part.table.rows:
            yield from row
    elif isinstance(part, Figure):
        yield part.caption
        yield from (mark.text for mark in part.drawing.marks if isinstance(mark, Letters))


def texts_of(document: Document) -> Iterator[str]:
    """Yield all that a paper says, as it is printed, from its title to its last part."""
    yield harmless(document.title)
    yield harmless(document.foot)
    for part in document.parts:
        yield from (harmless(text) for text in _part_texts(part))


def signs_named(letters: Iterable[str]) -> tuple[Part, ...]:
    """Return what stands at the end of a paper that has no letters for some signs."""
    names = "; ".join(f"{letter} {sign_name(letter)}" for letter in letters)
    if not names:
        return ()
    return (Heading("Signs that this print has no letters for", 2), Words(f"{names}."))
