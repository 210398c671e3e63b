"""The menu of a run: 1, 2, … zones, each number as well as it can be, or why it cannot be."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kit.base.datum import packer_kinds
from kit.base.reasons import rules_broken
from kit.base.stack_rules import (
    UNITS_PER_MM,
    StackRules,
    height_text,
    pooled_stock,
    to_mm,
)
from kit.base.sums import UNREACHABLE
from kit.base.sweep import Level, StackTask
from kit.job import Base, Job, Run
from kit.levels.bay import Bay, StepRule, Tell
from kit.levels.exact import ZoneGround, look_under_zone, stacked
from kit.levels.packing import Packing
from kit.levels.row_of_bays import RowPlan, part_row
from kit.parts import Survey

Look = Callable[[int, int], ZoneGround]

#: Stacks without end, to learn what would be needed: thicknesses [mm], most pieces, longest [mm].
_ENDLESS = ((1000, 100, 10, 1), 60, 20_000.0)


@dataclass(frozen=True, eq=False)
class Choice:
    """One number of zones for one run.

    Parameters
    ----------
    run : str
        The run.
    zones : int
        How many.
    units : tuple of (int, int)
        First and last unit of each; empty where it cannot be.
    levels : tuple of int
        Level of each [units].
    packing : int
        Height of all stacks together, as built of packers enough [units].
    pieces : int
        Packers in them.
    highest_mm, least_mm : float
        Highest and least stack [mm].
    why_not : str
        Why it cannot be; empty where it can.
    grounds : tuple of ZoneGround
        The zones over their floor.
    """

    run: str
    zones: int
    units: tuple[tuple[int, int], ...] = ()
    levels: tuple[int, ...] = ()
    packing: int = 0
    pieces: int = 0
    highest_mm: float = np.nan
    least_mm: float = np.nan
    why_not: str = ""
    grounds: tuple[ZoneGround, ...] = ()

    @property
    def steps_mm(self) -> tuple[float, ...]:
        """Steps from zone to zone, positive = up to the right [mm]."""
        return tuple(np.diff(to_mm(np.array(self.levels, dtype=np.int64))).tolist())


def looker(job: Job, survey: Survey, base: Base, run: Run) -> Look:
    """Return what looks under a zone of a run, each zone once."""
    seen: dict[tuple[int, int], ZoneGround] = {}

    def look(first: int, last: int) -> ZoneGround:
        if (first, last) not in seen:
            seen[first, last] = look_under_zone(job, survey, base, run, (first, last))
        return seen[first, last]

    return look


def menu_of_run(
    job: Job,
    run: Run,
    bays: Sequence[Bay],
    look: Look,
    packing: Packing,
    rule: StepRule,
    most: int,
    tell: Tell | None = None,
) -> tuple[Choice, ...]:
    """Return the best of each number of zones from 1 to ``most``, or why it cannot be.

    The partition is the search's; levels and figures are exact for the zones as they are built.
    """
    plans = part_row(bays, packing, rule, most, tell)
    plans = {1: RowPlan(((0, len(bays) - 1),), (0,), 0), **plans}  # there is but one of one zone
    menu = []
    for zones in range(1, most + 1):
        if zones > len(bays):
            why = f"the run has {len(bays)} units only"
            menu.append(Choice(run.name, zones, why_not=why))
        elif zones in plans:
            menu.append(exact_choice(run.name, plans[zones].zones, look, packing, rule))
        else:
            why = _why_not(job, bays, packing, rule, zones)
            menu.append(Choice(run.name, zones, why_not=why))
    return tuple(menu)


def exact_choice(
    run: str,
    units: tuple[tuple[int, int], ...],
    look: Look,
    packing: Packing,
    rule: StepRule,
    levels: tuple[int, ...] = (),
) -> Choice:
    """Return a partition with its exact levels, least packing first, or with given ones."""
    grounds = tuple(look(first, last) for first, last in units)
    wrong = [ground.why_alone for ground in grounds if ground.why_alone]
    if wrong and not levels:
        return Choice(run, len(units), why_not=wrong[0])
    if not levels:
        plan = part_row([ground.bay for ground in grounds], packing, rule, len(units))
        if len(units) not in plan:
            return Choice(run, len(units), why_not=_no_steps(rule, len(units)))
        levels = plan[len(units)].levels
    figures = stacked(grounds, levels, packing)
    return Choice(
        run,
        len(units),
        units,
        levels,
        int(figures.heights.sum()),
        figures.pieces,
        float(to_mm(figures.heights.max())),
        float(to_mm(figures.heights.min())),
        grounds=grounds,
    )


def _no_steps(rule: StepRule, zones: int) -> str:
    return (
        f"no {zones} levels, each with stacks and within base.height_mm, differ from zone to zone"
        f" by {height_text(rule.least)} to {height_text(rule.greatest)} mm"
    )


def _why_not(job: Job, bays: Sequence[Bay], packing: Packing, rule: StepRule, zones: int) -> str:
    """Say which support would need which stack, in the least packing that stacks without end give.

    It is told of one partition: others would need other stacks, none of which can be made either.
    """
    endless = _endless(packing)
    plan: Mapping[int, RowPlan] = part_row(bays, endless, rule, zones)
    if zones not in plan:
        return _no_steps(rule, zones)
    misses = [
        miss
        for span, level in zip(plan[zones].zones, plan[zones].levels, strict=True)
        for miss in _missed(job, bays, packing, span, level)
    ]
    if not misses:
        return _no_steps(rule, zones)
    height, words = max(misses)
    return f"at the least, {words} would need a stack of {height_text(height)} mm"


def _endless(packing: Packing) -> Packing:
    thicknesses, pieces, longest = _ENDLESS
    rules = packing.rules
    rules = StackRules(max(rules.tolerance_mm, 0.5), pieces, longest, rules.minimum_pack_mm)
    return Packing(tuple(t * UNITS_PER_MM for t in thicknesses), rules)


def _missed(
    job: Job, bays: Sequence[Bay], packing: Packing, span: tuple[int, int], level: int
) -> list[tuple[int, str]]:
    """Return the target and the words of every support of a zone that has no stack."""
    first, last = span
    found = []
    for number in range(first, last + 1):
        way = bays[number].way(left=number > first, right=number < last)
        targets = level - way.offset
        missing = np.flatnonzero(packing.pieces(targets) >= UNREACHABLE)
        if not len(missing):
            continue
        task = StackTask(
            Level(way.names, way.offset, level, level),
            pooled_stock(tuple(replace(k, count=None) for k in packer_kinds(job.stock))),
            packing.rules,
        )
        rules = rules_broken(targets[missing], task)
        for place, broken in zip(missing, rules, strict=True):
            words = f"support {way.names[place]} under {bays[number].name} ({broken})"
            found.append((int(targets[place]), words))
    return found
