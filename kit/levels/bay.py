"""What the search for zones works on: bays, ties between them, and the steps that may be."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kit.base.stack_rules import SLACK, Ints

Tell = Callable[[float], None]


@dataclass(frozen=True, eq=False)
class Way:
    """The supports of a bay, where it is joined to its neighbours or ends a zone.

    Parameters
    ----------
    names : tuple of str
        Its supports.
    offset : (n,) array
        Floor less lift at each: target = level - offset [units].
    why_not : str
        Why it cannot stand so; empty where it can.
    """

    names: tuple[str, ...]
    offset: Ints
    why_not: str = ""


@dataclass(frozen=True, eq=False)
class Bay:
    """What the level of one bay must keep to.

    Parameters
    ----------
    name : str
        Its name.
    ways : tuple of 4 Way
        Its supports: alone, joined to the right, joined to the left, joined on both sides.
    low : int
        Its level is not lower [units].
    reach : int
        Its zone is not higher than the highest of its bays' reaches [units].
    cap : int
        Its level is not higher [units].
    """

    name: str
    ways: tuple[Way, Way, Way, Way]
    low: int
    reach: int
    cap: int

    def way(self, *, left: bool, right: bool) -> Way:
        """Return its supports where it is joined to the left, to the right."""
        return self.ways[2 * left + right]


@dataclass(frozen=True)
class StepRule:
    """Least and greatest step between neighbouring zones [units], both included."""

    least: int
    greatest: int

    def allows(self, one: Ints | int, other: Ints | int) -> NDArray[np.bool_]:
        """Tell which pairs of levels may be neighbours: one and the same, or a step apart."""
        apart = np.abs(np.asarray(one) - np.asarray(other))
        step = (apart >= self.least - SLACK) & (apart <= self.greatest + SLACK)
        return np.asarray((apart == 0) | step)


@dataclass(frozen=True)
class Tie:
    """Two bays that are neighbours: on one level, or a step apart.

    Parameters
    ----------
    first, second : int
        Their numbers.
    in_run : bool
        Whether the second stands right of the first in one run: on one level they then share
        bearers and stacks and are one zone. Otherwise only their levels are tied.
    """

    first: int
    second: int
    in_run: bool = True
