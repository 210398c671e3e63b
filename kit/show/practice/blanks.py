"""Blanks on a printed sheet for what is asked: to be written on, or to be ticked."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from kit.ink.escape import html_text
from kit.practice.fields import Field

#: What is to be written on, and what is to be ticked.
GAP, TICK = '<span class="gap"></span>', "☐"

#: Fields of one look from which they stand in a table, and choices up to which they are ticked.
_TABLE_FROM, _TICKED_TO = 3, 4

#: Cells in a line of a grid.
_IN_LINE = 4


def blanks(asked: Sequence[Field]) -> str:
    """Return blanks for all fields; fields that look alike share a small table.

    Parameters
    ----------
    asked : sequence of Field
        Of a task.
    """
    parts = (_together(list(of_one)) for _, of_one in groupby(asked, _look))
    return f'<div class="blanks">{"".join(parts)}</div>'


def _look(field: Field) -> tuple[str, ...]:
    """Return what fields of one table have in common; numbers are written in a line anyway."""
    return field.kind, field.unit, *field.choices


def _together(alike: Sequence[Field]) -> str:
    first, few = alike[0], len(alike) < _TABLE_FROM
    if few or first.kind in ("number", "place"):
        return "".join(f"<p>{_one(field)}</p>" for field in alike)
    return f'<div class="whole">{_table(alike)}</div>'


def _table(alike: Sequence[Field]) -> str:
    first = alike[0]
    if first.kind == "packers":
        return _grid(alike)
    if len(first.choices) <= _TICKED_TO:
        return _ticks(alike)
    crossed = all(", " in field.label for field in alike)
    return _crossed(alike) if crossed else _grid(alike)


def _one(field: Field) -> str:
    unit = f" {html_text(field.unit)}" if field.unit else ""
    label = html_text(field.label)
    if field.kind == "place":
        return f"{label}: x {GAP} y {GAP}{unit}"
    if field.kind == "packers":
        return f"{label}: {GAP}{GAP}{unit}, from the floor up"
    if field.kind == "number" or len(field.choices) > _TICKED_TO:
        return f"{label}: {GAP}{unit}"
    ticked = " &ensp; ".join(
        f'<span class="one">{TICK}&nbsp;{html_text(one)}</span>' for one in field.choices
    )
    return f"{label}: {ticked}{unit}"


def _grid(alike: Sequence[Field]) -> str:
    """Return cells with their names in them, what the names begin with alike above them."""
    begin = _begin([field.label for field in alike])
    cells = [f'<td class="has">{html_text(field.label[len(begin) :])}</td>' for field in alike]
    cells += ['<td class="none"></td>'] * (-len(cells) % _IN_LINE)
    rows = ("".join(cells[n : n + _IN_LINE]) for n in range(0, len(cells), _IN_LINE))
    body = "".join(f"<tr>{row}</tr>" for row in rows)
    head = f"{begin.strip()} …{_bracketed(alike[0].unit)}"
    how = ", from the floor up" if alike[0].kind == "packers" else ""
    return f'<p>{html_text(head + how)}:</p><table class="grid">{body}</table>'


def _begin(labels: Sequence[str]) -> str:
    """Return the words that all labels begin with, up to the last space among them."""
    same = labels[0]
    while not all(label.startswith(same) for label in labels):
        same = same[:-1]
    return same[: same.rfind(" ") + 1]


def _ticks(alike: Sequence[Field]) -> str:
    heads = "".join(f'<th scope="col">{html_text(one)}</th>' for one in alike[0].choices)
    rows = "".join(
        f'<tr><th scope="row">{html_text(field.label)}</th>'
        f"{f'<td>{TICK}</td>' * len(field.choices)}</tr>"
        for field in alike
    )
    return f'<table class="grid ticks"><tr><td></td>{heads}</tr>{rows}</table>'


def _crossed(alike: Sequence[Field]) -> str:
    """Return a grid of fields named *this, that*: a column for each this, a row for each that."""
    columns: dict[str, list[str]] = {}
    for field in alike:
        one, other = field.label.split(", ", 1)
        columns.setdefault(one, []).append(other)
    longest_first = sorted(columns.values(), key=len, reverse=True)
    rows = "".join(
        f'<tr><th scope="row">{html_text(row + _bracketed(alike[0].unit))}</th>'
        f"{''.join(_CELL[row in column] for column in columns.values())}</tr>"
        for row in dict.fromkeys(row for column in longest_first for row in column)
    )
    heads = "".join(f'<th scope="col">{html_text(one)}</th>' for one in columns)
    return f'<table class="grid"><tr><td></td>{heads}</tr>{rows}</table>'


def _bracketed(unit: str) -> str:
    return f" [{unit}]" if unit else ""


#: A cell that is not asked for, and one that is.
_CELL = ('<td class="none"></td>', "<td></td>")
