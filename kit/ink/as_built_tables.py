"""Tables of a finished base: supports, units, what to change."""

from __future__ import annotations

import math

from kit.as_built import Checked
from kit.as_built.judged import CONTRADICT, OUTSIDE, TOO_CLOSE
from kit.ink.as_built_words import SIGNS, level_note, other_level, tolerance_words
from kit.ink.inch_words import in_units
from kit.ink.lengths import (
    NOTHING,
    Units,
    number,
    plan_length,
    printed_size,
    printed_sizes,
    printed_unit,
    signed_small,
    small,
)
from kit.ink.table import Head, Table, records

_AMISS = (CONTRADICT, OUTSIDE, TOO_CLOSE)

#: Room to write a figure down.
_LINE = "________"


def tops_table(checked: Checked) -> Table:
    """Return how far each support is off the one level, and off the planned height where known.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`.
    """
    units, absolute = checked.answer.job.units, checked.tops.absolute
    rows_at = checked.tops.at_fault
    heads = (
        Head("support"),
        Head("along the run", units),
        Head("off the level", units),
        Head("doubt, 1 sd", units),
        *((Head("off the planned height", units),) if absolute else ()),
        Head("verdict"),
    )
    rows = tuple(
        (
            str(one["support"]),
            plan_length(one["own_x_mm"], units),
            signed_small(one["off_mm"], units),
            small(one["sd_mm"], units),
            *((signed_small(one["off_plan_mm"], units),) if absolute else ()),
            _verdict(one["verdict"], one["how"], rows_at.get(str(one["support"]), "")),
        )
        for one in records(checked.supports)
    )
    bad = frozenset(place for place, one in enumerate(checked.supports["verdict"]) if one in _AMISS)
    lift = checked.answer.datum.front_lift_mm
    note = level_note(units, tolerance_words(checked), small(lift, units) if lift else "")
    return Table("Supports as read", heads, rows, note, bad)


def _verdict(verdict: str, how: str, rows: str = "") -> str:
    if verdict == CONTRADICT:
        return f"{SIGNS[verdict]} {verdict}: read again ({rows})"
    between = ", between two readings" if how == "between" else ""
    return f"{SIGNS[verdict]} {verdict}{between}"


def unit_tops_table(checked: Checked) -> Table:
    """Return how each unit would stand on the finished base.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`.
    """
    units = checked.answer.job.units
    heads = (
        Head("unit"),
        Head("rises to the right", "mm/m"),
        Head("rises to the front", "mm/m"),
        Head("top leans to the right", units),
        Head("top leans out", units),
        Head("wind", units),
        Head("rocks"),
        Head("verdict"),
    )
    rows = tuple(
        (
            one.unit,
            number(one.along_mm_per_m, 2),
            number(one.across_mm_per_m, 2),
            signed_small(one.lean_along_mm, units),
            signed_small(one.lean_out_mm, units),
            signed_small(one.wind_mm, units),
            one.rocks,
            _verdict(one.verdict, ""),
        )
        for one in checked.units
    )
    bad = frozenset(place for place, one in enumerate(checked.units) if one.verdict in _AMISS)
    note = (
        f"A unit may rise {checked.whole.limit_mm_per_m:g} mm per metre (common practice, no"
        " source). Wind: back left + front right - back right - front left."
    )
    return Table("Units as they would stand", heads, rows, note, bad)


