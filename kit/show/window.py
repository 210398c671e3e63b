"""Which heights of the base these packers can make, what stops them, and how many they need."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import pandas as pd

from kit.answer import Answer
from kit.base.datum import Datum, Needs, Window, height_window, packer_kinds
from kit.base.stacks import PackerKind, StackRules, optimise_stacks, piece_curve
from kit.ink.lengths import length, length_with_unit
from kit.ink.table import Head, Table, records
from kit.ink.words import on_bearers, on_packers


@dataclass(frozen=True, eq=False)
class Reach:
    """What the packers can make under the layout of an answer, whatever the job wishes.

    Parameters
    ----------
    asked_mm : tuple of float
        Lowest and highest base top above the high point that the job asks for [mm].
    feasible_mm : tuple of (float, float)
        All heights that the packers can make, their number taken as unlimited [mm].
    binding_low, binding_high : str
        What stops a lower and a higher base.
    curve : DataFrame
        from_mm, to_mm, pieces: the fewest packers at each height.
    """

    asked_mm: tuple[float, float]
    feasible_mm: tuple[tuple[float, float], ...]
    binding_low: str
    binding_high: str
    curve: pd.DataFrame

    @property
    def low_mm(self) -> float:
        """Lowest height that the packers can make [mm]."""
        return self.feasible_mm[0][0]

    @property
    def high_mm(self) -> float:
        """Greatest height that the packers can make [mm]."""
        return self.feasible_mm[-1][1]


def reach(answer: Answer, asked_mm: tuple[float, float] | None = None) -> Reach:
    """Find every height that the packers can make, beyond the wish of the job too.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    asked_mm : tuple of float, optional
        The job's wish; that of the answer's base unless given.

    Returns
    -------
    Reach

    Raises
    ------
    Refusal
        Where no height at all can be made.
    """
    base, layout, datum = answer.base, answer.layout, answer.datum
    # No wish: from the thinnest stack that is allowed to the longest.
    lowest = datum.bearer_mm + base.minimum_pack_mm
    highest = datum.bearer_mm + base.max_stack_mm + base.tolerance_mm
    lies = "bearer" if on_bearers(answer.ground) else "row"
    needs = Needs(datum.bearer_mm, base.minimum_pack_mm, "minimum pack", lies=lies)
    free = base.model_copy(update={"height_mm": (lowest, max(lowest, highest))})
    lift = datum.front_lift_mm
    known, high = answer.ground.known, datum.high_point_mm
    window = height_window(answer.job, free, known, high, layout, lift, needs)
    kinds = [
        replace(kind, count=None) for kind in packer_kinds(answer.job.stock) if kind.count != 0
    ]
    plan = optimise_stacks(*_problem(answer, window, kinds))
    whole = Datum(window, plan, datum.high_point_mm, datum.bearer_mm, lift)
    curve = piece_curve(*_problem(answer, window, kinds))
    up = datum.bearer_mm - datum.high_point_mm
    return Reach(
        base.height_range_mm if asked_mm is None else asked_mm,
        whole.feasible_heights_mm,
        _without_wish(whole.binding_low),
        _without_wish(whole.binding_high),
        curve.assign(from_mm=curve["from_mm"] + up, to_mm=curve["to_mm"] + up),
    )


def _problem(answer: Answer, window: Window, kinds: list[PackerKind]) -> tuple[Any, ...]:
    base, supports = answer.base, answer.supports
    rules = StackRules(
        tolerance_mm=base.tolerance_mm,
        max_pieces=base.max_pieces,
        max_stack_mm=base.max_stack_mm,
        minimum_pack_mm=base.minimum_pack_mm,
    )
    return (
        list(supports["support"]),
        supports["floor_mm"].to_numpy(),
        answer.datum.front_lift_mm * supports["lift_share"].to_numpy(),
        window.low.datum_mm,
        window.high.datum_mm,
        kinds,
        rules,
    )


def _without_wish(binding: str) -> str:
    """Put the picture's own outer ends into the words of what they stand for."""
    if binding.startswith("lowest height asked for"):
        return "thinnest pack that is allowed"
    if binding.startswith("greatest height asked for"):
        return "longest stack that is allowed"
    return binding


def bounds_sentences(answer: Answer, found: Reach) -> tuple[str, str]:
    """Return what stops the base at both ends, within the job's wish and beyond it."""
    units = answer.job.units
    return (
        _as_asked(answer),
        f"These packers reach from {length_with_unit(found.low_mm, units)} ({found.binding_low})"
        f" to {length_with_unit(found.high_mm, units)} ({found.binding_high}).",
    )


def _as_asked(answer: Answer) -> str:
    units, datum = answer.job.units, answer.datum
    low, high = datum.feasible_heights_mm[0][0], datum.feasible_heights_mm[-1][1]
    return (
        f"As asked: from {length_with_unit(low, units)} ({datum.binding_low})"
        f" to {length_with_unit(high, units)} ({datum.binding_high})."
    )


def _heights_table(answer: Answer) -> Table:
    """Return all heights that a base without packers can be made at."""
    units = answer.job.units
    rows = tuple(
        (length(low, units), length(high, units)) for low, high in answer.datum.feasible_heights_mm
    )
    heads = (Head("from", units), Head("to", units))
    chosen = length_with_unit(answer.datum.base_height_mm, units)
    note = f"{_as_asked(answer)} Chosen: {chosen}."
    return Table("Heights within what is asked for that can be made", heads, rows, note)


def height_window_table(answer: Answer, found: Reach | None = None) -> Table:
    """Return the heights that need fewest packers, the cheapest first.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    found : Reach, optional
        From `reach`; worked out here unless given.

    Returns
    -------
    Table
        Without packers, all heights that can be made.
    """
    if not on_packers(answer):
        return _heights_table(answer)
    found = reach(answer) if found is None else found
    units = answer.job.units
    low, high = found.asked_mm
    inside = found.curve[(found.curve["to_mm"] >= low) & (found.curve["from_mm"] <= high)]
    first = inside.assign(wide=inside["to_mm"] - inside["from_mm"]).sort_values(
        ["pieces", "from_mm"], kind="stable"
    )
    rows = [
        (
            length(max(float(one["from_mm"]), low), units),
            length(min(float(one["to_mm"]), high), units),
            f"{int(one['pieces'])}",
        )
        for one in records(first.head(8))
    ]
    return Table(
        "Heights within what is asked for that need fewest packers",
        (Head("from", units), Head("to", units), Head("packers", "count")),
        tuple(rows),
        note=" ".join(bounds_sentences(answer, found)),
    )
