"""Joists under two rows: how far each row goes down under what lies on both."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from kit.practice.draws import Draws
from kit.practice.grades import Grade

#: Rows of the base, from the wall outwards.
ROWS = ("back", "front")

#: Newtons to a kilogram, rounded as in EN 1991-1-1 loads (value from memory).
N_PER_KG = 9.81

#: Mass of one bag [kg].
BAG_KG = 25.0

#: A room's width along the wall [mm]; the joists run at right angles to that wall.
ROOM_WIDTH_MM = 4200.0

#: How far an older floor lets a heavy front row down [mm], by grade (common practice, no source).
_FRONT_SAG_MM = {"fair": (4.5, 6.5), "ordinary": (5.0, 8.5), "rough": (6.0, 10.0)}

#: Ways of working, right or wrong, give lifts that differ by this at least [mm]: the drill's limit
#: of 0.3 mm and what two gauges read to 0.1 mm add up to when they are scaled, so that an answer
#: tells which way it was worked out.
_APART_MM = 0.55
_TRIES = 100


def sag_mm(
    at_mm: float, load_at_mm: float, load_n: float, span_mm: float, ei_n_mm2: float
) -> float:
    """Return how far a simply supported beam goes down at a place under one point load.

    w(x) = F b x (L² - b² - x²) / (6 L EI) for x <= a, b = L - a    (1)

    the other side of the load by exchanging both places (Maxwell). Found in any handbook of beams
    (from memory); checked in the tests against a general frame library.

    Parameters
    ----------
    at_mm, load_at_mm : float
        Places from the left bearing [mm].
    load_n : float
        Downwards [N].
    span_mm : float
        From bearing to bearing [mm].
    ei_n_mm2 : float
        Bending stiffness [N·mm²].

    Returns
    -------
    float
        Down positive [mm].
    """
    x, a = min(at_mm, load_at_mm), max(at_mm, load_at_mm)
    b = span_mm - a
    return load_n * b * x * (span_mm**2 - b**2 - x**2) / (6 * span_mm * ei_n_mm2)  # Eq. (1)


@dataclass(frozen=True)
class Joists:
    """Joists that bear at the wall and at the far side of the room, and two rows over them.

    Parameters
    ----------
    span_mm : float
        From bearing to bearing [mm].
    ei_n_mm2 : float
        Bending stiffness of all joists under the base together [N·mm²].
    at_mm : mapping of str to float
        Each row's distance from the wall [mm].
    full_kg : mapping of str to float
        What each row carries with the units full [kg], spread evenly over the joists.
    bags : int
        How many bags there are.
    """

    span_mm: float
    ei_n_mm2: float
    at_mm: Mapping[str, float]
    full_kg: Mapping[str, float]
    bags: int

    @property
    def depth_mm(self) -> float:
        """From row to row [mm]."""
        return self.at_mm["front"] - self.at_mm["back"]

    def sags_mm(self, kg: Mapping[str, float]) -> dict[str, float]:
        """Return how far each row goes down [mm] under masses on both rows [kg].

        Both together: the joists' 2 × 2 compliance times both loads.
        """
        return {
            row: sum(
                sag_mm(at, self.at_mm[other], kg[other] * N_PER_KG, self.span_mm, self.ei_n_mm2)
                for other in ROWS
            )
            for row, at in self.at_mm.items()
        }

    def lift_mm(self, kg: Mapping[str, float]) -> float:
        """Return how much further the front goes down than the back [mm] under such masses."""
        sags = self.sags_mm(kg)
        return sags["front"] - sags["back"]


def make_joists(seed: int, grade: Grade) -> Joists:
    """Make joists that let the front row down by some millimetres more than the back row.

    Of those drawn one after another the first on which every way of working gives another lift.

    Raises
    ------
    ValueError
        Where none of many does: a defect.
    """
    draws = Draws(f"front lift 2, seed {seed}, {grade.name}")
    for number in range(_TRIES):
        joists = _drawn(Draws(f"{draws.name}, {number}"), grade)
        if _nearest_mm(joists) >= _APART_MM:
            return joists
    raise ValueError(f"{draws.name}: ways of working that give one lift")


def _drawn(draws: Draws, grade: Grade) -> Joists:
    span = 10.0 * draws.whole("span", 360, 440)
    back = 10.0 * draws.whole("back", 25, 70)
    at = {"back": back, "front": back + 10.0 * draws.whole("depth", 45, 60)}
    bags = {row: draws.whole(f"{row} bags", 8, 12) for row in ROWS}
    times = draws.one_of("full", (1.8, 2.0, 2.2, 2.5))
    full = {row: round(times * BAG_KG * count, 1) for row, count in bags.items()}
    soft = Joists(span, 1.0, at, full, sum(bags.values()))
    sag = draws.between("sag", *_FRONT_SAG_MM[grade.name])
    # Sag goes with 1/EI: that of a stiffness of 1 over the wanted one is the stiffness wanted.
    return Joists(span, soft.sags_mm(full)["front"] / sag, at, full, soft.bags)


def _nearest_mm(joists: Joists) -> float:
    """Return by how much two ways of working differ that differ least [mm].

    Right, with the front gauge alone, not scaled, or both of these; or with the front row's load
    alone, then too with both gauges or with one.
    """
    full = joists.full_kg
    share = BAG_KG * joists.bags / sum(full.values())
    lift, front = joists.lift_mm(full), joists.sags_mm(full)["front"]
    alone = {"back": 0.0, "front": full["front"]}
    lifts = sorted((0.0, lift, front, share * lift, share * front))
    of_one = sorted((0.0, joists.lift_mm(alone), lift, joists.sags_mm(alone)["front"]))
    return min(more - less for ways in (lifts, of_one) for less, more in pairwise(ways))
