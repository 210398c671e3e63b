"""The record of a finished base: what was read, what it says, what to change, to be signed."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from kit.as_built import Checked, as_built_texts
from kit.as_built.record import CHANGES
from kit.ink.as_built_tables import change_table, tops_table, unit_tops_table
from kit.ink.inch_words import in_units
from kit.ink.lengths import NOTHING, length_with_unit, nominal, number, small
from kit.ink.table import Head, Table, records
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
from kit.results_files import refuse_readings, take_away, write_files

#: Of the files of a check those that only some bases have.
FILES = (CHANGES,)


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
    job = checked.answer.job
    title = f"Record of the finished base: {job.title}"
    paper = Document(title, (), foot=f"Record of the finished base: {job.short_title}")
    return Document(title, tuple(_parts(checked, paper.room_mm[0])), foot=paper.foot)


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
    out, paper = Path(folder), record(checked)
    contents: dict[str, str | bytes] = {
        "record.pdf": pdf_bytes(paper),
        "record.html": html_page(paper),
        **as_built_texts(checked),
    }
    refuse_readings(checked.answer.job, (out / name for name in contents))
    written = write_files(contents, out)
    take_away(checked.answer.job, [out / name for name in FILES if name not in contents])
    return written


def _parts(checked: Checked, wide_mm: float) -> Iterator[Part]:
    units = checked.answer.job.units
    yield Heading(f"Record of the finished base: {checked.answer.job.short_title}")
    yield Grid(_head(checked))
    yield Points(tuple(in_units(line, units) for line in checked.sentences))
    yield Heading("Off one level, as read and after the changes")
    yield Words(
        "Ring: as read, with two standard deviations either way. Disc: after the changes. Grey:"
        " within the tolerance."
    )
    yield from (Figure(drawing) for drawing in tops_drawings(checked, wide_mm))
    yield Grid(tops_table(checked))
    yield Grid(unit_tops_table(checked))
    yield from _changes(checked)
    yield Heading("What this record leaves open")
    yield Points(tuple(in_units(line, units) for line in checked.cautions), "⚠")
    yield Heading("Signed")
    yield Signatures(tuple(_signed(checked)))


def _head(checked: Checked) -> Table:
    """Return who read what, when, with what, and against what it is judged."""
    as_built, answer, heights = checked.as_built, checked.answer, checked.tops.heights
    units = answer.job.units
    frame = (
        f"those of the survey, from the benchmark {checked.tops.benchmark}"
        if checked.tops.absolute
        else "among themselves only"
    )
    rows = (
        ("base", answer.base.name),
        ("read on", as_built.date.isoformat()),
        ("read by", as_built.by),
        ("instrument", as_built.instrument),
        ("tolerance either way", length_with_unit(checked.tolerance_mm, units)),
        ("supports read", f"{int(checked.supports['off_mm'].notna().sum())} of"
         f" {len(checked.supports)}"),
        ("heights", frame),
        ("agreement of the readings", f"sigma0 {number(heights.sigma0, 2)}"),
    )  # fmt: skip
    return Table("Read", (Head("what"), Head("", wide=True)), rows)


def _changes(checked: Checked) -> Iterator[Part]:
    """Yield what to open, the screws of it, and what is left in the bag."""
    changes = checked.changes
    if not (changes.possible and changes.opened):
        return
    yield Heading("Changes: fewest stacks opened")
    yield Grid(change_table(checked), 3.5)
    if len(changes.screws):
        yield Grid(_screws(checked))
    yield Grid(_bag(checked))


def _screws(checked: Checked) -> Table:
    """Return the screws that the changed stacks take now."""
    units = checked.answer.job.units
    heads = (
        Head("support"),
        Head("screw"),
        Head("length", "mm"),
        Head("point below the floor", units),
        Head("may go", units),
        Head("why", wide=True),
    )
    rows = tuple(
        (
            str(one["support"]),
            str(one["step"]),
            nominal(one["length_mm"]) if one["length_mm"] == one["length_mm"] else NOTHING,
            small(one["point_below_floor_mm"], units),
            small(one["limit_mm"], units),
            in_units(str(one["reason"]), units),
        )
        for one in records(checked.changes.screws)
    )
    return Table("Screws of the changed stacks", heads, rows)


def _bag(checked: Checked) -> Table:
    """Return the packers left before and after the changes."""
    heads = (Head("packer", "mm"), Head("left now", right=True), Head("left then", right=True))
    rows = tuple(
        (nominal(one["nominal_mm"]), _count(one["left_before"]), _count(one["left_after"]))
        for one in records(checked.changes.bag)
    )
    return Table("In the bag", heads, rows)


def _count(left: float) -> str:
    return "as wanted" if left == float("inf") else f"{left:.0f}"


def _signed(checked: Checked) -> Iterator[str]:
    yield f"Base read on {checked.as_built.date.isoformat()} with {checked.as_built.instrument}."
    if checked.changes.opened:
        yield "Stacks changed, the changed ones and their neighbours read again."
    yield "Base accepted as it is for the units to stand on. This signature approves no floor."
