"""A base parted into level zones: chosen, solved zone by zone, and told in tables.

The search (`kit.levels.row_of_bays`, for runs that meet `kit.levels.rows_together`) parts each run
at unit boundaries. Each zone is then laid out and looked under as a base of its own, the levels of
the partition are chosen anew, exactly, and `kit.answer` solves each zone at its level: all figures
of zones and menu are of zones as they are built. One zone is set as low as it goes, which takes the
least packing; `kit.answer.solve`, which takes the fewest packers, may set the same base higher.

One bag of packers serves all zones, in the order of the runs and from left to right: each zone is
solved with what those before it left. The levels are chosen as if there were packers enough; where
the bag does not suffice that is refused, with what is owned and what all zones would take.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

import numpy as np

from kit.answer import choose_base, solve_on
from kit.base.runs import Frame, place_units
from kit.base.stack_rules import to_mm, to_units
from kit.job import Base, Job, Levels, Refusal, Run, refuse
from kit.levels.bag import short_bag, used_by, with_left
from kit.levels.bays import BayFloor, bays_of_run
from kit.levels.choose import Chosen, best_choice, choose_together, groups
from kit.levels.exact import packing_of, zone_job
from kit.levels.joints_in_zones import joints_of_zone
from kit.levels.menu import Choice, looker, menu_of_run
from kit.levels.neighbours import meetings
from kit.levels.programme import Tie
from kit.levels.ramps import RAMP_CAUTION, Ramp, ramp_over, too_steep
from kit.levels.row_of_bays import StepRule, Tell
from kit.levels.zone_parts import Zone, Zones, ZoneStep
from kit.levels.zone_tables import LEVEL_MM
from kit.methods import method_of
from kit.methods.method import lift_of
from kit.parts import Survey

__all__ = ["Zone", "ZoneStep", "Zones", "part_into_zones"]

#: Methods whose level is made of packers.
ON_PACKERS = ("packers", "stacks")

STEP_CAUTION = (
    "Each step between zones is an edge that people trip over where they can walk on the base or"
    " along it: mark it, light it, and let the local code say whether it needs more."
)

#: Shares of the time that looking at the floor and choosing take; the rest solves the zones.
_LOOKED, _CHOSEN = 0.4, 0.7


def part_into_zones(
    job: Job,
    survey: Survey,
    base_name: str | None = None,
    zones: int | None = None,
    tell: Tell | None = None,
) -> Zones:
    """Part a base into level zones, and solve each.

    Parameters
    ----------
    job, survey : Job, Survey
        What is asked, and the floor.
    base_name : str, optional
        The base; the first of the job unless given. Where it has no ``levels`` their defaults
        apply.
    zones : int, optional
        So many zones in each run; unless given, as many as take the least packing, at most
        ``levels.most``. Of runs that meet each has at most so many.
    tell : callable, optional
        Told the share done, 0 to 1.

    Returns
    -------
    Zones

    Raises
    ------
    Refusal
        Where no zones can be, with the reason of each number; where the way of building has no
        packers; where the bag of packers does not suffice.
    """
    base = choose_base(job, base_name)
    levels = base.levels or Levels()
    most = levels.most if zones is None else zones
    _refuse_unfit(base, zones)
    packing = packing_of(job, base)
    rule = StepRule(*(int(to_units(step)) for step in levels.step_mm))
    lift = _front_lift(job, survey, base)
    floors: list[tuple[BayFloor, ...]] = []
    for run in job.runs:
        part = _part(tell, len(floors) / len(job.runs) * _LOOKED, _LOOKED / len(job.runs))
        floors.append(bays_of_run(job, survey, base, run, lift, part))
    looks = [looker(job, survey, base, run) for run in job.runs]
    menus = []
    for number, run in enumerate(job.runs):
        share = (_CHOSEN - _LOOKED) / len(job.runs)
        part = _part(tell, _LOOKED + number * share, share)
        bays = [floor.bay for floor in floors[number]]
        menus.append(menu_of_run(job, run, bays, looks[number], packing, rule, most, part))
    ties = meetings(job.runs)
    chosen = []
    for group in groups(job.runs, ties):
        if len(group) == 1:
            chosen.append(Chosen((best_choice(menus[group[0]], zones),)))
        else:
            runs = [job.runs[n] for n in group]
            of_group = _renumbered(job.runs, ties, group)
            parts = [floors[n] for n in group], of_group, [looks[n] for n in group]
            chosen.append(choose_together(runs, *parts, packing, rule, most))
    by_run = {choice.run: choice for each in chosen for choice in each.choices}
    solved = _solve(job, survey, base, [by_run[run.name] for run in job.runs], tell)
    steps = tuple(_steps(job, survey, base, levels, solved, ties))
    return Zones(
        job,
        base,
        solved,
        steps,
        tuple(choice for menu in menus for choice in menu),
        tuple(pair for each in chosen for pair in each.meets),
        (
            *(words for each in chosen for words in each.cautions),
            *_cautions(base, steps),
            *(words for each in floors for words in too_steep(each, packing.rules)),
        ),
    )


def _refuse_unfit(base: Base, zones: int | None) -> None:
    if base.method not in ON_PACKERS:
        raise refuse(
            f"job.toml, base {base.name!r}, method",
            f"{base.method!r}, whose level is not made of packers",
            "zones of a base with method = " + " or ".join(f'"{one}"' for one in ON_PACKERS),
        )
    if zones is not None and zones < 1:
        raise refuse("zones", str(zones), "1 or more")


def _front_lift(job: Job, survey: Survey, base: Base) -> float:
    """Return the front lift for the search [mm]: of the whole base where joists decide it."""
    if not isinstance(base.front_lift_mm, str):
        return float(base.front_lift_mm)
    plain = base.model_copy(update={"moved": ()})
    method = method_of(plain)
    return lift_of(plain, method.look_under(job, survey, method.lay_out(job, plain), plain))


def _part(tell: Tell | None, start: float, share: float) -> Tell | None:
    if tell is None:
        return None
    told = tell
    return lambda done: told(start + share * done)


def _renumbered(runs: Sequence[Run], ties: Sequence[Tie], group: Sequence[int]) -> list[Tie]:
    """Return the ties of some runs, their bays numbered among those runs alone."""
    run_of = [number for number, run in enumerate(runs) for _ in run.units]
    inside = [bay for bay, number in enumerate(run_of) if number in group]
    new = {bay: place for place, bay in enumerate(inside)}
    return [
        Tie(new[tie.first], new[tie.second], tie.in_run)
        for tie in ties
        if tie.first in new and tie.second in new
    ]


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


def _solve(
    job: Job, survey: Survey, base: Base, choices: Sequence[Choice], tell: Tell | None
) -> tuple[Zone, ...]:
    """Solve the zones one after the other, each with the packers that are left."""
    every = [pair for c in choices for pair in zip(c.grounds, c.levels, strict=True)]
    names = zone_names(job.runs, [choice.zones for choice in choices])
    used: Counter[int] = Counter()
    solved: list[Zone] = []
    for run, choice, named in zip(job.runs, choices, names, strict=True):
        placed = place_units(run)
        for name, (first, last), level, ground in zip(
            named, choice.units, choice.levels, choice.grounds, strict=True
        ):
            alone, plain = zone_job(with_left(job, used), base, run, (first, last), name)
            height = float(to_mm(level)) + ground.up_mm
            plain = plain.model_copy(update={"height_mm": height})
            alone = alone.model_copy(
                update={"bases": (plain,), "title": f"{job.title}, zone {name}"}
            )
            try:
                answer = solve_on(alone, survey, plain)
            except Refusal as refusal:
                raise short_bag(job, base, name, refusal, used, every) from refusal
            used.update(used_by(answer))
            joints = joints_of_zone(job.movement_joints, alone.runs[0])
            solved.append(
                Zone(
                    name,
                    run.name,
                    first,
                    last,
                    placed[first].unit.name,
                    placed[last].unit.name,
                    placed[first].left_mm,
                    placed[last].right_mm,
                    answer,
                    tuple(words for _, words in joints),
                )
            )
            if tell is not None:
                tell(_CHOSEN + (1 - _CHOSEN) * len(solved) / len(every))
    return tuple(solved)


def _steps(
    job: Job,
    survey: Survey,
    base: Base,
    levels: Levels,
    zones: Sequence[Zone],
    ties: Sequence[Tie],
) -> Iterator[ZoneStep]:
    """Yield where zones meet: in the runs, then where runs meet."""
    del base
    bays = [(run, number) for run in job.runs for number in range(len(run.units))]
    seen = set()
    for tie in sorted(ties, key=lambda tie: not tie.in_run):
        one, other = (
            next(z for z in zones if z.run == run.name and z.first <= number <= z.last)
            for run, number in (bays[tie.first], bays[tie.second])
        )
        if one is other or (one.name, other.name) in seen:
            continue
        seen.add((one.name, other.name))
        (run, number), (beside, its) = bays[tie.first], bays[tie.second]
        units = (run.units[number].name, beside.units[its].name)
        if not tie.in_run:
            yield ZoneStep(one, other, in_run=False, units=units)
            continue
        at = (one.to_mm + other.from_mm) / 2
        front = max(run.units[number].depth_mm, run.units[its].depth_mm)
        x, y = Frame(run.origin_mm, run.direction_deg).to_site(at, front)
        place = (float(x), float(y))
        ramps = tuple(_ramps(survey, levels, run, (one, other), place))
        yield ZoneStep(one, other, in_run=True, units=units, at_mm=at, place_mm=place, ramps=ramps)


def _ramps(
    survey: Survey,
    levels: Levels,
    run: Run,
    zones: tuple[Zone, Zone],
    place: tuple[float, float],
) -> Iterator[Ramp]:
    """Yield the ramp beside a step: along the units' fronts, from the step down."""
    one, other = zones
    if levels.ramp_mm_per_m is None or abs(one.base_top_mm - other.base_top_mm) <= LEVEL_MM:
        return
    down = 0.0 if other.base_top_mm < one.base_top_mm else 180.0
    upper, lower = sorted((one.base_top_mm, other.base_top_mm), reverse=True)
    room = np.inf if levels.ramp_room_mm is None else levels.ramp_room_mm
    top = Frame(place, run.direction_deg + down)
    yield ramp_over(survey.surface, top, upper, lower, levels.ramp_mm_per_m, room)


def _cautions(base: Base, steps: Sequence[ZoneStep]) -> Iterator[str]:
    if any(abs(step.step_mm) > LEVEL_MM for step in steps):
        yield STEP_CAUTION
    if any(step.ramps for step in steps):
        yield RAMP_CAUTION
    if base.moved:
        yield (
            f"{len(base.moved)} of the stacks were moved by hand. In zones they stand where the"
            " rules put them: bearers begin and end elsewhere there."
        )
