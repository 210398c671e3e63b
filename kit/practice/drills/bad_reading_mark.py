"""Marking of the bad reading: what was struck out, and on what ground."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from kit.practice.drills.bad_reading_sheet import APART_MM, Sheet
from kit.practice.effects import Effect, gap_between
from kit.practice.fields import Values, number, words
from kit.practice.mistakes import OUT, Kind, Mistake
from kit.practice.moves import Done

#: The right reading is right within this [mm]: three staff readings of half a millimetre each.
LIMIT_MM = 1.0

#: Points of one row lie within this of each other [mm] across it: rows are 550 mm apart.
_OF_ROW_MM = 200.0

#: A stack that is out by more than this is seen as soon as a bearer is laid on it [mm].
_SEEN_MM = 30.0

BLAMED = Kind("blamed_the_floor", "took a real hump for a bad reading",
    "strikes out a reading because the floor stands up or lies low there", 30)  # fmt: skip
NOT_CONFIRMED = Kind("not_confirmed", "struck out without holding the staff again",
    "strikes out a reading that nobody has taken a second time", 20)  # fmt: skip
WRONG_SET_UP = Kind("wrong_set_up", "right point, wrong set-up",
    "finds the point, then changes the good reading of it to fit the bad one", 25)  # fmt: skip
ALL_AGAIN = Kind("read_all_again", "read all of it again",
    "holds the staff on most of the points again, where a few tell it", 10)  # fmt: skip
KINDS = (BLAMED, NOT_CONFIRMED, WRONG_SET_UP, ALL_AGAIN, OUT)

_COMPARE = (
    "Take one set-up from the other, point by point, wherever both read the same point: a hump "
    "is in both and falls out, a slip is in one and stays."
)
_HOLD = (
    "Set the laser up anew, hold the staff on two points on which both set-ups agree, and on the "
    "one where they do not. The good points give the new line's height over both old lines; the "
    "set-up that does not fit the new reading is the wrong one."
)


def mistakes(sheet: Sheet, done: Sequence[Done], answer: Values) -> tuple[Mistake, ...]:
    """Tell the mistakes of an answer, each kind once.

    A reading struck out at another point is told by that point's floor: where it lies more than
    3 mm off the floor around it, the floor was blamed.
    """
    point = words(answer, "point")
    found = _elsewhere(sheet, answer) if point not in sheet.slip.right_mm else _there(
        sheet, done, answer
    )  # fmt: skip
    return (*found, *_too_much(sheet, done))


def _elsewhere(sheet: Sheet, answer: Values) -> Iterator[Mistake]:
    point, set_up = words(answer, "point"), words(answer, "set_up")
    if point not in sheet.booked_mm[set_up]:
        done = f"struck out {point} in the {set_up}, where {point} was not read"
        yield Mistake(OUT, done, _left_in(sheet), _COMPARE)
        return
    booked, off = sheet.booked_mm[set_up][point], _off_mm(sheet, set_up, point)
    out = number(answer, "right") - booked
    effect = _built_out(out) if out else _left_in(sheet)
    said = f"made {number(answer, 'right'):g} mm of {point} in the {set_up}, booked {booked:g} mm"
    if abs(off) <= APART_MM:
        yield Mistake(OUT, f"{said}, which is right", effect, _COMPARE)
        return
    way = "stands up" if off < 0 else "lies low"
    done = f"{said}: the reading is right, the floor {way} by {abs(off):.1f} mm there"
    yield Mistake(BLAMED, done, effect, _COMPARE)


def _there(sheet: Sheet, done: Sequence[Done], answer: Values) -> Iterator[Mistake]:
    point, set_up = words(answer, "point"), words(answer, "set_up")
    unsure = _unconfirmed(sheet, done, point)
    if unsure:
        yield Mistake(NOT_CONFIRMED, unsure, _left_in(sheet), _HOLD)
    elif set_up != sheet.slip.set_up:
        said = (
            f"struck out {point} in the {set_up}, which is right; in the {sheet.slip.set_up} it "
            f"is booked {_by_words(_error_mm(sheet))}, and stays so"
        )
        yield Mistake(WRONG_SET_UP, said, _left_in(sheet), _HOLD)
    if set_up == sheet.slip.set_up:
        yield from _figures(sheet, answer)


def _figures(sheet: Sheet, answer: Values) -> Iterator[Mistake]:
    """Yield what is wrong with the figure, or with what was called the slip."""
    said, right = number(answer, "right"), sheet.slip.right_mm[words(answer, "point")]
    out, what = said - right, words(answer, "slip")
    if abs(out) > LIMIT_MM + 1e-9:
        done = f"answered {said:g} mm; the reading should be {right:g} mm"
        yield Mistake(OUT, done, _built_out(out), _HOLD)
    elif what != sheet.slip.what:
        effect = Effect("the heights come right; that the same slip is made again is not stopped")
        done = f"answered '{what}'; it is '{sheet.slip.what}'"
        sound = "Ask of every difference: is it 10 or 100 mm, do two digits explain it, does the "
        yield Mistake(OUT, done, effect, f"{sound}point before or after it miss the same?")


def _too_much(sheet: Sheet, done: Sequence[Done]) -> Iterator[Mistake]:
    held = {words(one.move.values, "point") for one in done if one.move.kind == "hold"}
    if 2 * len(held) <= len(sheet.places_mm):
        return
    seconds = sum(one.seen.seconds for one in done if one.move.kind == "hold")
    effect = Effect(f"nothing on the furniture: {seconds / 60:.0f} minutes with the staff")
    said = f"held the staff on {len(held)} of {len(sheet.places_mm)} points again"
    yield Mistake(ALL_AGAIN, said, effect, _HOLD)


def _unconfirmed(sheet: Sheet, done: Sequence[Done], point: str) -> str:
    """Tell in words why a point counts as not read again; nothing where it was.

    A staff reading from a new line says nothing of a point before another point gives the line.
    """
    lines: dict[float, set[str]] = {}
    for one in done:
        if one.move.kind == "hold":
            line = lines.setdefault(number(one.seen.figures, "set_up"), set())
            line.add(words(one.move.values, "point"))
    with_point = [held for held in lines.values() if point in held]
    if not with_point:
        return f"struck out a reading of {point} and never held the staff on {point} again"
    if any(held - set(sheet.slip.right_mm) for held in with_point):
        return ""
    return f"held the staff on {point} and on no good point: where the new line is stays unknown"


def _off_mm(sheet: Sheet, set_up: str, point: str) -> float:
    """Return how far the floor stands out at a point [mm], positive where it lies low.

    The larger of two looks: against the least-squares plane of the others, and against the
    straight line between its neighbours in the row. Both as the readings should be: what is told
    of the floor is true of it.
    """
    right = dict(sheet.booked_mm[set_up])
    if set_up == sheet.slip.set_up:
        right.update(sheet.slip.right_mm)
    looks = (_off_plane_mm(sheet, right, point), _off_neighbours_mm(sheet, right, point))
    return max(looks, key=abs)


def _off_plane_mm(sheet: Sheet, right_mm: Mapping[str, float], point: str) -> float:
    """Return the larger reading [mm]; the hump is left out of the plane, which it would tilt."""
    others = [name for name in right_mm if name not in (point, sheet.hump)]
    places = np.array([sheet.places_mm[name] for name in others])
    design = np.column_stack([np.ones(len(others)), places])
    plane = np.linalg.lstsq(design, np.array([right_mm[name] for name in others]), rcond=None)[0]
    there = float(plane @ np.array([1.0, *sheet.places_mm[point]]))
    return right_mm[point] - there


def _off_neighbours_mm(sheet: Sheet, right_mm: Mapping[str, float], point: str) -> float:
    """Return the larger reading [mm] than the line between neighbours; 0 at a row's end."""
    x, y = sheet.places_mm[point]
    row = [name for name in right_mm if abs(sheet.places_mm[name][1] - y) <= _OF_ROW_MM]
    along = {name: sheet.places_mm[name][0] - x for name in row if name != point}
    before = max((name for name in along if along[name] < 0), key=along.__getitem__, default="")
    after = min((name for name in along if along[name] > 0), key=along.__getitem__, default="")
    if not before or not after:
        return 0.0
    share = along[before] / (along[before] - along[after])
    return right_mm[point] - (1 - share) * right_mm[before] - share * right_mm[after]


def _error_mm(sheet: Sheet) -> float:
    """Return what the first bad reading is out: booked less right [mm]."""
    point, right = next(iter(sheet.slip.right_mm.items()))
    return sheet.booked_mm[sheet.slip.set_up][point] - right


def _left_in(sheet: Sheet) -> Effect:
    """Return what the slip does where it stays: read too large, the stack is built too high."""
    return _built_out(_error_mm(sheet))


def _built_out(out_mm: float) -> Effect:
    """Return what a stack does that is built out by so much, high positive [mm]."""
    if abs(out_mm) <= _SEEN_MM:
        return gap_between(out_mm)
    way = "too high: nothing else carries" if out_mm > 0 else "too low: it carries nothing"
    return Effect(
        f"the stack there is built {abs(out_mm):g} mm {way}. It is seen when the bearer is laid, "
        "and built anew",
        rock_mm=abs(out_mm),
    )


def _by_words(error_mm: float) -> str:
    return f"{abs(error_mm):g} mm too {'large' if error_mm > 0 else 'small'}"
