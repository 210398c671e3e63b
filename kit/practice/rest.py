"""How a rigid edge comes to rest on what lies under it."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kit.job import refuse
from kit.practice.draws import Floats

#: Within this share of its length of the middle, a contact lets the edge rock [mm/mm].
ROCKS_WITHIN = 0.01

#: An edge that tips by no more than this is not felt to rock [mm/m]; what heights kept to
#: 0.001 mm do to a plane is less, under an edge from 410 mm on: 2 · 0.001 mm / (0.49 · length).
FELT_MM_PER_M = 0.01

#: Places nearer than this are one place [mm]; slopes likewise [mm/mm]: round-off.
_SAME = 1e-6


@dataclass(frozen=True)
class Rest:
    """Where a rigid edge lies.

    Parameters
    ----------
    left_mm, right_mm : float
        Places along the edge of the two contacts that carry it [mm].
    left_height_mm, right_height_mm : float
        Heights of what it touches there [mm].
    middle_mm : float
        Place of its middle, where its weight acts [mm].
    rocks : bool
        A contact lies so near to the middle that a finger tips it to the other side, far enough
        to be felt.
    """

    left_mm: float
    right_mm: float
    left_height_mm: float
    right_height_mm: float
    middle_mm: float
    rocks: bool

    @property
    def slope_mm_per_m(self) -> float:
        """Rise along the edge [mm/m]."""
        rise = self.right_height_mm - self.left_height_mm
        return 1000 * rise / (self.right_mm - self.left_mm)

    @property
    def mirrored(self) -> Rest:
        """The same lie with places counted from the other end."""
        return Rest(
            2 * self.middle_mm - self.right_mm, 2 * self.middle_mm - self.left_mm,
            self.right_height_mm, self.left_height_mm, self.middle_mm, self.rocks,
        )  # fmt: skip

    def height_mm(self, at_mm: Floats | float) -> Floats:
        """Return heights of the edge [mm] at places along it [mm]."""
        along = np.asarray(at_mm, dtype=float) - self.left_mm
        return np.asarray(self.left_height_mm + self.slope_mm_per_m * along / 1000, dtype=float)


def rest(at_mm: Floats, heights_mm: Floats) -> Rest:
    """Lay a rigid edge down.

    Its weight takes its middle as low as it can get: it lies on the facet of the upper hull of
    what is under it that spans its middle. Where the middle itself is a contact (to a millionth
    of a millimetre), two facets meet there, and it lies on the longer one, as it is steadier;
    of two of one length on the flatter one; of two that mirror each other on the left one. So it
    lies on the same contacts whichever end is called left, but for a mirror image of itself.

    Parameters
    ----------
    at_mm : ndarray, shape (n,)
        Places along the edge, strictly rising, from its one end to its other [mm].
    heights_mm : ndarray, shape (n,)
        Heights of what is under it [mm].

    Raises
    ------
    Refusal
        Where there are not two places to lie on.
    """
    at, z = np.asarray(at_mm, dtype=float), np.asarray(heights_mm, dtype=float)
    if len(at) < 2:
        raise refuse("edge", f"{len(at)} places under it", "two or more")
    hull = [0, len(at) - 1] if _spanned(at, z) else _upper_hull(at.tolist(), z.tolist())
    middle = float(at[0] + at[-1]) / 2
    facets = [
        Rest(float(at[a]), float(at[b]), float(z[a]), float(z[b]), middle, False)
        for a, b in itertools.pairwise(hull)
    ]
    spans = [one for one in facets if _reaches(one, middle, _SAME)]
    carries = max(spans, key=_steadiness)
    return replace(carries, rocks=_rocks(facets, middle, float(at[-1] - at[0])))


def _reaches(facet: Rest, place: float, near: float) -> bool:
    return facet.left_mm <= place + near and facet.right_mm >= place - near


def _steadiness(facet: Rest) -> tuple[float, float]:
    """Return what a facet is chosen by: its length, then its flatness, round-off apart."""
    long = round((facet.right_mm - facet.left_mm) / _SAME)
    return float(long), -float(round(abs(facet.slope_mm_per_m) / 1000 / _SAME))


def _rocks(facets: Sequence[Rest], middle: float, long: float) -> bool:
    """Tell whether contacts near the middle let the edge tip far enough to be felt."""
    near = [one for one in facets if _reaches(one, middle, ROCKS_WITHIN * long + _SAME)]
    return near[0].slope_mm_per_m - near[-1].slope_mm_per_m > FELT_MM_PER_M


def _spanned(at: Floats, z: Floats) -> bool:
    """Tell whether all lies clear below the line from end to end: its ends alone are the hull."""
    line = z[0] + (z[-1] - z[0]) * (at - at[0]) / (at[-1] - at[0])
    return bool(np.all(z[1:-1] < line[1:-1] - _SAME))


def _upper_hull(at: list[float], z: list[float]) -> list[int]:
    """Return the places of the upper hull from left to right (Andrew's monotone chain).

    Lists, as numpy's arrays take four times as long number by number.
    """
    hull: list[int] = []
    for place in range(len(at)):
        while len(hull) > 1:
            a, b = hull[-2], hull[-1]
            turn = (at[b] - at[a]) * (z[place] - z[a]) - (z[b] - z[a]) * (at[place] - at[a])
            if turn < 0:
                break
            hull.pop()
        hull.append(place)
    return hull
