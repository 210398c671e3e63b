"""The boards of the plinth: they hang on the room's length and not on the doubt of the floor."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass

from kit.base.bill import Item
from kit.base.plinth_boards import cut_plinth
from kit.job import Refusal
from kit.parts import Answer


@dataclass(frozen=True)
class PlinthBoards:
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


def plinth_boards(answer: Answer) -> PlinthBoards:
    """Return the boards that the plinth of each run is cut from, as `cut_plinth` cuts it.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    boards: Counter[tuple[float, float]] = Counter()
    notes = []
    for run, depth in zip(answer.plinth["run"], answer.plinth["board_mm"], strict=True):
        if math.isnan(depth):
            notes.append(
                f"No board of plinth is deep enough for all of run {run}, or part of its"
                " line was not surveyed: none is on the list."
            )
            continue
        try:
            boards.update((float(depth), length) for length in _lengths(answer, str(run)))
        except Refusal as refusal:
            found = refusal.problems[0]
            notes.append(f"No plinth of run {run} is on the list: {found.found}; {found.allowed}.")
    items = (
        Item(f"plinth board, {depth:g} mm deep", length, boards[depth, length])
        for depth, length in sorted(boards)
    )
    return PlinthBoards(tuple(items), tuple(notes))


def _lengths(answer: Answer, run: str) -> list[float]:
    """Return the lengths of board that one run takes [mm]."""
    plinth = answer.base.plinth
    if plinth is None:  # then no run has a line of it
        return []
    sides = [placed.right_mm for placed in answer.layout.units if placed.run == run]
    pieces = cut_plinth(sides[-1], sides[:-1], plinth.stock_mm, f"plinth of run {run}")
    return [piece.stock_mm for piece in pieces]