def change_table(checked: Checked, *, to_fill: bool = False) -> Table:
    """Return which stacks to open and what to put in them.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`.
    to_fill : bool
        Whether it is filled in by hand: with a box to tick, and room for what is read again.
    """
    units, changes = checked.answer.job.units, checked.changes
    printed = printed_unit(units)
    tick, again = ((Head("done"),), (Head("read again", units),)) if to_fill else ((), ())
    heads = (
        *tick,
        Head("support"),
        Head(f"now, from the floor up [{printed}]"),
        Head(f"take out [{printed}]"),
        Head(f"put in [{printed}]"),
        Head(f"then, from the floor up [{printed}]"),
        Head("off before", units),
        Head("off then", units),
        *again,
    )
    rows = tuple(
        (
            *("☐" for _ in tick),
            str(one["support"]),
            *(
                _pile(one[key], units)
                + (" ?" if key == "stack_before" and one["stack_from"] == "plan" else "")
                for key in ("stack_before", "take_out", "put_in", "stack_after")
            ),
            signed_small(one["off_before_mm"], units),
            signed_small(one["off_after_mm"], units),
            *(_LINE for _ in again),
        )
        for one in records(changes.changed)
    )
    proof = "proven" if changes.proven else "not proven to be the fewest"
    fewest = f"Fewest stacks opened, then fewest packers handled: {proof}."
    doubtful = (
        ("With ?: only the plan says so; first look whether it stands there, and if not, put that"
         " right first.",)
        if len(changes.to_look_at)
        else ()
    )  # fmt: skip
    note = " ".join(
        (*doubtful, fewest, "Packers by the size printed on them.", *other_level(checked))
    )
    return Table("What to change", heads, rows, note)


def _pile(sizes: object, units: Units) -> str:
    """Return the printed sizes of packers, which the tables of a check tell as "18 6 1" [mm]."""
    said = str(sizes)
    if units == "mm":
        return said or NOTHING
    return printed_sizes([float(word) for word in said.split()], units) or NOTHING


def turn_table(checked: Checked, *, to_fill: bool = False) -> Table:
    """Return which feet to turn, and by how much.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`.
    to_fill : bool
        Whether it is filled in by hand: with a box to tick, and room for what is read again.
    """
    units, turns = checked.answer.job.units, checked.changes.turns
    tick, again = ((Head("done"),), (Head("read again", units),)) if to_fill else ((), ())
    heads = (
        *tick,
        Head("foot"),
        Head("turn"),
        Head("by", units),
        Head("off before", units),
        Head("off then", units),
        *again,
    )
    rows = tuple(
        (
            *("☐" for _ in tick),
            str(one["support"]),
            "up" if one["turn_mm"] > 0 else "down",
            small(abs(one["turn_mm"]), units),
            signed_small(one["off_before_mm"], units),
            signed_small(one["off_after_mm"], units),
            *(_LINE for _ in again),
        )
        for one in records(turns.turned)
    )
    fewest = "The fewest feet that do. Look at each foot: its travel may be used up."
    return Table("What to turn", heads, rows, " ".join((fewest, *other_level(checked))))


def changed_screws_table(checked: Checked) -> Table:
    """Return the screws that the changed stacks take.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`.
    """
    units = checked.answer.job.units
    heads = (
        Head("support"),
        Head("screw"),
        Head("length", printed_unit(units)),
        Head("point below the floor", units),
        Head("may go", units),
        Head("why", wide=True),
    )
    rows = tuple(
        (
            str(one["support"]),
            str(one["step"]),
            printed_size(one["length_mm"], units) if math.isfinite(one["length_mm"]) else NOTHING,
            small(one["point_below_floor_mm"], units),
            small(one["limit_mm"], units),
            in_units(str(one["reason"]), units),
        )
        for one in records(checked.changes.screws)
    )
    note = "Lengths as printed. A stack that is lower than before may not take its old screws."
    return Table("Screws of the changed stacks", heads, rows, note)


def bag_table(checked: Checked) -> Table:
    """Return the packers that are left before and after the changes.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`.
    """
    units = checked.answer.job.units
    heads = (
        Head("packer", printed_unit(units)),
        Head("left now", right=True),
        Head("left then", right=True),
    )
    rows = tuple(
        (
            printed_size(one["nominal_mm"], units),
            _count(one["left_before"]),
            _count(one["left_after"]),
        )
        for one in records(checked.changes.bag)
    )
    return Table("In the bag", heads, rows)


def _count(left: float) -> str:
    return "as wanted" if math.isinf(left) else f"{left:.0f}"
