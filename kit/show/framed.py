"""A whole page in a frame of its own within a notebook."""

from __future__ import annotations

from kit.ink import paint
from kit.ink.escape import html_text
from kit.ink.table import Page

#: Height of the frame: most of a screen [CSS px].
_FRAME_PX = 720


def framed(html: str, title: str = "Page for the client") -> Page:
    """Return a page in a frame of its own, so that neither its looks nor it touch what is around.

    Parameters
    ----------
    html : str
        A whole page. Nothing on it can run in the frame, whatever it holds.
    title : str
        What it is, for those who do not see it.

    Returns
    -------
    Page
    """
    return Page(
        f'<iframe title="{html_text(title)}" sandbox="" srcdoc="{html_text(html)}"'
        f' style="box-sizing:border-box;width:100%;height:{_FRAME_PX}px;background:{paint.PAPER};'
        f'border:1px solid {paint.FAINT_INK}"></iframe>'
    )
