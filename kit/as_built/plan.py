"""The list to carry when the finished base is read."""

from __future__ import annotations

import math

import pandas as pd

from kit.base.plan_file import in_inches
from kit.parts import Answer
from kit.results import csv_text

COLUMNS = ["setup", "point", "x_mm", "y_mm", "reading_mm"]

#: Decimals of places in the file [mm]; what is behind them comes of turning runs round.
_DECIMALS = 6


def as_built_plan(answer: Answer, *, twice: bool = False) -> pd.DataFrame:
    """Return where to read a finished base, in the order of walking.

    Parameters
    ----------
    answer : Answer
        The base as planned.
    twice : bool
        Whether all of it is read again from a second set-up: a slip shows only in what is read
        twice, and the doubt of each height becomes less.

    Returns
    -------
    DataFrame
        setup, point, x_mm, y_mm, reading_mm (empty): the benchmark where the job names one, every
        support, row by row, every second row walked back; the first support again at the end, to
        show whether the instrument has moved. Filled in, it is a survey of kind ``staff``.
    """
    rows = _walk(answer)
    setups = ["T1", "T2"] if twice else ["T1"]
    parts = [rows.assign(setup=setup) for setup in setups]
    return pd.concat(parts, ignore_index=True).assign(reading_mm=math.nan)[COLUMNS]


def as_built_plan_csv(answer: Answer, *, twice: bool = False) -> str:
    """Return `as_built_plan` as the text of a file that only lacks its readings.

    In a job in inches its lengths are in inches, and their titles say so.
    """
    plan = as_built_plan(answer, twice=twice)
    return csv_text(in_inches(plan) if answer.job.units == "in" else plan.round(_DECIMALS))


def _walk(answer: Answer) -> pd.DataFrame:
    supports = answer.supports.rename(columns={"support": "point"})
    lines = [supports[supports["bearer"] == row.name] for row in answer.layout.rows]
    walked = [line if i % 2 == 0 else line.iloc[::-1] for i, line in enumerate(lines)]
    order = pd.concat(walked, ignore_index=True)[["point", "x_mm", "y_mm"]]
    floor = answer.heights.points
    mark = floor[floor["point"] == answer.job.floor.benchmark][["point", "x_mm", "y_mm"]]
    parts = [part for part in (mark, order, order.iloc[:1]) if len(part)]
    return pd.concat(parts, ignore_index=True)
