"""Tables of how the units stand: lean, wind, gaps; standing up, tipping, fixing."""

from __future__ import annotations

import math

from kit.answer import Answer
from kit.base.cautions import TALL_MM
from kit.show.lengths import NOTHING, Units, number, plan_length, small
from kit.show.strength_words import (
    NO_APPROVAL_IN_SHORT,
    along_words,
    out_words,
    unit_names,
    way_words,
)
from kit.show.table import Head, Table
from kit.strength.furniture import Gap
from kit.strength.standing import CHILD_KG, FRICTION, PUSH_HEIGHT_MM, TiltUp, Tipping

#: The checks that the columns of `unit_table` show, from the second column on.
_CHECKS = (
    "lean along the run",
    "lean into the room",
    "lean into the room, with lift and settlement",
    "wind of the base",
    "taper of a door's gap",
    "gap to the next unit at the top",
)


def unit_table(answer: Answer) -> Table:
    """Return how each unit leans and winds on its base, and the gap to the next at the top.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    units, strength = answer.job.units, answer.strength
    heads = (
        Head("unit"),
        Head(f"top leans along [{units}]"),
        Head(f"top leans across [{units}]"),
        Head(f"with lift and settlement [{units}]"),
        Head(f"wind of the base [{units}]"),
        Head("taper of a door's gap", units),
        Head(f"gap to the next at the top [{units}]", wide=True),
    )
    gaps = {(gap.run, gap.left): gap for gap in strength.gaps}
    amiss = {
        (check.subject, check.check)
        for check in strength.checks
        if check.verdict in ("refer", "fail")
    }
    rows, bad = [], set()
    for place, (name, one) in enumerate(zip(unit_names(answer), strength.units, strict=True)):
        gap = gaps.get((one.run, one.unit))
        cells = (
            along_words(one.lean_along_mm, units),
            out_words(one.lean_out_mm, units),
            out_words(one.settled_lean_mm, units),
            _wind_words(one.wind_mm, units),
            small(one.door_taper_mm, units),
            NOTHING if gap is None else _gap_words(gap, units),
        )
        wrong = [(name, check) in amiss for check in _CHECKS]
        bad |= {place} if any(wrong) else set()
        marked = (f"⚠ {text}" if is_ else text for text, is_ in zip(cells, wrong, strict=True))
        rows.append((name, *marked))
    note = (
        "On its bearers with the units full, before anything is planed or shimmed; the third"
        " adds the front lift and what the joists give. ⚠: refer, see the checks. The taper is"
        f" that of a carcass that gives by the whole wind. {NO_APPROVAL_IN_SHORT}"
    )
    return Table("How the units stand", heads, tuple(rows), note, frozenset(bad))


def _wind_words(wind_mm: float, units: Units) -> str:
    high = "back left and front right high", "back right and front left high"
    return way_words(wind_mm, units, *high, "flat")


def _gap_words(gap: Gap, units: Units) -> str:
    meant = f", meant {small(gap.before_mm, units)}"
    text = way_words(gap.top_mm, units, "open", "too tight, they press on each other", "they touch")
    return text if text == NOTHING else f"{text}{meant}, to '{gap.right}'"


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
        Head("room on the base", units),
        Head("room on the floor", units),
        Head("can be tilted up"),
        Head("push that tips it, empty", "N"),
        Head("and full", "N"),
        Head("push that slides it, empty", "N"),
        Head("wall fixing must take", "N"),
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
        f"{fix * bool(tall)}Pushes are level, into the room, at the unit's top or"
        f" {_push_height(answer)} up, the lower of the two, on a unit that nothing holds; sliding"
        f" with a friction of {FRICTION:g} (from memory). The fixing holds the empty unit with a"
        f" child of {CHILD_KG:.0f} kg hanging still on its front. {NO_APPROVAL_IN_SHORT}"
    )
    bad = frozenset(
        place
        for place, tilt in enumerate(strength.tilts)
        if tilt.ceiling_known and not tilt.on_base
    )
    return Table("Standing up, tipping, fixing", heads, rows, note, bad)


def _push_height(answer: Answer) -> str:
    units = answer.job.units
    return f"{plan_length(PUSH_HEIGHT_MM, units)} {units}"


def _tilt_words(tilt: TiltUp) -> str:
    if not tilt.ceiling_known:
        return "– no ceiling given"
    if tilt.on_base:
        return "✓ on the base"
    return "⚠ on the floor, then lifted" if tilt.on_floor else "✗ nowhere"


def _forces(tip: Tipping) -> tuple[str, str, str, str]:
    fixing = number(tip.fixing_N, 0)
    return (
        _tips(tip.tips_empty_N),
        _tips(tip.tips_full_N),
        number(tip.slides_empty_N, 0),
        fixing,
    )


def _tips(push_n: float) -> str:
    return "tips by itself" if push_n == 0 and not math.isnan(push_n) else number(push_n, 0)
