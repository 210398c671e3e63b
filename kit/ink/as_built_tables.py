"""Tables of a finished base: supports, units, what to change."""

from __future__ import annotations

from collections.abc import Mapping

from kit.as_built import Checked
from kit.as_built.judged import NOT_READ, OUTSIDE, TOO_CLOSE, WITHIN
from kit.ink.lengths import number, plan_length, signed_small, small
from kit.ink.table import Head, Table, records

#: Sign before each verdict, so that it is seen without reading.
_SIGNS: Mapping[str, str] = {WITHIN: "✓", TOO_CLOSE: "?", OUTSIDE: "✗", NOT_READ: "–"}

_AMISS = (OUTSIDE, TOO_CLOSE)


def tops_table(checked: Checked) -> Table:
    """Return how far each support is off the one level, and off the planned height where known.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`.
    """
    units, absolute = checked.answer.job.units, checked.tops.absolute
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
            _verdict(one["verdict"], one["how"]),
        )
        for one in records(checked.supports)
    )
    bad = frozenset(place for place, one in enumerate(checked.supports["verdict"]) if one in _AMISS)
    note = (
        f"Positive is high. The level is the one that brings most supports within"
        f" {small(checked.tolerance_mm, units)} {units}, the planned front lift taken off."
    )
    return Table("Supports as read", heads, rows, note, bad)


def _verdict(verdict: str, how: str) -> str:
    between = ", between two readings" if how == "between" else ""
    return f"{_SIGNS[verdict]} {verdict}{between}"


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


def change_table(checked: Checked) -> Table:
    """Return which stacks to open and what to put in them, with a box to tick.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`.
    """
    units, changes = checked.answer.job.units, checked.changes
    heads = (
        Head("☐"),
        Head("support"),
        Head("now, from the floor up [mm]"),
        Head("take out [mm]"),
        Head("put in [mm]"),
        Head("then, from the floor up [mm]"),
        Head("off before", units),
        Head("off then", units),
    )
    rows = tuple(
        (
            "☐",
            str(one["support"]),
            str(one["stack_before"]),
            str(one["take_out"]) or "–",
            str(one["put_in"]) or "–",
            str(one["stack_after"]),
            signed_small(one["off_before_mm"], units),
            signed_small(one["off_after_mm"], units),
        )
        for one in records(changes.changed)
    )
    proof = "fewest stacks opened, then fewest packers handled: proven"
    note = f"{proof if changes.proven else 'not proven to be the fewest'}. Printed sizes."
    return Table("What to change", heads, rows, note)
