"""Tables of how the units stand: lean, wind, gaps; standing up, tipping, fixing."""

from __future__ import annotations

import math
from collections.abc import Iterator

from kit.answer import Answer
from kit.base.cautions import TALL_MM
from kit.base.checks import CLOSED_MM
from kit.ink.lengths import NOTHING, Units, number, plan_length, small
from kit.ink.table import Head, Table
from kit.ink.words import on_bearers, set_either_way
from kit.job.units import MM_PER_INCH
from kit.job.ways import way_of
from kit.show.strength_words import NO_APPROVAL_IN_SHORT, unit_names
from kit.strength.furniture import Consequence, Gap
from kit.strength.standing import (
    CHILD_KG,
    FRICTION,
    PERSON_KG,
    PUSH_HEIGHT_MM,
    PUSH_N,
    TiltUp,
    Tipping,
)
from kit.strength.tipping_checks import tipped_by_a_person
from kit.strength.unit_checks import AS_LAID, GAP, LIFTED, SETTLED, SETTLED_GAP


def unit_table(answer: Answer) -> Table:
    """Return how each unit leans and winds on its base, and the gap to the next at the top.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.

    Returns
    -------
    Table
        A row for each unit, and a second one below it where what the joists give is known
        ("settled") or where there is a lift ("with the lift", of which only the lean across is
        known). Narrow: one decimal, and which way in one word.
    """
    units = answer.job.units
    heads = (
        Head("unit", wide=True),
        Head(f"top leans along [{units}]"),
        Head(f"top leans across [{units}]"),
        Head(f"wind: high back corner [{units}]"),
        Head("taper of a door's gap", units),
        Head(f"gap at the top (meant) [{units}]"),
    )
    amiss = {
        (check.subject, check.check)
        for check in answer.strength.checks
        if check.verdict in ("refer", "fail")
    }
    rows: list[tuple[str, ...]] = []
    bad: set[int] = set()
    for name, which, checks, cells in _stands(answer):
        wrong = [(name, check) in amiss for check in checks]
        bad |= {len(rows)} if any(wrong) else set()
        marked = (f"⚠ {text}" if is_ else text for text, is_ in zip(cells, wrong, strict=True))
        rows.append((f"{name}{which}", *marked))
    note = (
        f"{_as_it_lies(answer)}; settled: with the front"
        " lift and what the joists give at once with all units full. Leans: left or right along"
        " the wall, out into the room or back to the wall. Wind: the back corner that stands high"
        " together with the front one across from it. The taper is that of a carcass that gives by"
        f" the whole wind. ⚠: refer, see the checks. {NO_APPROVAL_IN_SHORT}"
    )
    return Table("How the units stand", heads, tuple(rows), note, frozenset(bad))


def _as_it_lies(answer: Answer) -> str:
    """Return what the first row of each unit is reckoned on."""
    if on_bearers(answer.ground):
        return "On its bearers as they lie, before anything is planed or shimmed"
    way, units = way_of(answer.base), answer.job.units
    if not set_either_way(answer):
        return f"On its {way.supports} as they stand, before anything is planed or shimmed"
    off = f"{small(answer.worst_error_mm, units)} {units}"
    if answer.strength.one_surface:
        return (
            f"Either way: the most that comes of a surface that is off level by up to {off} over"
            " its whole length; settled has none of that"
        )
    return (
        f"Either way: what 95 of 100 units keep within where {way.supports} are off by up to {off},"
        " each for itself, and the narrowest that a gap can come; settled has none of that"
    )


def _stands(answer: Answer) -> Iterator[tuple[str, str, tuple[str, ...], tuple[str, ...]]]:
    """Yield name, which stand, the check of each cell, the cells; one or two of each unit."""
    units, strength, either_way = answer.job.units, answer.strength, set_either_way(answer)
    gaps, later = (
        {(gap.run, gap.left): gap for gap in of} for of in (strength.gaps, strength.settled.gaps)
    )
    for name, one, settled in zip(
        unit_names(answer), strength.units, strength.settled.units, strict=True
    ):
        gap, then = (of.get((one.run, one.unit)) for of in (gaps, later))
        yield name, "", (*AS_LAID, GAP), _cells(one, gap, units, either_way=either_way)
        if not math.isnan(settled.lean_out_mm):
            # A gap that settlement leaves alone has one row of checks for both.
            moves = gap and then and abs(gap.top_mm - then.top_mm) > CLOSED_MM
            checks = (*SETTLED, SETTLED_GAP if moves else GAP)
            yield name, ", settled", checks, _cells(settled, then, units)
        elif one.lifted_lean_mm != 0:
            lift = one.lifted_lean_mm
            as_laid = math.copysign(one.lean_out_mm, lift) if either_way else one.lean_out_mm
            lean = _way(as_laid + lift, units, "out", "back")
            dash = NOTHING
            yield name, ", with the lift", ("", LIFTED, "", "", ""), (dash, lean, dash, dash, dash)


