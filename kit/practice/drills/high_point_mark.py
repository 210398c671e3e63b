"""Marking of the drill with the high point."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from kit.practice.drills.high_point_floor import LIMIT_MM, Bearers, Top
from kit.practice.drills.own_error_mark import one_lie_turned
from kit.practice.effects import Effect, rocks
from kit.practice.fields import Values, number, numbers
from kit.practice.floors import PracticeFloor
from kit.practice.instruments import EDGE_LENGTH_MM, LEVEL_LENGTHS_MM
from kit.practice.mistakes import ALONG_ONLY, NEVER_TURNED, OUT, WRONG_SIGN, Kind, Mistake
from kit.practice.moves import Done, Place
from kit.practice.tools import place_words

TOO_FAR_APART = Kind("too_far_apart", "readings too far apart",
    "reads the ends and the middle, and a hump slips between", 25)  # fmt: skip
OUTSIDE_BASE = Kind("outside_base", "highest of the room, not of the base",
    "takes a high place of the room that no bearer lies on", 25)  # fmt: skip
LOOSE_BOARD = Kind("loose_board", "took a loose board for the high point",
    "takes a board that stands proud for the high point, though it goes down under a foot",
    25)  # fmt: skip

#: A pencil mark beside the bearer still is under it [mm].
_PENCIL_MM = 10.0

#: An answer so near to a place that was read means that place [mm].
_MEANT_MM = 50.0

_SOUND = (
    "Set the laser up once, hold the staff every 300 mm along both bearers, closer about the least "
    "readings, and press with a foot on what is high: where it goes down, it counts as pressed."
)


@dataclass(frozen=True)
class _Case:
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

    @property
    def missed_mm(self) -> float:
        """How much higher the highest floor is than the place that was answered."""
        return self.top.height_mm - self.carried_mm(self.place)

    def carried_mm(self, place: Place) -> float:
        """Return the carried height of a place."""
        return float(self.floor.carried_mm(np.array(place[0]), np.array(place[1])))

    @property
    def proud_mm(self) -> float:
        """How far the place that was answered stands over what it is under a load."""
        x, y = np.array(self.place[0]), np.array(self.place[1])
        return float(self.floor.heights_mm(x, y)) - self.carried_mm(self.place)

    @property
    def looked(self) -> list[Place]:
        """Places where a staff stood or an instrument was seen to touch."""
        return [place for one in self.done for place in _places(one)]

    @property
    def rows(self) -> set[str]:
        """Which bearers anything was read under."""
        return {row for place in self.looked for row in self.bearers.under(place, _PENCIL_MM)}

    @property
    def readings(self) -> dict[Place, float]:
        """Staff readings by place, the last of each."""
        return {
            place: number(one.seen.figures, "reading_mm")
            for one in self.done
            if one.move.kind == "read"
            for place in _places(one)
        }


def mark(
    floor: PracticeFloor, bearers: Bearers, top: Top, done: Sequence[Done], answer: Values
) -> tuple[Mistake, ...]:
    """Tell the mistakes of an answer, where the high point is known.

    Raises
    ------
    Refusal
        Where the answer lies outside the room.
    """
    x, y = numbers(answer, "place")
    case = _Case(floor, bearers, top, done, (float(x), float(y)))
    return tuple(
        Mistake(kind, f"{words}; {_figures(case)}", _effect(case, kind), _SOUND)
        for kind, words in _causes(case)
    )


def _causes(case: _Case) -> Iterator[tuple[Kind, str]]:
    """Yield kinds and what was done: habits first; then, if none explains it, why it is out."""
    if not case.bearers.under(case.place, _PENCIL_MM):
        yield OUTSIDE_BASE, "no bearer lies on the place that you answered"
        return
    habits = list(_habits(case))
    yield from habits
    if case.missed_mm > LIMIT_MM and not any(_explains(case, kind) for kind, _ in habits):
        yield _why_out(case)


def _habits(case: _Case) -> Iterator[tuple[Kind, str]]:
    """Yield what is careless whether or not it went well this time."""
    laid = [one for one in case.done if one.move.kind == "lay"]
    turned = any(
        a.move.values["level"] == b.move.values["level"] and one_lie_turned(a, b)
        for at, a in enumerate(laid)
        for b in laid[at + 1 :]
    )
    if laid and not turned and len(case.readings) < 2:
        yield NEVER_TURNED, f"heights were compared by {len(laid)} lies of a level, never turned"
    if len(case.rows) == 1:
        yield ALONG_ONLY, f"only the {next(iter(case.rows))} bearer was looked at"


def _explains(case: _Case, habit: Kind) -> bool:
    """Tell whether a habit explains that an answer is out."""
    unseen = not set(case.bearers.under(case.top.place)) & case.rows
    return habit is NEVER_TURNED or unseen


def _why_out(case: _Case) -> tuple[Kind, str]:
    nearest = min((math.dist(place, case.top.place) for place in case.looked), default=math.inf)
    seen = any(
        case.bearers.under(place, _PENCIL_MM)
        and case.carried_mm(place) >= case.top.height_mm - LIMIT_MM
        for place in case.looked
    )
    readings = case.readings
    if case.proud_mm > 0 and not _trodden(case) and _is(case.place, readings, min):
        return LOOSE_BOARD, f"a board stands {case.proud_mm:.1f} mm proud there, no foot was on it"
    if len(readings) > 2 and _is(case.place, readings, max):
        return WRONG_SIGN, (
            f"you took the greatest reading, {max(readings.values()):g} mm, for the highest floor; "
            f"the highest reads least, {min(readings.values()):g} mm or less"
        )
    if not seen:
        near = f"the nearest reading is {nearest:.0f} mm from the high point"
        return TOO_FAR_APART, "nothing was read" if math.isinf(nearest) else near
    far = math.dist(case.place, case.top.place)
    return OUT, f"a place as high was read, yet the one you answered is {far:.0f} mm away from it"


def _trodden(case: _Case) -> bool:
    """Tell whether a foot found the board that moves: nothing else moves on this floor."""
    return any(
        number(one.seen.figures, "gives_mm") > 0 for one in case.done if one.move.kind == "tread"
    )


def _is(
    place: Place, readings: dict[Place, float], which: Callable[[Iterable[float]], float]
) -> bool:
    """Tell whether a place is where the staff read least, or most."""
    wanted = which(readings.values()) if readings else 0.0
    return any(
        read == wanted and math.dist(place, at) <= _MEANT_MM for at, read in readings.items()
    )


def _figures(case: _Case) -> str:
    missed = case.missed_mm
    how = f"{missed:.1f} mm lower than" if missed > 0 else f"{-missed:.1f} mm over"
    return (
        f"{place_words(case.place)} is {how} the high point under the bearers, which is at "
        f"{place_words(case.top.place)}"
    )


def _effect(case: _Case, kind: Kind) -> Effect:
    """Return what comes of a base set out from the place that was answered.

    On a board that moves the base goes down by as much as it stands proud; else the bearer rides
    on the floor that is higher than was reckoned with.
    """
    if kind is LOOSE_BOARD:
        board = rocks(case.proud_mm)
        return Effect(
            f"under the load the board goes down, and {board.words}", rock_mm=board.rock_mm
        )
    if case.missed_mm > 0:
        ride = rocks(case.missed_mm)
        return Effect(f"the bearer rides on the high point, and {ride.words}", rock_mm=ride.rock_mm)
    return Effect(
        f"set out from there, every stack is {-case.missed_mm:.1f} mm higher than it needs"
    )


def _at(one: Done) -> Place:
    x, y = numbers(one.move.values, "at")
    return float(x), float(y)


def _places(one: Done) -> list[Place]:
    """Return where a move looked at the floor."""
    if one.move.kind == "read":
        return [_at(one)]
    if one.move.kind not in ("lay", "edge"):
        return []
    (start, end), long = one.seen.on_plan[0].places_mm, _long_mm(one)
    return [
        (start[0] + at / long * (end[0] - start[0]), start[1] + at / long * (end[1] - start[1]))
        for at in numbers(one.seen.figures, "touches_mm")
    ]


def _long_mm(one: Done) -> float:
    return (
        LEVEL_LENGTHS_MM[str(one.move.values["level"])]
        if one.move.kind == "lay"
        else (EDGE_LENGTH_MM)
    )
