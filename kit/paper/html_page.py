"""A paper as one page for any browser: to be read on a telephone, and to be printed to scale.

It holds all it needs, drawings and faces too; it runs nothing and fetches nothing.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from kit.paper.document import Document, Figure, Grid
from kit.paper.foot import foot_text
from kit.paper.marks import Drawing
from kit.paper.page_room import begins_with_title, refuse_too_large, title_stands
from kit.paper.printable import harmless, texts_of
from kit.paper.svg_drawing import svg_of
from kit.paper.table_columns import Columns, columns_of
from kit.paper.web_faces import faces_css

if TYPE_CHECKING:
    from jinja2 import Template
    from markupsafe import Markup

_WEB = Path(__file__).parent / "web"

#: Names of the looks of points, by their sign.
_SIGNS = {"•": "said", "☐": "ticked", "⚠": "warned"}

_BEFORE_FRACTION = re.compile(r"(?<=\d) (?=\d+/\d)")

#: What the page says by itself, and must have letters for.
_OWN = "⚠•[]\u00a0 None. name date signature page of Caution:"


def _plain(text: str) -> str:
    """Return a text without harm, whose inches are not broken before their fraction."""
    return _BEFORE_FRACTION.sub("\u00a0", harmless(text))


def _drawn(drawing: Drawing) -> Markup:
    """Return a drawing for the page; its letters are escaped where it is drawn."""
    from markupsafe import Markup  # noqa: PLC0415 - loaded when a page is first written

    return Markup(svg_of(drawing))


def _columns(part: Grid, document: Document) -> Columns:
    """Return the columns of a table as the paper has them; a screen scrolls."""
    return columns_of(part.table, document.room_mm[0], part.letters_mm)


def _foot_css(document: Document) -> Markup:
    """Return a paper's foot as a string of CSS, each sign of it by its number."""
    from markupsafe import Markup  # noqa: PLC0415

    numbers = "".join(f"\\{ord(letter):06x}" for letter in foot_text(document))
    return Markup(f'"{numbers}"')


@cache
def _template() -> Template:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined  # noqa: PLC0415

    loader = FileSystemLoader(_WEB)
    web = Environment(autoescape=True, loader=loader, undefined=StrictUndefined)
    web.trim_blocks = web.lstrip_blocks = True
    web.filters["plain"] = _plain
    web.filters["drawn"] = _drawn
    web.filters["columns"] = _columns
    return web.get_template("page.html")


def html_page(document: Document) -> str:
    """Return a paper as a page of HTML.

    Parameters
    ----------
    document : Document
        What it says.

    Returns
    -------
    str
        The same for the same paper. All texts in it are escaped, and each finds its own direction.

    Raises
    ------
    ValueError
        If a drawing is larger than `Document.room_mm`: a defect of what drew it.
    """
    from markupsafe import Markup  # noqa: PLC0415

    for part in document.parts:
        if isinstance(part, Figure):
            refuse_too_large(document, part)
    return _template().render(
        document=document,
        title=harmless(document.title).replace("\n", " "),
        parts=[(type(part).__name__, part) for part in document.parts],
        begins_with_title=begins_with_title(document),
        title_stands=title_stands(document),
        signs=_SIGNS,
        foot=_foot_css(document),
        looks=Markup((_WEB / "page.css").read_text("utf-8")),
        faces=Markup(faces_css([_OWN, *texts_of(document)])),
    )
