"""Both bases at one position of a setting."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from kit.side_by_side.comparison import Row
from kit.side_by_side.doubt import NOT_DRAWN
from kit.side_by_side.measure import Measure


@dataclass(frozen=True, eq=False)
class Side:
    """One base at one position.

    Parameters
    ----------
    measures : mapping of str to Measure
        By key; empty where it cannot be built.
    refused : str
        Why it cannot be built; empty where it can.
    supports : int
        How many supports it has; 0 where it cannot be built.
    """

    measures: Mapping[str, Measure]
    refused: str = ""
    supports: int = 0

    def value(self, key: str) -> float:
        """Return one figure; nan where there is none."""
        return self.measures[key].value if key in self.measures else math.nan


@dataclass(frozen=True, eq=False)
class Stop:
    """Both bases at one position of a setting."""

    value: float
    a: Side
    b: Side

    def winner(self, key: str) -> str:
        """Return which is better by a measure: "a", "b"; empty where neither is or none is known.

        Where only one can be built, that one is.
        """
        if bool(self.a.refused) != bool(self.b.refused):
            return "b" if self.a.refused else "a"
        one, other = self.a.measures.get(key), self.b.measures.get(key)
        if one is None or other is None:
            return ""
        return Row(one, other, NOT_DRAWN).winner
