"""Marking of the drill with the high point."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from kit.practice.drills.high_point_case import Case
from kit.practice.drills.high_point_floor import LIMIT_MM, Bearers, Top
from kit.practice.effects import Effect, rocks
from kit.practice.fields import Values, numbers
from kit.practice.floors import PracticeFloor
from kit.practice.mistakes import ALONG_ONLY, NEVER_TURNED, OUT, WRONG_SIGN, Kind, Mistake
from kit.practice.moves import Done
from kit.practice.tools import place_words

TOO_FAR_APART = Kind("too_far_apart", "readings too far apart",
    "reads the ends and the middle, and a hump slips between", 25)  # fmt: skip
OUTSIDE_BASE = Kind("outside_base", "highest of the room, not of the base",
    "takes a high place of the room that no bearer lies on", 25)  # fmt: skip
LOOSE_BOARD = Kind("loose_board", "took a loose board for the high point",
    "takes a board that stands proud for the high point, though it goes down under a foot",
    25)  # fmt: skip

#: Heights that differ by less are told as the same, to a tenth [mm].
_SAME_MM = 0.05

_SOUND = (
    "Set the laser up once, hold the staff every 300 mm along both bearers, closer about the least "
    "readings, and press with a foot on what is high: where it goes down, it counts as pressed."
)


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
    case = Case(floor, bearers, top, done, (float(x), float(y)))
    return tuple(
        Mistake(kind, f"{words}; {_figures(case)}", _effect(case, kind), _SOUND)
        for kind, words in _causes(case)
    )


def _causes(case: Case) -> Iterator[tuple[Kind, str]]:
    """Yield kinds and what was done: habits first; then, if none explains it, why it is out."""
    if case.unturned:
        words = f"heights were compared by {case.unturned} lies of a level that was never turned"
        yield NEVER_TURNED, words
    if not case.on_base:
        yield from _off_base(case)
    elif not case.looked_under:
        yield TOO_FAR_APART, "nothing was read under either bearer: the place is a guess"
    else:
        yield from _on_base(case)


def _off_base(case: Case) -> Iterator[tuple[Kind, str]]:
    """Yield what led to a place that no bearer lies on: a look round the room, or a slip."""
    kind = OUTSIDE_BASE if case.looked_near else OUT
    nothing = "" if case.looked_near else ", and nothing was read near it"
    yield kind, f"no bearer lies on the place that you answered{nothing}"
    if case.took_a_board:
        yield LOOSE_BOARD, _board_words(case)


def _on_base(case: Case) -> Iterator[tuple[Kind, str]]:
    """Yield what led to a place under a bearer; what could be found is of the rows looked at."""
    if len(case.rows) == 1:
        yield ALONG_ONLY, f"only the {next(iter(case.rows))} bearer was looked at"
    missed = case.reach.height_mm - case.carried_mm(case.place) > LIMIT_MM
    if case.took_a_board:
        yield LOOSE_BOARD, _board_words(case)
        if missed and case.stepped_over:
            yield TOO_FAR_APART, _nearest(case)
    elif missed and not case.unturned:
        yield from _why_out(case)


def _board_words(case: Case) -> str:
    proud = f"a board stands {case.proud_mm:.1f} mm proud there"
    if case.trodden:
        return f"{proud}; it went down under your foot, and you took it as it stands"
    return f"{proud}, and no foot was on it"


def _why_out(case: Case) -> Iterator[tuple[Kind, str]]:
    most = case.most_read()
    if most:
        yield (
            WRONG_SIGN,
            (
                f"you took the greatest reading, {most[1].reading_mm:g} mm, for the highest floor; "
                f"the highest reads least, {most[0].reading_mm:g} mm or less"
            ),
        )
        if case.stepped_over:
            yield TOO_FAR_APART, _nearest(case)
    elif not case.found:
        yield TOO_FAR_APART, _nearest(case)
    elif len({one.set_up for one in case.staff}) > 1 and case.least_read():
        yield (
            OUT,
            (
                "it is the least reading of all, but of two set-ups of the laser, which stands at "
                "another height in each"
            ),
        )
    else:
        far, place = min((math.dist(case.place, place), place) for place in case.found)
        yield (
            OUT,
            (
                f"{place_words(place)}, where you looked, is high enough, {far:.0f} mm from the "
                "place that you answered"
            ),
        )


def _nearest(case: Case) -> str:
    near = min(math.dist(place, case.reach.place) for place in case.looked_under)
    return f"the nearest place that you looked at is {near:.0f} mm from the highest there"


def _figures(case: Case) -> str:
    missed = case.missed_mm
    how = f"{abs(missed):.1f} mm {'lower than' if missed > 0 else 'over'}"
    how = "as high as" if abs(missed) < _SAME_MM else how
    return (
        f"{place_words(case.place)} is {how} the high point under the bearers, which is at "
        f"{place_words(case.top.place)}"
    )


def _effect(case: Case, kind: Kind) -> Effect:
    """Return what comes of a base set out from the place that was answered.

    On a board that moves the base goes down by as much as it stands proud; else the bearer rides
    on the floor that is higher than was reckoned with.
    """
    if kind is LOOSE_BOARD:
        return Effect(
            "under the load the board goes down, and what stands on it hangs "
            f"{case.proud_mm:.1f} mm over it",
            rock_mm=case.proud_mm,
        )
    low_mm = case.missed_mm - (case.proud_mm if case.took_a_board else 0.0)
    if low_mm > LIMIT_MM:
        ride = rocks(_hangs_mm(case))
        return Effect(f"the bearer rides on the high point, and {ride.words}", rock_mm=ride.rock_mm)
    if low_mm < -_SAME_MM:
        return Effect(f"set out from there, every stack is {-low_mm:.1f} mm higher than it needs")
    return Effect("nothing this time, by luck: the place is high enough all the same")


def _hangs_mm(case: Case) -> float:
    """Return how far the end of a bearer hangs that rides on the high point [mm].

    It lies on the high point and on the stack at its end that is farther away; the nearer end
    hangs in proportion: missed times length over the longer part.
    """
    patch = case.bearers.back
    left = case.top.place[0] - patch.left_mm
    return case.missed_mm * patch.width_mm / max(left, patch.width_mm - left)
