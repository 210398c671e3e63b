"""A drawing on a page of a PDF, at exactly its size."""

from __future__ import annotations

from kit.paper.drawn_letters import SHARES, drawn_text, paper_behind
from kit.paper.marks import Area, Disc, Drawing, Letters, Mark, Pen, Place, Stroke
from kit.paper.pdf_press import Press
from kit.paper.text_lines import single_line

_NO_EDGE = Pen(0.0)


def _moved(places: tuple[Place, ...], by: Place) -> tuple[Place, ...]:
    return tuple((x + by[0], y + by[1]) for x, y in places)


def _put_letters(press: Press, mark: Letters, by: Place) -> None:
    if mark.halo and mark.text:
        press.area(_moved(paper_behind(mark), by), 1.0, _NO_EDGE)
    (at,) = _moved((mark.at,), by)
    line, share = single_line(drawn_text(mark)), SHARES[mark.anchor]
    if not mark.angle_deg:
        press.put_line(line, at, mark.size_mm, bold=mark.bold, share=share)
        return
    with press.rotation(mark.angle_deg, *at):
        press.put_line(line, at, mark.size_mm, bold=mark.bold, share=share)


def _put_mark(press: Press, mark: Mark, by: Place) -> None:
    if isinstance(mark, Stroke):
        press.stroke(_moved(mark.places, by), mark.pen)
    elif isinstance(mark, Area):
        press.area(_moved(mark.places, by), mark.grey, mark.pen)
    elif isinstance(mark, Disc):
        (middle,) = _moved((mark.middle,), by)
        press.disc(middle, mark.radius_mm, mark.grey, mark.pen)
    else:
        _put_letters(press, mark, by)


def put_drawing(press: Press, drawing: Drawing, at: Place) -> None:
    """Draw a drawing.

    Parameters
    ----------
    press : Press
        With a page begun.
    drawing : Drawing
        What.
    at : Place
        Of its upper left corner on the page [mm].
    """
    for mark in drawing.marks:
        _put_mark(press, mark, at)
