"""Tools that work out each lie of an edge once: attempts at one task lay it at the same places."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from kit.practice.moves import Place
from kit.practice.rest import Rest
from kit.practice.tools import Tools

#: Ends of an edge and packers under them [mm].
Lying = tuple[Place, Place, tuple[float, float]]


@dataclass(frozen=True)
class KeptTools(Tools):
    """Tools that keep how an edge lay."""

    def lie(self, start: Place, end: Place, under_mm: tuple[float, float]) -> Rest:
        """Return how an edge lies; see `Tools.lie`."""
        key = (start, end, under_mm)
        if key not in self._lain:
            self._lain[key] = self._lie(key)
        return self._lain[key]

    def _lie(self, key: Lying) -> Rest:
        return Tools.lie(self, *key)

    @cached_property
    def _lain(self) -> dict[Lying, Rest]:
        return {}
