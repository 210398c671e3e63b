"""In which order the supports of a base are set."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import groupby

from kit.answer import Answer
from kit.ink.table import records

#: Rows as they are set, by their labels: back, front, middle, further (common practice).
_ROWS = ("B", "F", "M", "D")

#: The rule as it stands on the sheet; common practice, no source.
ORDER_RULE = (
    "In the order of the work (common practice): first the support nearest the high point, then"
    " along the back row outwards from it, to the right end and to the left end; then the front"
    " row, middle rows and further rows in the same way."
)


@dataclass(frozen=True)
class Stand:
    """A support as the order of the work sees it.

    Parameters
    ----------
    name, run : str
        Its own name and its run's.
    row : tuple of (int, float)
        Rank of its row, and how far out that lies [mm].
    along_mm : float
        Its place along the run [mm].
    away_mm : float
        From the high point, in plan [mm].
    """

    name: str
    run: str
    row: tuple[int, float]
    along_mm: float
    away_mm: float


def work_order(answer: Answer) -> tuple[str, ...]:
    """Return the names of all supports in the order in which they are set.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.

    Returns
    -------
    tuple of str
        First the support nearest in plan to the high point; its run; then the other runs as the
        job names them, each from its own support nearest the high point.

    Notes
    -----
    Every further stack is levelled from the one before it, so that a row is followed to one end
    and then, from where it was begun, to the other (common practice, no source).
    """
    stands = _stands(answer)
    first = min(stands, key=lambda one: one.away_mm)
    runs = dict.fromkeys([first.run, *(run.name for run in answer.job.runs)])
    names = [first.name]
    for run in runs:
        names += _run_in_order([one for one in stands if one.run == run])
    return tuple(dict.fromkeys(names))


def nearest(answer: Answer) -> Stand:
    """Return the support nearest the high point."""
    return min(_stands(answer), key=lambda one: one.away_mm)


def _stands(answer: Answer) -> list[Stand]:
    high = answer.high_point
    return [
        Stand(
            str(one["support"]),
            str(one["run"]),
            (_ROWS.index(str(one["row"])), float(one["own_y_mm"])),
            float(one["own_x_mm"]),
            math.hypot(float(one["x_mm"]) - high.x_mm, float(one["y_mm"]) - high.y_mm),
        )
        for one in records(answer.supports)
    ]


def _run_in_order(of_run: list[Stand]) -> list[str]:
    """Return the names of one run's supports, row by row."""
    start_mm = min(of_run, key=lambda one: one.away_mm).along_mm
    names: list[str] = []
    for _, row in groupby(sorted(of_run, key=lambda one: (one.row, one.along_mm)), _row_of):
        names += _outwards(list(row), start_mm)
    return names


def _row_of(stand: Stand) -> tuple[int, float]:
    return stand.row


def _outwards(row: list[Stand], start_mm: float) -> list[str]:
    """Return one row from where it is begun to its right end, then to its left end."""
    away = [abs(one.along_mm - start_mm) for one in row]
    begun = away.index(min(away))
    return [one.name for one in (*row[begun:], *reversed(row[:begun]))]
