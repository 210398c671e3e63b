"""A table for the eye: texts in rows, written as HTML with everything in it escaped."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from kit.ink.escape import html_text

#: Looks of all tables; letters and ground come from the page, so that dark pages stay dark.
STYLE = (
    "<style>"
    ".ufk{overflow-x:auto;line-height:1.35;margin:.4em 0 1em 0;max-width:100%}"
    ".ufk table{border-collapse:collapse;table-layout:auto!important;margin:0!important;"
    "font-size:13px!important;font-variant-numeric:tabular-nums}"
    ".ufk caption{caption-side:top;text-align:left;font-weight:600;padding:.2em 0;"
    "white-space:normal;color:inherit}"
    ".ufk th,.ufk td{padding:.22em .7em!important;text-align:left!important;white-space:nowrap;"
    "border:0!important;border-bottom:1px solid rgba(128,128,128,.28)!important;"
    "vertical-align:top!important;max-width:none!important}"
    ".ufk thead th{white-space:normal;vertical-align:bottom!important;font-weight:600;"
    "border-bottom:1.5px solid currentColor!important}"
    ".ufk th small{font-weight:400;opacity:.75}"
    ".ufk .n{text-align:right!important}"
    ".ufk .w{white-space:normal;min-width:14em;max-width:44em!important}"
    ".ufk tr.bad td,.ufk tr.bad th{font-weight:600}"
    ".ufk p{margin:.3em 0;max-width:60em;white-space:normal}"
    ".ufk ul{margin:.3em 0;padding-left:1.3em;max-width:60em}"
    ".ufk li{margin:.15em 0}"
    "</style>"
)


@dataclass(frozen=True)
class Head:
    """The head of a column.

    Parameters
    ----------
    text : str
        What the column holds.
    unit : str
        Its unit, shown in brackets; a column with a unit is set to the right.
    wide : bool
        Whether its texts may take several lines.
    right : bool
        Whether it holds figures although it has no unit, and is set to the right.
    """

    text: str
    unit: str = ""
    wide: bool = False
    right: bool = False

    @property
    def style(self) -> str:
        """Class of its cells."""
        return "n" if self.unit or self.right else "w" if self.wide else ""


@dataclass(frozen=True)
class Table:
    """A table that a notebook shows.

    Parameters
    ----------
    title : str
        What it is about.
    heads : tuple of Head
        One a column.
    rows : tuple of tuple of str
        Texts as they are to be read; escaped when they are shown.
    note : str
        A sentence below it.
    bad : frozenset of int
        Rows that are written heavier, because something is amiss in them.
    """

    title: str
    heads: tuple[Head, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""
    bad: frozenset[int] = field(default_factory=frozenset)

    @property
    def html(self) -> str:
        """The table as HTML."""
        head = "".join(
            f'<th scope="col" class="{one.style}">{html_text(one.text)}{_unit(one)}</th>'
            for one in self.heads
        )
        body = "".join(self._row(number) for number in range(len(self.rows)))
        note = f"<p>{html_text(self.note)}</p>" if self.note else ""
        if not self.rows:
            note = f"<p>None.</p>{note}"
        return (
            f'{STYLE}<div class="ufk"><table><caption>{html_text(self.title)}</caption>'
            f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>{note}</div>"
        )

    def _row(self, number: int) -> str:
        cells = []
        for place, (text, head) in enumerate(zip(self.rows[number], self.heads, strict=True)):
            tag, scope = ("th", ' scope="row"') if place == 0 else ("td", "")
            cells.append(f'<{tag}{scope} class="{head.style}">{html_text(text)}</{tag}>')
        style = ' class="bad"' if number in self.bad else ""
        return f"<tr{style}>{''.join(cells)}</tr>"

    def _repr_html_(self) -> str:
        return self.html


def _unit(head: Head) -> str:
    return f" <small>[{html_text(head.unit)}]</small>" if head.unit else ""


@dataclass(frozen=True)
class Page:
    """Sentences and tables below each other."""

    html: str

    def _repr_html_(self) -> str:
        return self.html


def sentences(lines: Iterable[str], title: str = "") -> Page:
    """Return sentences as a list under a title."""
    items = "".join(f"<li>{html_text(line)}</li>" for line in lines)
    head = f"<p><b>{html_text(title)}</b></p>" if title else ""
    return Page(f'{STYLE}<div class="ufk">{head}<ul>{items or "<li>None.</li>"}</ul></div>')


def figures(title: str, values: Mapping[str, str], note: str = "") -> Table:
    """Return a table of two columns: what, and how much."""
    rows = tuple((name, value) for name, value in values.items())
    return Table(title, (Head("figure"), Head("value")), rows, note)


def records(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """Return the rows of a table by the names of their columns."""
    columns = [str(name) for name in frame.columns]
    cells = [frame[name].tolist() for name in frame.columns]
    return [dict(zip(columns, row, strict=True)) for row in zip(*cells, strict=True)]


def page(*parts: Table | Page) -> Page:
    """Put tables and sentences below each other."""
    return Page("".join(part.html for part in parts))
