"""Lines of a drawing file cut so short that every reader takes them in whole."""

from __future__ import annotations

from collections.abc import Iterator

#: Bytes of a text on one line at most. The format asks for 250 letters (DXF reference, MTEXT,
#: group codes 1 and 3; from memory); some readers count bytes, and an emoji has four of them.
LINE_BYTES = 250

#: Signs that begin something: no line ends in the midst of it.
_OPEN = "\\^%{"


#: Letters of a part at least, as the library cuts them: 250, or one less at a caret.
_PART = 249


def short_lines(drawing: str) -> str:
    """Return a drawing file in which no text stands on a line of more than `LINE_BYTES`.

    Parameters
    ----------
    drawing : str
        Lines in pairs: a group code, and its value. Texts in several parts have group code 3,
        the last one 1.

    Returns
    -------
    str
        The same, long texts cut anew, and nowhere within what belongs together: some readers
        read each part by itself.
    """
    lines = drawing.split("\n")
    kept: list[str] = []
    begun: list[str] = []
    for code, value in zip(lines[::2], lines[1::2], strict=False):
        number = code.strip()
        if number == "3" and (begun or len(value) >= _PART):
            begun.append(value)
        elif number == "1":
            *parts, last = pieces("".join([*begun, value]))
            kept += [line for part in parts for line in ("  3", part)]
            kept += [code, last]
            begun = []
        else:
            kept += [line for part in begun for line in ("  3", part)]
            kept += [code, value]
            begun = []
    return "\n".join([*kept, *lines[len(lines) // 2 * 2 :]])


def pieces(text: str) -> Iterator[str]:
    """Yield a text in parts of at most `LINE_BYTES` of UTF-8; joined they are the text."""
    part, size = "", 0
    for sign in text:
        if size + len(sign.encode()) > LINE_BYTES:
            whole = part.rstrip(_OPEN) or part
            yield whole
            part = part[len(whole) :]
            size = len(part.encode())
        part, size = part + sign, size + len(sign.encode())
    yield part
