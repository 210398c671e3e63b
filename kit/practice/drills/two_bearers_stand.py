"""How two stiff bearers lie on their stacks, and the made task of levelling them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
import pandas as pd

from kit.job import refuse
from kit.practice.draws import Draws, Floats
from kit.practice.floors import PracticeFloor, make_floor
from kit.practice.grades import Grade
from kit.practice.instruments import Bag, pack_bag
from kit.practice.rest import Rest, rest

#: Bearers, by the row that they lie in, and the ends of each.
ROWS, ENDS = ("back", "front"), ("left", "right")

#: What is in the bag, as many of each as are wanted [mm].
PACKERS_MM = (10.0, 5.0, 3.0, 2.0, 1.0, 0.5, 0.3, 0.2)

#: Thin packers that make so many tenths of a millimetre [mm].
_THIN_MM: Mapping[int, tuple[float, ...]] = {
    0: (), 2: (0.2,), 3: (0.3,), 4: (0.2, 0.2), 5: (0.5,), 6: (0.3, 0.3), 7: (0.5, 0.2),
    8: (0.5, 0.3), 9: (0.5, 0.2, 0.2), 11: (0.5, 0.3, 0.3),
}  # fmt: skip

#: A bearer's ends stand over its outer stacks by so much; centre of the back bearer from the
#: wall [mm].
OVERHANG_MM, BACK_MM = 50.0, 60.0

#: Steps in which a bearer's top is looked at under a level [mm]; its true places are added.
_SEAT_MM = 20.0

_STACKS = 4

#: Height of a true stack over the highest floor under any [mm], about.
_BASE_MM = 25.0


@dataclass(frozen=True)
class Hollow:
    """What a bearer's top lacks between two stacks.

    Parameters
    ----------
    depth_mm : float
        In its deepest place [mm].
    share : float
        Where that is, as a share of the way from the left stack to the right one.
    """

    depth_mm: float
    share: float

    def below_mm(self, way: Floats) -> Floats:
        """Return how far the top lies below its true places [mm] at shares of the way."""
        rising, falling = way / self.share, (1 - way) / (1 - self.share)
        part = np.clip(np.minimum(rising, falling), 0.0, 1.0)
        return np.asarray(self.depth_mm * (1 - np.cos(np.pi * part)) / 2, dtype=float)


@lru_cache(maxsize=512)
def _lies(at_mm: tuple[float, ...], under_mm: tuple[float, ...]) -> Rest:
    """Return how a stiff bearer lies; kept, as one lie is looked at many times over."""
    return rest(np.array(at_mm), np.array(under_mm))


@dataclass(frozen=True)
class Bearer:
    """A stiff bearer, loose on its stacks.

    Parameters
    ----------
    row : str
        back | front.
    y_mm : float
        Of its centre line [mm].
    at_mm : tuple of float
        Middles of its stacks, from its left end [mm].
    floor_mm : tuple of float
        Heights of the floor under them [mm].
    hollows : tuple of Hollow
        Of its top, one between each two stacks.
    """

    row: str
    y_mm: float
    at_mm: tuple[float, ...]
    floor_mm: tuple[float, ...]
    hollows: tuple[Hollow, ...]

    @cached_property
    def stacks(self) -> tuple[str, ...]:
        """Names of its stacks from the left."""
        return tuple(f"{self.row[0].upper()}{place + 1}" for place in range(len(self.at_mm)))

    @property
    def length_mm(self) -> float:
        """From end to end [mm]."""
        return self.at_mm[-1] + OVERHANG_MM

    @property
    def over_mm(self) -> float:
        """From its first stack to its last [mm]."""
        return self.at_mm[-1] - self.at_mm[0]

    def lies(self, packed_mm: Mapping[str, float]) -> Rest:
        """Return how it lies on stacks of such heights [mm], nobody touching it."""
        return _lies(self.at_mm, self._under_mm(packed_mm))

    def ends_mm(self, packed_mm: Mapping[str, float]) -> tuple[float, float]:
        """Return heights [mm] of its true places over the outer stacks."""
        lies = self.lies(packed_mm)
        return float(lies.height_mm(self.at_mm[0])), float(lies.height_mm(self.at_mm[-1]))

    def drop_mm(self, packed_mm: Mapping[str, float], end: str) -> float:
        """Return how far an end goes down [mm] when it is pressed over its outer stack.

        It turns about what it touches until it bears there.
        """
        place = ENDS.index(end)
        under = self._under_mm(packed_mm)
        outer = (under[0], under[-1])[place]
        return max(self.ends_mm(packed_mm)[place] - outer, 0.0)

    def seat(self, packed_mm: Mapping[str, float], start_mm: float, long_mm: float) -> Rest:
        """Return how a level lies on its top, from such a place on, places from the level's end."""
        lies = self.lies(packed_mm)
        grid = start_mm + np.linspace(0.0, long_mm, round(long_mm / _SEAT_MM) + 1)
        inside = [at for at in self.at_mm if start_mm < at < start_mm + long_mm]
        places = np.union1d(grid, inside)
        return rest(places - start_mm, lies.height_mm(places) - self._below_mm(places))

    def _under_mm(self, packed_mm: Mapping[str, float]) -> tuple[float, ...]:
        return tuple(
            floor + packed_mm[stack]
            for floor, stack in zip(self.floor_mm, self.stacks, strict=True)
        )

    def _below_mm(self, places_mm: Floats) -> Floats:
        total = np.zeros(len(places_mm))
        for hollow, left, right in zip(self.hollows, self.at_mm, self.at_mm[1:], strict=False):
            total += hollow.below_mm((places_mm - left) / (right - left))
        return total


