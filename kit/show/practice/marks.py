"""An attempt in tables: what took marks and why, the moves, and what was given or worked out."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import pandas as pd

from kit.ink.escape import html_text
from kit.ink.lengths import NOTHING
from kit.ink.table import Head, Page, Table, page, records, sentences
from kit.practice.drill import Drill, Worked
from kit.practice.fields import Field, Value
from kit.practice.marking import FREE_PLACEMENTS, FREE_TIME, FULL, HINT_COST, RULE, Marked
from kit.practice.mistakes import Mistake
from kit.practice.moves import Done
from kit.show.practice.column_heads import head_and_unit
from kit.show.practice.effect import effect_picture
from kit.show.two_bases.drawing import PAGE_PX, beside

#: Decimals of figures at most: heights are kept to a thousandth of a millimetre.
_DECIMALS = 3


def marks_page(marked: Marked, asked: Sequence[Field] = (), width_px: float = PAGE_PX) -> Page:
    """Show a mark: what took marks, each mistake with what it does, and a sound way.

    Parameters
    ----------
    marked : Marked
        From `Attempt.answered`.
    asked : sequence of Field
        What was to be answered: the sound way's answer is told by their labels.
    width_px : float
        Of the pictures [CSS px].

    Returns
    -------
    Page
    """
    return page(
        marks_table(marked),
        effort_table(marked),
        *(_mistake(mistake, width_px) for mistake in marked.mistakes),
        worked_page(marked.worked, asked),
    )


def marks_table(marked: Marked) -> Table:
    """Return what took marks, with the rule below it."""
    rows = [(what, f"−{cost}") for what, cost in marked.lost]
    if not rows:
        rows = [("nothing took marks", "0")]
    rows.append(("left", f"{marked.marks}"))
    heads = (Head("what took marks", wide=True), Head("marks", right=True))
    title = f"{marked.marks} of {FULL} marks"
    return Table(title, heads, tuple(rows), RULE, frozenset({len(rows) - 1}))


def rule_table(drill: Drill) -> Table:
    """Return what each kind of mistake of a drill costs, with the rule below it."""
    rows = tuple((kind.title, f"−{kind.cost}") for kind in drill.kinds)
    heads = (Head("mistake that it tells apart", wide=True), Head("marks", right=True))
    return Table("What costs marks", heads, rows, RULE)


def effort_table(marked: Marked) -> Table:
    """Return placements, time and hints against the good practice's."""
    free = math.ceil(FREE_PLACEMENTS * marked.good_placements)
    heads = (
        Head("effort"), Head("yours", right=True), Head("good practice", right=True),
        Head("free up to", right=True),
    )  # fmt: skip
    rows = (
        ("placements", f"{marked.placements}", f"{marked.good_placements}", f"{free}"),
        ("time", *(clock(s) for s in (marked.seconds, marked.good_seconds)),
         clock(FREE_TIME * marked.good_seconds)),
        ("hints", f"{marked.hints}", "0", "0"),
    )  # fmt: skip
    note = f"Each hint costs {HINT_COST}." if marked.hints else ""
    return Table("Effort", heads, rows, note)


def mistake_table(mistake: Mistake) -> Table:
    """Return one mistake: what was done, what it does to the furniture, a sound way."""
    rows = (
        ("what it is", mistake.kind.what),
        ("what you did", mistake.done),
        ("what it does to the furniture", mistake.effect.words),
        ("a sound way", mistake.sound),
        ("marks", f"−{mistake.kind.cost}"),
    )
    title = f"Mistake: {mistake.kind.title}"
    return Table(title, (Head("about it"), Head("in words", wide=True)), rows)


def _mistake(mistake: Mistake, width_px: float) -> Page:
    effect = mistake.effect
    if not (effect.lean_mm or effect.rock_mm or effect.gap_mm):
        return page(mistake_table(mistake))  # the table has its words
    return page(mistake_table(mistake), beside([effect_picture(effect, width_px)], []))


