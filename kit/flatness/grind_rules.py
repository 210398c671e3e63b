"""What may be done to a floor that is ground and filled."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from kit.flatness.grind_programme import Bounds
from kit.job import refuse

Bools = NDArray[np.bool_]
Ways = Literal["both", "grind", "fill"]


@dataclass(frozen=True)
class GrindRules:
    """What may be done to a floor.

    Parameters
    ----------
    ways : {"both", "grind", "fill"}
    most_grind_mm, most_fill_mm : float
        The most that may be ground off and filled in anywhere [mm].
    skim_mm : float
        Where only filled: the least that every cell gets, the whole floor being skimmed [mm].
    ground_weight : float
        What a litre ground off weighs beside a litre filled in, above 0.
    """

    ways: Ways = "both"
    most_grind_mm: float = math.inf
    most_fill_mm: float = math.inf
    skim_mm: float = 0.0
    ground_weight: float = 1.0

    def __post_init__(self) -> None:
        if self.ways not in ("both", "grind", "fill"):
            raise refuse("grind rules, ways", repr(self.ways), "'both', 'grind' or 'fill'")
        for name in ("most_grind_mm", "most_fill_mm", "skim_mm"):
            if not getattr(self, name) >= 0:
                raise refuse(f"grind rules, {name}", f"{getattr(self, name):g}", "0 mm or more")
        if not 0 < self.ground_weight < math.inf:
            found = f"{self.ground_weight:g}"
            raise refuse("grind rules, ground_weight", found, "a number above 0")
        if self.skim_mm > 0 and (self.ways != "fill" or self.skim_mm > self.most_fill_mm):
            found = f"{self.skim_mm:g} mm, ways {self.ways!r}"
            raise refuse("grind rules, skim_mm", found, "at most most_fill_mm, with ways 'fill'")

    def bounds(self, touched: Bools) -> Bounds:
        """Return what they allow of each cell; nothing of those that are not touched (ny, nx)."""
        fill, grind = self.ways != "grind", self.ways != "fill"
        free = touched.ravel()
        return Bounds(
            np.where(free, self.most_fill_mm if fill else 0.0, 0.0),
            np.where(free, self.most_grind_mm if grind else 0.0, 0.0),
            self.ground_weight,
        )


#: Grind and fill as much as it takes, a litre for a litre.
ANYTHING = GrindRules()
