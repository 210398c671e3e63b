"""What a unit does on what is set by hand, within so much of its height.

Nobody knows how far each foot will be off. Each is taken as off by anything up to the limit,
either way and alike, and by itself; the figure told is the one that 95 of 100 units keep within.
What is poured is one surface: it slopes as a whole, and a unit's corners lie on one plane.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise

from kit.base.layout import Layout
from kit.base.runs import PlacedUnit
from kit.strength.feet import Feet, feet_of
from kit.strength.furniture import Consequence, Gap, Together
from kit.strength.unit_work import UnitStand

#: 95 % of a normal distribution lie within so many standard deviations.
SDS = 1.96


def together_within(layout: Layout, stand: Sequence[UnitStand], within_mm: float) -> Together:
    """Return what 95 of 100 units keep within on feet that are each off by so much either way.

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
        Magnitudes; each gap as narrow as it comes.
    """
    found = tuple(
        likely_within(
            placed,
            feet_of(placed, layout.rows, _level),
            within_mm,
            lifted_lean_mm=one.consequence.lifted_lean_mm,
        )
        for placed, one in zip(layout.units, stand, strict=True)
    )
    return Together(found, _gaps_within(layout.units, found))


def on_one_surface(
    layout: Layout,
    stand: Sequence[UnitStand],
    within_mm: float,
    extents_mm: Mapping[str, tuple[float, float]],
) -> Together:
    """Return what units lean on a surface that is off level as a whole by so much either way.

    Parameters
    ----------
    layout : Layout
        Units.
    stand : sequence of UnitStand
        How they stand on a surface that is not off; what a front lift adds is taken over.
    within_mm : float
        How far any place of the surface may be off [mm].
    extents_mm : mapping of str to (along, out)
        How far the surface of each run reaches along the run and out into the room [mm].

    Returns
    -------
    Together
        Magnitudes that no unit exceeds; no wind, and gaps as wide as they were meant, for
        neighbours lean alike.

    Notes
    -----
    One end high by the whole of it, the other low (common practice, no source)::

        lean = height · 2 · within / extent     (1)

    A surface sets as a plane, or nearly: short waves in it are not counted. An extent less than
    the unit's own counts as that.
    """
    found = tuple(
        _sloping(placed, one, within_mm, extents_mm[placed.run])
        for placed, one in zip(layout.units, stand, strict=True)
    )
    pairs = ((a, b) for a, b in pairwise(layout.units) if a.run == b.run)
    return Together(found, tuple(_open_gap(left, right) for left, right in pairs))


def _sloping(
    placed: PlacedUnit, one: UnitStand, within_mm: float, extent_mm: tuple[float, float]
) -> Consequence:
    unit = placed.unit
    along, out = max(extent_mm[0], unit.width_mm), max(extent_mm[1], unit.depth_mm)
    slope = 2 * within_mm * unit.height_mm
    lifted = one.consequence.lifted_lean_mm
    return Consequence(placed.run, unit.name, slope / along, slope / out, 0.0, 0.0, lifted)  # (1)


def _open_gap(left: PlacedUnit, right: PlacedUnit) -> Gap:
    height, gap = min(left.unit.height_mm, right.unit.height_mm), right.unit.gap_before_mm
    return Gap(left.run, left.unit.name, right.unit.name, height, gap, gap)


def likely_within(
    placed: PlacedUnit, feet: Feet, within_mm: float, *, lifted_lean_mm: float = 0.0
) -> Consequence:
    """Return what 95 of 100 such units keep within.

    Parameters
    ----------
    placed : PlacedUnit
        The unit at its place.
    feet : Feet
        Where its feet are; their heights do not count.
    within_mm : float
        How far each may be off [mm].
    lifted_lean_mm : float
        Taken over into the result [mm].

    Returns
    -------
    Consequence
        Magnitudes.

    Notes
    -----
    An error that is uniform within ±e has the sd e/sqrt(3) (1). Lean and wind are sums of the
    four, `kit.strength.furniture.consequence`, so that with w and d the distances of the feet::

        sd(lean along) = height · sd / w,  sd(lean out) = height · sd / d     (2)
        sd(wind) = 2 · sd                                                     (3)

    A sum of four uniform errors is near enough to normal: 95 % lie within 1.93 of its sd, 1.96
    is taken.
    """
    unit = placed.unit
    wide, deep = feet.right_x_mm - feet.left_x_mm, feet.front_y_mm - feet.back_y_mm
    likely = SDS * within_mm / math.sqrt(3)  # Eq. (1)
    wind = 2 * likely  # Eq. (3)
    return Consequence(
        placed.run,
        unit.name,
        unit.height_mm * likely / wide,  # Eq. (2)
        unit.height_mm * likely / deep,
        wind,
        wind * unit.height_mm / unit.width_mm,
        lifted_lean_mm,
    )


def _gaps_within(units: Sequence[PlacedUnit], found: Sequence[Consequence]) -> tuple[Gap, ...]:
    """Return each gap as narrow as it comes, its two neighbours off by themselves."""
    pairs = pairwise(zip(units, found, strict=True))
    return tuple(_gap(left, right) for left, right in pairs if left[0].run == right[0].run)


def _gap(left: tuple[PlacedUnit, Consequence], right: tuple[PlacedUnit, Consequence]) -> Gap:
    height = min(left[0].unit.height_mm, right[0].unit.height_mm)
    leans = [one.lean_along_mm * height / placed.unit.height_mm for placed, one in (left, right)]
    before = right[0].unit.gap_before_mm
    closing = math.hypot(*leans)
    run, name = left[0].run, left[0].unit.name
    return Gap(run, name, right[0].unit.name, height, before, before - closing)


def _level(_bearer: str, _place: float) -> float:
    return 0.0
