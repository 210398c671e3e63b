"""Where a drawing's letters lie: what both printers need to know of them."""

from __future__ import annotations

from math import cos, radians, sin

from kit.paper.letters import letters_wide_mm
from kit.paper.marks import Letters, Place
from kit.paper.printable import harmless

#: Which part of a line lies left of its place.
SHARES = {"start": 0.0, "middle": 0.5, "end": 1.0}

#: Capitals' height and the depth of a g, as shares of a face's size (measured on the face).
_ABOVE, _BELOW = 0.76, 0.2

#: Paper kept free round letters with a halo [mm].
_RIM_MM = 0.3


def drawn_text(letters: Letters) -> str:
    """Return what letters say, as one harmless line."""
    return harmless(letters.text).replace("\n", " ")


def paper_behind(letters: Letters) -> tuple[Place, ...]:
    """Return the corners of the paper kept free behind letters with a halo [mm].

    Parameters
    ----------
    letters : Letters
        In whatever direction.

    Returns
    -------
    tuple of Place
        Four corners of a rectangle turned as the letters are.
    """
    wide = letters_wide_mm(drawn_text(letters), letters.size_mm, bold=letters.bold)
    left = -SHARES[letters.anchor] * wide - _RIM_MM
    right = left + wide + 2 * _RIM_MM
    top, low = -_ABOVE * letters.size_mm - _RIM_MM, _BELOW * letters.size_mm + _RIM_MM
    turn = radians(letters.angle_deg)
    x, y = letters.at
    return tuple(
        (x + along * cos(turn) + down * sin(turn), y - along * sin(turn) + down * cos(turn))
        for along, down in ((left, top), (right, top), (right, low), (left, low))
    )
