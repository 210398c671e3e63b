"""The record of a finished base: what was read, what it says, what to change, to be signed."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from kit.as_built import Checked, write_as_built
from kit.as_built.judged import OUTSIDE, WITHIN
from kit.as_built.record import CHANGES, RECORD, SUPPORTS, UNITS
from kit.ink.as_built_tables import (
    bag_table,
    change_table,
    changed_screws_table,
    tops_table,
    turn_table,
    unit_tops_table,
)
from kit.ink.as_built_words import (
    agreement,
    cautions_said,
    names_of,
    other_level,
    read_words,
    said_of,
    tables_read,
    tolerance_words,
    verdict_words,
)
from kit.ink.before_after import to_change
from kit.ink.table import Head, Table
from kit.job.ways import way_of
from kit.paper.big_figures import BigFigure, figures_drawing
from kit.paper.document import (
    Document,
    Figure,
    Grid,
    Heading,
    Part,
    Points,
    Signatures,
    Words,
)
from kit.paper.html_page import html_page
from kit.paper.pdf import pdf_bytes
from kit.paper.tops_drawing import tops_drawings

#: What each file is.
RECORD_FILES = {
    "record.pdf": "the record, to be signed",
    "record.html": "the same as one page for a screen or a browser's print",
    SUPPORTS: "each support as read, in figures",
    UNITS: "each unit as it would stand, in figures",
    CHANGES: "what to change, in figures",
    RECORD: "all of it for another program",
}

#: Letters of what is worked by on the floor, and of what is read at a table [mm].
_WORK_MM, _TABLE_MM = 3.5, 3.0


def record(checked: Checked) -> Document:
    """Return the record of a check as a paper.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`.

    Returns
    -------
    Document
    """
    title = f"Record of the finished base: {checked.answer.job.short_title}"
    wide_mm = Document(title, ()).room_mm[0]
    return Document(title, tuple(_parts(checked, title, wide_mm)), foot=title)


def write_record(checked: Checked, folder: str | Path) -> list[Path]:
    """Write the record of a check, as PDF and as one page, with its figures; all or none.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`.
    folder : path
        Made where it does not exist; files of the same names are replaced.

    Returns
    -------
    list of Path
        What was written.

    Raises
    ------
    Refusal
        Where the folder cannot be written to, or a table of readings lies under one of the names.
    """
    paper = record(checked)
    printed: dict[str, str | bytes] = {
        "record.pdf": pdf_bytes(paper),
        "record.html": html_page(paper),
    }
    return write_as_built(checked, folder, printed)


def _parts(checked: Checked, title: str, wide_mm: float) -> Iterator[Part]:
    said = said_of(checked)
    yield Heading(title)
    big = tuple(BigFigure(one.about, one.word, one.why) for one in verdict_words(checked))
    yield Figure(figures_drawing(big, wide_mm))
    yield from (Words(line, strong=True) for line in said.approval)
    yield Grid(_head(checked))
    yield Points(said.base)
    yield from _drawings(checked, wide_mm)
    yield from _changes(checked, said.changes)
    yield Heading("As read")
    yield Grid(tops_table(checked), _TABLE_MM)
    yield Grid(unit_tops_table(checked), _TABLE_MM)
    yield from _units(checked, said.units)
    yield Heading("What this record leaves open")
    yield Points(cautions_said(checked), "⚠")
    yield Heading("Signed")
    yield Signatures(tuple(_signed(checked)))
    if title.endswith("…"):
        yield Heading("Title of the job in full")
        yield Words(checked.answer.job.title)


def _head(checked: Checked) -> Table:
    """Return who read what, when, with what, and against what it is judged."""
    as_built, base = checked.as_built, checked.answer.base
    rows = (
        ("base", f"{base.name} ({way_of(base).name})"),
        ("read on", as_built.date.isoformat()),
        ("read by", as_built.by),
        ("instrument", as_built.instrument),
        ("tolerance", f"{tolerance_words(checked)} either way, off one level"),
        ("supports read", read_words(checked)),
        ("tables read", tables_read(checked)),
        ("the readings agree", agreement(checked)),
    )
    return Table("The reading", (Head("what"), Head("as given or found", wide=True)), rows)


def _drawings(checked: Checked, wide_mm: float) -> Iterator[Part]:
    change = to_change(checked)
    yield Heading(f"Off one level, as read{' and after the changes' if change.names else ''}")
    after = f" Black disc: where what is {change.word} comes to." if change.names else ""
    crossed = " Crossed ring: readings contradict, no height is told." * bool(
        checked.tops.contradicting
    )
    yield Words(
        "Ring: as read, with two standard deviations either way. Grey: within the tolerance."
        f"{after}{crossed} {' '.join(other_level(checked))}".rstrip()
    )
    yield from (Figure(drawing) for drawing in tops_drawings(checked, wide_mm))


def _changes(checked: Checked, said: tuple[str, ...]) -> Iterator[Part]:
    """Yield what to change; of stacks their screws too, and what is left in the bag."""
    changes, change = checked.changes, to_change(checked)
    yield Heading("Changes")
    if not change.names:
        yield Points(said)
        return
    in_table = tuple(f"{name}: " for name in change.names)
    if changes.on_packers:
        yield Points(tuple(line for line in said if not line.startswith(in_table)))
        yield Grid(change_table(checked, to_fill=True), _WORK_MM)
    else:
        yield Points(said)  # how much travel is left stands there alone
        yield Grid(turn_table(checked, to_fill=True), _WORK_MM)
    yield Words(f"Neighbours read again: {'_' * 60}")
    if changes.on_packers:
        yield Grid(bag_table(checked), _TABLE_MM)
    if len(changes.screws):
        yield Grid(changed_screws_table(checked), _WORK_MM)


def _units(checked: Checked, said: tuple[str, ...]) -> Iterator[Part]:
    """Yield what is amiss with a unit; of the others the table says all."""
    fine = tuple(f"{one.subject}: " for one in checked.units if one.verdict == WITHIN)
    amiss = tuple(line for line in said if not line.startswith(fine))
    if amiss:
        yield Points(amiss)


def _signed(checked: Checked) -> Iterator[str]:
    as_built = checked.as_built
    yield (f"Base read on {as_built.date.isoformat()} by {as_built.by} with {as_built.instrument}.")
    change, outside = to_change(checked), names_of(checked, OUTSIDE)
    if change.names:
        what = "Stacks changed" if checked.changes.on_packers else "Feet turned"
        yield f"{what} as told above; they and their neighbours read again and entered."
    still = (
        f" with {len(outside)} of {len(checked.supports)} supports outside the tolerance"
        if outside and not change.names
        else ""
    )
    again = ", ".join(checked.tops.contradicting)
    if again:
        yield f"Read again, and judged anew, where the readings contradict: {again}."
    yield (
        f"Base taken over for the units to stand on{still}, and what this record leaves open was"
        " read. This signature approves no floor and no structure."
    )
