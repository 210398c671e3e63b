"""A finished base on a practice floor: its stacks, its bearers, and how both follow a change."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np

from kit.practice.draws import Draws
from kit.practice.fields import numbers, words
from kit.practice.floors import PracticeFloor
from kit.practice.instruments import STAFF_MM, to_step
from kit.practice.moves import Done, Place
from kit.practice.packers import Stack, laid, short_of, ways

#: The highest and the lowest reading of a base that is right lie no further apart [mm].
LIMIT_MM = 1.0

#: Packers, all as thick as printed [mm].
PRINTED = (18.0, 10.0, 6.0, 3.0, 2.0, 1.0)

#: A stack of the drill has no more pieces than this.
MOST_PIECES = 14

#: Rows of supports lie so far from the wall [mm].
_BACK_MM, _FRONT_MM = 45.0, 310.0


@dataclass(frozen=True)
class Standing:
    """A base as it was built.

    Parameters
    ----------
    names : tuple of str
        Supports, in site order.
    places_mm : tuple of Place
        In plan [mm].
    stacks : tuple of Stack
        As they stand.
    bearer_mm : tuple of float
        Height of the bearer's top at each support above the floor's zero [mm].
    settles_mm : tuple of float
        How far a support goes down when its stack is opened and screwed down again: the screws
        draw a board that moves down for good [mm]. Hidden until it is read.
    stock : mapping
        Printed thickness to how many are left in the bag.
    laser_mm, sheet_mm : float
        Height of the laser's line [mm]; what a staff on the bearer should read by the sheet [mm].
    """

    names: tuple[str, ...]
    places_mm: tuple[Place, ...]
    stacks: tuple[Stack, ...]
    bearer_mm: tuple[float, ...]
    settles_mm: tuple[float, ...]
    stock: Mapping[float, int]
    laser_mm: float
    sheet_mm: float

    def after(self, done: Sequence[Done]) -> Stands:
        """Return how it stands after moves."""
        changes = tuple(
            (self.names.index(words(one.move.values, "at")), numbers(one.move.values, "stack"))
            for one in done
            if one.move.kind == "change"
        )
        return Stands(self, changes)


@dataclass(frozen=True)
class Stands:
    """A base after stacks were changed.

    Parameters
    ----------
    built : Standing
        As it was.
    changes : tuple of (int, Stack)
        Place in site order and the stack that was put there, one after another.
    """

    built: Standing
    changes: tuple[tuple[int, Stack], ...]

    @property
    def opened(self) -> frozenset[int]:
        """Places whose stack was changed at least once."""
        return frozenset(place for place, _ in self.changes)

    @cached_property
    def stacks(self) -> tuple[Stack, ...]:
        """Stacks as they stand now."""
        latest = dict(self.changes)
        return tuple(latest.get(place, stack) for place, stack in enumerate(self.built.stacks))

    def raised_mm(self, place: int) -> float:
        """Return by how much packers raise a place against the base as built [mm]."""
        return sum(self.stacks[place]) - sum(self.built.stacks[place])

    def bearer_mm(self, place: int) -> float:
        """Return the height of the bearer's top [mm]."""
        settled = self.built.settles_mm[place] if place in self.opened else 0.0
        return self.built.bearer_mm[place] + self.raised_mm(place) - settled

    def reading_mm(self, place: int) -> float:
        """Return what a staff on the bearer reads [mm]: the more, the lower."""
        return to_step(self.built.laser_mm - self.bearer_mm(place), STAFF_MM)

    @cached_property
    def readings_mm(self) -> tuple[float, ...]:
        """Return what a staff would read at each support."""
        return tuple(self.reading_mm(place) for place in range(len(self.built.names)))

    @cached_property
    def fetched(self) -> tuple[Mapping[float, int], ...]:
        """For each change, which packers the bag had not and had to be fetched."""
        left, stacks = Counter(self.built.stock), list(self.built.stacks)
        fetched = []
        for place, stack in self.changes:
            left.update(stacks[place])
            missing = short_of(Counter(stack), left)
            left.update(missing)
            left.subtract(stack)
            stacks[place] = stack
            fetched.append(missing)
        return tuple(fetched)

    @cached_property
    def fetched_for_nothing(self) -> tuple[int, ...]:
        """Changes that packers were fetched for although what was there made the height."""
        found = []
        for number, (place, stack) in enumerate(self.changes):
            if self.fetched[number]:
                before = Stands(self.built, self.changes[:number])
                pool = Counter(before.left) + Counter(before.stacks[place])
                if any(ways(pool, sum(stack), sum(stack), MOST_PIECES)):
                    found.append(number)
        return tuple(found)

    @property
    def left(self) -> dict[float, int]:
        """Packers in the bag now."""
        left = Counter(self.built.stock)
        for missing in self.fetched:
            left.update(missing)
        for before, now in zip(self.built.stacks, self.stacks, strict=True):
            left.update(before)
            left.subtract(now)
        return {each: left[each] for each in PRINTED}


