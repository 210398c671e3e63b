"""The plinth: how high it must be along each run, and the board that covers it."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd

from kit.base.layout import Layout
from kit.base.runs import Floats
from kit.job import Base, Plinth

#: Distance of the places at which the plinth is measured [mm].
PLINTH_STEP_MM = 100.0


def plinth_places(base: Base, layout: Layout) -> pd.DataFrame:
    """Return places along each run's plinth face: run, x_mm, y_mm; none without a plinth."""
    parts = [pd.DataFrame({"run": [], "x_mm": [], "y_mm": []})]
    for run, frame in layout.frames.items() if base.plinth else ():
        own_x = plinth_steps_mm([one for one in layout.units if one.run == run][-1].right_mm)
        x, site_y = frame.to_site(own_x, np.full_like(own_x, plinth_y_mm(base, layout, run)))
        parts.append(pd.DataFrame({"run": run, "x_mm": x, "y_mm": site_y}))
    return pd.concat(parts[1:] or parts, ignore_index=True)


def plinth_steps_mm(length_mm: float) -> Floats:
    """Return even steps along a run of at most `PLINTH_STEP_MM`, both ends included [mm]."""
    return np.linspace(0.0, length_mm, math.ceil(length_mm / PLINTH_STEP_MM) + 1)


def plinth_y_mm(base: Base, layout: Layout, run: str) -> float:
    """Return how far out the plinth's face stands, in its run's own frame [mm]."""
    depths = (placed.unit.depth_mm for placed in layout.units if placed.run == run)
    return min(depths) - _set_back_mm(base.plinth)


def _set_back_mm(plinth: Plinth | None) -> float:
    return plinth.set_back_mm if plinth else 0.0


def plinth_lines(
    base: Base, places: pd.DataFrame, base_top_mm: float, finish_mm: float
) -> pd.DataFrame:
    """Find how high the plinth of each run must be, and the board that covers it.

    Parameters
    ----------
    base : Base
        With or without a plinth.
    places : DataFrame
        From `plinth_places`, with floor_mm, nan where the floor was not surveyed.
    base_top_mm : float
        Top of the base [mm].
    finish_mm : float
        Floor finish still to come in front of the base [mm].

    Returns
    -------
    DataFrame
        run, least_mm, greatest_mm (from the finished floor to the base top; empty where part of
        the line was not surveyed), board_mm (empty where no board is wide enough).
    """
    rows = []
    for run, of_run in places.groupby("run", sort=False):
        rises = (base_top_mm - of_run["floor_mm"] - finish_mm).to_numpy()
        greatest = float(rises.max())
        boards = sorted(base.plinth.board_mm) if base.plinth else []
        board = next((board for board in boards if board >= greatest), math.nan)
        rows.append((run, float(rises.min()), greatest, board))
    return pd.DataFrame(rows, columns=["run", "least_mm", "greatest_mm", "board_mm"])
