"""How a rigid edge comes to rest on what lies under it."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from kit.job import refuse
from kit.practice.draws import Floats

#: Within this share of its length of the middle, a contact lets the edge rock [mm/mm].
ROCKS_WITHIN = 0.01


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
        A contact lies so near to the middle that a finger tips it to the other side.
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

    def height_mm(self, at_mm: Floats | float) -> Floats:
        """Return heights of the edge [mm] at places along it [mm]."""
        along = np.asarray(at_mm, dtype=float) - self.left_mm
        return np.asarray(self.left_height_mm + self.slope_mm_per_m * along / 1000, dtype=float)


def rest(at_mm: Floats, heights_mm: Floats) -> Rest:
    """Lay a rigid edge down.

    Its weight takes its middle as low as it can get: it lies on the facet of the upper hull of
    what is under it that spans its middle. Where the middle itself is a contact, two facets meet
    there, and it lies on the longer one.

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
    hull = _upper_hull(at, z)
    middle = (at[0] + at[-1]) / 2
    spans = [
        (a, b) for a, b in itertools.pairwise(hull) if at[a] <= middle <= at[b]
    ]  # two where the middle is a contact
    left, right = max(spans, key=lambda span: at[span[1]] - at[span[0]])
    inner = [at[k] for k in hull[1:-1]]
    near = ROCKS_WITHIN * (at[-1] - at[0])
    rocks = any(abs(place - middle) <= near for place in inner)
    return Rest(
        float(at[left]), float(at[right]), float(z[left]), float(z[right]), float(middle), rocks
    )


def _upper_hull(at: Floats, z: Floats) -> list[int]:
    """Return the places of the upper hull from left to right (Andrew's monotone chain)."""
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
