"""The checks of each unit, one row each: how it stands, with its errors and once it has settled.

Lean and wind are magnitudes; which way they go is said in the source. ok approves nothing: a tall
unit is fixed to the wall before loading whatever its verdict.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import partial

from kit.base.checks import CLOSED_MM, Check
from kit.base.runs import PlacedUnit
from kit.strength.furniture import Consequence, Gap, Together, subject_of
from kit.strength.standing import TiltUp, Tipping
from kit.strength.tipping_checks import tipping_cautions, tipping_checks

__all__ = ["hanging_checks", "subject_of", "tipping_cautions", "unit_checks"]

#: Greatest lean of a unit for each metre of its height [mm] (common practice, no source).
LEAN_MM_PER_M = 2.0

#: Greatest wind of a unit's four feet [mm] (common practice, no source).
WIND_MM = 2.0

#: Greatest taper of the gap along a door [mm] (common practice, no source).
DOOR_TAPER_MM = 2.0

#: Greatest change of the gap between two units [mm] (common practice, no source).
GAP_CHANGE_MM = 2.0

#: A unit may hang so far over one of its rows before a shim is wanted [mm].
HANGING_MM = 0.5

_PRACTICE = "common practice, no source"
_EITHER_WAY = "top either way, within what it is set or made to"
_FEET_UNKNOWN = "a height under the unit is not known"
_NOT_GIVEN_BACK = "what the floor or its joists give back is not known"
_BEFORE_IT_GIVES = "before the floor goes down under the full units"
_PER_METRE = f"{LEAN_MM_PER_M:g} mm per metre of height, {_PRACTICE}"

#: Lean along, lean into the room, wind, taper: by the errors of the stacks alone.
AS_LAID = (
    "lean along the run",
    "lean into the room",
    "wind of the base",
    "taper of a door's gap",
)

#: The same four with the front lift and what the joists give.
SETTLED = (
    "lean along the run, with settlement",
    "lean into the room, with lift and settlement",
    "wind of the base, with settlement",
    "taper of a door's gap, with settlement",
)

#: Where there is a lift, and nobody knows what the joists give.
LIFTED = "lean into the room, with the lift"

GAP = "gap to the next unit at the top"
SETTLED_GAP = f"{GAP}, with settlement"

HANGING = "unit hanging over a row"

#: All checks that hang on how the bearers lie under the full units.
ON_BEARERS = (*AS_LAID, LIFTED, GAP, HANGING)

#: All checks that hang on what the joists give.
WITH_SETTLEMENT = (*SETTLED, SETTLED_GAP)


def unit_checks(
    units: Sequence[PlacedUnit],
    now: Together,
    settled: Together,
    tilts: Sequence[TiltUp],
    tippings: Sequence[Tipping],
    *,
    several_runs: bool,
    either_way: bool = False,
) -> Iterator[Check]:
    """Yield the checks of every unit, unit by unit.

    Parameters
    ----------
    units : sequence of PlacedUnit
        All units, run by run, from left to right.
    now, settled : Together
        How they stand by the errors of the stacks alone, and with lift and settlement, nan where
        that is not known.
    tilts, tippings : sequences
        What was found for each of them, in the same order.
    several_runs : bool
        Whether the subject names the run too.
    either_way : bool
        Whether ``now`` holds magnitudes only: supports that are set by hand may be off either way.

    Yields
    ------
    Check
        Lean along and into the room, wind, taper; the same with lift and settlement where that
        is known, or the lean with the lift alone; the gap to the next unit where there is one,
        and with settlement where that changes it; tilting up on the base and on the floor; and
        those of `kit.strength.tipping_checks.tipping_checks`.
    """
    to_the_right = {
        (gap.run, gap.left): (gap, later) for gap, later in zip(now.gaps, settled.gaps, strict=True)
    }
    for placed, one, later, tilt, tip in zip(
        units, now.units, settled.units, tilts, tippings, strict=True
    ):
        subject, height = subject_of(placed, several_runs=several_runs), placed.unit.height_mm
        yield from _stand_checks(subject, height, one, AS_LAID, either_way=either_way)
        if not math.isnan(later.lean_out_mm):
            yield from _stand_checks(subject, height, later, SETTLED)
        if one.lifted_lean_mm != 0:
            yield _lifted_check(subject, height, one, known=not math.isnan(later.lean_out_mm))
        beside = to_the_right.get((placed.run, placed.unit.name))
        if beside is not None:
            yield from _gap_checks(subject, *beside)
        yield from _tilt_checks(subject, tilt)
        yield from tipping_checks(subject, placed, tip)


def hanging_checks(
    units: Sequence[PlacedUnit],
    hangs: Sequence[Sequence[tuple[str, float]]],
    *,
    several_runs: bool,
) -> Iterator[Check]:
    """Yield whether units of more than two rows stand on all of them.

    Parameters
    ----------
    units : sequence of PlacedUnit
        All units.
    hangs : sequence of sequences of (bearer, gap)
        The bearers that each of them does not touch [mm]; from `kit.strength.feet.hanging`.
    several_runs : bool
        Whether the subject names the run too.
    """
    for placed, gaps_mm in zip(units, hangs, strict=True):
        if gaps_mm:
            bearer, gap = max(gaps_mm, key=lambda one: one[1])
            yield _within(
                HANGING,
                subject=subject_of(placed, several_runs=several_runs),
                value=gap,
                limit=HANGING_MM,
                source=(
                    f"over bearer {bearer}, its sides taken as stiff; until it is shimmed the rows"
                    f" that it touches carry more than their share here; {_PRACTICE}"
                ),
            )


def _stand_checks(
    subject: str,
    height_mm: float,
    one: Consequence,
    names: Sequence[str],
    *,
    either_way: bool = False,
) -> Iterator[Check]:
    """Yield lean along and into the room, wind and taper, by the names given."""
    lean_along, lean_out, wind, taper = names
    judged = partial(_within, subject=subject, limit=LEAN_MM_PER_M * height_mm / 1000)
    along, out = one.lean_along_mm, one.lean_out_mm
    ways = (_EITHER_WAY,) * 2 if either_way else (_to_side(along), _out_or_back(out))
    yield judged(lean_along, value=along, source=f"{ways[0]}; {_PER_METRE}")
    yield judged(lean_out, value=out, source=f"{ways[1]}; {_PER_METRE}")
    yield from _wind_checks(subject, one, wind, taper)


def _lifted_check(subject: str, height_mm: float, one: Consequence, *, known: bool) -> Check:
    """Judge the lean with a lift before the floor takes any of it back, if ever it does."""
    back = _BEFORE_IT_GIVES if known else _NOT_GIVEN_BACK
    lean = one.lean_out_mm + one.lifted_lean_mm
    return _within(
        LIFTED,
        subject=subject,
        value=lean,
        limit=LEAN_MM_PER_M * height_mm / 1000,
        source=f"{_out_or_back(lean)}; {back}; {_PER_METRE}",
    )


def _to_side(lean_mm: float) -> str:
    return "plumb" if lean_mm == 0 else f"top to the {'right' if lean_mm > 0 else 'left'}"


def _out_or_back(lean_mm: float) -> str:
    if lean_mm == 0:
        return "plumb"
    return "top into the room" if lean_mm > 0 else "top back to the wall"


def _wind_checks(subject: str, one: Consequence, wind: str, taper: str) -> Iterator[Check]:
    high = "back left and front right" if one.wind_mm > 0 else "back right and front left"
    yield _within(
        wind,
        subject=subject,
        value=one.wind_mm,
        limit=WIND_MM,
        source=f"{f'{high} stand high; ' if one.wind_mm else ''}{_PRACTICE}",
    )
    yield _within(
        taper,
        subject=subject,
        value=one.door_taper_mm,
        limit=DOOR_TAPER_MM,
        source=f"if the carcass gives by the whole wind; {_PRACTICE}",
    )


def _gap_checks(subject: str, gap: Gap, settled: Gap) -> Iterator[Check]:
    yield _gap_check(subject, gap, GAP)
    if abs(settled.top_mm - gap.top_mm) > CLOSED_MM:  # never where either is nan
        yield _gap_check(subject, settled, SETTLED_GAP)


def _gap_check(subject: str, gap: Gap, check: str) -> Check:
    """Judge a gap against the near end of its range: 2 mm either way.

    A gap that was meant may not close; units that butt are screwed together and share it.
    """
    least, most = gap.before_mm - GAP_CHANGE_MM, gap.before_mm + GAP_CHANGE_MM
    if gap.before_mm > CLOSED_MM:
        least = max(least, 0.0)
    top = gap.top_mm
    if math.isnan(top):
        return _not_checked(check, subject, "mm", _FEET_UNKNOWN)
    within = least - CLOSED_MM <= top <= most + CLOSED_MM
    closes = top < gap.before_mm
    source = (
        f"to {gap.right!r} at {gap.height_mm:.0f} mm, meant {gap.before_mm:g} mm;"
        f" limit = {'least' if closes else 'greatest'}, {_PRACTICE}"
    )
    if top < -CLOSED_MM:
        source = f"they press on each other; {source}"
    limit = least if closes else most
    return Check(check, subject, top, limit, "mm", "ok" if within else "refer", source)


def _tilt_checks(subject: str, tilt: TiltUp) -> Iterator[Check]:
    on_base, on_floor = "tilting up on the base", "tilting up on the floor, then lifted"
    if not tilt.ceiling_known:
        yield _not_checked(on_base, subject, "mm", "no room.ceiling_mm given")
        yield _not_checked(on_floor, subject, "mm", "no room.ceiling_mm given")
        return
    rule = f"diagonal against the ceiling less 10 mm, {_PRACTICE}"
    yield Check(
        on_base,
        subject,
        tilt.diagonal_mm,
        tilt.room_on_base_mm,
        "mm",
        "ok" if tilt.on_base else "refer",
        rule if tilt.on_base else f"not on the base, see the next row; {rule}",
    )
    yield Check(
        on_floor,
        subject,
        tilt.diagonal_mm,
        tilt.room_on_floor_mm,
        "mm",
        "ok" if tilt.on_floor else "fail",
        rule if tilt.on_floor else f"carry it in upright or build it in place; {rule}",
    )


def _within(check: str, *, subject: str, value: float, limit: float, source: str) -> Check:
    """Judge a magnitude [mm] that should be at most the limit."""
    if math.isnan(value):
        return _not_checked(check, subject, "mm", _FEET_UNKNOWN)
    verdict = "ok" if abs(value) <= limit + CLOSED_MM else "refer"
    return Check(check, subject, abs(value), limit, "mm", verdict, source)


def _not_checked(check: str, subject: str, unit: str, why: str) -> Check:
    return Check(check, subject, math.nan, math.nan, unit, "not_checked", why)
