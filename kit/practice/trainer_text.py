"""The trainer's table as plain text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import pandas as pd

from kit.practice.next_drill import RULE
from kit.practice.records import Records
from kit.practice.trainer import TrainersTable

#: What stands where there is no figure.
_NOTHING = "–"

_NOTES = (
    "Marks and placements are of first tries on a floor; placements beside those of the good "
    "practice.",
    "Times: attempts in which the mistake was made, of those at drills that look for it.",
)


def trainers_lines(table: TrainersTable, records: Records) -> Iterator[str]:
    """Yield the lines of the trainer's table.

    Parameters
    ----------
    table : TrainersTable
        From `kit.practice.trainer.trainers_table`.
    records : Records
        What it was made of.
    """
    yield (
        f"{_count(len(records.attempts), 'attempt')} of "
        f"{_count(len(records.apprentices), 'apprentice')} "
        f"from {_count(len(records.files), 'file')}"
    )
    yield from ("", "Who did what", *_columns(_WHO_HEADS, _who_rows(table)), _NOTES[0])
    yield from ("", "Commonest mistakes of the class", *_columns(_HEADS, _rows(table)), _NOTES[1])
    heads = ("nickname", *_HEADS)
    yield from ("", "Mistakes of each apprentice", *_columns(heads, _own_rows(table)))
    yield from ("", RULE)
    for name, title, grade, why in table.next[["nickname", "title", "grade", "why"]].to_numpy():
        yield f"- {name}: {title}, {grade}: {why}"
    if table.refused:
        yield from ("", "Not in these tables, for want of a whole file:")
        yield from (f"- {problem}" for problem in table.refused)


_WHO_HEADS = (
    "nickname", "drill", "attempts", "floors", "worst grade", "best", "last", "placements", "good",
    "hints",
)  # fmt: skip
_HEADS = ("mistake", "times", "of")


def _who_rows(table: TrainersTable) -> list[tuple[str, ...]]:
    columns = ["nickname", "title", "attempts", "floors", "worst_grade", "best_marks",
               "last_marks", "placements", "good_placements", "hints"]  # fmt: skip
    return _texts(table.who[columns])


def _rows(table: TrainersTable) -> list[tuple[str, ...]]:
    return _texts(table.class_mistakes[["title", "times", "of_attempts"]])


def _own_rows(table: TrainersTable) -> list[tuple[str, ...]]:
    return _texts(table.mistakes[["nickname", "title", "times", "of_attempts"]])


def _texts(frame: pd.DataFrame) -> list[tuple[str, ...]]:
    rows = frame.astype(object).where(frame.notna(), _NOTHING).to_numpy()
    return [tuple(str(cell) for cell in row) for row in rows]


def _columns(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """Yield rows under their heads: words to the left, figures to the right."""
    if not rows:
        yield "  none"
        return
    cells = [heads, *rows]
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


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"
