"""Elevations to look at and to print, where no hand is meant to be on them."""

from __future__ import annotations

from collections.abc import Iterable

from kit.answer import Answer
from kit.base.cautions import NO_APPROVAL
from kit.ink.escape import html_text
from kit.ink.table import Page, sentences
from kit.ink.words import on_bearers
from kit.job.ways import way_of
from kit.show.board.elevation_picture import elevation_picture
from kit.show.board.load_picture import load_picture
from kit.show.section import sections

#: Width of a printed page of pictures [px].
PAGE_PX = 960.0

#: What makes a stack something to be pressed; on paper there is nothing to press.
_BUTTON, _DRAWN, _LOOSE = 'role="button" tabindex="0"', 'role="img"', ' aria-pressed="false"'


def elevations(answer: Answer, width_px: float = PAGE_PX) -> Page:
    """Draw all bearer rows of an answer, one below the other.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    width_px : float
        Width of the drawings [CSS px].

    Returns
    -------
    Page
        The numbers are those of `stack_table`; without bearers a sentence that there are none.
    """
    if not on_bearers(answer.ground):
        return _no_bearers(answer)
    drawn = [
        _still(elevation_picture(answer, part, width_px).svg)
        for run in answer.job.runs
        for part in sections(answer, run.name)
    ]
    return _paper(drawn)


def load_pictures(answer: Answer, width_px: float = PAGE_PX, case: str = "full") -> Page:
    """Draw what carries each bearer, one below the other, in the order of `elevations`.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    width_px : float
        Width of the drawings [CSS px].
    case : {"full", "empty", "laid"}
        Units full, units empty, the bearer by itself.

    Returns
    -------
    Page
        The numbers are those of `stack_load_table`; without bearers a sentence that there are
        none.
    """
    if not on_bearers(answer.ground):
        return _no_bearers(answer)
    drawn = [
        _still(load_picture(answer, row.name, width_px, case=case).svg)
        for row in answer.layout.rows
    ]
    return _paper([*drawn, html_text(NO_APPROVAL)])


def _no_bearers(answer: Answer) -> Page:
    """Say why there is no picture."""
    way = way_of(answer.base)
    return sentences([f"No picture: bearers are drawn here, and this base is {way.name}."])


def _still(svg: str) -> str:
    return svg.replace(_BUTTON, _DRAWN).replace(_LOOSE, "")


def _paper(drawn: Iterable[str]) -> Page:
    paper = "background:#fff;color:#1d2730;overflow-x:auto;margin-bottom:1em"
    return Page("".join(f'<div style="{paper}">{one}</div>' for one in drawn))
