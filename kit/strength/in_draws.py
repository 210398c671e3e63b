"""How sure it is that a stack is idle: the floor is known no better than its readings allow.

A stack's top is off by the stack's error and by what the floor under it differs from its most
likely height. Both together decide what carries; so each random floor that fits the readings is
built on once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import ArrayLike

from kit.base.layout import Layout
from kit.job import refuse
from kit.strength.bearers import CASES, lie
from kit.strength.feet import TOUCHES_MM
from kit.strength.pieces import Apart, Pieces
from kit.strength.stiff import StiffUnit, stiff_units


def idle_shares(
    pieces: Pieces | Apart, error_mm: Mapping[str, float], deviation_mm: Mapping[str, ArrayLike]
) -> dict[str, float]:
    """Return in which share of random floors each stack is idle, the units full.

    Parameters
    ----------
    pieces : Pieces
        From `kit.strength.pieces.bearer_pieces`.
    error_mm : mapping of str to float
        How much too high each stack came out over the most likely floor [mm].
    deviation_mm : mapping of str to array_like of shape (floors,)
        How much higher than that the floor lies under each stack, floor by floor [mm]; the same
        floors for all stacks.

    Returns
    -------
    dict of str to float
        0 to 1 by the stack's name; a stack under a joint is idle where a piece is idle over it.

    Raises
    ------
    Refusal
        Where stacks have different numbers of floors, or none.
    """
    floors = {np.size(deviation) for deviation in deviation_mm.values()}
    if len(floors) != 1 or not min(floors):
        raise refuse("deviation_mm", f"{sorted(floors)} floors", "one number of floors for all")
    (count,) = floors
    idle = {name: np.zeros(count, dtype=bool) for name in error_mm}
    for piece in pieces.pieces:
        tops = np.column_stack(
            [error_mm[name] + np.asarray(deviation_mm[name]) for name in piece.supports]
        )
        carries = np.array([lie(piece, one, CASES["full"]).carries for one in tops])
        for place, name in enumerate(piece.supports):
            idle[name] |= ~carries[:, place]
    return {name: float(one.mean()) for name, one in idle.items()}


def stiff_idle_shares(
    layout: Layout, error_mm: Mapping[str, float], deviation_mm: Mapping[str, ArrayLike]
) -> dict[str, float]:
    """Return in which share of random floors each stack is idle under stiff units, no bearer.

    Parameters
    ----------
    layout : Layout
        Units and stacks.
    error_mm, deviation_mm : mappings of str
        As for `idle_shares`.

    Returns
    -------
    dict of str to float
        0 to 1 by the stack's name; it is idle where a unit hangs over it.
    """
    names = list(error_mm)
    tops = np.column_stack([error_mm[name] + np.asarray(deviation_mm[name]) for name in names])
    idle = dict.fromkeys(names, 0)
    for floor in tops.tolist():
        hung = _hung_over(stiff_units(layout, dict(zip(names, floor, strict=True))))
        for name in hung:
            idle[name] += 1
    return {name: count / len(tops) for name, count in idle.items()}


def _hung_over(units: Sequence[StiffUnit]) -> set[str]:
    return {
        prop.support
        for one in units
        for prop, gap in zip(one.props, one.rest.gaps_mm.tolist(), strict=True)
        if gap > TOUCHES_MM
    }
