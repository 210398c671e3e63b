"""One bag of packers for all zones: what is left for the next one, and what is short."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np

from kit.base.datum import packer_kinds
from kit.base.stack_rules import to_mm
from kit.base.stacks import optimise_stacks
from kit.job import Base, Job, Problem, Refusal
from kit.levels.exact import ZoneGround, packing_of
from kit.parts import Answer


def with_left(job: Job, used: Counter[int]) -> Job:
    """Return a job with the packers that are left.

    Parameters
    ----------
    used : Counter
        How many packers of each kind, by its place in the stock, are gone.
    """
    packers = tuple(
        packer
        if packer.count is None
        else packer.model_copy(update={"count": packer.count - used[kind]})
        for kind, packer in enumerate(job.stock.packers)
    )
    return job.model_copy(update={"stock": job.stock.model_copy(update={"packers": packers})})


def used_by(answer: Answer) -> Counter[int]:
    """Return how many packers of each kind an answer takes."""
    return Counter(kind for stack in answer.datum.plan.stacks for kind in stack)


def short_bag(
    job: Job,
    base: Base,
    name: str,
    refusal: Refusal,
    used: Counter[int],
    zones: Sequence[tuple[ZoneGround, int]],
) -> Refusal:
    """Return why a zone cannot be packed up, with what was gone before it and what all would take.

    Parameters
    ----------
    name, refusal : str, Refusal
        The zone that failed, and how.
    used : Counter
        What the zones before it took.
    zones : sequence of (ZoneGround, level)
        All zones and their levels [units].
    """
    if all(packer.count is None for packer in job.stock.packers):
        return refusal
    wanted = _wanted(job, base, zones)
    told = [
        f"{packer.mm:g} mm: {packer.count} owned, {used[kind]} used before it, {wanted[kind]} taken"
        " by all zones if there were as many as wanted"
        for kind, packer in enumerate(job.stock.packers)
        if packer.count is not None
    ]
    where = f"job.toml, stock.packers, zone {name}"
    allowed = "more packers, or counts left out so that the buying list says how many"
    return Refusal(Problem(where, "; ".join(told), allowed), *refusal.problems)


def _wanted(job: Job, base: Base, zones: Sequence[tuple[ZoneGround, int]]) -> Counter[int]:
    packing = packing_of(job, base)
    kinds = packer_kinds(job.stock)
    ample = tuple(
        type(kind)(kind.thickness_mm, kind.nominal_mm, 0 if kind.count == 0 else None)
        for kind in kinds
    )
    wanted: Counter[int] = Counter()
    for ground, level in zones:
        way, at = ground.bay.ways[0], float(to_mm(level))
        floor = to_mm(way.offset)
        plan = optimise_stacks(way.names, floor, np.zeros(len(floor)), at, at, ample, packing.rules)
        wanted.update(kind for stack in plan.stacks for kind in stack)
    return wanted
