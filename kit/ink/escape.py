"""Names and sentences of the person, made safe for the place where they are shown."""

from __future__ import annotations

import html
import textwrap

#: What stands where a name had to be cut.
CUT = "…"


def html_text(text: object) -> str:
    """Return a text that HTML shows as it was typed, whatever it holds."""
    return html.escape(str(text), quote=True)


def chart_text(text: object) -> str:
    """Return a text that a chart shows as it was typed.

    Charts read a little HTML, and formulas between dollar signs; neither may come from a name.
    """
    # The chart knows the three entities below and numbered ones, but none for quotation marks.
    return html.escape(str(text), quote=False).replace("$", "&#36;")


def cut_text(text: str, letters: int) -> str:
    """Return a text of at most so many letters, its end marked where it was cut."""
    if len(text) <= letters:
        return text
    return text[: max(letters - 1, 1)].rstrip() + CUT


def chart_lines(text: str, letters: int, most: int = 0) -> str:
    """Return a text for a chart, broken into lines of so many letters.

    Parameters
    ----------
    text : str
        As the person typed it.
    letters : int
        Longest line.
    most : int
        Lines at most, the last one cut; 0 sets no limit.

    Returns
    -------
    str
        Escaped, with ``<br>`` between the lines.
    """
    lines = textwrap.wrap(text, max(letters, 2)) or [""]
    if most and len(lines) > most:
        lines = [*lines[: most - 1], cut_text(" ".join(lines[most - 1 :]), max(letters, 2))]
    return "<br>".join(chart_text(line) for line in lines)
