"""The papers that were written, each with what it is, to be opened or saved from the notebook."""

from __future__ import annotations

import base64
import mimetypes
import os
from collections.abc import Iterable, Mapping
from pathlib import Path
from urllib.parse import quote

from kit.ink.escape import html_text
from kit.ink.table import STYLE, Page

#: Kinds that not every machine knows by their name's end.
_KINDS = {".dxf": "image/vnd.dxf", ".csv": "text/csv"}


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
        Each paper's name saves it: the page itself holds it, so that this works wherever the page
        is looked at. In JupyterLab, whose server hands out files, a further link opens it.
    """
    items = "".join(
        f"<li>{_save(path)}{_open(path)}: {html_text(what.get(path.name, ''))}</li>"
        for path in written
    )
    note = "Print at 100 %, not fitted to the page, and measure the control lengths before use."
    return Page(f'{STYLE}<div class="ufk"><p><b>Papers</b></p><ul>{items}</ul><p>{note}</p></div>')


def _save(path: Path) -> str:
    """Return a link that saves what lies at a path now."""
    kind = _KINDS.get(path.suffix) or mimetypes.guess_type(path.name)[0]
    held = base64.b64encode(path.read_bytes()).decode("ascii")
    name = html_text(path.name)
    href = f"data:{kind or 'application/octet-stream'};base64,{held}"
    return f'<a href="{href}" download="{name}">{name}</a>'


def _open(path: Path) -> str:
    """Return a link that opens a file; Voila hands out no files, and says here that it is Voila."""
    if os.environ.get("SERVER_SOFTWARE", "").startswith("voila"):
        return ""
    return f' (<a href="{html_text(_link(path))}" target="_blank">open</a>)'


def _link(path: Path) -> str:
    """Return a path as the page names it: from the folder that the notebook runs in."""
    return quote(Path(os.path.relpath(path)).as_posix())
