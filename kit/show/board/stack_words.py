"""One stack in sentences for a fitter: why it stands there, what it carries, what it is."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from kit.answer import Answer
from kit.base.layout import GRAVITY_N_PER_KG
from kit.ink.inch_words import in_units
from kit.ink.lengths import (
    Units,
    length_with_unit,
    measured_size,
    nominal,
    printed_size,
    printed_unit,
    printed_with_unit,
    signed_small,
    small,
)
from kit.show.board.elevation_frame import zero_name
from kit.show.board.stack_facts import Screw, StackFacts, stack_facts
from kit.show.section import BAND_SD
from kit.show.strength_tables import newtons
from kit.show.strength_words import shim_words


def stack_words(answer: Answer, support: str) -> tuple[str, ...]:
    """Say why a stack stands where it stands, and what is known of it.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    support : str
        Name of the support.

    Returns
    -------
    tuple of str
        Sentences.

    Raises
    ------
    Refusal
        If there is no such support.
    """
    facts = stack_facts(answer, support)
    return (
        *_why(facts),
        _load(facts),
        *_carries(facts),
        floor_words(facts),
        f"From the floor up [{printed_unit(facts.answer.job.units)}]: {pile_words(facts)}.",
        height_words(facts),
        limit_words(facts),
        *(screw_words(screw, answer.job.units) for screw in facts.screws),
    )


def _why(facts: StackFacts) -> Iterator[str]:
    units, place = facts.answer.job.units, facts.stand
    on_it = [f"the {panel.kind} of {placed.unit.name}" for placed, panel in facts.panels()]
    if on_it:
        yield f"{facts.name} stands under {_listed(on_it)}."
    bridged = dict.fromkeys(unit for _, unit, _ in place.bridged)
    if bridged:
        yield (
            f"{facts.name} shares with the stack across a no-go area what comes down over it of"
            f" {_listed(list(bridged))}."
        )
    if "end" in facts.reasons:
        yield f"{facts.name} carries an end of bearer {facts.row.name}."
    if "span" in facts.reasons:
        longest = length_with_unit(facts.answer.base.max_span_mm, units)
        yield f"{facts.name} stands there so that no span is longer than {longest}."
    if "joint" in facts.reasons:
        yield f"A joint of bearer {facts.row.name} lies on it."
    if "by_hand" in facts.reasons:
        yield (
            f"Moved by hand: the rules put it at {length_with_unit(place.rules_mm, units)} from"
            f" the left end of the run, it stands at {length_with_unit(place.x_mm, units)}."
        )


def _listed(names: list[str]) -> str:
    counted = [
        name if (count := len(list(same))) == 1 else f"{name} ({count} of them)"
        for name, same in groupby(names)
    ]
    return " and ".join([", ".join(counted[:-1]), counted[-1]] if counted[1:] else counted)


def _load(facts: StackFacts) -> str:
    if not facts.load_N:
        return "Its load: 0 N; by the lever rule the units' weight comes down on other stacks."
    return f"Its load: {facts.load_N:.0f} N, as of {facts.load_N / GRAVITY_N_PER_KG:.0f} kg."


def _carries(facts: StackFacts) -> Iterator[str]:
    """Say what it carries by the way the bearer lies on its stacks."""
    answer = facts.answer
    one = next((s for s in answer.strength.stacks if s.support == facts.name), None)
    if one is None:  # a bearer on a single stack is no beam
        return
    carried = (
        f"Before it is screwed down it carries {newtons(one.full_n)} N with the units full,"
        f" {newtons(one.empty_n)} N with them empty, {newtons(one.laid_n)} N of the bearer alone."
    )
    idle = f" It is idle: {shim_words(one.gap_mm, answer.job.units)}." if one.idle else ""
    yield carried + idle


def floor_words(facts: StackFacts) -> str:
    """Say how high the floor lies under a stack, and how sure that is."""
    units = facts.answer.job.units
    return (
        f"The floor here: {length_with_unit(facts.floor_mm, units)}"
        f" ± {small(facts.doubt_mm, units)} {units} ({BAND_SD:g} sd), counted from"
        f" {zero_name(facts.answer)}."
    )


def pile_words(facts: StackFacts) -> str:
    """Return the packers from the floor up, as printed and as measured."""
    units = facts.answer.job.units
    return " + ".join(
        printed_size(one.packer.mm, units)
        if one.packer.measured_mm is None
        else f"{printed_size(one.packer.mm, units)} (is {_measured(one.packer.measured_mm, units)})"
        for one in facts.laid
    )


def _measured(mm: float, units: Units) -> str:
    return nominal(mm) if units == "mm" else measured_size(mm, units)


def height_words(facts: StackFacts) -> str:
    """Say how high a stack is, how high it is wanted, its error, and the base top above it."""
    units, error = facts.answer.job.units, signed_small(facts.error_mm, facts.answer.job.units)
    side = {"+": " (high)", "-": " (low)"}.get(error[0], "")
    return (
        f"Stack {length_with_unit(facts.height_mm, units)}, wanted"
        f" {length_with_unit(facts.target_mm, units)}, error {error} {units}{side};"
        f" base top {length_with_unit(facts.base_top_mm, units)} above the floor here."
    )


def limit_words(facts: StackFacts) -> str:
    """Say how deep a screw's point may reach under a stack, and why."""
    depth = facts.limit.depth_mm
    deep = (
        "no screw's point below the floor's surface"
        if depth == 0
        else f"a screw's point at most {nominal(round(depth, 2))} mm below the floor"
        if depth > 0
        else f"a screw's point at least {nominal(round(-depth, 2))} mm above the floor"
    )
    near = "".join(f" Known near it: {s.name}, {nominal(s.depth_mm)} mm down." for s in facts.near)
    return in_units(f"Limit here: {deep} ({facts.limit.why}).{near}", facts.answer.job.units)


def screw_words(screw: Screw, units: Units) -> str:
    """Say which screw a step of a stack takes, or why none."""
    name = f"{screw.step.capitalize()} screw"
    if not screw.serves:
        return in_units(f"{name}: none drawn, {screw.reason.removeprefix('no screw: ')}.", units)
    spare = (
        f"{screw.spare_mm:.1f} mm" if units == "mm" else f"{small(screw.spare_mm, units)} {units}"
    )
    remark = f"; {in_units(screw.remark, units)}" if screw.remark else ""
    size = printed_with_unit(screw.length_mm, units)
    return f"{name} {size}, point {spare} short of the limit{remark}."
