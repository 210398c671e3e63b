"""A booked staff survey with one slip in it, on a floor with one real hump."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from kit.practice.draws import Draws
from kit.practice.floors import PracticeFloor, make_floor
from kit.practice.grades import Grade
from kit.practice.instruments import STAFF_MM, Bag, to_step
from kit.practice.moves import Place
from kit.practice.shapes import Bump

#: The two standings of the laser, as they are booked.
SET_UPS = ("morning", "afternoon")

TEN, HUNDRED = "10 mm out", "100 mm out"
DIGITS, SWAPPED = "two neighbouring digits exchanged", "two points' readings exchanged"
SLIPS = (TEN, HUNDRED, DIGITS, SWAPPED)
_SIZES_MM = {TEN: 10.0, HUNDRED: 100.0}

#: How often each slip is booked, as running shares.
_SHARES = ((0.28, TEN), (0.38, HUNDRED), (0.58, DIGITS), (1.0, SWAPPED))

#: What two readings of one point may differ by from rounding and hand [mm]; a slip is larger,
#: and no two slips that would explain a reading lie nearer to each other.
DOUBT_MM, APART_MM = 2.0, 3.0

#: Digits that are exchanged make a reading no more wrong than this [mm]: more jumps to the eye.
_MOST_MM = 200.0

#: Two readings that are exchanged differ by this at least [mm], or nobody could see it.
_LEAST_SWAP_MM = 4.0

_COLUMNS, _NAMES = 6, "ABCDEFGHIJKL"


@dataclass(frozen=True)
class Slip:
    """What is booked wrong.

    Parameters
    ----------
    set_up : str
        In which set-up.
    what : str
        One of `SLIPS`.
    right_mm : mapping of str to float
        Point to the reading that should stand there [mm]: one point, two where two points'
        readings are exchanged.
    """

    set_up: str
    what: str
    right_mm: Mapping[str, float]


@dataclass(frozen=True)
class Sheet:
    """A booked survey.

    Parameters
    ----------
    places_mm : mapping of str to Place
        Point to its place in plan [mm].
    booked_mm : mapping of str to mapping of str to float
        Set-up to point to staff reading [mm], in the order of reading.
    slip : Slip
        What is wrong in it: hidden.
    hump : str
        The point under which the floor really stands up: hidden.
    """

    places_mm: Mapping[str, Place]
    booked_mm: Mapping[str, Mapping[str, float]]
    slip: Slip
    hump: str

    @property
    def twice(self) -> tuple[str, ...]:
        """Points that are read from both set-ups."""
        first, second = (self.booked_mm[name] for name in SET_UPS)
        return tuple(point for point in first if point in second)


def make_sheet(seed: int, grade: Grade, draws: Draws, bag: Bag) -> tuple[PracticeFloor, Sheet]:
    """Read a floor from two set-ups and book one thing wrong.

    Parameters
    ----------
    seed, grade : int, Grade
        Of the floor. Nothing on it moves under a foot: its loose boards are nailed down.
    draws : Draws
        Where points, hump and slip come from.
    bag : Bag
        Its laser's first two lines are those of the morning and of the afternoon.
    """
    places = _places(draws)
    hump = draws.one_of("hump", [n for k, n in enumerate(_NAMES) if 0 < k % _COLUMNS < 5])
    x, y = places[hump]
    bump = Bump(x, y, draws.between("hump height", 13.0, 17.0), 420.0)
    floor = make_floor(seed, grade)
    floor = replace(floor, shapes=(*floor.shapes, bump), loose=(), soft=())
    right = _readings(floor, places, draws, bag)
    slip = _slip(draws, right, hump)
    booked = {name: dict(right[name]) for name in SET_UPS}
    booked[slip.set_up].update(_booked(slip, right[slip.set_up], draws))
    return floor, Sheet(places, booked, slip, hump)


def exchanged_digits(reading_mm: float) -> Iterator[float]:
    """Yield the readings [mm] in which tens and units, or hundreds and tens, change places."""
    whole = int(reading_mm)
    for low in (1, 10):
        units, tens = whole // low % 10, whole // (10 * low) % 10
        if units != tens:
            yield reading_mm + 9 * low * (units - tens)


def one_reading_slips(booked_mm: float) -> Iterator[tuple[str, float]]:
    """Yield each slip that one booked reading may hold, and what it should be then [mm]."""
    for what, size in _SIZES_MM.items():
        yield from ((what, booked_mm - size), (what, booked_mm + size))
    yield from ((DIGITS, right) for right in exchanged_digits(booked_mm))


def _places(draws: Draws) -> dict[str, Place]:
    """Return two rows of six, each point a little off its row and its step."""
    out = draws.shares("places", 2 * len(_NAMES))
    places = {}
    for k, name in enumerate(_NAMES):
        row, column = divmod(k, _COLUMNS)
        x = 250 + 740 * column + 80 * (out[2 * k] - 0.5)
        y = (90, 640)[row] + 40 * (out[2 * k + 1] - 0.5)
        places[name] = (10.0 * round(x / 10), 10.0 * round(y / 10))
    return places


def _readings(
    floor: PracticeFloor, places: Mapping[str, Place], draws: Draws, bag: Bag
) -> dict[str, dict[str, float]]:
    """Return what the staff showed: three columns of points from both set-ups."""
    split = draws.whole("split", 1, 2)
    columns = (range(split + 3), range(split, _COLUMNS))
    names = list(places)
    heights = floor.heights_mm(*np.array([places[name] for name in names]).T)
    return {
        set_up: {
            name: to_step(line - float(heights[k]), STAFF_MM)
            for k, name in enumerate(names)
            if k % _COLUMNS in seen
        }
        for set_up, line, seen in zip(SET_UPS, bag.laser_mm[:2], columns, strict=True)
    }


def _slip(draws: Draws, right: Mapping[str, Mapping[str, float]], hump: str) -> Slip:
    """Return a slip of the kind that is drawn, of another where none of it can be told."""
    share = draws.between("slip", 0.0, 1.0)
    drawn = next(what for upto, what in _SHARES if share < upto)
    for what in (drawn, TEN, HUNDRED):
        found = list(_candidates(what, draws, right, hump))
        if found:
            return draws.one_of(f"slip {what}", found)
    raise ValueError("no slip can be booked on this floor")  # pragma: no cover - 100 mm always can


def _candidates(
    what: str, draws: Draws, right: Mapping[str, Mapping[str, float]], hump: str
) -> Iterator[Slip]:
    twice = [name for name in right[SET_UPS[0]] if name in right[SET_UPS[1]]]
    for set_up in SET_UPS:
        readings = right[set_up]
        for name in twice:
            other = _after(name, list(readings))
            if what == SWAPPED:
                if other in twice and hump not in (name, other) and _tells(readings, name, other):
                    yield Slip(set_up, what, {name: readings[name], other: readings[other]})
            elif not _beside(name, hump) and _is_clear(what, draws, readings, name, twice):
                yield Slip(set_up, what, {name: readings[name]})


def _booked(slip: Slip, readings: Mapping[str, float], draws: Draws) -> dict[str, float]:
    names = list(slip.right_mm)
    if slip.what == SWAPPED:
        return {names[0]: readings[names[1]], names[1]: readings[names[0]]}
    return {names[0]: _wrong(slip.what, readings[names[0]], draws, names[0])}


def _wrong(what: str, right_mm: float, draws: Draws, name: str) -> float:
    if what == DIGITS:
        return draws.one_of(f"digits {name}", [*exchanged_digits(right_mm), right_mm])
    return right_mm + draws.sign(f"up {name}") * _SIZES_MM[what]


def _is_clear(
    what: str, draws: Draws, readings: Mapping[str, float], name: str, twice: list[str]
) -> bool:
    """Tell whether only this slip explains what would be booked.

    Of neighbours on the sheet only those read once could be taken for exchanged: the others are
    seen to be right.
    """
    right = readings[name]
    booked = _wrong(what, right, draws, name)
    order = list(readings)
    beside = [n for n in order if name == _after(n, order) or n == _after(name, order)]
    near = [
        slip for slip, would_be in one_reading_slips(booked) if abs(would_be - right) < APART_MM
    ]
    alike = any(abs(readings[n] - right) < APART_MM for n in beside if n not in twice)
    return APART_MM < abs(booked - right) <= _MOST_MM and near == [what] and not alike


def _tells(readings: Mapping[str, float], name: str, other: str) -> bool:
    """Tell whether two readings differ enough, and by nothing that another slip would explain."""
    pairs = ((readings[name], readings[other]), (readings[other], readings[name]))
    clear = all(
        abs(would_be - right) >= APART_MM
        for booked, right in pairs
        for _, would_be in one_reading_slips(booked)
    )
    return clear and abs(readings[name] - readings[other]) >= _LEAST_SWAP_MM


def _beside(name: str, hump: str) -> bool:
    """Tell whether a point is the hump or next to it in its row."""
    (row, column), (hump_row, hump_column) = (
        divmod(_NAMES.index(n), _COLUMNS) for n in (name, hump)
    )
    return row == hump_row and abs(column - hump_column) <= 1


def _after(name: str, order: list[str]) -> str:
    """Return the point that was read next; nothing after the last."""
    return dict(itertools.pairwise(order)).get(name, "")
