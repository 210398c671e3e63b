"""Supports of a finished base before and after its changes, for a chart and for paper alike."""

from __future__ import annotations

import math
from dataclasses import dataclass

import pandas as pd

from kit.as_built import Checked
from kit.as_built.judged import CONTRADICT

#: The doubt of a support is drawn as so many standard deviations either way.
DOUBTS = 2.0


@dataclass(frozen=True, eq=False)
class ToChange:
    """What is to be changed, whatever it is.

    Parameters
    ----------
    table : DataFrame
        Each support: support, changed, off_before_mm, off_after_mm; empty where nothing is to be
        changed, or nothing helps.
    level_mm : float
        The level that the base then comes to [mm].
    word : str
        What is done to a support that is changed.
    """

    table: pd.DataFrame
    level_mm: float = math.nan
    word: str = ""

    @property
    def names(self) -> tuple[str, ...]:
        """Supports that are changed, in their order."""
        if self.table.empty:
            return ()
        return tuple(map(str, self.table["support"][self.table["changed"].astype(bool)]))


def to_change(checked: Checked) -> ToChange:
    """Return which stacks to open, or which feet to turn.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`.
    """
    changes, turns = checked.changes, checked.changes.turns
    if changes.possible and changes.opened:
        table = changes.table.rename(columns={"opened": "changed"})
        return ToChange(table, changes.level_mm, "opened")
    if turns.possible and len(turns.turned):
        table = turns.table.rename(columns={"turned": "changed"})
        return ToChange(table, turns.level_mm, "turned")
    return ToChange(pd.DataFrame())


def before_after(checked: Checked) -> pd.DataFrame:
    """Return the supports that were read, before and after the changes.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`.

    Returns
    -------
    DataFrame
        ``checked.supports`` with before_mm, after_mm, changed and word (what is done). Where there
        are changes to make, both are told against the level that the base then comes to, so that
        what is drawn within the tolerance afterwards is within it; else after_mm is nan.
    """
    told = _told(checked)
    return told[told["off_mm"].notna()]


def drawn(checked: Checked) -> pd.DataFrame:
    """Return `before_after` with those supports whose readings contradict one another as well.

    Of these, in the column crossed, before_mm and after_mm are nan: nobody knows how high they
    stand; they are drawn on the level, crossed out.
    """
    told = _told(checked)
    crossed = told["verdict"] == CONTRADICT
    return told.assign(crossed=crossed)[told["off_mm"].notna() | crossed]


def _told(checked: Checked) -> pd.DataFrame:
    """Return all supports as `before_after` tells them."""
    supports, change = checked.supports, to_change(checked)
    if change.names:
        table = change.table.set_index("support").loc[supports["support"]]
        return supports.assign(
            before_mm=table["off_before_mm"].to_numpy(dtype=float),
            after_mm=table["off_after_mm"].to_numpy(dtype=float),
            changed=table["changed"].to_numpy(dtype=bool),
            word=change.word,
        )
    return supports.assign(before_mm=supports["off_mm"], after_mm=math.nan, changed=False, word="")


def greatest_mm(told: pd.DataFrame, tolerance_mm: float) -> float:
    """Return how far off, either way, anything is that has to be drawn [mm].

    Parameters
    ----------
    told : DataFrame
        From `before_after` or `drawn`.
    tolerance_mm : float
        Drawn too, with some room around it [mm].
    """
    doubtful = told["before_mm"].abs() + DOUBTS * told["sd_mm"]
    after = told["after_mm"].abs().max()
    return float(max(doubtful.max(), 0.0 if math.isnan(after) else after, 1.2 * tolerance_mm))
