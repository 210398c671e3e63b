"""Two rows of stacks on a gently bent floor, and what readings say of the floor under them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from kit.floor import fit_surface
from kit.job import Refusal
from kit.practice.draws import Draws, Floats
from kit.practice.floors import PracticeFloor, make_floor
from kit.practice.grades import Grade
from kit.practice.moves import Place
from kit.practice.shapes import Crown, Fall, Roughness, Shape

#: Stacks in each row.
STACKS = 9

#: A stack's floor is right within this [mm] ...
LIMIT_MM = 1.0
#: ... and known where its doubt is no more than this [mm], so that 1 mm is two and a half of it.
MOST_SD_MM = 0.4

#: One staff reading, as one standard deviation [mm]: half millimetres read, and a hand.
READING_SD_MM = 0.3

#: Fewer places make a plane and no more: however well they lie on it, they say nothing of how the
#: floor bends between them, and no doubt that is told of it can be trusted.
LEAST_PLACES = 6

#: A reading so near to a stack is a reading of it [mm].
AT_STACK_MM = 25.0

#: Second differences at 300 mm of the floors here [mm]: a floor that bends more must be read at
#: every stack, and nothing would be learnt of few readings.
_BEND_MM = {"fair": 0.1, "ordinary": 0.18, "rough": 0.28}


#: In so many rooms the middle stands up or hangs, by so much against the ends [mm]: half of it
#: under a base of 3 m in a room of 4.2 m.
_CROWNED, _CROWN_MM = 0.6, (2.5, 6.0)


@dataclass(frozen=True)
class Base:
    """Where the stacks will stand.

    Parameters
    ----------
    left_mm : float
        x of the first stack of each row [mm].
    apart_mm : float
        From stack to stack [mm].
    rows_mm : tuple of float
        y of the back row and of the front row [mm].
    """

    left_mm: float
    apart_mm: float
    rows_mm: tuple[float, float]

    @property
    def names(self) -> tuple[str, ...]:
        """B1 to B9 along the back, F1 to F9 along the front."""
        return tuple(f"{row}{k + 1}" for row in "BF" for k in range(STACKS))

    @property
    def places_mm(self) -> Floats:
        """Places of the stacks in the order of their names, shape (18, 2) [mm]."""
        x = self.left_mm + self.apart_mm * np.arange(STACKS)
        return np.array([(along, row) for row in self.rows_mm for along in x])

    @property
    def outline_mm(self) -> tuple[Place, Place]:
        """Two corners of the base's outline [mm]: its bearers, 45 mm wide."""
        right = self.left_mm + (STACKS - 1) * self.apart_mm
        back, front = self.rows_mm
        return (self.left_mm - 50.0, back - 22.5), (right + 50.0, front + 22.5)


@dataclass(frozen=True)
class Known:
    """What readings say of the floor at the stacks.

    Parameters
    ----------
    staff_mm, sd_mm : (18,) array
        Staff reading to be expected at each stack, with its doubt [mm]; nan and infinite where
        nothing is known.
    why : str
        Why nothing is known; empty where something is.
    """

    staff_mm: Floats
    sd_mm: Floats
    why: str = ""


@lru_cache(maxsize=4096)
def known_at(base: Base, places_mm: tuple[Place, ...], staff_mm: tuple[float, ...]) -> Known:
    """Return what readings from one set-up say of the floor at the stacks.

    One set-up's readings are heights under one line: there is nothing to adjust, and the kit's
    surface takes them as they are.

    Parameters
    ----------
    base : Base
        The stacks.
    places_mm : tuple of Place
        Where the staff stood [mm].
    staff_mm : tuple of float
        What it showed [mm].
    """
    nothing = Known(np.full(2 * STACKS, np.nan), np.full(2 * STACKS, np.inf))
    if len(set(places_mm)) < LEAST_PLACES:
        few = f"fewer than {LEAST_PLACES} places say nothing of how a floor bends"
        return replace(nothing, why=few)
    at, to = np.array(places_mm), base.places_mm
    try:
        surface = fit_surface(
            at[:, 0], at[:, 1], -np.array(staff_mm), np.full(len(at), READING_SD_MM**2)
        )
    except Refusal as refusal:
        return replace(nothing, why=f"found {refusal.problems[0].found}")
    height, sd = surface.predict(to[:, 0], to[:, 1])
    surveyed = surface.surveyed(to[:, 0], to[:, 1])
    return Known(np.where(surveyed, -height, np.nan), np.where(surveyed, sd, np.inf))


def make_base(draws: Draws) -> Base:
    """Return where the stacks of a task stand."""
    front = 10.0 * draws.whole("front", 46, 54)
    return Base(
        10.0 * draws.whole("left", 35, 60), 10.0 * draws.whole("apart", 36, 40), (60, front)
    )


def make_gentle(seed: int, grade: Grade, draws: Draws) -> PracticeFloor:
    """Return a floor that falls and bends gently, its middle up or down or neither; nothing moves.

    How many readings it takes hangs on that, and nobody sees it before reading.
    """
    floor = make_floor(seed, grade)
    shapes: tuple[Shape, ...] = tuple(s for s in floor.shapes if isinstance(s, Fall))
    if draws.happens("crown", _CROWNED):
        middle, height = floor.width_mm / 2, draws.between("crown height", *_CROWN_MM)
        shapes = (*shapes, Crown(middle, middle, draws.sign("crown up") * height))
    bent = Roughness(Draws(f"{draws.name}, roughness"), _BEND_MM[grade.name])
    return replace(floor, shapes=(*shapes, bent), loose=(), soft=())


def short_of(known: Known) -> list[int]:
    """Return the stacks that are not known well enough, the least known first."""
    order = np.argsort(-known.sd_mm, kind="stable")
    return [int(k) for k in order if known.sd_mm[k] > MOST_SD_MM]


def worth_reading(base: Base, known: Known, places_mm: Sequence[Place]) -> list[int]:
    """Return the stacks to be read next, the least known first.

    Where the readings bend much, the doubt may be largest where the staff stood already: to hold
    it there again tells nothing of what lies between.
    """
    short, read = short_of(known), stacks_read(base, places_mm)
    return [k for k in short if k not in read] or short


def stacks_read(base: Base, places_mm: Sequence[Place]) -> set[int]:
    """Return the stacks at which the staff stood."""
    return {
        k
        for k, (x, y) in enumerate(base.places_mm)
        if any(np.hypot(x - a, y - b) <= AT_STACK_MM for a, b in places_mm)
    }
