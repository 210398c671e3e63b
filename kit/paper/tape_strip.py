"""Tape strips: each row's marks at full size, to be cut, joined and taped down."""

from __future__ import annotations

from collections.abc import Iterator

from kit.answer import Answer
from kit.ink.lengths import NOTHING, Units, rounding, run_length
from kit.ink.table import Head, Table
from kit.paper.beside import BESIDE
from kit.paper.document import Break, Document, Figure, Grid, Heading, Part, Points
from kit.paper.full_size import (
    CONTROL_TALL_MM,
    StripPiece,
    control_marks,
    control_words,
    cut_strip,
)
from kit.paper.marks import Drawing, Mark
from kit.paper.strip_picture import PIECE_TALL_MM, piece_marks
from kit.paper.strip_rows import StripRow, strip_rows
from kit.paper.whole_title import whole_title

#: Between the pieces of a page, the arrows of the upper one in it [mm].
_GAP_MM = 3.5

#: A piece and the row that it is of.
_Cut = tuple[StripRow, StripPiece]


def tape_strips(answer: Answer) -> tuple[Document, ...]:
    """Return the tape strips of a base.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.

    Returns
    -------
    tuple of Document
        One: every base has rows of supports, or, poured, sides of units to set out.
    """
    units = answer.job.units
    cut = [
        (row, piece)
        for row in strip_rows(answer)
        for piece in cut_strip(row.name, row.from_mm, row.to_mm, _keep_off(row), units)
    ]
    parts = (*_front(answer, cut), *_pages(answer, cut), *whole_title(answer.job))
    return (Document(_title(answer), parts, _foot(answer), landscape=True),)


def _title(answer: Answer) -> str:
    return f"Tape strips at full size: {answer.job.short_title}; {answer.base.name}"


def _foot(answer: Answer) -> str:
    return f"Tape strips, full size. {answer.base.name}. {answer.job.title}"


def _keep_off(row: StripRow) -> tuple[float, ...]:
    return (*(mark.at_mm for mark in row.marks), *row.sides_mm)


def _front(answer: Answer, cut: list[_Cut]) -> Iterator[Part]:
    """Yield what is read before the strips are cut."""
    units, poured = answer.job.units, answer.base.method == "compound"
    rows = list({row.name: row for row, _ in cut}.values())
    yield Points(tuple(_how(units, poured=poured)), "☐")
    yield Heading("Cautions", 2)
    told = (
        "The strips say where supports and units stand, and nothing of heights.",
        "A mark is no leave to drill: what runs under the floor is located first.",
        *BESIDE,
    )
    yield Points(told, "⚠")
    yield Grid(_control_table(rows, cut, units), 3.5)
    yield Grid(_unit_table(answer), 3.5)


def _how(units: Units, *, poured: bool) -> Iterator[str]:
    yield (
        "Print at 100 %, not fitted to the page. On every page measure the control line:"
        f" {control_words(units)}. A page on which it is not so long is of no use."
    )
    yield (
        "Cut each piece along its scale and along its dashed left end; leave the grey tab at its"
        " right end."
    )
    yield (
        "Lay the next piece over the tab, its left end on the dashed line, both arrows on each"
        " other, the scales in one straight line; tape them together."
    )
    yield "Measure the joined strip between the two marks of the table below, before it is used."
    if poured:
        yield ("Lay it along the wall with 0 at the run's left end; the lines are sides of units.")
        return
    yield (
        "Lay 0 at the run's left end, or, where a strip begins further along, its first figure so"
        " far from there; the scale along the row's middle line, or taped to skirting or floor"
        " beside it and squared across."
    )
    yield (
        "Bold lines: middles of supports, the grey band as wide as what stands there."
        " Dash and dot: sides of units. Broken: bearers' ends, joints, middles of bays."
    )


def _control_table(rows: list[StripRow], cut: list[_Cut], units: Units) -> Table:
    inch = (Head("rounded by", units),) if units == "in" else ()
    heads = (
        Head("strip"),
        Head("pieces", "no."),
        Head("out from the backs", units),
        *inch,
        Head("first mark at", units),
        Head("last mark at", units),
        Head("between them", units),
        *inch,
    )
    lines = []
    for row in rows:
        first, last = row.control_mm
        lines.append(
            (
                row.name,
                f"{sum(of is row for of, _ in cut)}",
                *_out(row, units),
                run_length(first, units),
                run_length(last, units),
                run_length(last - first, units),
                *_off(last - first, units),
            )
        )
    note = (
        "Out from the backs lies the row's middle line. Marks are the first and last support of a"
        " row, where it has two; else sides of units."
    )
    if units == "in":
        note += " Rounded by: shown less true."
    return Table("Control lengths of the joined strips", heads, tuple(lines), note)


def _out(row: StripRow, units: Units) -> tuple[str, ...]:
    if row.pad_mm:
        return (run_length(row.out_mm, units), *_off(row.out_mm, units))
    return tuple(NOTHING for _ in ("", *_off(0.0, units)))


def _off(mm: float, units: Units) -> tuple[str, ...]:
    return (rounding(mm, units),) if units == "in" else ()


def _unit_table(answer: Answer) -> Table:
    units, several = answer.job.units, len(answer.layout.frames) > 1
    inch = (Head("rounded by", units),) if units == "in" else ()
    heads = (
        *((Head("run"),) if several else ()),
        Head("unit", wide=True),
        Head("left side at", units),
        *inch,
        Head("right side at", units),
        *inch,
    )
    rows = tuple(
        (
            *((one.run,) if several else ()),
            one.unit.name,
            run_length(one.left_mm, units),
            *_off(one.left_mm, units),
            run_length(one.right_mm, units),
            *_off(one.right_mm, units),
        )
        for one in answer.layout.units
    )
    return Table("Units along the run", heads, rows, "From the run's left end.")


def _pages(answer: Answer, cut: list[_Cut]) -> Iterator[Part]:
    """Yield the pages of strips, as many pieces on each as fit."""
    page = Document("", (), landscape=True)
    wide, tall = page.room_mm
    each = PIECE_TALL_MM + _GAP_MM
    count = int((tall - CONTROL_TALL_MM + _GAP_MM) / each)
    units = answer.job.units
    for first in range(0, len(cut), count):
        on_it = cut[first : first + count]
        marks: list[Mark] = [*control_marks(page, units)]
        for number, (row, piece) in enumerate(on_it):
            marks += piece_marks(row, piece, number * each, units)
        names = ", ".join(f"{piece.strip}/{piece.number}" for _, piece in on_it)
        words = f"Pieces {names} of the tape strips, at full size"
        yield Break()
        yield Figure(Drawing(wide, tall, tuple(marks), words), f"Pieces {names}.")
