"""The foot of each page: what paper it is, as far as there is room beside the page's number."""

from __future__ import annotations

from kit.ink.escape import cut_text
from kit.paper.document import Document
from kit.paper.letters import letters_wide_mm
from kit.paper.printable import harmless

#: Letters at the foot of each page [mm].
FOOT_LETTERS_MM = 2.5

#: Kept free beside the foot for "page 100 of 100" [mm].
_COUNT_MM = 26.0


def cut_to_width(text: str, wide_mm: float, size_mm: float) -> str:
    """Return what of a text one line has room for.

    Parameters
    ----------
    text : str
        Anything.
    wide_mm : float
        Room for the line [mm].
    size_mm : float
        Size of its letters [mm].

    Returns
    -------
    str
        Harmless, in one line, its end marked where it was cut.
    """
    whole = harmless(text).replace("\n", " ")
    letters = len(whole)
    while letters > 1:
        shown = cut_text(whole, letters)
        used = letters_wide_mm(shown, size_mm)
        if used <= wide_mm:
            return shown
        letters = min(letters - 1, int(letters * wide_mm / used))
    return whole[: max(letters, 0)]


def foot_text(document: Document) -> str:
    """Return what stands at the foot of each page of a paper, beside the page's number."""
    return cut_to_width(document.foot, document.room_mm[0] - _COUNT_MM, FOOT_LETTERS_MM)
