"""The boards of the plinth: they hang on the room's length and not on the doubt of the floor."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass

import pandas as pd

from kit.base.bill import Item
from kit.base.layout import Layout
from kit.base.plinth_boards import cut_plinth
from kit.job import Plinth, Refusal


@dataclass(frozen=True)
class PlinthItems:
    """Boards for the plinth.

    Parameters
    ----------
    items : tuple of Item
        By depth, which is in the name, and length [mm].
    notes : tuple of str
        For which run there is none, and why.
    """

    items: tuple[Item, ...] = ()
    notes: tuple[str, ...] = ()


def plinth_items(plinth: Plinth | None, layout: Layout, lines: pd.DataFrame) -> PlinthItems:
    """Return the boards that the plinth of each run is cut from, as `cut_plinth` cuts it.

    Parameters
    ----------
    plinth : Plinth or None
        Of the base.
    layout : Layout
        Units in plan.
    lines : DataFrame
        From `kit.base.plinth.plinth_lines`: run, board_mm.
    """
    if plinth is None:
        return PlinthItems()
    boards: Counter[tuple[float, float]] = Counter()
    notes = []
    for run, depth in zip(lines["run"], lines["board_mm"], strict=True):
        if math.isnan(depth):
            notes.append(
                f"No board of plinth is deep enough for all of run {run}, or part of its"
                " line was not surveyed: none is on the list."
            )
            continue
        sides = [placed.right_mm for placed in layout.units if placed.run == run]
        try:
            pieces = cut_plinth(sides[-1], sides[:-1], plinth.stock_mm, f"plinth of run {run}")
        except Refusal as refusal:
            found = refusal.problems[0]
            notes.append(f"No plinth of run {run} is on the list: {found.found}; {found.allowed}.")
        else:
            boards.update((float(depth), piece.stock_mm) for piece in pieces)
    items = (
        Item(f"plinth board, {depth:g} mm deep", length, boards[depth, length])
        for depth, length in sorted(boards)
    )
    return PlinthItems(tuple(items), tuple(notes))
