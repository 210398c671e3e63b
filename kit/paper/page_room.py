"""What a page has room for: drawings at their own size or not at all, a title where it fits."""

from __future__ import annotations

from kit.paper.document import Document, Figure, Heading
from kit.paper.printable import harmless
from kit.paper.text_lines import LEADING, lines_of

#: Left free above a drawing [mm].
ABOVE_FIGURE_MM = 3.0

#: Letters of a title, and of one that has more than `_SHORT_TITLE` letters [mm].
_TITLE_MM, _LONG_TITLE_MM = 6.0, 3.5

#: A longer title would take half a page in large letters.
_SHORT_TITLE = 120


def refuse_too_large(document: Document, figure: Figure) -> None:
    """Refuse a drawing that the pages of a paper cannot hold.

    Raises
    ------
    ValueError
        If it is larger than `Document.room_mm`: a defect of what drew it.
    """
    wide, tall = document.room_mm
    drawing = figure.drawing
    # What was added up in another order may differ in its last bits.
    if drawing.width_mm > wide + 1e-6 or drawing.height_mm > tall + 1e-6:
        size = f"{drawing.width_mm:.2f} x {drawing.height_mm:.2f} mm"
        room = f"{wide:.2f} x {tall:.2f} mm"
        raise ValueError(f"a drawing of {size} does not fit a page, which has room for {room}")


def title_mm(document: Document) -> float:
    """Return the size of the letters of a paper's title [mm]."""
    return _TITLE_MM if len(document.title) <= _SHORT_TITLE else _LONG_TITLE_MM


def begins_with_title(document: Document) -> bool:
    """Return whether a paper's first part is its title."""
    first = document.parts[0] if document.parts else None
    return isinstance(first, Heading) and first.text == document.title


def title_stands(document: Document) -> bool:
    """Return whether a paper's title is printed above its parts.

    Returns
    -------
    bool
        Not where the parts begin with it, nor where they begin with a drawing that needs the page
        for itself: the title would stand on a page alone.
    """
    first = document.parts[0] if document.parts else None
    if not isinstance(first, Figure):
        return not begins_with_title(document)
    size = title_mm(document)
    lines = lines_of(harmless(document.title), document.room_mm[0], size, bold=True)
    tall = len(lines) * LEADING * size + ABOVE_FIGURE_MM + first.drawing.height_mm
    return tall <= document.room_mm[1]