def _cells(
    one: Consequence, gap: Gap | None, units: Units, *, either_way: bool = False
) -> tuple[str, ...]:
    ways = (("right", "left"), ("out", "back"), ("left", "right"))
    along, across, wind = (("either way",) * 2,) * 3 if either_way else ways
    return (
        _way(one.lean_along_mm, units, *along),
        _way(one.lean_out_mm, units, *across),
        _way(one.wind_mm, units, *wind),
        _tenths(one.door_taper_mm, units),
        NOTHING if gap is None else _gap_words(gap, units),
    )


def _tenths(mm: float, units: Units) -> str:
    """Return a length without its sign: tenths of a millimetre, hundredths of an inch."""
    return number(abs(mm), 1) if units == "mm" else number(abs(mm) / MM_PER_INCH, 2)


def _way(mm: float, units: Units, plus: str, minus: str, none: str = "") -> str:
    """Return a length without its sign and which way it goes; no way where it rounds to 0."""
    text = _tenths(mm, units)
    if text == NOTHING:
        return NOTHING
    way = (plus if mm > 0 else minus) if text.strip("0.") else none
    return f"{text} {way}".rstrip()


def _meant(mm: float, units: Units) -> str:
    """Return a gap that was meant, without zeros at its end."""
    return _tenths(mm, units).rstrip("0").rstrip(".")


def _gap_words(gap: Gap, units: Units) -> str:
    text = _way(gap.top_mm, units, "open", "press", "touch")
    return text if text == NOTHING else f"{text} ({_meant(gap.before_mm, units)})"


def standing_table(answer: Answer) -> Table:
    """Return whether each unit can be stood up, and what tips or slides it until it is fixed.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    units, strength = answer.job.units, answer.strength
    heads = (
        Head("unit"),
        Head("its diagonal", units),
        Head("room on base", units),
        Head("room on floor", units),
        Head("can be tilted up"),
        Head("push that tips it, empty / full [N]", right=True),
        Head("push that slides it", "N"),
        Head("wall fixing", "N"),
    )
    names = unit_names(answer)
    rows = tuple(
        (
            name,
            plan_length(tilt.diagonal_mm, units),
            plan_length(tilt.room_on_base_mm, units),
            plan_length(tilt.room_on_floor_mm, units),
            _tilt_words(tilt),
            *_forces(tip),
        )
        for name, tilt, tip in zip(names, strength.tilts, strength.tippings, strict=True)
    )
    tall = [
        f"'{name}'"
        for name, placed in zip(names, answer.layout.units, strict=True)
        if placed.unit.height_mm >= TALL_MM
    ]
    fix = f"Fix to the wall at the top before loading, whatever stands here: {', '.join(tall)}. "
    note = (
        f"{fix * bool(tall)}{_person_words(answer)}Pushes are level, into the room, at the unit's"
        f" top or {_push_height(answer)} up, the lower of the two, on a unit that nothing holds;"
        f" sliding empty, with a friction of {FRICTION:g} (from memory). The wall fixing, at the"
        f" unit's top, holds it empty with a child of {CHILD_KG:.0f} kg hanging still on its front"
        f" or under a push of {PUSH_N:g} N, the greater, rounded up; {NOTHING}: these two ask for"
        f" none, or no mass is given; fix it all the same. {NO_APPROVAL_IN_SHORT}"
    )
    bad = frozenset(
        place
        for place, tilt in enumerate(strength.tilts)
        if tilt.ceiling_known and not tilt.on_base
    )
    return Table("Standing up, tipping, fixing", heads, rows, note, bad)


def _person_words(answer: Answer) -> str:
    """Return which units tip under a person on the front edge; empty where none does."""
    tipped = [
        f"'{name}'"
        for name, placed, tip in zip(
            unit_names(answer), answer.layout.units, answer.strength.tippings, strict=True
        )
        if tipped_by_a_person(placed, tip)
    ]
    on_edge = f"A person of {PERSON_KG:.0f} kg on the front edge tips {', '.join(tipped)}. "
    return on_edge * bool(tipped)


def _push_height(answer: Answer) -> str:
    units = answer.job.units
    return f"{plan_length(PUSH_HEIGHT_MM, units)} {units}"


def _tilt_words(tilt: TiltUp) -> str:
    if not tilt.ceiling_known:
        return f"{NOTHING} no ceiling"
    if tilt.on_base:
        return "✓ on base"
    return "⚠ on floor" if tilt.on_floor else "✗ nowhere"


def _forces(tip: Tipping) -> tuple[str, str, str]:
    empty, full = _tips(tip.tips_empty_N), _tips(tip.tips_full_N)
    return (
        empty if empty == full else f"{empty} / {full}",
        number(tip.slides_empty_N, 0),
        fixing_words(tip),
    )


def _tips(push_n: float) -> str:
    return "by itself" if push_n == 0 else number(push_n, 0)


def fixing_words(tip: Tipping) -> str:
    """Return what a wall fixing must take [N], rounded up; a dash where the sums ask for none."""
    if math.isnan(tip.fixing_N) or tip.fixing_N <= 0:
        return NOTHING
    return f"{math.ceil(tip.fixing_N - CLOSED_MM):d}"
