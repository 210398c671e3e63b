"""Joists under two rows: how far each row goes down under what lies on both."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

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
_FRONT_SAG_MM = {"fair": (5.0, 5.8), "ordinary": (5.5, 6.6), "rough": (6.2, 7.5)}


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
    """Make joists that let the front row down by some millimetres more than the back row."""
    draws = Draws(f"front lift 1, seed {seed}, {grade.name}")
    span = 10.0 * draws.whole("span", 360, 440)
    back = 10.0 * draws.whole("back", 50, 70)
    at = {"back": back, "front": back + 10.0 * draws.whole("depth", 50, 60)}
    bags = {row: draws.whole(f"{row} bags", 8, 12) for row in ROWS}
    times = draws.one_of("full", (1.8, 2.0, 2.2))
    full = {row: round(times * BAG_KG * count, 1) for row, count in bags.items()}
    soft = Joists(span, 1.0, at, full, sum(bags.values()))
    sag = draws.between("sag", *_FRONT_SAG_MM[grade.name])
    # Sag goes with 1/EI: that of a stiffness of 1 over the wanted one is the stiffness wanted.
    return Joists(span, soft.sags_mm(full)["front"] / sag, at, full, soft.bags)
