"""The plinth on paper: its boards, heights and cuts, a picture, and strips to scribe by."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pandas as pd

from kit.answer import Answer
from kit.base.plinth_profile import PlinthBoard, PlinthProfile, plinth_profile
from kit.ink.lengths import Units
from kit.paper.document import Break, Document, Figure, Grid, Heading, Part, Points
from kit.paper.full_size import CONTROL_TALL_MM, StripPiece, control_marks
from kit.paper.marks import Drawing, Mark
from kit.paper.plinth_curve import ScribeStrip
from kit.paper.plinth_grids import board_grid, height_grids
from kit.paper.plinth_picture import PlinthPicture
from kit.paper.plinth_words import cautions, how_to
from kit.paper.whole_title import whole_title

#: A table of more rows begins a page.
_SHORT = 8

#: Between the strips of a page, the arrows of the upper one in it [mm].
_GAP_MM = 3.5


def plinth_table(answer: Answer, pitch_mm: float) -> tuple[pd.DataFrame, ...]:
    """Return the plinth's heights and cuts for a file.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    pitch_mm : float
        Distance of the places [mm].

    Returns
    -------
    tuple of DataFrame
        One with the columns of `kit.base.plinth_profile`; none where the base has no plinth.

    Raises
    ------
    Refusal
        Where the pitch is none, or the boards are too short.
    """
    return (profile_of(answer, pitch_mm).table,) if answer.base.plinth else ()


def profile_of(answer: Answer, pitch_mm: float) -> PlinthProfile:
    """Return the plinth's profile of an answer; refused where its base has no plinth."""
    top, finish = answer.datum.base_top_mm, answer.job.floor.finish_mm
    return plinth_profile(answer.base, answer.layout, answer.surface, top, finish, pitch_mm)


def plinth_sheet(answer: Answer, pitch_mm: float) -> tuple[Document, ...]:
    """Return the plinth on paper.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    pitch_mm : float
        Distance of the places in its table [mm].

    Returns
    -------
    tuple of Document
        One; none where the base has no plinth.

    Raises
    ------
    Refusal
        Where the pitch is none, or the boards are too short.
    """
    if answer.base.plinth is None:
        return ()
    profile = profile_of(answer, pitch_mm)
    title = f"Plinth: {answer.job.short_title}; {answer.base.name}"
    foot = f"Plinth. {answer.base.name}. {answer.job.title}"
    strips = [strip for strip in _strips(answer, profile) if strip.fits]
    parts = (
        Points(tuple(how_to(answer, profile, scribed=bool(strips))), "☐"),
        Heading("Cautions", 2),
        Points(tuple(cautions(answer, profile, _too_tall(answer, profile))), "⚠"),
        Grid(board_grid(profile, answer.job.units), 3.5),
        *_pictures(answer, profile),
        *_heights(answer, profile),
        *_strip_pages(strips, answer.job.units),
        *whole_title(answer.job),
    )
    return (Document(title, parts, foot, landscape=True),)


def _heights(answer: Answer, profile: PlinthProfile) -> Iterator[Part]:
    """Yield the tables of heights, each long one on a page of its own."""
    for table in height_grids(profile, answer.job.units):
        if len(table.rows) > _SHORT:
            yield Break()
        yield Grid(table, 3.5)


def _sides(answer: Answer, run: str) -> tuple[float, ...]:
    units = [one for one in answer.layout.units if one.run == run]
    return tuple(sorted({x for one in units for x in (one.left_mm, one.right_mm)}))


def _pictures(answer: Answer, profile: PlinthProfile) -> Iterator[Part]:
    page = Document("", (), landscape=True)
    for run, boards in profile.runs.items():
        if any(math.isfinite(board.least_mm) for board in boards):
            sides = _sides(answer, run)
            picture = PlinthPicture(boards, sides, page.room_mm[0], answer.job.units)
            yield Figure(picture.drawing(), picture.caption())


def _strips(answer: Answer, profile: PlinthProfile) -> Iterator[ScribeStrip]:
    """Yield a strip for each board that is not left straight and has a known line."""
    for board in profile.boards:
        if board.manner != "straight" and math.isfinite(board.least_mm):
            yield ScribeStrip(board, _sides(answer, board.run), answer.job.units)


def _too_tall(answer: Answer, profile: PlinthProfile) -> list[PlinthBoard]:
    return [strip.board for strip in _strips(answer, profile) if not strip.fits]


def _strip_pages(strips: list[ScribeStrip], units: Units) -> Iterator[Part]:
    """Yield pages of strips, as many pieces on each as fit."""
    page = Document("", (), landscape=True)
    tall = page.room_mm[1]
    on_it: list[tuple[ScribeStrip, StripPiece]] = []
    used = 0.0
    for strip in strips:
        for piece in strip.pieces:
            if used + strip.tall_mm > tall - CONTROL_TALL_MM - _GAP_MM and on_it:
                yield from _page(on_it, page, units)
                on_it, used = [], 0.0
            on_it.append((strip, piece))
            used += strip.tall_mm + _GAP_MM
    if on_it:
        yield from _page(on_it, page, units)


def _page(
    on_it: list[tuple[ScribeStrip, StripPiece]], page: Document, units: Units
) -> Iterator[Part]:
    marks: list[Mark] = [*control_marks(page, units)]
    top = 0.0
    for strip, piece in on_it:
        marks += strip.marks(piece, top)
        top += strip.tall_mm + _GAP_MM
    names = ", ".join(f"{piece.strip}/{piece.number}" for _, piece in on_it)
    words = f"Pieces {names} of the scribe strips, at full size in both directions"
    yield Break()
    yield Figure(Drawing(*page.room_mm, tuple(marks), words), f"Pieces {names}. Grey: cut off.")
