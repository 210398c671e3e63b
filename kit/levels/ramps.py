"""Ramps where the floor steps: how long, whether there is room, how they lie over the floor."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from kit.base.runs import Frame
from kit.base.stack_rules import StackRules
from kit.floor import Surface
from kit.job import refuse
from kit.levels.bays import BayFloor

Array = NDArray[np.float64]

#: Steeper than 1 in 12 no ramp should be, gentler than 1 in 20 it counts as level [mm/m].
STEEPEST_MM_PER_M = 1000 / 12
GENTLE_MM_PER_M = 1000 / 20
#: The floor beside an edge is read so far from it, on the side that is meant [mm].
INSIDE_MM = 5.0
#: The readings nearest to an edge lie at most so far from it, or it was not surveyed [mm].
EDGE_MM = 300.0
#: Stations along a ramp at which it is told are at most so far apart [mm].
STATION_MM = 250.0

#: What lies off by less at its foot is not told [mm].
TOLD_MM = 0.5

RAMP_CAUTION = (
    "A ramp is walked and wheeled on: national rules (Approved Document M and the like, from"
    " memory) ask for 1 in 12 to 1 in 20, the gentler the longer it is, with landings, width and"
    " edges of their own. The local code decides, and the kit approves no ramp."
)


@dataclass(frozen=True, eq=False)
class Ramp:
    """A ramp from an upper floor down to a lower one.

    Parameters
    ----------
    rise_mm : float
        Height that it overcomes [mm], positive.
    gradient_mm_per_m : float
        How steep it is.
    room_mm : float
        How long there is room for it to be [mm]; infinite where no limit is given.
    profile : DataFrame
        along_mm from its top, x_mm, y_mm, ramp_mm, floor_mm (nan where not surveyed), above_mm
        (the ramp above the floor).

    Notes
    -----
    At its top the floor is that `INSIDE_MM` down the ramp: on the edge itself it would be chance
    which of the two floors is read.
    """

    rise_mm: float
    gradient_mm_per_m: float
    room_mm: float
    profile: pd.DataFrame = field(repr=False)

    @property
    def needed_mm(self) -> float:
        """Length needed in plan: rise / gradient [mm]."""
        return length_needed_mm(self.rise_mm, self.gradient_mm_per_m)

    @property
    def fits(self) -> bool:
        """Whether there is room for it."""
        return self.needed_mm <= self.room_mm + 1e-6  # round-off of a quotient

    @property
    def floor_steepest_mm_per_m(self) -> float:
        """Steepest that the floor itself is along the line, up or down; nan where not surveyed."""
        return steepest_mm_per_m(self.profile["along_mm"], self.profile["floor_mm"])

    @property
    def words(self) -> str:
        """What is to be said of it, as sentences."""
        told = [
            f"{self.rise_mm:.0f} mm at {self.gradient_mm_per_m:g} mm/m"
            f" (1 in {1000 / self.gradient_mm_per_m:.3g}) takes {self.needed_mm:.0f} mm"
        ]
        if not self.fits:
            told.append(f"there is room for {self.room_mm:.0f} mm only")
        if self.gradient_mm_per_m > STEEPEST_MM_PER_M + 1e-9:
            told.append("it is steeper than 1 in 12")
        floor, above = self.floor_steepest_mm_per_m, self.profile["above_mm"]
        if np.isfinite(floor):
            told.append(f"the floor's own steepest there is {floor:.0f} mm/m")
            if floor > self.gradient_mm_per_m:
                told[-1] += ", steeper than the ramp"
        if above.isna().any():
            told.append("part of it lies where the floor was not surveyed")
        if float(above.min()) < -TOLD_MM:
            told.append(f"the floor stands up to {-float(above.min()):.0f} mm above it")
        if float(above.iloc[-1]) > TOLD_MM:
            told.append(f"it ends {float(above.iloc[-1]):.0f} mm above the floor")
        return "; ".join(told)


def length_needed_mm(rise_mm: float, gradient_mm_per_m: float) -> float:
    """Return the length in plan that a ramp needs [mm]: rise / gradient.

    Raises
    ------
    Refusal
        Where the gradient is not above 0.
    """
    if not gradient_mm_per_m > 0:
        raise refuse("base.levels.ramp_mm_per_m", f"{gradient_mm_per_m:g}", "above 0 mm/m")
    return abs(rise_mm) / gradient_mm_per_m * 1000


def steepest_mm_per_m(along_mm: pd.Series[float], height_mm: pd.Series[float]) -> float:
    """Return the steepest gradient between neighbouring stations, either way [mm/m]."""
    rise, run = np.diff(height_mm.to_numpy()), np.diff(along_mm.to_numpy())
    known = np.isfinite(rise) & (run > 0)
    if not known.any():
        return float("nan")
    return float(np.abs(rise[known] / run[known]).max() * 1000)


def ramp_over(
    surface: Surface,
    top: Frame,
    upper_mm: float,
    lower_mm: float,
    gradient_mm_per_m: float,
    room_mm: float = np.inf,
) -> Ramp:
    """Lay a ramp over the real floor.

    Parameters
    ----------
    surface : Surface
        The floor.
    top : Frame
        Where the ramp begins at the upper floor, and the direction in which it goes down.
    upper_mm, lower_mm : float
        The two floors there, in the survey's datum [mm].
    gradient_mm_per_m : float
        How steep it is.
    room_mm : float
        How long there is room for it to be [mm].

    Raises
    ------
    Refusal
        Where the gradient is not above 0, or the upper level is not the upper one.
    """
    rise = upper_mm - lower_mm
    if not rise > 0:
        raise refuse(
            "ramp", f"from {upper_mm:g} down to {lower_mm:g} mm", "a level below the upper"
        )
    length = length_needed_mm(rise, gradient_mm_per_m)
    along = np.linspace(0, length, max(2, int(np.ceil(length / STATION_MM)) + 1))
    x, y = top.to_site(along, np.zeros(len(along)))
    floor = floor_at(
        surface, top, np.maximum(along, INSIDE_MM), np.where(along < EDGE_MM, EDGE_MM, 0.0)
    )
    height = upper_mm - along * gradient_mm_per_m / 1000
    profile = pd.DataFrame(
        {
            "along_mm": along,
            "x_mm": x,
            "y_mm": y,
            "ramp_mm": height,
            "floor_mm": floor,
            "above_mm": height - floor,
        }
    )
    return Ramp(rise, gradient_mm_per_m, room_mm, profile)


def floor_at(surface: Surface, line: Frame, along_mm: Array, on_mm: Array) -> Array:
    """Return the floor (m,) at places (m,) along a line [mm]; nan where it was not surveyed.

    Nobody reads on the very edge of a step: a place counts as surveyed where one so much further
    on (``on_mm``, (m,), signed), away from the edge, is.
    """
    across = np.zeros(len(along_mm))
    x, y = line.to_site(along_mm, across)
    known = surface.surveyed(x, y) | surface.surveyed(*line.to_site(along_mm + on_mm, across))
    return np.where(known, surface.predict(x, y).height_mm, np.nan)


def too_steep(bays: Sequence[BayFloor], rules: StackRules) -> tuple[str, ...]:
    """Name the bays whose floor falls more than stacks can take, on whatever level they stand.

    The thinnest stack stands at the highest support and the longest at the lowest, each off by
    the tolerance at most: more than that the supports' floor may not differ (less front lift).
    """
    most = rules.max_stack_mm - rules.minimum_pack_mm + 2 * rules.tolerance_mm
    told = []
    for bay in bays:
        needed = bay.supports["floor_mm"] - bay.supports["lift_mm"]
        fall = float(needed.max() - needed.min())
        if fall > most + 1e-9:
            steep = fall / max(bay.right_mm - bay.left_mm, 1.0) * 1000
            told.append(
                f"The floor under unit {bay.unit!r} of run {bay.run} falls {fall:.0f} mm, about"
                f" {steep:.0f} mm/m of its width, as a ramp does: stacks can take {most:.0f} mm at"
                " most. Stand the unit elsewhere, or pack up what carries it."
            )
    return tuple(told)
