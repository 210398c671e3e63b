"""Supports of a finished base before and after its changes, for a chart and for paper alike."""

from __future__ import annotations

import math

import pandas as pd

from kit.as_built import Checked

#: The doubt of a support is drawn as so many standard deviations either way.
DOUBTS = 2.0


def before_after(checked: Checked) -> pd.DataFrame:
    """Return the supports that were read, before and after the changes.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`.

    Returns
    -------
    DataFrame
        ``checked.supports`` with before_mm, after_mm and opened. Where there are changes to make,
        both are told against the level that the base then comes to, so that what is drawn within
        the tolerance afterwards is within it; else after_mm is nan.
    """
    supports, changes = checked.supports, checked.changes
    if changes.possible and changes.opened:
        table = changes.table.set_index("support").loc[supports["support"]]
        told = supports.assign(
            before_mm=table["off_before_mm"].to_numpy(dtype=float),
            after_mm=table["off_after_mm"].to_numpy(dtype=float),
            opened=table["opened"].to_numpy(dtype=bool),
        )
    else:
        told = supports.assign(before_mm=supports["off_mm"], after_mm=math.nan, opened=False)
    return told[told["off_mm"].notna()]


def greatest_mm(told: pd.DataFrame, tolerance_mm: float) -> float:
    """Return how far off, either way, anything is that has to be drawn [mm].

    Parameters
    ----------
    told : DataFrame
        From `before_after`.
    tolerance_mm : float
        Drawn too, with some room around it [mm].
    """
    doubtful = told["before_mm"].abs() + DOUBTS * told["sd_mm"]
    after = told["after_mm"].abs().max()
    return float(max(doubtful.max(), 0.0 if math.isnan(after) else after, 1.2 * tolerance_mm))
