"""What tips or slides a unit into the room: the checks, and the cautions that name the units.

ok approves nothing: a tall unit is fixed to the wall before loading whatever its verdict.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from kit.base.cautions import TALL_MM
from kit.base.checks import CLOSED_MM, Check
from kit.base.runs import PlacedUnit
from kit.strength.furniture import subject_of
from kit.strength.standing import FRICTION, PERSON_KG, PUSH_N, Tipping

#: A list of units in one sentence ends after so many, and counts the rest.
LISTED = 6

_FIX = "fix to the wall before loading whatever the verdict"
_LOW = "fix it to the wall, or set the front bearer forward (front_mm), where it is refer"
_PUSH_SOURCE = (
    "10 lbf at 56 in, ASTM F2057 (from memory, weak; it leaves built-ins and bookcases out)"
)


def tipping_checks(subject: str, placed: PlacedUnit, tip: Tipping) -> Iterator[Check]:
    """Yield the checks of one unit.

    Parameters
    ----------
    subject : str
        What the rows call it.
    placed, tip : PlacedUnit, Tipping
        The unit at its place, and what tips it.

    Yields
    ------
    Check
        The push that tips it; for units of at least `kit.base.cautions.TALL_MM` the push that
        slides it; for units that hold people, one of them on the front edge.
    """
    tall = placed.unit.height_mm >= TALL_MM
    yield _tips(subject, tip, _FIX if tall else _LOW)
    if tall:
        yield _slides(subject, tip)
    if _holds_people(placed):
        yield _person(subject, tip)


def tipping_cautions(
    units: Sequence[PlacedUnit], tippings: Sequence[Tipping], *, several_runs: bool
) -> Iterator[str]:
    """Yield one sentence that lists tall units and those that tip early, one of persons.

    Parameters
    ----------
    units, tippings : sequences
        All units and what tips each of them, in the same order.
    several_runs : bool
        Whether the run is named too.
    """
    named = [
        (subject_of(placed, several_runs=several_runs), placed, tip)
        for placed, tip in zip(units, tippings, strict=True)
    ]
    tall = easiest_first(
        [
            (name, tip)
            for name, placed, tip in named
            if placed.unit.height_mm >= TALL_MM or not tip.mass_known or tips_early(tip)
        ]
    )
    if tall:
        said = listed([f"{name!r} ({_what_tips(tip)})" for name, tip in tall])
        yield f"Fix to the wall at the top before loading: {said}."
    tipped = [
        f"{name!r} ({_times(tip)} what it holds empty)"
        for name, placed, tip in named
        if tipped_by_a_person(placed, tip)
    ]
    if tipped:
        yield (
            f"A person of {PERSON_KG:.0f} kg on the front edge tips {listed(tipped)}: fix it to"
            " the wall, or set the front bearer forward (front_mm)."
        )


def tips_early(tip: Tipping) -> bool:
    """Tell whether a unit tips at less than the push that it should bear."""
    return tip.tips_empty_N < PUSH_N - CLOSED_MM


def easiest_first(named: Sequence[tuple[str, Tipping]]) -> list[tuple[str, Tipping]]:
    """Return units by the push that tips them, the least first; those without a mass last."""
    return sorted(named, key=lambda one: one[1].tips_empty_N if one[1].mass_known else math.inf)


def listed(units: Sequence[str]) -> str:
    """Return names as a list of at most `LISTED`, and how many more there are.

    Examples
    --------
    >>> listed(["a", "b"]), listed("abcdefgh")
    ('a, b', 'a, b, c, d, e, f and 2 more')
    """
    more = len(units) - LISTED
    return ", ".join(units[:LISTED]) + (f" and {more} more" if more > 0 else "")


def tipped_by_a_person(placed: PlacedUnit, tip: Tipping) -> bool:
    """Tell whether a unit holds people, of whom one on its front edge tips it."""
    return _holds_people(placed) and tip.person_ratio > 1 + CLOSED_MM


def _holds_people(placed: PlacedUnit) -> bool:
    return placed.unit.contents_are == "people"


def _what_tips(tip: Tipping) -> str:
    if not tip.mass_known:
        return "no mass given, so that nobody knows what tips it"
    if tip.tips_empty_N == 0:
        return "tips by itself: hold it until it is fixed"
    return f"unfixed, {tip.tips_empty_N:.0f} N at {tip.push_height_mm / 1000:.2f} m tip it"


def _times(tip: Tipping) -> str:
    return f"{tip.person_ratio:.1f} times" if math.isfinite(tip.person_ratio) else "more than"


def _tips(subject: str, tip: Tipping, fix: str) -> Check:
    check = "push that tips it forward"
    if not tip.mass_known:
        return _no_mass(check, subject, "N", fix)
    at = f"empty, at {tip.push_height_mm:.0f} mm; full {tip.tips_full_N:.0f} N"
    return _push(check, subject, tip.tips_empty_N, f"{fix}; {at}")


def _slides(subject: str, tip: Tipping) -> Check:
    check = "push that slides it"
    if not tip.mass_known:
        return _no_mass(check, subject, "N", _FIX)
    loose = (
        f"{_FIX}; empty, friction {FRICTION:g} (from memory); full {tip.slides_full_N:.0f} N; does"
        " not hold for a unit that is screwed down, which does not slide"
    )
    return _push(check, subject, tip.slides_empty_N, loose)


def _push(check: str, subject: str, value: float, how: str) -> Check:
    verdict = "ok" if value >= PUSH_N - CLOSED_MM else "refer"
    return Check(check, subject, value, PUSH_N, "N", verdict, f"{how}; at least {_PUSH_SOURCE}")


def _person(subject: str, tip: Tipping) -> Check:
    """Judge a person's moment about the front bearer's edge against what the empty unit holds."""
    check = "person on its front edge"
    fix = "fix it to the wall, or set the front bearer forward (front_mm)"
    if not tip.mass_known:
        return _no_mass(check, subject, "ratio", fix)
    verdict = "ok" if tip.person_ratio <= 1 + CLOSED_MM else "refer"
    how = f"{PERSON_KG:.0f} kg, the unit empty and not fixed; common practice, no source"
    source = how if verdict == "ok" else f"{fix}; {how}"
    return Check(check, subject, tip.person_ratio, 1.0, "ratio", verdict, source)


def _no_mass(check: str, subject: str, unit: str, fix: str) -> Check:
    why = f"no mass_kg given for the unit; {fix}"
    return Check(check, subject, math.nan, math.nan, unit, "not_checked", why)
