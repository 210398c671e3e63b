"""What was looked at for the high point, and what was answered, as the marking sees it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kit.practice.drills.high_point_floor import LIMIT_MM, Bearers, Top, top_under
from kit.practice.drills.own_error_mark import one_lie_turned
from kit.practice.fields import number, numbers
from kit.practice.floors import PracticeFloor
from kit.practice.instruments import EDGE_LENGTH_MM, LEVEL_LENGTHS_MM
from kit.practice.moves import Done, Place

#: A pencil mark beside the bearer still is under it [mm].
_PENCIL_MM = 10.0

#: An answer so near to a place that was read means that place [mm].
_MEANT_MM = 50.0

#: What was looked at so near to an answer off the base led to it [mm].
_NEAR_MM = 300.0

#: Readings farther apart along a bearer than this leave room for a hump [mm]: half as much again
#: as the 300 mm that are taught.
_APART_MM = 450.0


@dataclass(frozen=True)
class Staff:
    """A reading: where, in which set-up, and how much [mm]."""

    place: Place
    set_up: int
    reading_mm: float


@dataclass(frozen=True)
class Case:
    """An answer on a floor, and what was looked at.

    Parameters
    ----------
    floor, bearers, top
        The truth.
    done : sequence of Done
        Moves.
    place : Place
        The answer [mm].
    """

    floor: PracticeFloor
    bearers: Bearers
    top: Top
    done: Sequence[Done]
    place: Place

    @cached_property
    def missed_mm(self) -> float:
        """How much higher the highest floor is than the place that was answered."""
        return self.top.height_mm - self.carried_mm(self.place)

    @cached_property
    def looked_carried_mm(self) -> dict[Place, float]:
        """Carried heights of places that were looked at under the bearers."""
        places = list(self.looked_under)
        if not places:
            return {}
        x, y = np.array(places).T
        return dict(zip(places, self.floor.carried_mm(x, y).tolist(), strict=True))

    def carried_mm(self, place: Place) -> float:
        """Return the carried height of a place."""
        return float(self.floor.carried_mm(np.array(place[0]), np.array(place[1])))

    def stands_mm(self, place: Place) -> float:
        """Return the height of a place as the floor lies."""
        return float(self.floor.heights_mm(np.array(place[0]), np.array(place[1])))

    @cached_property
    def proud_mm(self) -> float:
        """How far the place that was answered stands over what it is under a load."""
        return self.stands_mm(self.place) - self.carried_mm(self.place)

    @property
    def on_base(self) -> bool:
        """Whether a bearer lies on the place that was answered."""
        return bool(self.under(self.place))

    def under(self, place: Place) -> tuple[str, ...]:
        """Return which bearers lie on a place, a pencil mark aside."""
        return self.bearers.under(place, _PENCIL_MM)

    @cached_property
    def looked(self) -> list[Place]:
        """Places where a staff stood, a gauge was pushed or an instrument was seen to touch."""
        return [place for one in self.done for place in _places(one)]

    @cached_property
    def looked_under(self) -> list[Place]:
        """Those of them that a bearer lies on."""
        return [place for place in self.looked if self.under(place)]

    @cached_property
    def rows(self) -> set[str]:
        """Which bearers anything was read under."""
        return {row for place in self.looked_under for row in self.under(place)}

    @cached_property
    def reach(self) -> Top:
        """The highest floor under those bearers that were looked at: what could be found."""
        if len(self.rows) != 1:
            return self.top
        patch = self.bearers.back if "back" in self.rows else self.bearers.front
        return top_under(self.floor, (patch,))

    @cached_property
    def staff(self) -> list[Staff]:
        """Readings of the staff, the last of each place in each set-up."""
        last = {
            (_at(one), int(number(one.seen.figures, "set_up"))): number(
                one.seen.figures, "reading_mm"
            )
            for one in self.done
            if one.move.kind == "read"
        }
        return [Staff(*key, reading) for key, reading in last.items()]

    @property
    def unturned(self) -> int:
        """How many lies of levels that were never turned end for end heights can be from.

        None where a staff was held as often: then heights are from the staff.
        """
        laid = [one for one in self.done if one.move.kind == "lay"]
        lies = 0
        for level in LEVEL_LENGTHS_MM:
            of_it = [one for one in laid if one.move.values["level"] == level]
            lies += 0 if _turned(of_it) else len(of_it)
        return lies if lies > len(self.staff) else 0

    def least_read(self) -> bool:
        """Tell whether the staff read least, of all set-ups, at the place that was answered."""
        least = min((one.reading_mm for one in self.staff), default=math.inf)
        return any(one.reading_mm == least and self._meant(one.place) for one in self.staff)

    def most_read(self) -> tuple[Staff, ...]:
        """Return the least and the greatest reading of a set-up where this is the greatest."""
        for set_up in {one.set_up for one in self.staff}:
            some = sorted(
                (one for one in self.staff if one.set_up == set_up), key=lambda s: s.reading_mm
            )
            most = [one for one in some if one.reading_mm == some[-1].reading_mm]
            if len(some) > 2 and any(self._meant(one.place) for one in most):
                return some[0], some[-1]
        return ()

    def _meant(self, place: Place) -> bool:
        return math.dist(self.place, place) <= _MEANT_MM

    @property
    def looked_near(self) -> bool:
        """Whether anything off the base was looked at near the place that was answered."""
        return any(
            not self.under(place) and math.dist(place, self.place) <= _NEAR_MM
            for place in self.looked
        )

    @cached_property
    def found(self) -> list[Place]:
        """Places that were looked at and are as high as could be found, within the limit."""
        enough = self.reach.height_mm - LIMIT_MM
        return [place for place, height in self.looked_carried_mm.items() if height >= enough]

    @property
    def stepped_over(self) -> bool:
        """Whether what was looked at leaves a gap at the highest floor, and missed it."""
        x, _ = self.reach.place
        rows = set(self.bearers.under(self.reach.place))
        along = [at[0] for at in self.looked_under if rows & set(self.under(at))]
        left, right = [a for a in along if a <= x], [a for a in along if a >= x]
        ends = self.bearers.back.left_mm, self.bearers.back.left_mm + self.bearers.back.width_mm
        gap = min(right, default=ends[1]) - max(left, default=ends[0])
        return not self.found and gap > _APART_MM

    @cached_property
    def took_a_board(self) -> bool:
        """Whether a board that moves was taken for the highest.

        It stands as high as anything that was looked at, and no foot was on it; or a foot was, the
        staff read least on it, and firm floor that was looked at is higher.
        """
        if self.proud_mm <= 0 or not self.looked:
            return False
        scene = self.looked_under if self.on_base else self.looked
        highest = max((self.stands_mm(place) for place in scene), default=-math.inf)
        firm = max((self.carried_mm(place) for place in scene), default=-math.inf)
        if self.trodden:
            return self.least_read() and firm > self.carried_mm(self.place) + LIMIT_MM
        return self.stands_mm(self.place) >= highest - LIMIT_MM

    @property
    def trodden(self) -> bool:
        """Whether a foot found the board that moves: nothing else moves on this floor."""
        return any(
            number(one.seen.figures, "gives_mm") > 0
            for one in self.done
            if one.move.kind == "tread"
        )


def _turned(laid: Sequence[Done]) -> bool:
    return any(one_lie_turned(a, b) for at, a in enumerate(laid) for b in laid[at + 1 :])


def _at(one: Done) -> Place:
    x, y = numbers(one.move.values, "at")
    return float(x), float(y)


def _places(one: Done) -> list[Place]:
    """Return where a move looked at the floor."""
    if one.move.kind == "read":
        return [_at(one)]
    if one.move.kind == "gap":
        return [one.seen.on_plan[0].places_mm[0]]
    return list(_touched(one)) if one.move.kind in ("lay", "edge") else []


def _touched(one: Done) -> Iterator[Place]:
    """Yield where a level or an edge was seen to touch, on the floor or on a packer."""
    (start, end), long = one.seen.on_plan[0].places_mm, _long_mm(one)
    for at in numbers(one.seen.figures, "touches_mm"):
        share = at / long
        yield start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])


def _long_mm(one: Done) -> float:
    lay = one.move.kind == "lay"
    return LEVEL_LENGTHS_MM[str(one.move.values["level"])] if lay else EDGE_LENGTH_MM
