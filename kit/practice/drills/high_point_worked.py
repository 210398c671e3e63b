"""A sound way to the high point: staff every 300 mm, then closer about the highest."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from kit.practice.drill import Worked
from kit.practice.drills.high_point_floor import LIMIT_MM, Bearers, Top
from kit.practice.fields import number
from kit.practice.floors import Patch
from kit.practice.moves import Done, Move, OnPlan, Place, Seen
from kit.practice.tools import Tools, place_words, read_at, tread_at

#: Staff along a bearer at most so far apart [mm]: the narrowest hump is 700 mm from foot to foot,
#: so that one of the readings is on its upper half.
#: Where that misses the top (about one floor in a thousand), a closer look is worked.
_APART_MM = (300.0, 200.0, 120.0)

#: Closer looks: so far from every place that stands over its neighbours and is not lower than the
#: best by more [mm], towards the higher neighbour, where the top is.
_CLOSER = ((150.0, 2.5), (75.0, 0.5))

#: A last look so far to both sides of the best, and to both edges of the bearer [mm].
_LAST_MM, _EDGE_MM = 75.0, 20.0

#: A reading nearer than this to another tells nothing new [mm].
_NEAR_MM = 18.0


@dataclass
class _Survey:
    """The survey as it goes: moves, and heights against the line of the laser, as pressed down."""

    tools: Tools
    done: tuple[Done, ...] = ()
    height_mm: dict[Place, float] = field(default_factory=dict)
    gives_mm: dict[Place, float] = field(default_factory=dict)

    def do(self, move: Move) -> Seen:
        self.done = (*self.done, Done(move, self.tools.do(self.done, move)))
        return self.done[-1].seen

    def read(self, place: Place) -> None:
        """Hold the staff somewhere, unless somewhere near has been read."""
        if all(math.dist(place, other) >= _NEAR_MM for other in self.height_mm):
            self.height_mm[place] = -number(self.do(read_at(place)).figures, "reading_mm")

    def high(self, within_mm: float) -> list[Place]:
        """Put a foot on everything that is high; return what stays so near to the best."""
        while True:
            best = max(self.height_mm.values())
            high = [p for p, height in self.height_mm.items() if height >= best - within_mm]
            if all(place in self.gives_mm for place in high):
                return high
            for place in high:
                self._tread(place)

    def crests(self, within_mm: float) -> list[Place]:
        """Return what is high and not lower than its neighbours along the bearer."""
        return [
            place
            for place in self.high(within_mm)
            if all(self.height_mm[n] <= self.height_mm[place] for n in self.neighbours(place))
        ]

    def neighbours(self, place: Place) -> list[Place]:
        """Return the nearest places read on both sides along the same bearer, if there are."""
        row = sorted(other for other in self.height_mm if other[1] == place[1])
        at = row.index(place)
        return [*row[max(at - 1, 0) : at], *row[at + 1 : at + 2]]

    def best(self) -> Place:
        """Return the highest place that a foot has been on."""
        return max(self.high(0.0), key=lambda place: self.height_mm[place])

    def surrounded(self, best: Place, bearers: Bearers) -> bool:
        """Look on all four sides of the best; tell whether it is still the best."""
        for x, y in ((_LAST_MM, 0.0), (-_LAST_MM, 0.0), (0.0, _EDGE_MM), (0.0, -_EDGE_MM)):
            beside = (round(best[0] + x, 1), best[1] + y)
            if bearers.under(beside):
                self.read(beside)
        return self.height_mm[best] >= self.height_mm[self.best()]

    def _tread(self, place: Place) -> None:
        if place not in self.gives_mm:
            gives = number(self.do(tread_at(place)).figures, "gives_mm")
            self.gives_mm[place] = gives
            self.height_mm[place] -= gives


def worked(tools: Tools, bearers: Bearers, top: Top) -> Worked:
    """Work the drill, where the high point is known."""
    for apart in _APART_MM:
        survey, best = _surveyed(tools, bearers, apart)
        carried = float(tools.floor.carried_mm(np.array(best[0]), np.array(best[1])))
        if top.height_mm - carried <= LIMIT_MM:
            break
    return Worked(
        {"place": best},
        survey.done,
        _why(survey, apart, best),
        (("Readings", _table(survey)),),
        (OnPlan("place", (top.place,), "high point"),),
        (tools.floor,),
    )


def _surveyed(tools: Tools, bearers: Bearers, apart: float) -> tuple[_Survey, Place]:
    """Return a survey with readings so far apart, closer where it is high, and its best place."""
    survey = _Survey(tools)
    survey.do(Move("set_up"))
    for patch in bearers.both:
        for place in _rows(patch, apart):
            survey.read(place)
    for aside, within in _CLOSER:
        for place in survey.crests(within):
            for beside in _beside(place, aside, survey):
                survey.read(beside)
    best = survey.best()
    while not survey.surrounded(best, bearers):
        best = survey.best()
    return survey, best


def _rows(patch: Patch, apart: float) -> Iterator[Place]:
    """Yield places along the middle of a bearer, evenly, both ends too."""
    parts = math.ceil(patch.width_mm / apart)
    for part in range(parts + 1):
        x = round(patch.left_mm + part / parts * patch.width_mm, 1)
        yield x, patch.back_mm + patch.depth_mm / 2


def _beside(place: Place, aside: float, survey: _Survey) -> Iterator[Place]:
    """Yield the place so far aside towards the higher neighbour, both where they are alike."""
    sides = survey.neighbours(place)
    high = max(survey.height_mm[side] for side in sides)
    for side in sides:
        if survey.height_mm[side] == high:
            way = math.copysign(min(aside, abs(side[0] - place[0]) / 2), side[0] - place[0])
            yield round(place[0] + way, 1), place[1]


def _why(survey: _Survey, apart: float, best: Place) -> tuple[str, ...]:
    moved = [(place, gives) for place, gives in survey.gives_mm.items() if gives > 0]
    boards = tuple(
        f"At {place_words(place)} the floor goes down {gives:g} mm under a foot: it counts as "
        f"it lies under the load, {gives:g} mm lower than the staff says."
        for place, gives in moved
    )
    return (
        f"One set-up; readings no more than {apart:g} mm apart along both bearers, then closer "
        f"ones about the highest: {len(survey.height_mm)} in all. The least reading is the "
        "highest floor.",
        *boards,
        f"The highest firm floor that was read is at {place_words(best)}, "
        f"{-survey.height_mm[best]:g} mm under the line of the laser.",
    )


def _table(survey: _Survey) -> pd.DataFrame:
    return pd.DataFrame(
        [
            (x, y, -(height + survey.gives_mm.get((x, y), 0.0)), survey.gives_mm.get((x, y), 0.0))
            for (x, y), height in survey.height_mm.items()
        ],
        columns=["x_mm", "y_mm", "reading_mm", "gives_mm"],
    )
