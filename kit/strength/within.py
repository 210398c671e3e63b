"""The worst that a unit does on feet that are set by hand, each within so much of its height."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise, product

from kit.base.layout import Layout
from kit.base.runs import PlacedUnit
from kit.strength.feet import Feet, feet_of
from kit.strength.furniture import Consequence, Gap, Together, consequence, gaps
from kit.strength.unit_work import UnitStand


def together_within(layout: Layout, stand: Sequence[UnitStand], within_mm: float) -> Together:
    """Return the worst that all units do on feet that are each off by so much either way.

    Parameters
    ----------
    layout : Layout
        Units and rows.
    stand : sequence of UnitStand
        How they stand on feet that are not off; what a front lift adds is taken over.
    within_mm : float
        How far each foot may be off [mm].

    Returns
    -------
    Together
        Magnitudes; each gap as narrow as it can come.
    """
    found = [
        replace(
            worst_within(
                placed, feet_of(placed, layout.rows, lambda _bearer, _place: 0.0), within_mm
            ),
            lifted_lean_mm=one.consequence.lifted_lean_mm,
        )
        for placed, one in zip(layout.units, stand, strict=True)
    ]
    return Together(tuple(found), _gaps_within(layout.units, found))


def worst_within(placed: PlacedUnit, feet: Feet, within_mm: float) -> Consequence:
    """Return the worst that a unit does on four feet that are each off by so much either way.

    Parameters
    ----------
    placed : PlacedUnit
        The unit at its place.
    feet : Feet
        Where its feet are; their heights count as the middle.
    within_mm : float
        How far each may be off [mm].

    Returns
    -------
    Consequence
        The greatest magnitude of each figure; all are greatest at some corner of the four ranges,
        for each is linear, or the magnitude of what is linear, in the four heights.
    """
    cases = [
        consequence(
            placed,
            replace(
                feet,
                back_left_mm=feet.back_left_mm + a,
                back_right_mm=feet.back_right_mm + b,
                front_left_mm=feet.front_left_mm + c,
                front_right_mm=feet.front_right_mm + d,
            ),
        )
        for a, b, c, d in product((-within_mm, within_mm), repeat=4)
    ]
    first = cases[0]
    return Consequence(
        first.run,
        first.unit,
        max(abs(one.lean_along_mm) for one in cases),
        max(abs(one.lean_out_mm) for one in cases),
        max(abs(one.wind_mm) for one in cases),
        max(one.door_taper_mm for one in cases),
        0.0,
    )


def _gaps_within(units: Sequence[PlacedUnit], found: Sequence[Consequence]) -> tuple[Gap, ...]:
    """Return each gap as narrow as it can come: both neighbours lean towards each other."""
    towards = [replace(one, lean_along_mm=-one.lean_along_mm) for one in found]
    closing: list[Gap] = []
    for (left, one, _), (right, _, other) in pairwise(zip(units, found, towards, strict=True)):
        if left.run == right.run:
            closing += gaps([left, right], [one, other])
    return tuple(closing)


def _level(_bearer: str, _place: float) -> float:
    return 0.0
