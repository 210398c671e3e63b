"""Practice floors: made from a seed and a grade, the same everywhere."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from kit.job import refuse
from kit.practice.draws import Draws, Floats
from kit.practice.grades import Grade
from kit.practice.shapes import Bump, Crown, Fall, Roughness, Shape, Step

#: Heights are kept to a thousandth of a millimetre: libraries that differ in the last bit of a
#: cosine still give the same floor.
_DECIMALS = 3

#: Seeds that a person can read out to a class.
LOWEST_SEED, HIGHEST_SEED = 0, 999_999


@dataclass(frozen=True)
class Patch:
    """A plan rectangle [mm]."""

    left_mm: float
    back_mm: float
    width_mm: float
    depth_mm: float

    def holds(self, x_mm: Floats, y_mm: Floats) -> Floats:
        """Return 1 where places lie inside or on the rim, 0 elsewhere."""
        x, y = np.asarray(x_mm, dtype=float), np.asarray(y_mm, dtype=float)
        along = (x >= self.left_mm) & (x <= self.left_mm + self.width_mm)
        out = (y >= self.back_mm) & (y <= self.back_mm + self.depth_mm)
        return (along & out).astype(float)


@dataclass(frozen=True)
class LooseBoard:
    """A board that stands proud by so much [mm] and goes down under a foot or a load."""

    patch: Patch
    proud_mm: float


@dataclass(frozen=True)
class Soft:
    """A place where joists give: how far the floor goes down under a foot in its middle [mm]."""

    x_mm: float
    y_mm: float
    give_mm: float
    radius_mm: float


@dataclass(frozen=True)
class PracticeFloor:
    """A made floor.

    Parameters
    ----------
    seed : int
        The number it was made from.
    grade : Grade
        How bad it is.
    width_mm, depth_mm : float
        Of the room: x from 0 to the width along the wall, y from 0 to the depth [mm].
    shapes : tuple of Shape
        What its height is made of.
    loose : tuple of LooseBoard
        Boards that move.
    soft : tuple of Soft
        Where joists give.
    heated : tuple of Patch
        Zones with heating under the boards, which nobody sees from above.
    """

    seed: int
    grade: Grade
    width_mm: float
    depth_mm: float
    shapes: tuple[Shape, ...]
    loose: tuple[LooseBoard, ...] = ()
    soft: tuple[Soft, ...] = ()
    heated: tuple[Patch, ...] = field(default=())

    def heights_mm(self, x_mm: Floats, y_mm: Floats) -> Floats:
        """Return heights [mm] as the floor lies, nobody on it; places of any one shape.

        Raises
        ------
        Refusal
            Where a place lies outside the room.
        """
        x, y = self._inside(x_mm, y_mm)
        total = self._firm_mm(x, y)
        for board in self.loose:
            total = total + board.proud_mm * board.patch.holds(x, y)
        return np.round(total, _DECIMALS)

    def carried_mm(self, x_mm: Floats, y_mm: Floats) -> Floats:
        """Return heights [mm] as what is built on it finds them: loose boards pressed down."""
        return np.round(self._firm_mm(*self._inside(x_mm, y_mm)), _DECIMALS)

    def gives_mm(self, x_mm: Floats, y_mm: Floats) -> Floats:
        """Return how far the floor goes down under a foot [mm]."""
        x, y = self._inside(x_mm, y_mm)
        total = np.zeros(np.broadcast(x, y).shape)
        for board in self.loose:
            total = total + board.proud_mm * board.patch.holds(x, y)
        for place in self.soft:
            bell = Bump(place.x_mm, place.y_mm, place.give_mm, place.radius_mm)
            total = total + bell.heights_mm(x, y)
        return np.round(total, _DECIMALS)

    def _firm_mm(self, x: Floats, y: Floats) -> Floats:
        total = np.zeros(np.broadcast(x, y).shape)
        for shape in self.shapes:
            total = total + shape.heights_mm(x, y)
        return total

    def _inside(self, x_mm: Floats, y_mm: Floats) -> tuple[Floats, Floats]:
        x, y = np.asarray(x_mm, dtype=float), np.asarray(y_mm, dtype=float)
        slack = 1e-6  # round-off of a place that was worked out
        out = (
            (x < -slack) | (x > self.width_mm + slack) | (y < -slack) | (y > self.depth_mm + slack)
        )
        if np.any(out):
            first = tuple(np.argwhere(np.atleast_1d(out))[0])
            at = f"x {np.atleast_1d(x + 0 * y)[first]:g}, y {np.atleast_1d(y + 0 * x)[first]:g} mm"
            room = f"x 0 to {self.width_mm:g}, y 0 to {self.depth_mm:g} mm"
            raise refuse("place on the floor", f"{at}, outside the room", room)
        return x, y


def make_floor(
    seed: int, grade: Grade, width_mm: float = 4200.0, depth_mm: float = 2400.0
) -> PracticeFloor:
    """Make a floor.

    It falls somewhere, its middle stands over its ends or not, it has humps and hollows and
    roughness at all lengths; a rough one has a step too. It may have a loose board, a place
    where joists give, and a heated zone.

    Parameters
    ----------
    seed : int
        0 to 999,999; the same seed, grade and room give the same floor on every machine.
    grade : Grade
        How bad.
    width_mm, depth_mm : float
        Size of the room [mm].

    Raises
    ------
    Refusal
        Where the seed is none.
    """
    check_seed(seed)
    draws = Draws(f"floor 1, seed {seed}, {grade.name}, {width_mm:g} x {depth_mm:g}")
    return PracticeFloor(
        seed,
        grade,
        width_mm,
        depth_mm,
        tuple(_shapes(draws, grade, width_mm, depth_mm)),
        _loose(draws, grade, width_mm, depth_mm),
        _soft(draws, width_mm, depth_mm),
        _heated(draws, width_mm, depth_mm),
    )


def check_seed(seed: int) -> None:
    """Refuse what is no seed."""
    whole = isinstance(seed, int) and not isinstance(seed, bool)
    if not whole or not LOWEST_SEED <= seed <= HIGHEST_SEED:
        raise refuse("seed", repr(seed), f"a whole number, {LOWEST_SEED} to {HIGHEST_SEED}")


def _shapes(draws: Draws, grade: Grade, width: float, depth: float) -> Iterator[Shape]:
    fall, turn = draws.between("fall", *grade.fall_mm_per_m), draws.between("turn", 0, 2 * np.pi)
    yield Fall(fall * np.cos(turn), fall * np.sin(turn))
    if draws.happens("crown", 0.5):
        yield Crown(width / 2, width / 2, draws.between("crown height", 0.3, 1) * grade.crown_mm)
    for place in range(draws.whole("bumps", *grade.bumps)):
        yield Bump(
            draws.between(f"bump {place} x", 0.05, 0.95) * width,
            draws.between(f"bump {place} y", 0.02, 0.6) * depth,
            draws.sign(f"bump {place} up") * draws.between(f"bump {place} height", *grade.bump_mm),
            draws.between(f"bump {place} radius", 350.0, 900.0),
        )
    if grade.step_mm[1] > 0 and draws.happens("step", 0.5):
        height = draws.sign("step up") * draws.between("step height", *grade.step_mm)
        yield Step(draws.between("step at", 0.2, 0.8) * width, height)
    yield Roughness(Draws(f"{draws.name}, roughness"), grade.bend_mm)


def _loose(draws: Draws, grade: Grade, width: float, depth: float) -> tuple[LooseBoard, ...]:
    if not draws.happens("loose", 0.5):
        return ()
    patch = Patch(
        draws.between("loose x", 0.1, 0.8) * width, 0.0, draws.between("loose width", 110, 160),
        min(draws.between("loose length", 700, 1500), depth),
    )  # fmt: skip
    return (LooseBoard(patch, draws.between("loose proud", 1.5, 3.0) + grade.bend_mm / 2),)


def _soft(draws: Draws, width: float, depth: float) -> tuple[Soft, ...]:
    if not draws.happens("soft", 0.5):
        return ()
    x, y = draws.between("soft x", 0.2, 0.8) * width, draws.between("soft y", 0.2, 0.8) * depth
    return (
        Soft(x, y, draws.between("soft give", 0.8, 2.5), draws.between("soft radius", 500, 900)),
    )


def _heated(draws: Draws, width: float, depth: float) -> tuple[Patch, ...]:
    if not draws.happens("heated", 0.4):
        return ()
    wide = draws.between("heated width", 0.25, 0.45) * width
    left = draws.between("heated x", 0.0, 1.0) * (width - wide)
    return (Patch(left, 0.15 * depth, wide, 0.7 * depth),)
