"""How each unit would stand on the base as it was read: level, wind, rocking, lean.

Limits are those of `kit.strength.unit_checks`. A unit is taken as stiff and as not yet loaded.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass

import numpy as np
import pandas as pd

from kit.as_built.judged import NOT_READ, TOO_CLOSE, WITHIN, Verdict, judge, worst
from kit.as_built.tops import Tops
from kit.base.layout import Layout
from kit.base.row_shares import rows_under
from kit.base.runs import Floats, PlacedUnit
from kit.strength.feet import BALANCED_MM, Feet, feet_of
from kit.strength.furniture import consequence, subject_of
from kit.strength.unit_checks import HANGING_MM, LEAN_MM_PER_M, WIND_MM

#: A step by which tops are turned to learn how a figure hangs on them [mm]: figures are
#: straight in the tops, so that its size does not matter.
_STEP_MM = 1e-3

_CORNERS = ("back left", "back right", "front left", "front right")


@dataclass(frozen=True)
class UnitStands:
    """How one unit would stand.

    Parameters
    ----------
    subject, run, unit : str
        As checks write it; names of its run and of the unit.
    along_mm_per_m, along_sd_mm_per_m : float
        How its base rises to the right, and its sd [mm/m]; nan where a corner is not known.
    along_mm : float
        The same over its width [mm].
    across_mm_per_m, across_sd_mm_per_m : float
        How its base rises into the room, and its sd [mm/m].
    across_mm : float
        The same over its depth [mm].
    lean_along_mm, lean_out_mm : float
        How far its top leans to the right, and into the room [mm].
    lean_limit_mm : float
        How far it may, either way [mm].
    wind_mm, wind_sd_mm : float
        Back left + front right - back right - front left, and its sd [mm].
    stands_on : str
        The three feet that it stands on where it rocks, the fourth hanging by the wind; empty
        where it does not.
    tips_to : str
        The other three where it may as well stand on those; empty where it does not rock, or
        surely stands on the first.
    along_verdict, across_verdict, wind_verdict : str
        Level and lean against `LEAN_MM_PER_M`, wind against `WIND_MM`.
    rocks : str
        ``rocks``, ``does not rock``, ``too close to tell`` or ``not read``.
    verdict : str
        The worst of the three verdicts.
    """

    subject: str
    run: str
    unit: str
    along_mm_per_m: float
    along_sd_mm_per_m: float
    along_mm: float
    across_mm_per_m: float
    across_sd_mm_per_m: float
    across_mm: float
    lean_along_mm: float
    lean_out_mm: float
    lean_limit_mm: float
    wind_mm: float
    wind_sd_mm: float
    stands_on: str
    tips_to: str
    along_verdict: Verdict
    across_verdict: Verdict
    wind_verdict: Verdict
    rocks: str
    verdict: Verdict


def units_table(units: tuple[UnitStands, ...]) -> pd.DataFrame:
    """Return units as a table, one row each, its columns the fields of `UnitStands`."""
    return pd.DataFrame([asdict(one) for one in units], columns=list(UnitStands.__annotations__))


def look_at_units(tops: Tops, layout: Layout) -> Iterator[UnitStands]:
    """Yield how each unit would stand on the base as it was read.

    Parameters
    ----------
    tops : Tops
        The top of the base; the planned front lift is taken off.
    layout : Layout
        Units, and the rows under them.

    Notes
    -----
    Level, wind and lean are those of `kit.strength.furniture.consequence` on the tops under the
    unit's outer sides. All are straight in the heights read, so that what each hangs on is found
    by turning one height at a time, and var = g C gᵀ. Standing on three of its feet, the fourth
    hangs by the wind: the high pair of opposite corners always carries, and of the low pair that
    one which the centre of gravity lies nearer to (taken in the middle of the width). From a wind
    of `HANGING_MM` on it is said to rock; a carcass gives by less.
    """
    several = len(layout.frames) > 1
    for placed in layout.units:
        yield _stands(placed, tops, layout, subject_of(placed, several_runs=several))


def _stands(placed: PlacedUnit, tops: Tops, layout: Layout, subject: str) -> UnitStands:
    unit = placed.unit
    figures, sds = _with_doubt(placed, tops, layout)
    along, across, wind = (float(value) for value in figures)
    along_sd, across_sd, wind_sd = (float(value) for value in sds)
    verdicts = (
        judge(along, LEAN_MM_PER_M, along_sd),
        judge(across, LEAN_MM_PER_M, across_sd),
        judge(wind, WIND_MM, wind_sd),
    )
    rocks = _rocks(wind, wind_sd)
    stands_on, tips_to = ("", "") if rocks != "rocks" else _three_feet(placed, layout, wind)
    height = unit.height_mm / 1000
    return UnitStands(
        subject=subject,
        run=placed.run,
        unit=unit.name,
        along_mm_per_m=along,
        along_sd_mm_per_m=along_sd,
        along_mm=along * unit.width_mm / 1000,
        across_mm_per_m=across,
        across_sd_mm_per_m=across_sd,
        across_mm=across * unit.depth_mm / 1000,
        lean_along_mm=-along * height + 0.0,
        lean_out_mm=-across * height + 0.0,
        lean_limit_mm=LEAN_MM_PER_M * height,
        wind_mm=wind,
        wind_sd_mm=wind_sd,
        stands_on=stands_on,
        tips_to=tips_to,
        along_verdict=verdicts[0],
        across_verdict=verdicts[1],
        wind_verdict=verdicts[2],
        rocks=rocks,
        verdict=worst(list(verdicts)),
    )


def _rocks(wind: float, sd: float) -> str:
    words = {WITHIN: "does not rock", TOO_CLOSE: TOO_CLOSE, NOT_READ: NOT_READ}
    return words.get(judge(wind, HANGING_MM, sd), "rocks")


def _with_doubt(placed: PlacedUnit, tops: Tops, layout: Layout) -> tuple[Floats, Floats]:
    """Return rise along, rise across [mm/m] and wind [mm], and the sd of each."""
    sides = (placed.panels[0].x_mm, placed.panels[-1].x_mm)
    weights = {
        (row.name, side): tops.at(row.name, side)
        for side in sides
        for row in rows_under(placed, layout.rows, side)
    }

    def figures(top_mm: Floats) -> Floats:
        def top(bearer: str, x: float) -> float:
            found = weights[bearer, x]
            return (
                sum(float(top_mm[i]) * share for i, share in found.items()) if found else math.nan
            )

        return _figures(placed, layout, top)

    now = figures(tops.top_mm)
    counted = sorted({i for found in weights.values() for i in found})
    turned = np.zeros((3, len(counted)))
    for column, i in enumerate(counted):
        moved = tops.top_mm.copy()
        moved[i] += _STEP_MM
        turned[:, column] = (figures(moved) - now) / _STEP_MM
    covariance = tops.covariance[np.ix_(counted, counted)]
    variance = np.einsum("ij,jk,ik->i", turned, covariance, turned)
    return now, np.sqrt(np.where(np.isnan(now), math.nan, np.maximum(variance, 0.0)))


def _figures(placed: PlacedUnit, layout: Layout, top: Callable[[str, float], float]) -> Floats:
    feet: Feet = feet_of(placed, layout.rows, top)
    found = consequence(placed, feet)
    per_metre = -1000 / placed.unit.height_mm
    return np.array([found.lean_along_mm * per_metre, found.lean_out_mm * per_metre, found.wind_mm])


def _three_feet(placed: PlacedUnit, layout: Layout, wind: float) -> tuple[str, str]:
    """Return the feet that a rocking unit stands on, and the other three that it may tip to."""
    under = rows_under(placed, layout.rows)
    back, front = under[0].y_mm, under[-1].y_mm
    # How far in front of the middle between the outer rows the weight lies: the diagonal of the
    # high pair crosses there, and with the weight in the middle of the width nothing else counts.
    forward = placed.unit.centre_of_gravity_from_back_mm - (back + front) / 2
    high, low = ("back left", "front right"), ("back right", "front left")
    if wind < 0:
        high, low = low, high
    to_front, to_back = sorted(low, key=lambda corner: corner.startswith("back"))
    first, other = (to_front, to_back) if forward >= 0 else (to_back, to_front)
    three = [_named({*high, corner}) for corner in (first, other)]
    return three[0], three[1] if abs(forward) <= BALANCED_MM else ""


def _named(corners: set[str]) -> str:
    return ", ".join(corner for corner in _CORNERS if corner in corners)
