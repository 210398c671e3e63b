"""Tools that look at each place once: attempts at one task lay and read at the same places."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from kit.practice.draws import Floats
from kit.practice.moves import Place
from kit.practice.rest import Rest
from kit.practice.tools import Tools

#: Ends of an edge and packers under them [mm].
Lying = tuple[Place, Place, tuple[float, float]]


@dataclass(frozen=True)
class KeptTools(Tools):
    """Tools that keep how an edge lay, and heights that were looked at."""

    def lie(self, start: Place, end: Place, under_mm: tuple[float, float]) -> Rest:
        """Return how an edge lies; see `Tools.lie`."""
        key = (start, end, under_mm)
        if key not in self._lain:
            self._lain[key] = self._lie(key)
        return self._lain[key]

    def line_mm(self, first: Place, last: Place, at_mm: Floats) -> Floats:
        """Return heights along a line; see `Tools.line_mm`.

        The kept array is handed out read-only.
        """
        key = (first, last, len(at_mm))
        if key not in self._lines:
            self._lines[key] = Tools.line_mm(self, first, last, at_mm)
            self._lines[key].setflags(write=False)
        return self._lines[key]

    def stands_mm(self, place: Place) -> float:
        """Return the height at a place; see `Tools.stands_mm`."""
        if place not in self._stands:
            self._stands[place] = Tools.stands_mm(self, place)
        return self._stands[place]

    def gives_mm(self, place: Place) -> float:
        """Return how far the floor goes down at a place; see `Tools.gives_mm`."""
        if place not in self._gives:
            self._gives[place] = Tools.gives_mm(self, place)
        return self._gives[place]

    def _lie(self, key: Lying) -> Rest:
        return Tools.lie(self, *key)

    @cached_property
    def _lain(self) -> dict[Lying, Rest]:
        return {}

    @cached_property
    def _lines(self) -> dict[tuple[Place, Place, int], Floats]:
        return {}

    @cached_property
    def _stands(self) -> dict[Place, float]:
        return {}

    @cached_property
    def _gives(self) -> dict[Place, float]:
        return {}