def worked_page(worked: Worked, asked: Sequence[Field] = ()) -> Page:
    """Show a sound way: its answer, why, its moves and the truth in figures."""
    answer = f"Its answer: {_answer(worked.answer, asked)}." if worked.answer else ""
    said = [line for line in (answer, *worked.sentences) if line]
    return page(
        sentences(said, "A sound way"),
        _folded(f"Moves of the sound way ({len(worked.done)})", log_table(worked.done, "")),
        tables_page(worked.tables),
    )


def _folded(summary: str, table: Table) -> Page:
    """Put a long table where a press opens it."""
    if not table.rows:
        return Page("")
    return Page(f"<details><summary>{html_text(summary)}</summary>{table.html}</details>")


def _answer(values: Mapping[str, Value], asked: Sequence[Field]) -> str:
    labels = {field.key: field.label for field in asked}
    units = {field.key: f" {field.unit}" for field in asked if field.unit}
    return "; ".join(
        f"{labels.get(key, key.replace('_', ' '))}: {_value(value)}{units.get(key, '')}"
        for key, value in values.items()
    )


def _value(value: Value) -> str:
    if isinstance(value, tuple):
        return ", ".join(f"{part:g}" for part in value) or "none"
    return value if isinstance(value, str) else f"{value:g}"


def log_table(done: Sequence[Done], title: str = "Moves so far") -> Table:
    """Return moves in their order: what was seen, what each took, and what all took by then.

    Parameters
    ----------
    done : sequence of Done
        From the first to the newest.
    title : str
        Over the table.
    """
    heads = (
        Head("move", right=True), Head("seen", wide=True), Head("took", "s"),
        Head("time so far", right=True), Head("placements so far", right=True),
    )  # fmt: skip
    return Table(title, heads, tuple(_log(done)))


def _log(done: Sequence[Done]) -> Iterator[tuple[str, ...]]:
    seconds, placements = 0.0, 0
    for number, one in enumerate(done, start=1):
        seconds += one.seen.seconds
        placements += one.seen.placement
        took = f"{one.seen.seconds:g}"
        yield f"{number}", one.seen.words, took, clock(seconds), f"{placements}"


def clock(seconds: float) -> str:
    """Return a time in minutes and seconds."""
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes} min {rest:02d} s" if minutes else f"{rest} s"


def tables_page(tables: Sequence[tuple[str, pd.DataFrame]]) -> Page:
    """Show tables with their headings, units in the heads of their columns.

    Parameters
    ----------
    tables : sequence of (str, DataFrame)
        Columns end in their unit, as ``reading_mm``.
    """
    return page(*(frame_table(title, frame) for title, frame in tables))


def frame_table(title: str, frame: pd.DataFrame) -> Table:
    """Return one table; figures of a column have as many decimals as any of them needs."""
    columns = [str(name) for name in frame.columns]
    decimals = {name: _decimals(frame.iloc[:, n].tolist()) for n, name in enumerate(columns)}
    heads = tuple(
        _head(name, bool(pd.api.types.is_numeric_dtype(frame.iloc[:, n])))
        for n, name in enumerate(columns)
    )
    rows = tuple(
        tuple(_cell(one[name], decimals[name]) for name in columns) for one in records(frame)
    )
    return Table(title, heads, rows)


def _head(column: str, figures: bool) -> Head:
    words, unit = head_and_unit(column)
    if unit:
        return Head(words, unit)
    return Head(words, right=figures, wide=not figures)


def _decimals(values: Sequence[object]) -> int:
    """Return how many decimals the figures of a column need, three at most."""
    texts = [
        f"{value:.{_DECIMALS}f}".rstrip("0")
        for value in values
        if isinstance(value, float) and math.isfinite(value)
    ]
    return max((len(text.partition(".")[2]) for text in texts), default=0)


def _cell(value: object, decimals: int) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{round(value, decimals) + 0.0:.{decimals}f}" if math.isfinite(value) else NOTHING
    if isinstance(value, tuple | list):
        return ", ".join(f"{part:g}" if isinstance(part, float) else f"{part}" for part in value)
    return NOTHING if value is None or value is pd.NA else str(value)
