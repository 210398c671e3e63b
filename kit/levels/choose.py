"""Which zones: every run by itself, and runs that meet together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kit.base.stack_rules import height_text
from kit.job import Problem, Refusal, Run
from kit.levels.bay import StepRule, Tie
from kit.levels.bays import BayFloor
from kit.levels.menu import Choice, Look, exact_choice
from kit.levels.packing import Packing
from kit.levels.rows_together import Together, level_together


@dataclass(frozen=True, eq=False)
class Chosen:
    """The zones of all runs.

    Parameters
    ----------
    choices : tuple of Choice
        Of each run.
    meets : tuple of (str, str)
        Runs whose levels were chosen together.
    cautions : tuple of str
        What is not proven.
    """

    choices: tuple[Choice, ...]
    meets: tuple[tuple[str, str], ...] = ()
    cautions: tuple[str, ...] = ()


def best_choice(menu: Sequence[Choice], zones: int | None) -> Choice:
    """Return the least packing of a menu, the fewest zones of several; or the number asked for.

    Raises
    ------
    Refusal
        Where none of the menu can be, with the reason of each.
    """
    asked = [choice for choice in menu if zones in (None, choice.zones)]
    fine = [choice for choice in asked if not choice.why_not]
    if not fine:
        raise Refusal(*(cannot_be(choice, menu) for choice in asked))
    return min(fine, key=lambda choice: (choice.packing, choice.zones))


def cannot_be(choice: Choice, menu: Sequence[Choice]) -> Problem:
    """Return why a number of zones of a run cannot be, and which of its menu can."""
    fine = [str(other.zones) for other in menu if not other.why_not]
    numbers = f"{' or '.join(fine)} in this run" if fine else "more zones (base.levels.most)"
    return Problem(
        f"job.toml, run {choice.run}, {choice.zones} {'zone' if choice.zones == 1 else 'zones'}",
        choice.why_not,
        f"{numbers}, other steps (base.levels.step_mm), longer stacks or a wider base.height_mm",
    )


def groups(runs: Sequence[Run], ties: Sequence[Tie]) -> list[list[int]]:
    """Return the runs, by number, that meet each other directly or through others."""
    run_of = [number for number, run in enumerate(runs) for _ in run.units]
    group = list(range(len(runs)))
    for tie in ties:
        old, new = sorted((group[run_of[tie.first]], group[run_of[tie.second]]), reverse=True)
        group = [new if each == old else each for each in group]
    return [[n for n, each in enumerate(group) if each == one] for one in sorted(set(group))]


def choose_together(
    runs: Sequence[Run],
    floors: Sequence[Sequence[BayFloor]],
    ties: Sequence[Tie],
    looks: Sequence[Look],
    packing: Packing,
    rule: StepRule,
    most: Sequence[int],
) -> Chosen:
    """Choose the zones of runs that meet.

    Parameters
    ----------
    runs, floors, looks : sequences
        Of each run: itself, its bays, and what looks under its zones.
    ties : sequence of Tie
        Of the bays of all of them, numbered run by run.
    packing, rule, most : Packing, StepRule, sequence of int
        As for `kit.levels.rows_together.level_together`.

    Raises
    ------
    Refusal
        Where there are no levels that keep to all of it.
    """
    bays = [floor.bay for of_run in floors for floor in of_run]
    found = level_together(bays, ties, packing, rule, most)
    names = " and ".join(run.name for run in runs)
    _refuse_none(found, names, rule)
    zone_of, spans = _spans(runs, found.levels)
    zone_ties = _zone_ties(ties, zone_of)
    grounds = [look(*span) for look, of_run in zip(looks, spans, strict=True) for span in of_run]
    wrong = [ground.why_not for ground in grounds if ground.why_not]
    if wrong:
        raise Refusal(Problem(f"job.toml, runs {names}", wrong[0], "other units or longer stacks"))
    exact = level_together(
        [ground.bay for ground in grounds], zone_ties, packing, rule, [len(s) for s in spans]
    )
    _refuse_none(exact, names, rule)
    choices, start = [], 0
    for run, look, of_run in zip(runs, looks, spans, strict=True):
        levels = exact.levels[start : start + len(of_run)]
        choices.append(exact_choice(run.name, tuple(of_run), look, packing, rule, levels))
        start += len(of_run)
    run_of = [run.name for run in runs for _ in run.units]
    pairs = ((run_of[tie.first], run_of[tie.second]) for tie in ties if not tie.in_run)
    return Chosen(tuple(choices), tuple(dict.fromkeys(pairs)), _cautions(found, names))


def _refuse_none(found: Together, names: str, rule: StepRule) -> None:
    if not found.found:
        sure = "no levels" if found.proven else "no levels before the search was cut short"
        raise Refusal(
            Problem(
                f"job.toml, runs {names}, base.levels",
                f"{sure} at which all have stacks and meet on one level or with a step of"
                f" {height_text(rule.least)} to {height_text(rule.greatest)} mm",
                "other steps, more zones, longer stacks or a wider base.height_mm",
            )
        )


def _cautions(found: Together, names: str) -> tuple[str, ...]:
    if not found.proven and found.gap:
        return (
            f"The search over runs {names} was cut short: up to {height_text(found.gap)} mm less"
            " packing in all may be possible.",
        )
    if not found.proven or not found.lowest:
        return (
            f"The search over runs {names} was cut short: no zones take less packing, but some"
            " that take as little may have fewer steps or lower levels.",
        )
    return ()


def _spans(
    runs: Sequence[Run], levels: Sequence[int]
) -> tuple[list[int], list[list[tuple[int, int]]]]:
    """Return the zone of every bay, and first and last unit of each zone of each run."""
    zone_of: list[int] = []
    spans, start, zone = [], 0, -1
    for run in runs:
        own = levels[start : start + len(run.units)]
        of_run: list[tuple[int, int]] = []
        for number, level in enumerate(own):
            if number == 0 or level != own[number - 1]:
                of_run.append((number, number))
                zone += 1
            of_run[-1] = (of_run[-1][0], number)
            zone_of.append(zone)
        spans.append(of_run)
        start += len(own)
    return zone_of, spans


def _zone_ties(ties: Sequence[Tie], zone_of: Sequence[int]) -> list[Tie]:
    found = dict.fromkeys(
        Tie(zone_of[tie.first], zone_of[tie.second], tie.in_run)
        for tie in ties
        if zone_of[tie.first] != zone_of[tie.second]
    )
    return list(found)