def apart(readings_mm: Sequence[float]) -> frozenset[int]:
    """Return the places that are out: all but the largest group that agrees within `LIMIT_MM`.

    Of groups of one size the one that stands highest counts.
    """
    groups = [
        frozenset(
            place
            for place, reading in enumerate(readings_mm)
            if least <= reading <= least + LIMIT_MM + 1e-9
        )
        for least in sorted(set(readings_mm))
    ]
    return frozenset(range(len(readings_mm))) - max(groups, key=len)


@cache
def fewest(height_mm: float) -> Stack:
    """Return the fewest packers that make a whole height, of as many as wanted."""
    return min(ways(dict.fromkeys(PRINTED, 4), height_mm, height_mm, 6), key=len)


def build(draws: Draws, floor: PracticeFloor) -> Standing:
    """Build a base that is level but for one support that is high and one or two that are low."""
    names, places = _supports(draws)
    lies = floor.carried_mm(np.array([p[0] for p in places]), np.array([p[1] for p in places]))
    level = float(lies.max()) + draws.between("least stack", 16.0, 30.0)
    off = _off_mm(draws, len(names))
    heights = [float(round(level - float(lie))) + out for lie, out in zip(lies, off, strict=True)]
    laser = round(level + draws.between("laser", 300.0, 700.0), 3)
    away = draws.sign("whole base up") * draws.whole("whole base", 3, 4) / 2
    return Standing(
        names,
        places,
        tuple(fewest(height) for height in heights),
        tuple(round(float(lie) + height, 3) for lie, height in zip(lies, heights, strict=True)),
        _settles_mm(draws, off),
        _left(draws),
        laser,
        to_step(laser - level - away, STAFF_MM),
    )


def _supports(draws: Draws) -> tuple[tuple[str, ...], tuple[Place, ...]]:
    across = draws.whole("supports in a row", 4, 5)
    x = [draws.between("first", 150.0, 500.0)]
    for bay in range(across - 1):
        x.append(x[-1] + draws.between(f"bay {bay}", 550.0, 850.0))
    names = tuple(f"{row}{place + 1}" for row in "BF" for place in range(across))
    places = tuple((float(round(at)), out) for out in (_BACK_MM, _FRONT_MM) for at in x)
    return names, places


def _off_mm(draws: Draws, count: int) -> list[float]:
    """Return how much too high a stack was built, whole millimetres: one up, one or two down.

    The high one stands above the sheet's height too: who brings all to the sheet opens it, who
    brings all to the highest does not.
    """
    off = [0.0] * count
    high, *low = draws.shuffled("which are off", range(count))[: draws.whole("off", 2, 3)]
    off[high] = float(draws.whole("high", 4, 6))
    for place in low:
        off[place] = -float(draws.whole(f"low {place}", 3, 6))
    return off


def _settles_mm(draws: Draws, off_mm: Sequence[float]) -> tuple[float, ...]:
    """Let a board move under one of the stacks that are off, mostly, and under some others."""
    first = next(place for place in draws.shuffled("board", range(len(off_mm))) if off_mm[place])
    settles = []
    for place, off in enumerate(off_mm):
        share = 0.75 if place == first else 0.0 if off else 0.4
        moves = draws.happens(f"board {place} moves", share)
        settles.append(round(draws.between(f"board {place}", 2.1, 3.0), 1) if moves else 0.0)
    return tuple(settles)


def _left(draws: Draws) -> dict[float, int]:
    """Leave thin packers in the bag, and of the thick ones hardly any."""
    left = {each: draws.whole(f"left of {each:g}", 0, 1) for each in PRINTED[:4]}
    return {**left, 6.0: 0, 2.0: draws.whole("left of 2", 5, 8), 1.0: draws.whole("ones", 18, 24)}


def rebuilt(stack: Stack, stock: Mapping[float, int], height_mm: float) -> Stack:
    """Return the fewest packers that make a height out of a stack's own and the bag's.

    Raises
    ------
    ValueError
        Where there are none: the drill leaves thin ones enough, so it is a defect.
    """
    pool = Counter(stock)
    pool.update(stack)
    found = min(ways(pool, height_mm, height_mm, MOST_PIECES), key=len, default=())
    if not found:
        raise ValueError(f"no {height_mm:g} mm out of {dict(pool)}")
    return laid(found)