@dataclass(frozen=True)
class Left:
    """How both bearers stand.

    Parameters
    ----------
    along_mm_per_m : mapping of str to float
        Rise to the right of each bearer, by its row [mm/m].
    across_mm_per_m : mapping of str to float
        Rise from back to front at each end [mm/m].
    drop_mm : mapping of (str, str) to float
        How far each end goes down when it is pressed, by row and end [mm].
    """

    along_mm_per_m: Mapping[str, float]
    across_mm_per_m: Mapping[str, float]
    drop_mm: Mapping[tuple[str, str], float]

    def table(self) -> pd.DataFrame:
        """Return it in words and figures."""
        rows = [
            *((f"{row} bearer rises to the right, mm/m", v) for row, v in
              self.along_mm_per_m.items()),
            *((f"{end} end rises to the front, mm/m", v) for end, v in
              self.across_mm_per_m.items()),
            *((f"{row} bearer goes down at its {end} end, mm", v) for (row, end), v in
              self.drop_mm.items()),
        ]  # fmt: skip
        return pd.DataFrame(
            {"what": [what for what, _ in rows], "figure": [round(v, 2) + 0.0 for _, v in rows]}
        )


@dataclass(frozen=True)
class Stand:
    """Two bearers on a floor, as they are found, and the levels to be used on them.

    Parameters
    ----------
    floor : PracticeFloor
        What the stacks stand on.
    left_mm : float
        Left ends of both bearers, along the wall [mm].
    back, front : Bearer
        Both.
    packers : mapping of str to tuple of float
        Packers in each stack as found, from the floor up [mm].
    bag : Bag
        Levels.
    """

    floor: PracticeFloor
    left_mm: float
    back: Bearer
    front: Bearer
    packers: Mapping[str, tuple[float, ...]]
    bag: Bag

    @property
    def across_mm(self) -> float:
        """From centre to centre of both bearers [mm]."""
        return self.front.y_mm - self.back.y_mm

    def bearer(self, row: str) -> Bearer:
        """Return the bearer of a row."""
        return self.back if row == "back" else self.front

    def across_mm_per_m(self, packed_mm: Mapping[str, float], end: str) -> float:
        """Return how far the front stands over the back at an end [mm/m]."""
        place = ENDS.index(end)
        rise = self.front.ends_mm(packed_mm)[place] - self.back.ends_mm(packed_mm)[place]
        return 1000 * rise / self.across_mm

    def left(self, packed_mm: Mapping[str, float]) -> Left:
        """Return how both bearers stand on stacks of such heights [mm]."""
        bearers = (self.back, self.front)
        return Left(
            {one.row: one.lies(packed_mm).slope_mm_per_m for one in bearers},
            {end: self.across_mm_per_m(packed_mm, end) for end in ENDS},
            {(one.row, end): one.drop_mm(packed_mm, end) for one in bearers for end in ENDS},
        )


