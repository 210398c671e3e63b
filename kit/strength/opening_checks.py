"""What is left of a frame's member where it bridges an opening: bending and shear.

A member is cut clear over a no-go area, so that it carries there as a beam and no longer lies on
the floor.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import pandas as pd

from kit.base.checks import Check
from kit.base.layout import Layout
from kit.base.no_go import SAME_PLACE_MM
from kit.base.panel_loads import PanelLoad, panel_loads
from kit.base.runs import Row
from kit.strength.bearers import DESIGN
from kit.strength.section import Rectangle, bending_stress, shear_ratio
from kit.strength.timber import design_strength, kmod, timber_class
from kit.strength.worst import Worst, ratio_check, worst_of

#: Nobody says what the members are cut from. Plywood has no class of EN 338; of common softwood
#: ones on edge this is about what they bear (from memory).
TAKEN_AS = "C16"

_CHECK = "member over an opening"
_SOURCE = (
    f"members taken as {TAKEN_AS} (from memory): lay their own figures beside it; EN 1995-1-1 6.1.6"
    " and 6.1.7, EN 1990 Eq. 6.10; a beam on its two crossings, no notch counted;"
    " its deflection is not judged"
)


@dataclass(frozen=True)
class Opening:
    """A stretch of a member between two crossings, in which it bridges no-go areas.

    Parameters
    ----------
    left_mm, right_mm : float
        The crossings along the run [mm].
    areas : str
        Names of what it bridges.
    depth_mm : float
        Least that is left of the member between them [mm]; nan where the floor is not known.
    """

    left_mm: float
    right_mm: float
    areas: str
    depth_mm: float

    @property
    def span_mm(self) -> float:
        """From crossing to crossing [mm]."""
        return self.right_mm - self.left_mm


def openings_of(row: Row, places_mm: list[float], profile: pd.DataFrame) -> Iterator[Opening]:
    """Yield where a row's member bridges, from left to right.

    Parameters
    ----------
    row : Row
        The member's row.
    places_mm : list of float
        Its crossings, ascending [mm].
    profile : DataFrame
        member, along_mm, depth_mm, over.
    """
    of_row = profile[profile["member"] == row.name]
    for left, right in pairwise(places_mm):
        along = of_row["along_mm"]
        part = of_row[(along >= left - SAME_PLACE_MM) & (along <= right + SAME_PLACE_MM)]
        areas = [name for name in dict.fromkeys(part["over"]) if name]
        if areas:
            depth = float(part["depth_mm"].min(skipna=False))
            yield Opening(left, right, " and ".join(areas), depth)


def opening_checks(
    layout: Layout,
    profile: pd.DataFrame,
    thickness_mm: float,
    n_per_mm: Mapping[str, float],
    service_class: int,
) -> Iterator[Check]:
    """Yield whether what is left of each member carries the units over each opening.

    Parameters
    ----------
    layout : Layout
        Rows, crossings and units.
    profile : DataFrame
        From `kit.base.scribe.cut_profile`.
    thickness_mm : float
        Of the members [mm].
    n_per_mm : mapping of str to float
        Weight of each member by its name [N/mm].
    service_class : int
        Of the room.

    Notes
    -----
    A beam free to turn on the two crossings beside the opening, as deep as the least that is left
    between them, under the design loads of the sides and divisions between them, units full.
    Bending takes no size factor (kh), which is for solid timber.
    """
    for row, stands in zip(layout.rows, layout.stands, strict=True):
        standing = {line for stand in stands for line in stand.lines}
        bridged = [one for one in panel_loads(layout, row) if one.x_mm not in standing]
        for opening in openings_of(row, [stand.x_mm for stand in stands], profile):
            if math.isnan(opening.depth_mm):
                yield _unknown(row, opening)
                continue
            section = Rectangle(thickness_mm, opening.depth_mm)
            worst = worst_of(_ratios(opening, bridged, section, n_per_mm[row.name], service_class))
            where = f"over {opening.areas}, {opening.span_mm:.0f} mm, {worst.where}"
            yield ratio_check(_CHECK, row.name, replace(worst, where=where), _SOURCE)


def _unknown(row: Row, opening: Opening) -> Check:
    subject, nan = f"{row.name}: over {opening.areas}", math.nan
    why = "part of the floor under the frame was not surveyed"
    return Check(_CHECK, subject, nan, nan, "of design", "not_checked", why)


def _ratios(
    opening: Opening,
    bridged: Sequence[PanelLoad],
    section: Rectangle,
    own_n_per_mm: float,
    service_class: int,
) -> Iterator[Worst]:
    """Yield bending and shear under the loads of each duration, panels over it only."""
    timber = timber_class(TAKEN_AS)
    left = f"{section.depth_mm:.0f} mm left"
    over = [one for one in bridged if opening.left_mm < one.x_mm < opening.right_mm]
    for duration, weights in DESIGN:
        k = kmod(service_class, duration)
        points = [(one.x_mm - opening.left_mm, _design_n(one, weights)) for one in over]
        moment, shear = actions(opening.span_mm, points, weights["own"] * own_n_per_mm)
        bending = bending_stress(moment, section) / design_strength(timber.fm_k, k)
        yield Worst(bending, f"{left}, bending")
        yield Worst(shear_ratio(shear, section, timber, k), f"{left}, shear")


def _design_n(load: PanelLoad, weights: Mapping[str, float]) -> float:
    parts = {"units": load.own_n, "stored": load.stored_n, "people": load.people_n}
    return math.fsum(weights.get(name, 0.0) * force for name, force in parts.items())


def actions(
    span_mm: float, points: Sequence[tuple[float, float]], n_per_mm: float
) -> tuple[float, float]:
    """Return the greatest moment and shear of a beam on two supports that it turns freely on.

    Parameters
    ----------
    span_mm : float
        From support to support [mm].
    points : sequence of (place, force)
        From the left support [mm], downwards [N].
    n_per_mm : float
        All along it, downwards [N/mm].

    Returns
    -------
    moment, shear : float
        [N mm], [N].

    Notes
    -----
    Eq. (1): R = sum P (L - a) / L + w L / 2 at the left; Eq. (2): M(x) = R x - w x^2 / 2 -
    sum of P (x - a) over the loads left of x; M is greatest where the shear changes its sign,
    which is at a load or between two (handbooks).

    Examples
    --------
    >>> actions(200.0, [(50.0, 40.0)], 0.0)
    (1500.0, 30.0)
    """
    whole = math.fsum(force for _, force in points) + n_per_mm * span_mm
    left = math.fsum(force * (span_mm - at) / span_mm for at, force in points)
    left += n_per_mm * span_mm / 2  # Eq. (1)
    places, before, started = [at for at, _ in points], 0.0, 0.0
    for at, force in [*sorted(points), (span_mm, 0.0)]:
        if n_per_mm > 0.0:
            places.append(min(max((left - before) / n_per_mm, started), at))
        before, started = before + force, at
    moments = (
        left * x - n_per_mm * x**2 / 2 - math.fsum(p * (x - a) for a, p in points if a < x)
        for x in places
    )  # Eq. (2)
    return max(moments, default=0.0), max(left, whole - left)
