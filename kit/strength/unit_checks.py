"""The checks of each unit, one row each: how it stands, how it is stood up, what tips it.

Lean and wind are magnitudes; which way they go is said in the source. ok approves nothing: a tall
unit is fixed to the wall before loading whatever its verdict.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import partial

from kit.base.cautions import TALL_MM
from kit.base.checks import CLOSED_MM, Check
from kit.base.runs import PlacedUnit
from kit.strength.furniture import Consequence, Gap
from kit.strength.standing import CHILD_KG, FRICTION, PUSH_N, TiltUp, Tipping

#: Greatest lean of a unit for each metre of its height [mm] (common practice, no source).
LEAN_MM_PER_M = 2.0

#: Greatest wind of a unit's four feet [mm] (common practice, no source).
WIND_MM = 2.0

#: Greatest taper of the gap along a door [mm] (common practice, no source).
DOOR_TAPER_MM = 2.0

#: Greatest change of the gap between two units [mm] (common practice, no source).
GAP_CHANGE_MM = 2.0

_PRACTICE = "common practice, no source"
_FEET_UNKNOWN = "a height under the unit is not known"
_FIX = "fix to the wall before loading whatever the verdict"
_PUSH_SOURCE = (
    "10 lbf at 56 in, ASTM F2057 (from memory, weak; it leaves built-ins and bookcases out)"
)


def unit_checks(
    units: Sequence[PlacedUnit],
    found: Sequence[Consequence],
    between: Sequence[Gap],
    tilts: Sequence[TiltUp],
    tippings: Sequence[Tipping],
    *,
    several_runs: bool,
) -> Iterator[Check]:
    """Yield the checks of every unit, unit by unit.

    Parameters
    ----------
    units : sequence of PlacedUnit
        All units, run by run, from left to right.
    found, tilts, tippings : sequences
        What was found for each of them, in the same order.
    between : sequence of Gap
        The gaps between neighbours.
    several_runs : bool
        Whether the subject names the run too.

    Yields
    ------
    Check
        Lean along and into the room (a second row with lift and settlement where both are
        known), wind, taper, the gap to the next unit where there is one, tilting up on the base
        and on the floor, and for units of at least `kit.base.cautions.TALL_MM` the pushes that
        tip and slide it.
    """
    to_the_right = {(gap.run, gap.left): gap for gap in between}
    for placed, one, tilt, tip in zip(units, found, tilts, tippings, strict=True):
        subject = subject_of(placed, several_runs=several_runs)
        yield from _lean_checks(subject, placed.unit.height_mm, one)
        yield from _wind_checks(subject, one)
        gap = to_the_right.get((placed.run, placed.unit.name))
        if gap is not None:
            yield _gap_check(subject, gap)
        yield from _tilt_checks(subject, tilt)
        if placed.unit.height_mm >= TALL_MM:
            yield from _push_checks(subject, tip)


def tipping_cautions(
    units: Sequence[PlacedUnit], tippings: Sequence[Tipping], *, several_runs: bool
) -> Iterator[str]:
    """Yield one sentence for each tall unit: fix it, and what happens while it is not fixed.

    Parameters
    ----------
    units, tippings : sequences
        All units and what tips each of them, in the same order.
    several_runs : bool
        Whether the run is named too.
    """
    for placed, tip in zip(units, tippings, strict=True):
        if placed.unit.height_mm >= TALL_MM:
            fix = f"Fix {subject_of(placed, several_runs=several_runs)!r} to the wall at its top"
            yield f"{fix} before loading: {_what_tips(tip)}."


def subject_of(placed: PlacedUnit, *, several_runs: bool) -> str:
    """Return the name of a unit as the checks write it, the run in front where there are more."""
    return f"{placed.run}: " * several_runs + placed.unit.name


def _what_tips(tip: Tipping) -> str:
    if not tip.mass_known:
        return "no mass is given for it, so that nobody knows what push tips it"
    if tip.tips_empty_N == 0:
        falls = "unfixed, it tips by itself: hold it until it is fixed"
    else:
        height = f"{tip.push_height_mm / 1000:.2f} m"
        falls = f"unfixed, a push of {tip.tips_empty_N:.0f} N at {height} tips it"
    if tip.fixing_N == 0:
        child = f"a child of {CHILD_KG:.0f} kg"
        return f"{falls}; {child} hanging still on its front does not, one that climbs may"
    return f"{falls}, and the fixing must take {tip.fixing_N:.0f} N if a child hangs on its front"


def _lean_checks(subject: str, height_mm: float, one: Consequence) -> Iterator[Check]:
    judged = partial(_within, subject=subject, limit=LEAN_MM_PER_M * height_mm / 1000)
    per_metre = f"{LEAN_MM_PER_M:g} mm per metre of height, {_PRACTICE}"
    along, out = one.lean_along_mm, one.lean_out_mm
    yield judged("lean along the run", value=along, source=f"{_to_side(along)}; {per_metre}")
    yield judged("lean into the room", value=out, source=f"{_out_or_back(out)}; {per_metre}")
    settled = one.settled_lean_mm
    if not math.isnan(settled):
        yield judged(
            "lean into the room, with lift and settlement",
            value=settled,
            source=f"{_out_or_back(settled)}; {per_metre}",
        )


def _to_side(lean_mm: float) -> str:
    return "plumb" if lean_mm == 0 else f"top to the {'right' if lean_mm > 0 else 'left'}"


def _out_or_back(lean_mm: float) -> str:
    if lean_mm == 0:
        return "plumb"
    return "top into the room" if lean_mm > 0 else "top back to the wall"


def _wind_checks(subject: str, one: Consequence) -> Iterator[Check]:
    high = "back left and front right" if one.wind_mm > 0 else "back right and front left"
    yield _within(
        "wind of the base",
        subject=subject,
        value=one.wind_mm,
        limit=WIND_MM,
        source=f"{f'{high} stand high; ' if one.wind_mm else ''}{_PRACTICE}",
    )
    yield _within(
        "taper of a door's gap",
        subject=subject,
        value=one.door_taper_mm,
        limit=DOOR_TAPER_MM,
        source=f"if the carcass gives by the whole wind; {_PRACTICE}",
    )


def _gap_check(subject: str, gap: Gap) -> Check:
    """Judge a gap against the near end of its range: 2 mm either way.

    A gap that was meant may not close; units that butt are screwed together and share it.
    """
    least, most = gap.before_mm - GAP_CHANGE_MM, gap.before_mm + GAP_CHANGE_MM
    if gap.before_mm > CLOSED_MM:
        least = max(least, 0.0)
    top = gap.top_mm
    check = "gap to the next unit at the top"
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


def _push_checks(subject: str, tip: Tipping) -> Iterator[Check]:
    tips, slides = "push that tips it forward", "push that slides it"
    if not tip.mass_known:
        for check in (tips, slides):
            yield _not_checked(check, subject, "N", f"no mass_kg given for the unit; {_FIX}")
        return
    at = f"empty, at {tip.push_height_mm:.0f} mm; full {tip.tips_full_N:.0f} N"
    yield _push(tips, subject, tip.tips_empty_N, at)
    loose = (
        f"empty, friction {FRICTION:g} (from memory); full {tip.slides_full_N:.0f} N; does not"
        " hold for a unit that is screwed to its bearers, which does not slide on them"
    )
    yield _push(slides, subject, tip.slides_empty_N, loose)


def _push(check: str, subject: str, value: float, how: str) -> Check:
    verdict = "ok" if value >= PUSH_N - CLOSED_MM else "refer"
    source = f"{_FIX}; {how}; at least {_PUSH_SOURCE}"
    return Check(check, subject, value, PUSH_N, "N", verdict, source)


def _within(check: str, *, subject: str, value: float, limit: float, source: str) -> Check:
    """Judge a magnitude [mm] that should be at most the limit."""
    if math.isnan(value):
        return _not_checked(check, subject, "mm", _FEET_UNKNOWN)
    verdict = "ok" if abs(value) <= limit + CLOSED_MM else "refer"
    return Check(check, subject, abs(value), limit, "mm", verdict, source)


def _not_checked(check: str, subject: str, unit: str, why: str) -> Check:
    return Check(check, subject, math.nan, math.nan, unit, "not_checked", why)
