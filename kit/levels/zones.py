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

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from kit.answer import choose_base
from kit.base.runs import Frame
from kit.base.stack_rules import to_units
from kit.job import Base, Job, Levels, Problem, Refusal, Run, refuse
from kit.levels.asked import Asked, numbers_asked
from kit.levels.bay import StepRule, Tell, Tie
from kit.levels.bays import BayFloor, bays_of_run
from kit.levels.choose import Chosen, best_choice, choose_together, groups
from kit.levels.exact import packing_of
from kit.levels.floor_beside import floor_beside
from kit.levels.menu import Choice, Look, looker, menu_of_run
from kit.levels.neighbours import meetings
from kit.levels.packing import Packing
from kit.levels.ramps import RAMP_CAUTION, too_steep
from kit.levels.solve_zones import solve_zones
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
    zones: Asked = None,
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
    zones : int or mapping of str to int, optional
        So many zones in each run, or in each run that is named: ``{"A": 3, "B": 1}``. Any other
        run is parted into as many as take the least packing, at most ``levels.most``. Of runs that
        meet each has at most so many.
    tell : callable, optional
        Told the share done, 0 to 1.

    Returns
    -------
    Zones

    Raises
    ------
    Refusal
        Where no zones can be, or not the number asked for, with the reason of each run and number;
        where a run is named that is not there; where the way of building has no packers; where the
        bag of packers does not suffice.
    """
    base = choose_base(job, base_name)
    levels = base.levels or Levels()
    _refuse_unfit(base)
    numbers = numbers_asked(zones, job.runs)
    lift = _front_lift(job, survey, base)
    floors: list[tuple[BayFloor, ...]] = []
    for number, run in enumerate(job.runs):
        part = _part(tell, (0.0, _LOOKED), number, len(job.runs))
        floors.append(bays_of_run(job, survey, base, run, lift, part))
    search = _Search(job, survey, base, levels, tuple(floors), numbers)
    menus = search.menus(tell)
    ties = meetings(job.runs)
    chosen = search.choose_all(menus, ties)
    by_run = {choice.run: choice for each in chosen for choice in each.choices}
    choices = [by_run[run.name] for run in job.runs]
    solved = solve_zones(job, survey, base, choices, _part(tell, (_CHOSEN, 1.0), 0, 1))
    steps = tuple(_steps(job, survey, levels, solved, ties))
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
            *(words for each in floors for words in too_steep(each, search.packing.rules)),
        ),
    )


@dataclass(frozen=True, eq=False)
class _Search:
    """The bays of all runs over their floor, and what zones are chosen by."""

    job: Job
    survey: Survey
    base: Base
    levels: Levels
    floors: tuple[tuple[BayFloor, ...], ...]
    numbers: Mapping[str, int]

    @cached_property
    def packing(self) -> Packing:
        return packing_of(self.job, self.base)

    @property
    def rule(self) -> StepRule:
        return StepRule(*(int(to_units(step)) for step in self.levels.step_mm))

    @cached_property
    def looks(self) -> list[Look]:
        return [looker(self.job, self.survey, self.base, run) for run in self.job.runs]

    def menus(self, tell: Tell | None) -> list[tuple[Choice, ...]]:
        """Return the menu of each run by itself, up to the most zones or the number asked for."""
        found = []
        for number, run in enumerate(self.job.runs):
            part = _part(tell, (_LOOKED, _CHOSEN), number, len(self.job.runs))
            bays = [floor.bay for floor in self.floors[number]]
            most = max(self.levels.most, self.numbers.get(run.name, 1))
            by = (self.looks[number], self.packing, self.rule, most, part)
            found.append(menu_of_run(self.job, run, bays, *by))
        return found

    def choose_all(self, menus: Sequence[Sequence[Choice]], ties: Sequence[Tie]) -> list[Chosen]:
        """Return the zones of all runs; all that cannot be is refused in one go."""
        chosen: list[Chosen] = []
        problems: list[Problem] = []
        for group in groups(self.job.runs, ties):
            try:
                chosen.append(self._choose(group, menus, ties))
            except Refusal as refusal:
                problems += refusal.problems
        if problems:
            raise Refusal(*problems)
        return chosen

    def _choose(
        self, group: Sequence[int], menus: Sequence[Sequence[Choice]], ties: Sequence[Tie]
    ) -> Chosen:
        """Return the zones of runs that meet, or of one that meets none."""
        runs = [self.job.runs[n] for n in group]
        if len(group) == 1:
            return Chosen((best_choice(menus[group[0]], self.numbers.get(runs[0].name)),))
        return choose_together(
            runs,
            [self.floors[n] for n in group],
            _renumbered(self.job.runs, ties, group),
            [self.looks[n] for n in group],
            self.packing,
            self.rule,
            [self.numbers.get(run.name, self.levels.most) for run in runs],
        )


def _refuse_unfit(base: Base) -> None:
    if base.method not in ON_PACKERS:
        raise refuse(
            f"job.toml, base {base.name!r}, method",
            f"{base.method!r}, whose level is not made of packers",
            "zones of a base with method = " + " or ".join(f'"{one}"' for one in ON_PACKERS),
        )


def _front_lift(job: Job, survey: Survey, base: Base) -> float:
    """Return the front lift for the search [mm]: of the whole base where joists decide it."""
    if not isinstance(base.front_lift_mm, str):
        return float(base.front_lift_mm)
    plain = base.model_copy(update={"moved": ()})
    method = method_of(plain)
    return lift_of(plain, method.look_under(job, survey, method.lay_out(job, plain), plain))


def _part(tell: Tell | None, between: tuple[float, float], number: int, count: int) -> Tell | None:
    """Return what tells one part of so many, all of which lie between two shares done."""
    if tell is None:
        return None
    told, (start, end) = tell, between
    return lambda done: told(start + (number + done) * (end - start) / count)


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


def _steps(
    job: Job,
    survey: Survey,
    levels: Levels,
    zones: Sequence[Zone],
    ties: Sequence[Tie],
) -> Iterator[ZoneStep]:
    """Yield where zones meet: in the runs, then where runs meet."""
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
        step = ZoneStep(one, other, in_run=True, units=units, at_mm=at, place_mm=place)
        yield _with_ramp(step, survey, levels, run, front)


def _with_ramp(
    step: ZoneStep, survey: Survey, levels: Levels, run: Run, front_mm: float
) -> ZoneStep:
    """Return a step with the ramp beside it, or why there is none, where one is asked for."""
    if levels.ramp_mm_per_m is None:
        return step
    frame = Frame(run.origin_mm, run.direction_deg)
    gap = (step.one.to_mm, step.other.from_mm)
    floor = floor_beside(survey.surface, frame, front_mm, gap)
    if not (floor.known and floor.steps):
        return replace(step, no_ramp=floor.why_none(step.step_mm))
    room = np.inf if levels.ramp_room_mm is None else levels.ramp_room_mm
    return replace(step, ramps=(floor.ramp(survey.surface, levels.ramp_mm_per_m, room),))


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
