"""Marking of the drill with the run."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from kit.practice.drills.book_run_case import (
    Case,
    corrected_mm,
    length_forgotten,
    nearer_corrected,
)
from kit.practice.drills.book_run_line import (
    LEGS,
    LIMIT_MM,
    LONG_MM,
    POINTS,
    THERE,
    Leg,
    carried,
    carried_both_ways,
    leg_words,
    misclosure,
    spread,
    spread_wrongly,
)
from kit.practice.drills.own_error_mark import OFF_THE_GLASS
from kit.practice.effects import Effect, lean_along
from kit.practice.fields import Values, number
from kit.practice.instruments import LEVEL_LENGTHS_MM
from kit.practice.mistakes import (
    NEVER_TURNED,
    ON_A_HUMP,
    OUT,
    SHORT_LEVEL,
    WRONG_SIGN,
    Kind,
    Mistake,
)
from kit.practice.moves import Done

NOT_CLOSED = Kind("not_closed", "never came back to where it began",
    "carries a height one way only, so that nothing shows what it is worth", 25)  # fmt: skip
NOT_SPREAD = Kind("not_spread", "left the misclosure in the last leg",
    "finds what the round misses and answers the heights as first booked", 20)  # fmt: skip

#: A leg was booked from a reading if it is no farther from it than this [mm], rounded as one
#: likes: to half a millimetre, say.
_BOOKED_MM = 0.26

#: As it is typed, a booked rise differs from what was worked out by less [mm].
_TYPED_MM = 0.06

#: Heights that differ by no more than this are the same sums, rounded as one likes [mm].
_SUMS_MM = 0.3

#: A grain under an end of a level [mm], in what short steps may come to.
_GRAIN_MM = 0.2

_SOUND = (
    "Packers under both ends of the long level, each leg read both ways round (or the marked end "
    "behind all the way there and back), all eight legs booked, an eighth of what they add up to "
    "taken off each, then the heights added up."
)


def mark(done: Sequence[Done], answer: Values, true_mm: Mapping[str, float]) -> tuple[Mistake, ...]:
    """Tell the mistakes, where the heights of B to E above A are known [mm]."""
    said = {point: number(answer, point) for point in POINTS[1:]}
    case = Case(done, true_mm, said, number(answer, "misclosure"))
    return tuple(
        Mistake(kind, f"{words}; {_figures(case)}", _effect(case, kind), _SOUND)
        for kind, words in _causes(case)
    )


def _causes(case: Case) -> Iterator[tuple[Kind, str]]:
    """Yield kinds and what was done: habits first, then what no habit explains.

    Each habit but that of not coming back spoils heights by itself; sums that do not follow from
    the book are a mistake of their own.
    """
    found = [*_habits(case)]
    found += [] if not case.wrong else [*_slipped_sign(case)] or [*_not_spread(case)]
    yield from found
    kinds = {kind for kind, _ in found} - {NOT_CLOSED}
    sums = WRONG_SIGN not in kinds and NOT_SPREAD not in kinds and not _adds(case)
    if case.unread or (case.wrong and (not kinds or sums)):
        yield OUT, _why_out(case)
    elif not case.wrong and not case.missing:
        yield from _misclosure(case)


def _habits(case: Case) -> Iterator[tuple[Kind, str]]:
    if case.missing:
        yield NOT_CLOSED, f"not booked: {_list(case.missing)}"
    elif case.copied:
        yield NOT_CLOSED, f"booked from the other way, and no level laid: {_list(case.copied)}"
    short = [leg for leg in THERE if not case.lies[leg] and case.short[leg]]
    if short:
        yield SHORT_LEVEL, f"the short level, in steps, along {_list(short)}"
    if case.one_way and not nearer_corrected(case):
        yield NEVER_TURNED, f"read one way round only, there and back: {_list(case.one_way)}"
    humps = [leg for leg in THERE if any(_on_a_hump(case, one) for one in (leg, leg[::-1]))]
    if humps:
        yield ON_A_HUMP, f"the level touched the floor between the points: {_list(humps)}"
    if case.off_the_glass:
        yield OFF_THE_GLASS, f"no bubble was read on the glass, {_list(case.off_the_glass)}"


def _on_a_hump(case: Case, leg: Leg) -> bool:
    """Tell whether all that a booking can be from is the level on a hump between its ends."""
    sources = case.sources(leg)
    return bool(sources) and not any(lie.on_points for lie in sources)


def _slipped_sign(case: Case) -> Iterator[tuple[Kind, str]]:
    """Yield legs booked with the sign of what was read the wrong way round, or heights so."""
    legs = [leg for leg, rise in case.book_mm.items() if _slipped(case, leg, rise)]
    legs = [] if length_forgotten(case) else legs
    heights = [] if _adds(case) else _turned_over(case)
    if legs:
        figures = ", ".join(f"{leg_words(leg)} {case.book_mm[leg]:+g} mm" for leg in legs)
        yield WRONG_SIGN, f"booked with the wrong sign: {figures}"
    elif heights and case.book_mm:
        yield WRONG_SIGN, f"answered with the wrong sign: {', '.join(heights)}"
    elif _shared_wrongly(case, -1 / len(LEGS)):
        yield WRONG_SIGN, "each leg's share of the misclosure was added, not taken off"


def _turned_over(case: Case) -> list[str]:
    """Return points whose heights have the wrong sign, where with the right one all are right."""
    true, said = case.true_mm, case.said_mm
    points = [p for p in said if abs(said[p] - true[p]) > LIMIT_MM >= abs(said[p] + true[p])]
    right = {p: -one if p in points else one for p, one in said.items()}
    return points if case.off_mm(right) <= LIMIT_MM else []


def _slipped(case: Case, leg: Leg, rise: float) -> bool:
    """Tell whether a booked rise is what was read for it with a sign the wrong way round.

    The whole rise, the bubble or the packers may be.
    """
    says, lies = case.says(leg), [lie for lie in case.sources(leg) if lie.readable]
    if not says:
        return _slipped_in_steps(case, leg, rise)
    sign = 1.0 if leg in THERE else -1.0
    right = [tilt + packed for tilt, packed in says]
    right += [sign * corrected_mm(case, lie) for lie in lies]
    slips = [s for tilt, packed in says for s in (-tilt - packed, packed - tilt, tilt - packed)]
    slipped, sound = (min(abs(rise - one) for one in some) for some in (slips, right))
    return slipped <= _BOOKED_MM and slipped < sound - _TYPED_MM


def _slipped_in_steps(case: Case, leg: Leg, rise: float) -> bool:
    """Tell the same of short steps, whose sum nobody knows: there and back have one sign."""
    true = case.true_rise_mm(leg)
    apart = abs(rise + case.book_mm.get(leg[::-1], -rise))
    return leg not in case.unread and abs(rise + true) <= LIMIT_MM < min(abs(rise - true), apart)


def _not_spread(case: Case) -> Iterator[tuple[Kind, str]]:
    """Yield a misclosure that was left where it was, or put into the last leg alone."""
    missed = misclosure(case.book_mm)
    left = _same(case, carried(case.book_mm), POINTS[1:-1])
    if not case.missing and left and case.off_mm(spread(case.book_mm)) <= LIMIT_MM:
        yield NOT_SPREAD, f"all eight legs add up to {missed:+.1f} mm, and not each got its share"


def _shared_wrongly(case: Case, share: float) -> bool:
    """Tell whether another share than an eighth was taken off, which would have put it right."""
    if case.missing or case.off_mm(spread(case.book_mm)) > LIMIT_MM:
        return False
    return _same(case, spread_wrongly(case.book_mm, share))


def _same(case: Case, heights: Mapping[str, float], points: Sequence[str] = POINTS[1:]) -> bool:
    return all(abs(heights[point] - case.said_mm[point]) <= _SUMS_MM for point in points)


def _adds(case: Case) -> bool:
    """Tell whether the heights that were answered follow from the book in some way."""
    ways = [carried(case.book_mm)]
    if not case.missing:
        ways += [spread(case.book_mm), carried_both_ways(case.book_mm)]
    return any(case.apart_mm(heights) <= LIMIT_MM for heights in ways)


def _why_out(case: Case) -> str:
    """Return why heights are out that no other mistake explains."""
    if case.unread or not case.book_mm:
        no_level = f"booked, and no level laid: {_list(case.unread)}"
        return no_level if case.book_mm else "nothing was booked"
    if length_forgotten(case):
        return f"bubbles were booked as they stood, not times {LONG_MM / 1000:g}"
    if _shared_wrongly(case, 1 / len(THERE)):
        return "a quarter of the misclosure was taken off each leg: there are eight"
    otherwise = [leg for leg in case.book_mm if _otherwise(case, leg)]
    if otherwise:
        figures = ", ".join(_against(case, leg) for leg in otherwise)
        return f"booked otherwise than the level says: {figures}"
    if not _adds(case):
        return "the legs were booked as they were read, and do not add up to your heights"
    return "the legs were read well, and the heights are out"


def _otherwise(case: Case, leg: Leg) -> bool:
    lies = [lie for lie in case.sources(leg) if lie.readable]
    sign = 1.0 if leg in THERE else -1.0
    rises = [sign * rise for lie in lies for rise in (lie.rise_mm, corrected_mm(case, lie))]
    rise = case.book_mm[leg]
    return bool(rises) and not min(rises) - _BOOKED_MM <= rise <= max(rises) + _BOOKED_MM


def _against(case: Case, leg: Leg) -> str:
    sign = 1.0 if leg in THERE else -1.0
    read = sign * float(np.mean([lie.rise_mm for lie in case.sources(leg) if lie.readable]))
    return f"{leg_words(leg)} {case.book_mm[leg]:+g} mm (bubble and packers say {read:+.1f})"


def _misclosure(case: Case) -> Iterator[tuple[Kind, str]]:
    """Yield a misclosure that is not the sum of the legs."""
    missed = misclosure(case.book_mm)
    if all(abs(case.said_missed_mm - sum_mm) > LIMIT_MM + 1e-9 for sum_mm in case.sums_mm):
        kind = WRONG_SIGN if abs(case.said_missed_mm + missed) <= LIMIT_MM else OUT
        yield kind, f"the legs add up to {missed:+.1f} mm, you answered {case.said_missed_mm:+g} mm"


def _figures(case: Case) -> str:
    return ", ".join(
        f"{point} {case.said_mm[point]:+.1f} mm (is {case.true_mm[point]:+.1f})"
        for point in POINTS[1:]
    )


def _effect(case: Case, kind: Kind) -> Effect:
    """Return what comes of it; where the heights are right, what would have passed unseen."""
    if kind is NOT_CLOSED and not case.wrong and case.book_mm:
        leg, rise = max(case.book_mm.items(), key=lambda one: abs(one[1]))
        lean = lean_along(2 * rise, LONG_MM)
        said = f"had {leg_words(leg)} been booked with the wrong sign, nothing would have shown it"
        return Effect(f"{said}, and {lean.words}", lean_mm=lean.lean_mm)
    if kind is SHORT_LEVEL and not case.wrong:
        lean = lean_along(_GRAIN_MM, LEVEL_LENGTHS_MM["short"])
        said = (
            f"the heights are right this time; but a grain of {_GRAIN_MM:g} mm under the same end "
            "at every step adds up along the run"
        )
        return Effect(f"{said}, and {lean.words}", lean_mm=lean.lean_mm)
    return lean_along(case.worst_leg_mm, LONG_MM)


def _list(legs: Sequence[Leg]) -> str:
    return ", ".join(leg_words(leg) for leg in legs)
