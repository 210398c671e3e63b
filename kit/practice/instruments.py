"""The instruments of a bag: spirit levels, a straight edge with its gauge, a laser and a staff.

Each shows what an eye can read and no more; what it has of its own (a level's error, a laser's
height) stays with it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kit.practice.draws import Draws

#: A bubble moves as far as its tilt in a bent glass of this radius [m]: 1 mm for 1 mm/m (a
#: builder's glass; common practice, no source).
GLASS_RADIUS_M = 1.0

#: An eye tells a bubble's place to this [mm]; beyond the travel the bubble stands at the end.
EYE_MM, TRAVEL_MM = 0.2, 8.0

#: The gauge under a straight edge and the staff are read to half a millimetre.
GAUGE_MM, STAFF_MM = 0.5, 0.5

#: A half of a step that lacks no more than this share of it, by round-off, is a half.
_ROUND_OFF = 1e-9

#: Where light shows under an edge is seen to this [mm] along it.
CONTACT_MM = 50.0


def to_step(value: float, step: float) -> float:
    """Return a value as it is read from a scale with such steps; halves go away from 0."""
    steps = np.sign(value) * np.floor(abs(value) / step + 0.5 + _ROUND_OFF)
    return float(round(steps * step, 6)) + 0.0


@dataclass(frozen=True)
class Level:
    """A spirit level.

    Parameters
    ----------
    name : str
        What it is called on the page.
    length_mm : float
        Length of its edge [mm].
    own_error_mm_per_m : float
        Positive where the bubble, marked end at the left, centres although the right lies lower.
    """

    name: str
    length_mm: float
    own_error_mm_per_m: float

    def bubble_mm(self, rise_mm_per_m: float) -> float:
        """Return where the bubble is seen [mm], positive towards the end without a mark.

        Parameters
        ----------
        rise_mm_per_m : float
            Rise of the edge from its marked end to the other [mm/m]; the bubble goes up.
        """
        moved = GLASS_RADIUS_M * (rise_mm_per_m + self.own_error_mm_per_m)
        return float(np.clip(to_step(moved, EYE_MM), -TRAVEL_MM, TRAVEL_MM)) + 0.0


@dataclass(frozen=True)
class Bag:
    """The instruments of one apprentice.

    Parameters
    ----------
    levels : tuple of Level
        From the shortest to the longest.
    edge_mm : float
        Length of the straight edge [mm].
    laser_mm : tuple of float
        Height of the laser's line above the floor's zero, one for each set-up [mm].
    """

    levels: tuple[Level, ...]
    edge_mm: float
    laser_mm: tuple[float, ...]

    def level(self, name: str) -> Level:
        """Return the level of a name."""
        return next(level for level in self.levels if level.name == name)


#: Lengths of the levels in the bag [mm].
LEVEL_LENGTHS_MM = {"short": 600.0, "long": 1800.0}
EDGE_LENGTH_MM = 2000.0

#: Own errors of levels that want looking at [mm/m]: from what an eye sees on, to a dropped one.
LEAST_OWN_ERROR, GREATEST_OWN_ERROR = 0.4, 2.0
_SET_UPS = 12


def pack_bag(draws: Draws) -> Bag:
    """Put instruments into a bag: each level with an error of its own, the laser at heights."""
    levels = tuple(
        Level(name, long, _own_error(draws, name)) for name, long in LEVEL_LENGTHS_MM.items()
    )
    heights = 900 + 400 * draws.shares("laser", _SET_UPS)
    return Bag(levels, EDGE_LENGTH_MM, tuple(round(float(h), 3) for h in heights))


def _own_error(draws: Draws, name: str) -> float:
    size = draws.between(f"{name} level", LEAST_OWN_ERROR, GREATEST_OWN_ERROR)
    return round(draws.sign(f"{name} level up") * size, 3)
