"""What a paper says, whatever it is printed as: headings, words, tables, drawings, signatures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from kit.ink.table import Table
from kit.paper.marks import Drawing

#: A4, upright [mm] (ISO 216).
PAGE_MM = (210.0, 297.0)

#: Free edge all round, more than office printers need (common practice, no source) [mm].
MARGIN_MM = 12.0

#: Kept at the foot of each page for its number and what paper it is [mm].
FOOT_MM = 7.0


@dataclass(frozen=True)
class Heading:
    """A heading.

    Parameters
    ----------
    text : str
        What it says.
    level : {1, 2}
        1 begins a part of the paper, 2 stands within one.
    """

    text: str
    level: Literal[1, 2] = 1


@dataclass(frozen=True)
class Words:
    """A paragraph; line breaks in it are kept.

    Parameters
    ----------
    text : str
        What it says.
    strong : bool
        Whether it is set in the bold face.
    leads : bool
        Whether it leads in what follows and must not stand last on a page.
    """

    text: str
    strong: bool = False
    leads: bool = False


@dataclass(frozen=True)
class Points:
    """Sentences below each other, each behind a sign.

    Parameters
    ----------
    lines : tuple of str
        One or more sentences each.
    sign : {"•", "☐", "⚠"}
        Said, to be ticked, or warned of.
    """

    lines: tuple[str, ...]
    sign: Literal["•", "☐", "⚠"] = "•"


@dataclass(frozen=True)
class Grid:
    """A table with its title, rules and note; its head is repeated on each page.

    Parameters
    ----------
    table : Table
        Texts as they are to be read; columns whose head has a unit are set to the right.
    letters_mm : float
        Size of its letters [mm]; 3.5 reads at arm's length.
    """

    table: Table
    letters_mm: float = 3.0


@dataclass(frozen=True)
class Figure:
    """A drawing at its own size, with a line below it.

    Parameters
    ----------
    drawing : Drawing
        At most as large as `Document.room_mm`.
    caption : str
        What it shows.
    """

    drawing: Drawing
    caption: str = ""


@dataclass(frozen=True)
class Signatures:
    """Places to sign: for each what is signed, and lines for name, date and signature.

    Parameters
    ----------
    lines : tuple of str
        What is signed.
    """

    lines: tuple[str, ...]


@dataclass(frozen=True)
class Break:
    """What follows begins on a new page."""


Part = Heading | Words | Points | Grid | Figure | Signatures | Break


@dataclass(frozen=True)
class Document:
    """A paper.

    Parameters
    ----------
    title : str
        What it is, and of which job.
    parts : tuple of Part
        From top to bottom.
    foot : str
        At the foot of each page, beside its number.
    landscape : bool
        Whether its pages lie.
    """

    title: str
    parts: tuple[Part, ...]
    foot: str = ""
    landscape: bool = False

    @property
    def page_mm(self) -> tuple[float, float]:
        """Width and height of a page [mm]."""
        return PAGE_MM[::-1] if self.landscape else PAGE_MM

    @property
    def room_mm(self) -> tuple[float, float]:
        """Width and height that a drawing with a caption of one line may have [mm]."""
        wide, tall = self.page_mm
        return wide - 2 * MARGIN_MM, tall - 2 * MARGIN_MM - FOOT_MM - 8.0
