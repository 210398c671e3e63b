"""The faces that papers are printed in, and how wide letters are in them."""

from __future__ import annotations

from functools import cache
from pathlib import Path

_FONTS = Path(__file__).parent / "fonts"

#: The two faces: DejaVu Sans Condensed, which has Latin, Greek, Cyrillic, Hebrew, Arabic and many
#: signs; its licence lies beside it.
FACES = {False: _FONTS / "DejaVuSansCondensed.ttf", True: _FONTS / "DejaVuSansCondensed-Bold.ttf"}


@cache
def _widths(bold: bool) -> tuple[dict[int, float], float]:
    """Return the width of each letter as a share of the face's size, and of an unknown one."""
    from fontTools.ttLib import TTFont  # noqa: PLC0415 - loaded when a paper is first drawn

    with TTFont(FACES[bold], lazy=True) as font:
        em, advance = font["head"].unitsPerEm, font["hmtx"].metrics
        known = {code: advance[name][0] / em for code, name in font.getBestCmap().items()}
        return known, advance[".notdef"][0] / em


def letters_wide_mm(text: str, size_mm: float, *, bold: bool = False) -> float:
    """Return how wide a line of text is on paper.

    Parameters
    ----------
    text : str
        One line.
    size_mm : float
        Size of the face [mm].
    bold : bool
        In the bold face.

    Returns
    -------
    float
        Width [mm]; letters that are drawn joined may be narrower.
    """
    known, unknown = _widths(bold)
    return size_mm * sum(known.get(ord(letter), unknown) for letter in text)
