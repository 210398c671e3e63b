"""A zone as a base of its own: its job, laid out and looked under as `kit.answer` would."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kit.base.datum import packer_kinds
from kit.base.runs import Floats
from kit.base.stack_rules import Ints, StackRules, to_mm, to_units
from kit.job import Base, Job, Refusal, Run
from kit.job.model import LONGEST_MM
from kit.levels.bay import Bay, Way
from kit.levels.packing import Packing
from kit.levels.run_parts import of_run, part_of_run
from kit.methods import as_expected, method_of
from kit.parts import Survey

_NEVER = Way((), np.zeros(0, dtype=np.int64), "it ends at its own zone")


@dataclass(frozen=True, eq=False)
class ZoneGround:
    """A zone over its floor, before its level is chosen.

    Parameters
    ----------
    bay : Bay
        Its supports, and the window that its level must keep to; it ends on both sides.
    up_mm : float
        Base top above the high point less level: what turns a level into ``height_mm`` [mm].
    why_not : str
        Why it has no level however high it may be; empty where it has one.
    why_alone : str
        Why it has none within the height asked for above its own high point.
    """

    bay: Bay
    up_mm: float
    why_not: str = ""
    why_alone: str = ""


@dataclass(frozen=True, eq=False)
class Stacked:
    """What a zone takes at a level: heights (n,) [units], pieces, worst error [mm]."""

    heights: Ints
    pieces: int
    error_mm: Floats


def packing_of(job: Job, base: Base) -> Packing:
    """Return what the job's packers make, as if there were as many as wanted."""
    rules = StackRules(
        tolerance_mm=base.tolerance_mm,
        max_pieces=base.max_pieces,
        max_stack_mm=base.max_stack_mm,
        minimum_pack_mm=base.minimum_pack_mm,
    )
    return Packing.of(packer_kinds(job.stock), rules)


def zone_job(job: Job, base: Base, run: Run, units: tuple[int, int], name: str) -> tuple[Job, Base]:
    """Return the job of one zone: its units from first to last as a run of its own."""
    return of_run(job, part_of_run(run, *units, name), base)


def look_under_zone(
    job: Job, survey: Survey, base: Base, run: Run, units: tuple[int, int]
) -> ZoneGround:
    """Lay out one zone, look under it and find between which levels it may lie.

    Where it cannot be built, ``why_not`` or ``why_alone`` says so in the words of the refusal.
    """
    alone, plain = zone_job(_ample(job), base, run, units, run.name)
    method = method_of(plain)
    low, high = plain.height_range_mm
    anyhow = plain.model_copy(update={"height_mm": (low, max(high, LONGEST_MM))})
    try:
        layout = method.lay_out(alone, plain)
        ground = method.look_under(alone, survey, layout, plain)
        datum = method.set_level(alone, anyhow, ground, as_expected(ground))
    except Refusal as refusal:
        words = _words(refusal)
        return ZoneGround(Bay(run.name, (_NEVER,) * 4, 0, 0, 0), 0.0, words, words)
    why_alone = ""
    try:
        method.set_level(alone, plain, ground, as_expected(ground))
    except Refusal as refusal:
        why_alone = _words(refusal)
    lift = datum.front_lift_mm * ground.supports["lift_share"].to_numpy(dtype=float)
    floor = ground.supports["floor_mm"].to_numpy(dtype=float)
    way = Way(tuple(ground.supports["support"]), to_units(floor) - to_units(lift))
    up = datum.bearer_mm - datum.high_point_mm
    least, cap = (int(to_units(b.datum_mm)) for b in (datum.window.low, datum.window.high))
    # Round-off must not part the two ends of a single height.
    reach = max(int(to_units(high - up)), int(to_units(low - up)))
    bay = Bay(run.name, (way, _NEVER, _NEVER, _NEVER), least, reach, cap)
    return ZoneGround(bay, up, "", why_alone)


def _words(refusal: Refusal) -> str:
    return "; ".join(f"{problem.where}: {problem.found}" for problem in refusal.problems)


def _ample(job: Job) -> Job:
    """Return the job with as many packers as wanted of each kind that is in stock."""
    packers = tuple(
        packer.model_copy(update={"count": None})
        for packer in job.stock.packers
        if packer.count != 0
    )
    return job.model_copy(update={"stock": job.stock.model_copy(update={"packers": packers})})


def stacked(grounds: Sequence[ZoneGround], levels: Sequence[int], packing: Packing) -> Stacked:
    """Return the stacks of zones at their levels, as they would be built."""
    targets = np.concatenate(
        [level - each.bay.ways[0].offset for each, level in zip(grounds, levels, strict=True)]
    )
    heights = packing.heights(targets)
    return Stacked(heights, int(packing.pieces(targets).sum()), to_mm(heights - targets))
