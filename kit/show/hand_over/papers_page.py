"""The papers that were written, each with what it is, to be opened from the notebook."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from pathlib import Path
from urllib.parse import quote

from kit.ink.escape import html_text
from kit.ink.table import STYLE, Page


def papers_page(written: Iterable[Path], what: Mapping[str, str]) -> Page:
    """Return the papers as a list of links.

    Parameters
    ----------
    written : iterable of Path
        Files, below the folder that the notebook stands in where they are to be opened by a click.
    what : mapping of str to str
        What each is, by its name.

    Returns
    -------
    Page
    """
    items = "".join(
        f'<li><a href="{html_text(_link(path))}" target="_blank">{html_text(path.name)}</a>:'
        f" {html_text(what.get(path.name, ''))}</li>"
        for path in written
    )
    note = "Print at 100 %, not fitted to the page, and measure the control lengths before use."
    return Page(f'{STYLE}<div class="ufk"><p><b>Papers</b></p><ul>{items}</ul><p>{note}</p></div>')


def _link(path: Path) -> str:
    """Return a path as the page names it: from the folder that the notebook runs in."""
    return quote(Path(os.path.relpath(path)).as_posix())
