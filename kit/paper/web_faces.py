"""The faces that a page brings along: only the letters it uses, written into it."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable
from io import BytesIO

from kit.paper.letters import FACES

#: Letters that every page has, whatever it says: of its own head and foot.
_ALWAYS = "0123456789 "


def _face(letters: str, *, bold: bool) -> bytes:
    """Return a face that has only some letters and the shapes that they join to, as WOFF."""
    from fontTools import subset  # noqa: PLC0415 - loaded when a page is first written
    from fontTools.ttLib import TTFont  # noqa: PLC0415

    options = subset.Options(notdef_outline=True, ignore_missing_unicodes=True, hinting=False)
    # Tables of the editor the face was drawn in, which browsers do not read.
    options.drop_tables += ["FFTM"]
    with TTFont(FACES[bold], lazy=True, recalcTimestamp=False) as font:
        subsetter = subset.Subsetter(options)
        subsetter.populate(text=letters)
        subsetter.subset(font)
        font.flavor = "woff"
        out = BytesIO()
        font.save(out)
    return out.getvalue()


def faces_css(texts: Iterable[str]) -> str:
    """Return rules that give a page the letters of some texts in both faces.

    Parameters
    ----------
    texts : iterable of str
        All that the page says.

    Returns
    -------
    str
        CSS; the faces stand in it as data, the same for the same letters.
    """
    letters = "".join(sorted({*_ALWAYS}.union(*texts)))
    rules = []
    for bold, weight in ((False, 400), (True, 700)):
        data = b64encode(_face(letters, bold=bold)).decode("ascii")
        source = f'url("data:font/woff;base64,{data}") format("woff")'
        rules.append(f'@font-face{{font-family:"kit";font-weight:{weight};src:{source}}}')
    return "".join(rules)
