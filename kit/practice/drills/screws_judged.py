"""Screws as they were answered, judged by where each point ends and by how far it bites."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from kit.base.screws import StackAt, Step
from kit.practice.drills.screws_site import RESERVE_MM, SCREWS_MM, Site

#: Limits are closed, as in `kit.base.screws` [mm].
CLOSED_MM = 1e-9

#: Whether nothing may enter the floor at a stack; both where either may have been meant.
Warm = Mapping[str, tuple[bool, ...]]


@dataclass(frozen=True)
class Screw:
    """One screw as answered: `length_mm` is nan for none."""

    stack: StackAt
    step: Step
    length_mm: float

    @property
    def name(self) -> str:
        """As it is spoken of."""
        return f"{self.stack.support} {self.step.name} screw"

    @property
    def is_none(self) -> bool:
        """Whether there is none."""
        return math.isnan(self.length_mm)

    def point_mm(self, head_mm: float) -> float:
        """Return how deep its point ends below the floor [mm]; nan where there is none."""
        return self.length_mm + head_mm - self.step.above_mm

    def bites_mm(self, head_mm: float) -> float:
        """Return how much of it is in what is to hold it [mm]."""
        return self.length_mm + head_mm - self.step.passes_mm

    def fits(self, deepest_mm: float, head_mm: float, *, warm: bool) -> bool:
        """Tell whether it bites and keeps the depth; none, whether none in the van does."""
        if self.is_none:
            return not self.serving(deepest_mm, head_mm, warm=warm)
        return not (warm and self.step.name == "base") and self._in_range(
            self.length_mm, deepest_mm, head_mm, warm=warm
        )

    def serving(self, deepest_mm: float, head_mm: float, *, warm: bool) -> list[float]:
        """Return the lengths in the van that serve [mm]."""
        if warm and self.step.name == "base":
            return []
        return [one for one in SCREWS_MM if self._in_range(one, deepest_mm, head_mm, warm=warm)]

    def is_longest(self, deepest_mm: float, head_mm: float, *, warm: bool) -> bool:
        """Tell whether it is the longest in the van that serves; none, whether none does."""
        serving = self.serving(deepest_mm, head_mm, warm=warm)
        return self.is_none if not serving else self.length_mm == max(serving)

    def _in_range(self, length: float, deepest_mm: float, head_mm: float, *, warm: bool) -> bool:
        deepest = 0.0 if warm else deepest_mm
        bites = length + head_mm - self.step.passes_mm >= self.step.bite_mm - CLOSED_MM
        return bites and length + head_mm - self.step.above_mm <= deepest + CLOSED_MM


@dataclass(frozen=True)
class Judged:
    """Screws as answered, with what was known of the floor when they were chosen."""

    site: Site
    screws: tuple[Screw, ...]
    warm: Warm
    board_mm: float

    def wrong(self, head_mm: float) -> list[Screw]:
        """Return the screws that do not fit."""
        return [one for one in self.screws if not self.fits(one, head_mm)]

    def fits(self, one: Screw, head_mm: float) -> bool:
        """Tell whether a screw fits what was known."""
        deepest = self.board_mm - RESERVE_MM
        states = self.warm[one.stack.support]
        return any(one.fits(deepest, head_mm, warm=warm) for warm in states)

    def as_reckoned(self, head_mm: float) -> int:
        """Return how many screws are the longest that serves by what was known.

        Or none, where none serves.
        """
        deepest = self.board_mm - RESERVE_MM
        return sum(
            any(
                one.is_longest(deepest, head_mm, warm=warm) for warm in self.warm[one.stack.support]
            )
            for one in self.screws
        )

    def spared(self, one: Screw) -> bool:
        """Tell whether nothing may enter the floor at a screw's stack."""
        return False not in self.warm[one.stack.support]

    def too_deep_mm(self, one: Screw) -> float:
        """Return by how much its point ends deeper than it may [mm]; not above 0 where it may."""
        deepest = 0.0 if self.spared(one) else self.board_mm - RESERVE_MM
        return one.point_mm(self.site.countersink_mm) - deepest - CLOSED_MM
