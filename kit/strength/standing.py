"""Standing a unit up under the ceiling, and what tips it or slides it while it is not fixed.

The figures of tipping are cautions, not a proof of stability: a unit is fixed to the wall
whatever they say. Places are in the run's own frame, y out from the plane of the units' backs.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from kit.base.cautions import TILT_ROOM_MM
from kit.base.checks import CLOSED_MM
from kit.base.layout import GRAVITY_N_PER_KG
from kit.base.runs import PlacedUnit, Row
from kit.job import refuse
from kit.strength.feet import outer_rows

#: Highest place of the push that may tip a unit [mm]: 56 in, ASTM F2057, which leaves bookcases
#: and built-ins out (from memory, weak).
PUSH_HEIGHT_MM = 1422.0

#: The push that a unit should bear unfixed [N]: 10 lbf, ASTM F2057 as above (from memory, weak);
#: a level for a caution only.
PUSH_N = 44.5

#: A child that hangs on a unit [kg]: 60 lb, ASTM F2057-23.
CHILD_KG = 27.2

#: A person who stands or sits on a unit's front edge [kg] (common practice, no source).
PERSON_KG = 80.0

#: Friction of timber on timber (from memory).
FRICTION = 0.3


@dataclass(frozen=True)
class TiltUp:
    """How a unit can be stood up.

    Parameters
    ----------
    run, unit : str
        Names of its run and of the unit.
    diagonal_mm : float
        From the edge that it turns on to the corner that passes under the ceiling [mm].
    room_on_base_mm, room_on_floor_mm : float
        Greatest diagonal that passes over the base and over the floor [mm]: up to 10 mm below
        the ceiling; nan where the ceiling is not known.
    """

    run: str
    unit: str
    diagonal_mm: float
    room_on_base_mm: float
    room_on_floor_mm: float

    @property
    def ceiling_known(self) -> bool:
        """Whether there is a ceiling to compare with."""
        return not math.isnan(self.room_on_base_mm)

    @property
    def on_base(self) -> bool:
        """Whether it can be tilted up where it stands; False where the ceiling is not known."""
        return self.diagonal_mm <= self.room_on_base_mm + CLOSED_MM

    @property
    def on_floor(self) -> bool:
        """Whether it can be tilted up on the floor, then lifted; False if not known."""
        return self.diagonal_mm <= self.room_on_floor_mm + CLOSED_MM


@dataclass(frozen=True)
class Tipping:
    """What tips a unit into the room or slides it, while nothing holds it to the wall.

    Parameters
    ----------
    run, unit : str
        Names of its run and of the unit.
    pivot_mm : float
        The line about which it tips, out from the back [mm].
    push_height_mm : float
        Where the push acts, above the base [mm].
    tips_empty_N, tips_full_N : float
        Horizontal push that tips it, empty and with its contents [N]; 0 where it tips by itself.
    slides_empty_N, slides_full_N : float
        Horizontal push that slides it on bearers to which it is not screwed [N].
    fixing_N : float
        Pull at the top, square to the wall, that holds it empty with a child on its front or
        under a push of `PUSH_N`, the greater [N]; 0 where it stands without by both sums, which
        is no leave to go without a fixing.
    person_ratio : float
        Moment of a person on its front edge over what the unit holds empty: it tips beyond 1;
        inf where it tips by itself.

    Notes
    -----
    All five forces and the ratio are nan where no mass of the unit is given.
    """

    run: str
    unit: str
    pivot_mm: float
    push_height_mm: float
    tips_empty_N: float  # noqa: N815 - newtons are written N
    tips_full_N: float  # noqa: N815
    slides_empty_N: float  # noqa: N815
    slides_full_N: float  # noqa: N815
    fixing_N: float  # noqa: N815
    person_ratio: float

    @property
    def mass_known(self) -> bool:
        """Whether the forces could be worked out."""
        return not math.isnan(self.tips_empty_N)


def tilt_up(
    placed: PlacedUnit, base_top_mm: float, floor_mm: float, ceiling_mm: float = math.nan
) -> TiltUp:
    """Find whether a unit can be tilted up under the ceiling.

    Parameters
    ----------
    placed : PlacedUnit
        The unit at its place.
    base_top_mm, floor_mm, ceiling_mm : float
        Heights of the base's top, of the floor beside it and of the ceiling, all in one datum
        [mm]; no ceiling = not known.

    Returns
    -------
    TiltUp

    Raises
    ------
    Refusal
        Where the base lies below the floor.

    Notes
    -----
    A unit that lies on its back turns on its lower back edge until it stands; the corner
    opposite, its upper front one, is sqrt(height² + depth²) from that edge and passes exactly
    above it on the way (1). Room of 10 mm is kept (common practice, no source). Once lifted on,
    it needs its height only, which the window of the datum keeps free.
    """
    if base_top_mm < floor_mm - CLOSED_MM:
        raise refuse(
            f"run {placed.run}, unit {placed.unit.name!r}",
            f"a base top {floor_mm - base_top_mm:g} mm below the floor",
            "a base that stands on the floor",
        )
    reach = ceiling_mm - TILT_ROOM_MM
    return TiltUp(
        placed.run,
        placed.unit.name,
        math.hypot(placed.unit.height_mm, placed.unit.depth_mm),  # Eq. (1)
        reach - base_top_mm,
        reach - floor_mm,
    )


def pivot_mm(placed: PlacedUnit, rows: Sequence[Row], bearer_width_mm: float) -> float:
    """Return the line about which a unit tips into the room, out from its back [mm].

    It is the front edge of the frontmost bearer under the unit, or the unit's own front where
    the bearer comes out beyond it: contact ends with whichever ends first.

    Parameters
    ----------
    placed : PlacedUnit
        The unit at its place.
    rows : sequence of Row
        The bearers.
    bearer_width_mm : float
        Width of a bearer [mm].

    Raises
    ------
    Refusal
        Where fewer than two of the rows are under the unit.
    """
    front = outer_rows(placed, rows)[1]
    return min(front.y_mm + bearer_width_mm / 2, placed.unit.depth_mm)


def tipping(placed: PlacedUnit, about_mm: float) -> Tipping:
    """Find what tips a unit into the room, slides it, and what a wall fixing must take.

    Parameters
    ----------
    placed : PlacedUnit
        The unit at its place; its contents have their centre of gravity where its own is.
    about_mm : float
        The line about which it tips, out from its back [mm]; see `pivot_mm`.

    Returns
    -------
    Tipping

    Raises
    ------
    Refusal
        Where that line does not lie under the unit.

    Notes
    -----
    W = m g acts at c from the back, the pivot lies at p. As it begins to tip, the unit touches
    the pivot only, and the moments about it are in balance.

    Push P, level, into the room, at h above the base: P h tips, W (p - c) holds, so that::

        P = W (p - c) / h        (1), 0 where c >= p: it tips by itself

    h = min(height, 1422 mm), counted from the base: the lever is never taken too short. The
    height of the centre of gravity does not enter, for W has no lever arm up and down. That the
    unit leans by its feet' errors moves c by a millimetre or so and is left out.

    Slide: on loose bearers friction holds mu W (2), wherever the push acts. A unit that is
    screwed to its bearers does not slide on them.

    Fixing: the empty unit holds by W (p - c), a pull F at the top, at the height H, by F H. A
    child's weight W_c on the open front edge, at the unit's depth d, tips by W_c (d - p); the
    push P_0 = `PUSH_N` at h tips by P_0 h; on a unit that people use, one of weight W_p on the
    front edge by W_p (d - p). Not all come at once, and the greatest governs::

        F = (max(W_c (d - p), P_0 h, W_p (d - p)) - W (p - c)) / H   (3), 0 where negative

    Forces that come suddenly, and a fixing lower down, ask for more than F.

    A person of weight W_p on the front edge tips by W_p (d - p)::

        ratio = W_p (d - p) / (W (p - c))        (4), inf where the unit holds nothing
    """
    unit = placed.unit
    if not 0 < about_mm <= unit.depth_mm + CLOSED_MM:
        raise refuse(
            f"run {placed.run}, unit {unit.name!r}",
            f"a pivot {about_mm:g} mm from its back",
            f"more than 0 mm and at most its depth, {unit.depth_mm:g} mm",
        )
    empty = (unit.mass_kg or math.nan) * GRAVITY_N_PER_KG  # no mass given is 0 in the job
    full = empty + unit.contents_kg * GRAVITY_N_PER_KG
    lever = about_mm - unit.centre_of_gravity_from_back_mm
    height = min(unit.height_mm, PUSH_HEIGHT_MM)
    held = empty * lever
    before = unit.depth_mm - about_mm
    person = PERSON_KG * GRAVITY_N_PER_KG * before
    used = person if unit.contents_are == "people" else 0.0
    tips = max(CHILD_KG * GRAVITY_N_PER_KG * before, PUSH_N * height, used)
    return Tipping(
        placed.run,
        unit.name,
        about_mm,
        height,
        _at_least_none(held / height),  # Eq. (1)
        _at_least_none(full * lever / height),
        FRICTION * empty,  # Eq. (2)
        FRICTION * full,
        _at_least_none((tips - held) / unit.height_mm),  # Eq. (3)
        math.inf if held <= 0 else person / held,  # Eq. (4)
    )


def _at_least_none(force: float) -> float:
    """Return a force that is only called for where it is positive; nan stays nan."""
    return 0.0 if force < 0 else force
