"""The fewest screw feet to turn so that a finished base comes to one level, and by how much.

A turn is taken to move the top over its own foot and nothing else: read again afterwards.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from kit.base.checks import CLOSED_MM
from kit.base.runs import Floats

COLUMNS = [
    "support", "turned", "off_before_mm", "sd_mm", "turn_mm", "up_left_mm", "down_left_mm",
    "off_after_mm",
]  # fmt: skip


@dataclass(frozen=True, eq=False)
class Turns:
    """Which feet to turn, so that every one that was read comes within the tolerance.

    Parameters
    ----------
    table : DataFrame
        Each foot: support, turned, off_before_mm and off_after_mm (against ``level_mm``, positive =
        high; nan where it was not read), sd_mm (of the first; the same doubt stays), turn_mm
        (positive = up, 0 where it stays), up_left_mm and down_left_mm (travel left before the
        turn, as planned). Empty where the base stands on no feet.
    level_mm : float
        The level that they come to [mm]; nan where none is within their travel.
    tolerance_mm : float
        How far off a foot may be [mm].
    short : tuple of str
        Where none is: the foot that goes least far down and the one that goes least far up, or
        only one of them where the heights asked for stop it.
    lacking_mm : float
        Travel that is lacking there [mm]; 0 where the turns are possible.
    """

    table: pd.DataFrame
    level_mm: float
    tolerance_mm: float = 0.0
    short: tuple[str, ...] = ()
    lacking_mm: float = 0.0

    @property
    def possible(self) -> bool:
        """Whether turning feet brings all that were read in, or none has to be turned."""
        return math.isfinite(self.level_mm)

    @property
    def turned(self) -> pd.DataFrame:
        """Those rows of ``table`` whose foot is turned."""
        return self.table[self.table["turned"].astype(bool)]

    @property
    def level_was_left(self) -> bool:
        """Whether feet are turned although all tops lie within the tolerance of one level."""
        off = self.table["off_before_mm"].dropna()
        flat = bool(np.ptp(off) <= 2 * self.tolerance_mm + CLOSED_MM)
        return flat and not self.turned.empty

    @property
    def greatest_after_mm(self) -> float:
        """Greatest error left, either way [mm]; nan where nothing is told of it."""
        return float(self.table["off_after_mm"].abs().max())


#: Of a base that stands on no feet.
NO_TURNS = Turns(pd.DataFrame(columns=COLUMNS), math.nan)


@dataclass(frozen=True, eq=False)
class FeetTask:
    """Feet that stand, and how far they may be turned.

    Parameters
    ----------
    names : tuple of str
    top_mm : (n,) array
        Height of the top at each, the planned lift taken off [mm].
    up_mm, down_mm : (n,) array
        How far each may be turned up and down, 0 or more [mm].
    tolerance_mm : float
        How far off the level a foot may be, closed [mm].
    low_mm, high_mm : float
        Between which the level may lie, both ends included [mm].
    """

    names: tuple[str, ...]
    top_mm: Floats
    up_mm: Floats
    down_mm: Floats
    tolerance_mm: float
    low_mm: float = -math.inf
    high_mm: float = math.inf

    @property
    def least_mm(self) -> float:
        """No foot has to go further down for this level or a higher one than it can [mm]."""
        return max(self.low_mm, float((self.top_mm - self.down_mm).max()) - self.tolerance_mm)

    @property
    def most_mm(self) -> float:
        """No foot has to go further up for this level or a lower one than it can [mm]."""
        return min(self.high_mm, float((self.top_mm + self.up_mm).min()) + self.tolerance_mm)


def fewest_turns(task: FeetTask) -> float:
    """Return the level for which the fewest feet are turned [mm]; nan where none is in reach.

    Of as few feet the least greatest error that is left, then the least sum of turns, then the
    lowest level.

    Notes
    -----
    Foot i stays for the levels [t_i - T, t_i + T], and every foot is in reach of those from the
    greatest t_i - down_i - T to the least t_i + up_i + T. Most feet stay from where one of the
    former begins, or the latter does, to the first end of any.
    """
    if task.least_mm > task.most_mm + CLOSED_MM:
        return math.nan
    starts = np.unique(np.append(task.top_mm - task.tolerance_mm, task.least_mm))
    inside = (starts >= task.least_mm) & (starts <= task.most_mm)
    starts = starts[inside] if inside.any() else np.array([task.most_mm])
    stays = np.abs(task.top_mm - starts[:, None]) <= task.tolerance_mm + CLOSED_MM
    most = stays.sum(axis=1) == stays.sum(axis=1).max()
    found = [
        _best_from(task, float(start), stay)
        for start, stay in zip(starts[most], stays[most], strict=True)
    ]
    least = min(error for error, _, _ in found) + CLOSED_MM
    total = min(turned for error, turned, _ in found if error <= least) + CLOSED_MM
    return min(level for error, turned, level in found if error <= least and turned <= total)


def _best_from(
    task: FeetTask, start_mm: float, stay: NDArray[np.bool_]
) -> tuple[float, float, float]:
    """Return the greatest error, the sum of turns and the level of the best from a start on."""
    turn = ~stay
    end = min(task.most_mm, float(task.top_mm[stay].min(initial=math.inf)) + task.tolerance_mm)
    end = max(start_mm, end)  # round-off
    lowest = min(
        float(task.top_mm[stay].min(initial=math.inf)),
        float((task.top_mm + task.up_mm)[turn].min(initial=math.inf)),
    )
    highest = max(
        float(task.top_mm[stay].max(initial=-math.inf)),
        float((task.top_mm - task.down_mm)[turn].max(initial=-math.inf)),
    )
    first, last = max(start_mm, highest), min(end, lowest)
    if first < last:  # all are turned, and fully: the sum of turns is least at the median
        middle = float(np.sort(task.top_mm)[(len(task.top_mm) - 1) // 2])
        level = min(max(middle, first), last)
    else:
        level = min(max((lowest + highest) / 2, start_mm), end)
    turns = turns_to(task, level)
    error = float(np.abs(task.top_mm + turns - level).max())
    return error, float(np.abs(turns).sum()), level


def turns_to(task: FeetTask, level_mm: float) -> Floats:
    """Return by how much each foot is turned for a level, positive = up, (n,) [mm].

    One within the tolerance stays; the others are set to the level, or as near as they go.
    """
    off = level_mm - task.top_mm
    turned = np.clip(off, -task.down_mm, task.up_mm)
    return np.where(np.abs(off) <= task.tolerance_mm + CLOSED_MM, 0.0, turned)


def plan_turns(
    supports: pd.DataFrame,
    feet: pd.DataFrame,
    tolerance_mm: float,
    window_mm: tuple[float, float] = (-math.inf, math.inf),
) -> Turns:
    """Find the fewest feet to turn.

    Parameters
    ----------
    supports : DataFrame
        support, top_mm (the planned lift taken off; nan where it was not read), sd_mm.
    feet : DataFrame
        support, up_left_mm, down_left_mm, as planned (`kit.methods.feet`).
    tolerance_mm : float
        How far off a foot may be, closed [mm].
    window_mm : tuple of float
        Between which the level may lie; of use only where tops are in the frame of the job.
    """
    of_foot = feet.set_index("support")[["up_left_mm", "down_left_mm"]]
    left = of_foot.loc[supports["support"]].to_numpy(dtype=float)
    top = supports["top_mm"].to_numpy(dtype=float)
    read = np.flatnonzero(np.isfinite(top))
    names = tuple(str(name) for name in supports["support"].iloc[read])
    # A plan may hold a foot at the end of its travel by a hair beyond it.
    up, down = np.maximum(left[read].T, 0.0)
    task = FeetTask(names, top[read], up, down, tolerance_mm, *window_mm)
    level, turn = fewest_turns(task), np.zeros(len(top))
    if math.isnan(level):
        middle = (float(task.top_mm.min()) + float(task.top_mm.max())) / 2
        table = _table(supports, left, turn, middle)
        return Turns(table, level, tolerance_mm, tuple(_short(task)), task.least_mm - task.most_mm)
    turn[read] = turns_to(task, level)
    return Turns(_table(supports, left, turn, level), level, tolerance_mm)


def _table(
    supports: pd.DataFrame, left_mm: Floats, turn_mm: Floats, level_mm: float
) -> pd.DataFrame:
    top = supports["top_mm"].to_numpy(dtype=float)
    columns = (
        supports["support"].astype(str), turn_mm != 0, top - level_mm, supports["sd_mm"], turn_mm,
        *left_mm.T, top + turn_mm - level_mm,
    )  # fmt: skip
    return pd.DataFrame(dict(zip(COLUMNS, columns, strict=True))).reset_index(drop=True)


def _short(task: FeetTask) -> Iterator[str]:
    """Yield which feet stop the highest level, or the lowest, that would be wanted."""
    if task.least_mm > task.low_mm:
        yield task.names[int((task.top_mm - task.down_mm).argmax())]
    if task.most_mm < task.high_mm:
        yield task.names[int((task.top_mm + task.up_mm).argmin())]


def turn_sentences(turns: Turns) -> Iterator[str]:
    """Yield what to turn, in mm."""
    if not turns.possible:
        yield (
            f"No turning of feet brings every support in: {_lack(turns.short)}"
            f" {turns.lacking_mm:.1f} mm of the travel that was planned to be left. Pack or change"
            " a foot there, then read again."
        )
        return
    turned = turns.turned
    if turned.empty:
        yield "No foot has to be turned, going by the readings as they are."
        return
    yield (
        f"Turn {'1 foot' if len(turned) == 1 else f'{len(turned)} feet'}, the fewest that do; then"
        f" every support read lies within {turns.greatest_after_mm:.2f} mm of one level."
    )
    if turns.level_was_left:
        yield (
            "All supports read lie within the tolerance of one level as they are: these feet are"
            " turned because that level is not among the heights asked for (base.height_mm)."
        )
    for row in turned.to_dict("records"):
        way = "up" if row["turn_mm"] > 0 else "down"
        by, left = abs(row["turn_mm"]), row[f"{way}_left_mm"]
        yield (
            f"{row['support']}: turn {way} by {by:.1f} mm; as planned {left - by:.1f} mm of travel"
            f" {way} is left then: look at the foot."
        )


def _lack(short: tuple[str, ...]) -> str:
    if len(short) == 1:
        return f"for the heights asked for {short[0]} lacks"
    return f"{' and '.join(short)} lack"
