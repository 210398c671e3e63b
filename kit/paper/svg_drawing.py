"""A drawing as SVG, in millimetres, so that a page prints it at exactly its size."""

from __future__ import annotations

from kit.ink.escape import html_text
from kit.paper.drawn_letters import drawn_text, paper_behind
from kit.paper.marks import Area, Disc, Drawing, Letters, Mark, Pen, Place, Stroke
from kit.paper.printable import harmless

#: What letters are set in: the name under which a page brings the faces along, then what a
#: machine may have.
FACE = "kit, 'DejaVu Sans Condensed', 'DejaVu Sans', sans-serif"

_NO_EDGE = Pen(0.0)


def _mm(value: float) -> str:
    """Return a length to a thousandth of a millimetre, without needless zeros."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _grey(share: float) -> str:
    return "#" + f"{round(share * 255):02x}" * 3


def _points(places: tuple[Place, ...]) -> str:
    return " ".join(f"{_mm(x)},{_mm(y)}" for x, y in places)


def _edge(pen: Pen) -> str:
    """Return what a pen says of a line; a pen without width draws none."""
    if pen.width_mm <= 0:
        return 'stroke="none"'
    dash = " ".join(_mm(length) for length in pen.dash_mm)
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return f'stroke="{_grey(pen.grey)}" stroke-width="{_mm(pen.width_mm)}"{dashes}'


def _area(places: tuple[Place, ...], grey: float, pen: Pen) -> str:
    return f'<polygon points="{_points(places)}" fill="{_grey(grey)}" {_edge(pen)}/>'


def _text_style(text: str) -> str:
    """Return what keeps spaces and direction of a text as they were written."""
    spaces = "white-space:pre" if "  " in text or text != text.strip() else ""
    direction = "" if text.isascii() else "unicode-bidi:plaintext"
    style = ";".join(rule for rule in (spaces, direction) if rule)
    return f' style="{style}"' if style else ""


def _letters(mark: Letters) -> str:
    text = drawn_text(mark)
    x, y = (_mm(value) for value in mark.at)
    turn = f' transform="rotate({_mm(-mark.angle_deg)} {x} {y})"' if mark.angle_deg else ""
    bold = ' font-weight="700"' if mark.bold else ""
    behind = _area(paper_behind(mark), 1.0, _NO_EDGE) if mark.halo and mark.text else ""
    return (
        f'{behind}<text x="{x}" y="{y}" font-size="{_mm(mark.size_mm)}"'
        f' text-anchor="{mark.anchor}"{bold}{turn}{_text_style(text)}>{html_text(text)}</text>'
    )


def _mark(mark: Mark) -> str:
    if isinstance(mark, Stroke):
        return f'<polyline points="{_points(mark.places)}" fill="none" {_edge(mark.pen)}/>'
    if isinstance(mark, Area):
        return _area(mark.places, mark.grey, mark.pen)
    if isinstance(mark, Disc):
        x, y = (_mm(value) for value in mark.middle)
        circle = f'<circle cx="{x}" cy="{y}" r="{_mm(mark.radius_mm)}"'
        return f'{circle} fill="{_grey(mark.grey)}" {_edge(mark.pen)}/>'
    return _letters(mark)


def svg_of(drawing: Drawing) -> str:
    """Return a drawing as one SVG element.

    Parameters
    ----------
    drawing : Drawing
        In millimetres of paper.

    Returns
    -------
    str
        Sized in mm, its own units mm too; with its words for those who do not see it. All letters
        in it are escaped, and nothing is fetched.
    """
    wide, tall = _mm(drawing.width_mm), _mm(drawing.height_mm)
    # Letters are as wide as they were measured: no pairs drawn together, no two as one.
    style = f"font-family:{FACE};font-kerning:none;font-variant-ligatures:none"
    inner = "".join(_mark(mark) for mark in drawing.marks)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{tall}mm"'
        f' viewBox="0 0 {wide} {tall}" role="img" aria-label="{html_text(harmless(drawing.words))}"'
        f' fill="#000" style="{style}">{inner}</svg>'
    )
