"""How the units stand: on the bearers as they lie, and once the floor has gone down under them."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from kit.base.layout import Layout
from kit.strength.bearers import PieceAtRest, tops_under
from kit.strength.feet import feet_of, hanging, outer_rows
from kit.strength.furniture import Consequence, consequence
from kit.strength.joists import JoistWork, NoJoists


@dataclass(frozen=True)
class UnitStand:
    """How one unit stands.

    Parameters
    ----------
    consequence : Consequence
        How it leans and winds by the errors of the stacks.
    settled : Consequence
        The same with the front lift, and with what the joists give at once under all units full;
        nan where that is not known. The lift is in its heights: it adds none beyond them.
    hangs : tuple of (bearer, gap)
        Bearers under it that it does not touch, by the errors of the stacks alone [mm].
    """

    consequence: Consequence
    settled: Consequence
    hangs: tuple[tuple[str, float], ...]


def stand_units(
    layout: Layout,
    laid: Sequence[PieceAtRest],
    joists: JoistWork | NoJoists,
    supports: pd.DataFrame,
    lift_mm: float,
    error_mm: Mapping[str, float],
) -> tuple[UnitStand, ...]:
    """Stand all units on their bearers, full.

    Parameters
    ----------
    layout : Layout
        Units and rows.
    laid : sequence of PieceAtRest
        The bearers as they lie.
    joists : JoistWork or NoJoists
        What the stacks settle by.
    supports : DataFrame
        support, bearer, own_x_mm.
    lift_mm : float
        How much the front row is set high [mm].
    error_mm : mapping of str to float
        Of each stack [mm]; a bearer on one stack lies as high as that.

    Returns
    -------
    tuple of UnitStand
        In the order of the layout's units.

    Notes
    -----
    A bearer settles between two stacks in proportion to the places of both, and beyond the last
    one as much as that. What it sags between them is in how it lies already, and what its
    settled stacks then take over from each other is left out.
    """
    bearers = zip(supports["bearer"], supports["support"], strict=True)
    alone = {str(bearer): error_mm[str(name)] for bearer, name in bearers}
    return stand_on(layout, _tops(layout, laid, alone), joists, supports, lift_mm)


def stand_on(
    layout: Layout,
    top_mm: Callable[[str, float], float],
    joists: JoistWork | NoJoists,
    supports: pd.DataFrame,
    lift_mm: float,
) -> tuple[UnitStand, ...]:
    """Stand all units on what has tops of known heights.

    Parameters
    ----------
    layout, joists, supports, lift_mm : Layout, JoistWork or NoJoists, DataFrame, float
        As for `stand_units`.
    top_mm : callable
        Takes the name of a row's bearer and a side's place along the run [mm], gives how much
        too high its top is there [mm].

    Returns
    -------
    tuple of UnitStand
        In the order of the layout's units.
    """
    columns = [supports[name].tolist() for name in ("bearer", "support", "own_x_mm")]
    stacks = [(str(b), str(name), float(x)) for b, name, x in zip(*columns, strict=True)]
    settled_mm = _settled_tops(layout, joists, stacks, lift_mm, top_mm)
    found = []
    for placed in layout.units:
        back, front = outer_rows(placed, layout.rows)
        lifted = lift_mm * (layout.lift_share(front) - layout.lift_share(back))
        now = consequence(placed, feet_of(placed, layout.rows, top_mm), lifted)
        settled = consequence(placed, feet_of(placed, layout.rows, settled_mm))
        found.append(UnitStand(now, settled, hanging(placed, layout.rows, top_mm)))
    return tuple(found)


def _tops(
    layout: Layout, laid: Sequence[PieceAtRest], alone: Mapping[str, float]
) -> Callable[[str, float], float]:
    """Return how high bearers lie under the sides, as a function of bearer and place [mm]."""
    tops = {
        row.name: tops_under(laid, row.name, [panel.x_mm for _, panel in row.panels])
        for row in layout.rows
    }

    def top_mm(bearer: str, place: float) -> float:
        return tops[bearer][place] if tops[bearer] else alone[bearer]

    return top_mm


def _settled_tops(
    layout: Layout,
    joists: JoistWork | NoJoists,
    stacks: Sequence[tuple[str, str, float]],
    lift_mm: float,
    top_mm: Callable[[str, float], float],
) -> Callable[[str, float], float]:
    """Return how high bearers lie with lift and settlement, by bearer and place [mm]."""
    lifts = {row.name: lift_mm * layout.lift_share(row) for row in layout.rows}
    down: dict[str, list[tuple[float, float]]] = {row.name: [] for row in layout.rows}
    for bearer, name, x in stacks:
        sag = math.nan if isinstance(joists, NoJoists) else joists.stacks[name].inst_mm
        down[bearer].append((x, sag))
    for of_bearer in down.values():
        of_bearer.sort(key=lambda one: one[0])

    def settled_mm(bearer: str, place: float) -> float:
        return top_mm(bearer, place) + lifts[bearer] - settled_at(down[bearer], place)

    return settled_mm


def settled_at(stacks: Sequence[tuple[float, float]], place_mm: float) -> float:
    """Return how far a bearer goes down at a place, from what its stacks settle.

    Parameters
    ----------
    stacks : sequence of (place, settlement)
        From left to right, one or more [mm]; a settlement may be nan.
    place_mm : float
        Along the run [mm].

    Returns
    -------
    float
        In proportion between two stacks; beyond the last one as much as that; nan only where it
        hangs on a stack of which it is not known [mm].

    Examples
    --------
    >>> settled_at([(100.0, 2.0), (300.0, 3.0)], 150.0), settled_at([(100.0, 2.0)], 700.0)
    (2.25, 2.0)
    """
    after = bisect_left(stacks, place_mm, key=lambda one: one[0])
    if after == len(stacks):
        return stacks[-1][1]
    place, settled = stacks[after]
    if after == 0 or place == place_mm:
        return settled
    before, other = stacks[after - 1]
    return other + (settled - other) * (place_mm - before) / (place - before)
