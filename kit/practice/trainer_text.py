"""The trainer's table as plain text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import pandas as pd

from kit.practice.next_drill import RULE
from kit.practice.records import Records
from kit.practice.trainer import TrainersTable
from kit.practice.trainer_words import (
    MISTAKES,
    MISTAKES_NOTE,
    MISTAKES_TITLE,
    OWN_MISTAKES,
    OWN_MISTAKES_TITLE,
    WHO,
    WHO_NOTE,
    WHO_TITLE,
    minute,
    summary,
)

#: What stands where there is no figure.
_NOTHING = "–"


def trainers_lines(table: TrainersTable, records: Records) -> Iterator[str]:
    """Yield the lines of the trainer's table; what is not in it is told apart, as an error.

    Parameters
    ----------
    table : TrainersTable
        From `kit.practice.trainer.trainers_table`.
    records : Records
        What it was made of.
    """
    who = table.who.assign(last_try=[minute(when) for when in table.who["last_try"]])
    yield summary(len(records.attempts), len(records.apprentices), len(records.files))
    yield from ("", WHO_TITLE, *_columns(WHO, who), WHO_NOTE)
    yield from ("", MISTAKES_TITLE, *_columns(MISTAKES, table.class_mistakes), MISTAKES_NOTE)
    yield from ("", OWN_MISTAKES_TITLE, *_columns(OWN_MISTAKES, table.mistakes))
    yield from ("", RULE)
    for name, title, grade, why in table.next[["nickname", "title", "grade", "why"]].to_numpy():
        yield f"- {name}: {title}, {grade}: {why}"


def _texts(frame: pd.DataFrame) -> list[tuple[str, ...]]:
    rows = frame.astype(object).where(frame.notna(), _NOTHING).to_numpy()
    return [tuple(str(cell) for cell in row) for row in rows]


def _columns(heads: Mapping[str, str], frame: pd.DataFrame) -> Iterator[str]:
    """Yield some columns under their heads: words to the left, figures to the right."""
    rows = _texts(frame[list(heads)])
    if not rows:
        yield "  none"
        return
    cells = [tuple(heads.values()), *rows]
    wide = [max(len(row[place]) for row in cells) for place in range(len(heads))]
    figures = [all(_is_figure(row[place]) for row in rows) for place in range(len(heads))]
    for row in cells:
        parts = (
            text.rjust(width) if right else text.ljust(width)
            for text, width, right in zip(row, wide, figures, strict=True)
        )
        yield f"  {'  '.join(parts)}".rstrip()


def _is_figure(text: str) -> bool:
    return text == _NOTHING or text.replace(".", "", 1).isdigit()
