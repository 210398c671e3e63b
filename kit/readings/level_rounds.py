"""Spirit-level readings against each other: lines read twice, and rounds that must close."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np
import pandas as pd

from kit.readings.closure import (
    Misclosure,
    range_quantile,
    round_words,
    told,
)
from kit.readings.cycles import cycle_basis
from kit.readings.doubt import TWO_SIDED_95
from kit.readings.equations import Floats, Whole
from kit.readings.least_squares import UNCHECKED, Solution
from kit.readings.remark import Remark

#: What lines are called of which there are several readings.
TWICE = "lines that the level read more than once"


@dataclass(frozen=True, eq=False)
class Lines:
    """Lines between two points, each the mean of its readings.

    Parameters
    ----------
    points : list of str
        Names.
    start, end : (lines,) arrays of int
        Which points; start before end.
    rise_mm, variance_mm2 : (lines,) arrays
        Height of the end above the start, and the variance of that.
    spread_mm, count : (lines,) arrays
        Range of the line's readings, and how many there are.
    reading_sd_mm : (lines,) array
        Standard deviation of one of them, in the quadratic mean.
    """

    points: list[str]
    start: Whole
    end: Whole
    rise_mm: Floats
    variance_mm2: Floats
    spread_mm: Floats
    count: Whole
    reading_sd_mm: Floats


def level_remarks(rows: pd.DataFrame, solution: Solution) -> tuple[Remark, ...]:
    """Return sentences on how well spirit-level readings agree.

    Parameters
    ----------
    rows : DataFrame
        ``Readings.rows``.
    solution : Solution
        The adjustment: a level's own error that it found, or that is known, is taken off first.

    Returns
    -------
    tuple of Remark
        Empty where no line is read twice and none closes a round. "Expected within" as for
        set-ups.
    """
    here = np.flatnonzero((rows["kind"] == "level").to_numpy())
    if not len(here):
        return ()
    lines = _lines(rows.iloc[here], _without_own_error(solution)[here])
    # Two readings that only tell the own error agree once it is taken off, whatever they are.
    checked = here[solution.redundancy_numbers[here] > UNCHECKED]
    twice = told(list(_twice(lines, _ends(rows.iloc[checked]))), TWICE)
    return (*twice, *told(list(_rounds(lines)), "rounds of the level"))


def _without_own_error(solution: Solution) -> Floats:
    """Return what each row says of the heights alone: its own error is taken off."""
    model = solution.model
    errors = model.columns("own error")
    found = model.design[:, errors] @ solution.values[errors]
    return np.asarray(model.observed_mm - found)


def _lines(rows: pd.DataFrame, rise_mm: Floats) -> Lines:
    numbers, names = pd.factorize(rows[["start", "point"]].to_numpy().ravel())
    ends = numbers.reshape(-1, 2).astype(np.int64)
    upward = np.where(ends[:, 0] < ends[:, 1], 1.0, -1.0)
    key, line = np.unique(np.sort(ends, axis=1), axis=0, return_inverse=True)
    sd = rows["sd_mm"].to_numpy(dtype=float)
    table = pd.DataFrame({"line": line.ravel(), "rise": upward * rise_mm, "weight": sd**-2.0})
    table = table.assign(weighted=table["rise"] * table["weight"], square=sd**2)
    groups = table.groupby("line")
    weight = groups["weight"].sum().to_numpy()
    rise = groups["rise"]
    return Lines(
        [str(name) for name in names],
        key[:, 0],
        key[:, 1],
        groups["weighted"].sum().to_numpy() / weight,
        1 / weight,
        (rise.max() - rise.min()).to_numpy(),
        rise.count().to_numpy().astype(np.int64),
        np.sqrt(groups["square"].mean().to_numpy()),
    )


def _ends(rows: pd.DataFrame) -> set[frozenset[str]]:
    return {frozenset(pair) for pair in rows[["start", "point"]].to_numpy().tolist()}


def _twice(lines: Lines, checked: set[frozenset[str]]) -> Iterator[Misclosure]:
    for i in np.flatnonzero(lines.count > 1).tolist():
        count, sd = int(lines.count[i]), float(lines.reading_sd_mm[i])
        one, other = lines.points[lines.start[i]], lines.points[lines.end[i]]
        if frozenset((one, other)) not in checked:
            continue
        words = f"{one} to {other}, read {count} times: spread"
        expected = range_quantile(0.95, count) * sd
        yield Misclosure(partial(str, words), float(lines.spread_mm[i]), expected)


def _rounds(lines: Lines) -> Iterator[Misclosure]:
    """Yield each of the short rounds that all others are made of."""
    ends = list(zip(lines.start.tolist(), lines.end.tolist(), strict=True))
    for cycle in cycle_basis(len(lines.points), ends):
        edges = np.array(cycle.edges, dtype=np.int64)
        forward = lines.start[edges] == np.array(cycle.nodes)
        sum_mm = float(np.where(forward, 1.0, -1.0) @ lines.rise_mm[edges])
        names = [lines.points[i] for i in (*cycle.nodes, cycle.nodes[0])]
        yield Misclosure(
            partial(round_words, names),
            abs(sum_mm),
            TWO_SIDED_95 * float(np.sqrt(lines.variance_mm2[edges].sum())),
        )
