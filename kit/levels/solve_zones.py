"""The chosen zones solved one after the other, out of one bag of packers."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from kit.answer import solve_on
from kit.base.runs import place_units
from kit.base.stack_rules import to_mm
from kit.job import Base, Job, Refusal, Run
from kit.levels.bag import short_bag, used_by, with_left
from kit.levels.bay import Tell
from kit.levels.exact import zone_job
from kit.levels.joints_in_zones import joints_of_zone
from kit.levels.menu import Choice
from kit.levels.zone_parts import Zone
from kit.parts import Answer, Survey


def zone_names(runs: Sequence[Run], counts: Sequence[int]) -> list[list[str]]:
    """Return names for the zones of each run, letters and figures only, 12 at most, all different.

    "AZ1" is the first zone of run A; where names would meet, zones are numbered through instead.
    """
    names = [
        [f"{run.name[: 12 - 1 - len(str(count))]}Z{n}" for n in range(1, count + 1)]
        for run, count in zip(runs, counts, strict=True)
    ]
    flat = [name for each in names for name in each]
    if len(set(flat)) == len(flat):
        return names
    through = iter(range(1, len(flat) + 1))
    return [[f"Zone{next(through)}" for _ in each] for each in names]


def solve_zones(
    job: Job, survey: Survey, base: Base, choices: Sequence[Choice], tell: Tell | None
) -> tuple[Zone, ...]:
    """Solve the zones one after the other, each with the packers that are left.

    Parameters
    ----------
    job, survey, base : Job, Survey, Base
        What is parted, over which floor.
    choices : sequence of Choice
        The zones of each run and their levels.
    tell : callable, optional
        Told the share done, from 0 to 1.

    Raises
    ------
    Refusal
        Where a zone cannot be built, or the bag of packers does not suffice.
    """
    every = [pair for c in choices for pair in zip(c.grounds, c.levels, strict=True)]
    names = zone_names(job.runs, [choice.zones for choice in choices])
    used: Counter[int] = Counter()
    solved: list[Zone] = []
    for run, choice, named in zip(job.runs, choices, names, strict=True):
        for name, units, level, ground in zip(
            named, choice.units, choice.levels, choice.grounds, strict=True
        ):
            height = float(to_mm(level)) + ground.up_mm
            try:
                answer = _answer(with_left(job, used), survey, base, run, units, name, height)
            except Refusal as refusal:
                raise short_bag(job, base, name, refusal, used, every) from refusal
            used.update(used_by(answer))
            solved.append(_zone(job, run, units, answer))
            if tell is not None:
                tell(len(solved) / len(every))
    return tuple(solved)


def _answer(
    job: Job,
    survey: Survey,
    base: Base,
    run: Run,
    units: tuple[int, int],
    name: str,
    height_mm: float,
) -> Answer:
    """Solve one zone as a base of its own, at its height above its own high point."""
    alone, plain = zone_job(job, base, run, units, name)
    plain = plain.model_copy(update={"height_mm": height_mm})
    told = {"bases": (plain,), "title": f"{job.title}, zone {name}"}
    return solve_on(alone.model_copy(update=told), survey, plain)


def _zone(job: Job, run: Run, units: tuple[int, int], answer: Answer) -> Zone:
    placed, (first, last) = place_units(run), units
    own = answer.job.runs[0]
    return Zone(
        own.name,
        run.name,
        first,
        last,
        placed[first].unit.name,
        placed[last].unit.name,
        placed[first].left_mm,
        placed[last].right_mm,
        answer,
        tuple(words for _, words in joints_of_zone(job.movement_joints, own)),
    )
