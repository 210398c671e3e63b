"""Setting out: for each run one tape from its left end, with what is marked on each row."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import zip_longest

from kit.answer import Answer
from kit.base.pour_zones import Zone, pour_zones
from kit.base.runs import Row
from kit.ink.lengths import length, run_length, told_rounding
from kit.ink.table import Head, Table, records
from kit.paper.document import Grid, Heading, Part, Words

_LETTERS_MM = 3.5

#: Places nearer than this are one line of the table: nobody marks finer [mm].
_SAME_MM = 0.05

#: A table of so many places is set in two halves side by side, if no more rows than these lie in
#: the run: more would not fit a page.
_FOLDED_FROM, _FOLDED_ROWS = 8, 3

_HOW = "Looking at the wall: along from the left end of the units, out from their backs; one tape."


def setting_out_parts(answer: Answer) -> Iterator[Part]:
    """Yield the running dimensions of each run.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    yield Heading("Setting out")
    yield Words(_HOW, leads=True)
    compound = answer.base.compound
    if answer.base.method == "compound" and compound is not None:
        # Nothing stands at its places before the pour: they are in the table of depths.
        yield Grid(_zones_table(answer, pour_zones(answer.job, compound)), _LETTERS_MM)
        return
    for run in answer.job.runs:
        rows = [row for row in answer.layout.rows if row.run == run.name]
        yield Grid(_lines_table(answer, run.name, rows), _LETTERS_MM)
        yield Grid(_running_table(answer, run.name, rows), _LETTERS_MM)


def with_off(answer: Answer, mm: float) -> str:
    """Return a height or a depth, in inches with what it is off in brackets.

    Parameters
    ----------
    answer : Answer
        Whose job says the units.
    mm : float
        The true length [mm].
    """
    return _beside(answer, length(mm, answer.job.units), mm)


def set_out(answer: Answer, mm: float) -> str:
    """Return a place or a cut as a tape is read, in inches with what it is off in brackets.

    Parameters
    ----------
    answer : Answer
        Whose job says the units.
    mm : float
        The true length [mm].
    """
    return _beside(answer, run_length(mm, answer.job.units), mm)


def _beside(answer: Answer, shown: str, mm: float) -> str:
    off = told_rounding(mm, answer.job.units)
    return f"{shown} ({off})" if off else shown


def off_note(answer: Answer) -> str:
    """Return what the figures in brackets are; empty in millimetres."""
    if answer.job.units == "mm":
        return ""
    return " In brackets: sixteenths as shown less the true length, in."


def _titled(answer: Answer, run: str, what: str) -> str:
    return f"Run {run}: {what}" if len(answer.job.runs) > 1 else what[:1].upper() + what[1:]


def _lines_table(answer: Answer, run: str, rows: Sequence[Row]) -> Table:
    """Return where each row's lines are struck."""
    units, half = answer.job.units, wide_mm(answer) / 2
    edges = (Head("from", units), Head("middle", units), Head("to", units))
    lines = tuple(
        (row.name, *(set_out(answer, mm) for mm in (row.y_mm - half, row.y_mm, row.y_mm + half)))
        for row in rows
    )
    title = f"lines to strike, out from the backs: edges and middle of {_edges_of(answer)}"
    return Table(_titled(answer, run, title), (Head("row"), *edges), lines)


def _timber(answer: Answer) -> bool:
    return len(answer.cuts.cuts) > 0


def wide_mm(answer: Answer) -> float:
    """Return how wide what stands along a row is across it [mm].

    Parameters
    ----------
    answer : Answer
        Of any base that is not poured.
    """
    layout = answer.layout
    return layout.bearer_width_mm if _timber(answer) else layout.packer_size_mm[1]


def _edges_of(answer: Answer) -> str:
    return {
        "packers": "the bearers",
        "stacks": "the packers",
        "feet": "the feet's plates",
        "ladder": "the members",
    }[answer.base.method]


def _running_table(answer: Answer, run: str, rows: Sequence[Row]) -> Table:
    """Return every place along the run, and what is there on each row."""
    at: dict[float, dict[str, str]] = {}
    for row in rows:
        for mm, said in _marks(answer, row):
            place = next((known for known in at if abs(known - mm) < _SAME_MM), mm)
            there = at.setdefault(place, {})
            there[row.name] = f"{there[row.name]}, {said}" if row.name in there else said
    heads = (Head("along", answer.job.units), *(Head(row.name) for row in rows))
    lines = [
        (set_out(answer, place), *(at[place].get(row.name, "") for row in rows))
        for place in sorted(at)
    ]
    ends = "; end: the timber's end" if _timber(answer) else ""
    note = f"Supports by their middles{ends}.{off_note(answer)}"
    title = _titled(answer, run, "running dimensions")
    if len(lines) < _FOLDED_FROM or len(rows) > _FOLDED_ROWS:
        return Table(title, heads, tuple(lines), note)
    half = -(-len(lines) // 2)
    blank = ("",) * len(heads)
    folded = zip_longest(lines[:half], lines[half:], fillvalue=blank)
    beside = tuple((*left, *right) for left, right in folded)
    return Table(title, heads * 2, beside, f"Down the left half, then the right. {note}")


def _marks(answer: Answer, row: Row) -> Iterator[tuple[float, str]]:
    """Yield where something of a row lies along its run [mm], and what."""
    joints = {support for bearer, support in answer.cuts.joints if bearer == row.name}
    if _timber(answer):
        yield row.start_mm, "end"
    for one in records(answer.layout.on_bearer(row.name)):
        name = str(one["support"])
        yield float(one["own_x_mm"]), f"{name}, joint" if name in joints else name
    if _timber(answer):
        yield row.end_mm, "end"


def _zones_table(answer: Answer, zones: Sequence[Zone]) -> Table:
    """Return the edges of each zone that is poured."""
    units = answer.job.units
    edges = (Head("left edge", units), Head("right edge", units), Head("front edge", units))
    lines = tuple(
        (zone.name, *(set_out(answer, mm) for mm in (zone.left_mm, zone.right_mm, zone.front_mm)))
        for zone in zones
    )
    note = (
        "Left and right along the run, the front out from the backs; every zone begins at the"
        f" backs.{off_note(answer)}"
    )
    return Table("Edges of the pour", (Head("zone", wide=True), *edges), lines, note)