def make_stand(seed: int, grade: Grade) -> Stand:
    """Make two bearers that are out along and across, most of them rocking."""
    draws = Draws(f"two bearers 1, seed {seed}, {grade.name}")
    floor = make_floor(seed, grade)
    bay, across = 10.0 * draws.whole("bay", 77, 89), 10.0 * draws.whole("across", 41, 48)
    at = tuple(OVERHANG_MM + bay * place for place in range(_STACKS))
    left = round(draws.between("left", 100.0, floor.width_mm - at[-1] - OVERHANG_MM - 100.0))
    back, front = (
        Bearer(row, y, at, _floor_mm(floor, left, at, y), _hollows(draws, row))
        for row, y in (("back", BACK_MM), ("front", BACK_MM + across))
    )
    tops = _tops_mm(draws)
    base = max(*back.floor_mm, *front.floor_mm) + _BASE_MM
    packers = {
        stack: pack(base + top - under)
        for bearer in (back, front)
        for stack, top, under in zip(bearer.stacks, tops[bearer.row], bearer.floor_mm, strict=True)
    }
    return Stand(floor, left, back, front, packers, pack_bag(draws))


def pack(high_mm: float) -> tuple[float, ...]:
    """Return packers that make a height to a tenth of a millimetre, thick ones first [mm].

    Raises
    ------
    Refusal
        0.1 mm alone, or less than nothing: no packers make it.
    """
    tenths = round(10 * high_mm)
    thin = 11 if tenths % 10 == 1 else tenths % 10  # 0.1 is made with a whole one: 1.1
    if tenths < 0 or thin > tenths:
        raise refuse("height of packers", f"{high_mm:.1f} mm", "0 mm, or 0.2 mm and more")
    left, taken = tenths - thin, []
    for thick in PACKERS_MM:
        if thick >= 1:
            taken += [thick] * (left // round(10 * thick))
            left %= round(10 * thick)
    return (*taken, *_THIN_MM[thin])


def _floor_mm(
    floor: PracticeFloor, left_mm: float, at_mm: Sequence[float], y_mm: float
) -> tuple[float, ...]:
    heights = floor.carried_mm(left_mm + np.array(at_mm), np.full(len(at_mm), y_mm))
    return tuple(heights.tolist())


def _hollows(draws: Draws, row: str) -> tuple[Hollow, ...]:
    """Return hollows whose deepest place is off the middle of each bay."""
    return tuple(
        Hollow(
            draws.between(f"{row} hollow {bay}", 0.7, 1.0),
            0.5 + draws.sign(f"{row} {bay} side") * draws.between(f"{row} {bay} off", 0.18, 0.3),
        )
        for bay in range(_STACKS - 1)
    )


def _tops_mm(draws: Draws) -> dict[str, list[float]]:
    """Return heights of stacks as found, the higher bearer's left end at 0 [mm].

    Both fall to the same side; one lies lower than the other all along, mostly the one that does
    not rock: who levels the higher one as it lies and brings the other up to it never touches
    what hangs.
    """
    fall = draws.sign("fall") * draws.between("fall", 1.6, 2.4)
    lower = draws.one_of("lower", ROWS)
    rocks = {row: draws.happens(f"{row} rocks", 0.2 if row == lower else 0.85) for row in ROWS}
    tops = {}
    for row in ROWS:
        ends = [draws.between(f"lower {end}", 1.0, 1.9) if row == lower else 0.0 for end in ENDS]
        tops[row] = _stacks_mm(Draws(f"{draws.name}, {row}"), -ends[0], fall - ends[1], rocks[row])
    return tops


def _stacks_mm(draws: Draws, first_mm: float, last_mm: float, rocks: bool) -> list[float]:
    """Return heights of stacks under a bearer whose outer true places lie so high [mm].

    One that rocks bears on the inner stack near its higher end. That end's own stack is low, by
    so much that it still hangs when the lower end has been raised to level.
    """
    low = np.array([0.0, *draws.shares("inner", _STACKS - 2) + 0.3, 0.0])
    if rocks:
        outer, inner = (-1, -2) if last_mm > first_mm else (0, 1)
        low[outer] = abs(last_mm - first_mm) / 3 + draws.between("hangs", 1.1, 2.0)
        low[inner] = 0.0
    return [float(top) for top in np.linspace(first_mm, last_mm, _STACKS) - low]
