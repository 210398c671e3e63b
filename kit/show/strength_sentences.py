"""What carries the base, in the few sentences that a fitter reads first."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kit.answer import Answer
from kit.base.cautions import NO_APPROVAL, TALL_MM
from kit.base.checks import CLOSED_MM
from kit.ink.lengths import Units, number, plan_length, small
from kit.ink.table import Page, sentences
from kit.ink.words import on_bearers, set_either_way
from kit.job.ways import way_of
from kit.show.standing_tables import fixing_words
from kit.show.strength_words import (
    along_words,
    before_words,
    out_words,
    piece_bending,
    rocking_words,
    sags_too_far,
    settlement_words,
    shim_words,
    too_much,
    unit_names,
    with_unit,
    worst_span,
)
from kit.strength.bearer_checks import SAG_SHARE
from kit.strength.bearers import HAND_N, Span
from kit.strength.furniture import Consequence
from kit.strength.joists import JoistSag, JoistWork, NoJoists
from kit.strength.standing import CHILD_KG, PERSON_KG, PUSH_N, Tipping
from kit.strength.tipping_checks import easiest_first, listed, tipped_by_a_person


def strength_page(answer: Answer) -> Page:
    """Return the sentences of `strength_sentences`, to be read first."""
    said = [*strength_sentences(answer), NO_APPROVAL]
    return sentences(said, "What carries it, in short")


def strength_sentences(answer: Answer) -> list[str]:
    """Return what a fitter reads first of what carries the base.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.

    Returns
    -------
    list of str
        What is idle, what rocks, the bearers, or the most that a support carries where there are
        none; the joists, their settlement, the worst lean, what to fix to the wall, what a person
        tips: up to nine plain sentences, each with its figure.
    """
    bearers = on_bearers(answer.ground)
    return [
        *([_idle(answer), _rocks(answer)] if bearers else _apart(answer)),
        *_bearers(answer),
        *_joists(answer),
        *_lean(answer),
        *_to_the_wall(answer),
    ]


def _idle(answer: Answer) -> str:
    units, stacks = answer.job.units, answer.strength.stacks
    idle = [one for one in stacks if one.idle]
    if not idle:
        return f"All {len(stacks)} stacks carry with the units full."
    one = len(idle) == 1
    said = ", ".join(f"{stack.support} {shim_words(stack.gap_mm, units)}" for stack in idle)
    return (
        f"{len(idle)} of {len(stacks)} stacks {'carries' if one else 'carry'} nothing though the"
        f" units are full: {said}."
    )


def _apart(answer: Answer) -> Iterator[str]:
    """Say what carries the units where no bearer shares their loads out."""
    way, stacks, units = way_of(answer.base), answer.strength.stacks, answer.job.units
    most = max(stacks, key=lambda one: one.full_n)
    yield (
        f"No bearers: each side and division stands straight on {way.stands}; where every"
        f" {way.support} bears, {most.support} carries most, {number(most.full_n, 0)} N with the"
        " units full."
    )
    hanging = [one for one in stacks if one.gap_mm > 0]
    if hanging:
        worst = max(hanging, key=lambda one: one.gap_mm)
        yield (
            f"Stiff units hang over {len(hanging)} of {way.count(len(stacks))} until these are"
            f" shimmed, most over {worst.support}: {shim_words(worst.gap_mm, units)}."
        )


def _rocks(answer: Answer) -> str:
    units, laid = answer.job.units, answer.strength.laid
    found = [
        f"bearer {one.piece.name}, {rocking_words(rocking, units)}"
        for one in laid
        for rocking in one.rocking
    ]
    if not found:
        hand = f"a hand of {HAND_N:.0f} N on its ends"
        return f"None of the {len(laid)} pieces of bearer rocks under {hand}."
    said = "; ".join(found)
    return f"{said[0].upper()}{said[1:]}; or lower the middle."


@dataclass(frozen=True)
class _Strayed:
    """A span that sags, and the piece it belongs to."""

    piece: str
    span: Span

    @property
    def share(self) -> float:
        return self.span.sag_mm / (self.span.length_mm * SAG_SHARE)


def _bearers(answer: Answer) -> Iterator[str]:
    units, laid = answer.job.units, answer.strength.laid
    if not laid:
        return
    ratio, name = max((piece_bending(answer, one), one.piece.name) for one in laid)
    asks = ": let an engineer look at it" if ratio > 1 + CLOSED_MM else ""
    said = f"Bending uses at most {ratio:.2f} of a bearer's strength, in {name}{asks}"
    strayed = [_Strayed(one.piece.name, span) for one in laid for span in worst_span(one)]
    if strayed:
        worst = max(strayed, key=lambda one: one.share)
        span = worst.span
        allowed = with_unit(span.length_mm * SAG_SHARE, units)
        beyond = "more than" if sags_too_far(span) else "within"
        said += (
            f"; the worst sag is {with_unit(span.sag_mm, units)}, creep included, between"
            f" {span.left} and {span.right}: {beyond} span/250, which is {allowed}"
        )
    yield f"{said}."


def _joists(answer: Answer) -> Iterator[str]:
    units, work = answer.job.units, answer.strength.joists
    if isinstance(work, NoJoists):
        yield f"The joists are not worked out, and their settlement is not known: {work.reason}."
        return
    loaded = [one for one in work.joists if one.carries]
    computed = [one for one in loaded if one.computed]
    left_out = [one for one in loaded if not one.computed]
    if computed:
        yield _worst_joist(work, computed, units)
    if left_out:
        yield _left_out(work, left_out, units)
    yield settlement_words(work, units)


def _left_out(work: JoistWork, joists: list[JoistSag], units: Units) -> str:
    said, axis = [], work.grid.across
    places = ", ".join(plan_length(one.across_mm, units) for one in joists if one.beyond)
    if places:
        said.append(
            f"with stacks beyond the outermost bearings: joists at {axis} = {places} {units}"
        )
    said += [
        f"joist at {axis} = {plan_length(one.across_mm, units)} {units}: {before_words(one, units)}"
        for one in joists
        if one.before
    ]
    return f"Not worked out, {'; '.join(said)}."


def _worst_joist(work: JoistWork, computed: list[JoistSag], units: Units) -> str:
    worst = max(computed, key=lambda one: one.greatest_final_mm)
    used = max(computed, key=lambda one: max(one.bending.ratio, one.shear.ratio))
    ratio, axis = max(used.bending.ratio, used.shear.ratio), work.grid.across
    beyond = any(too_much(one) for one in computed)
    return (
        f"The joist at {axis} = {plan_length(worst.across_mm, units)} {units} sags most under the"
        f" furniture: {with_unit(worst.greatest_final_mm, units)}, creep included; with the floor's"
        f" own weight and the room's use at most {ratio:.2f} of a joist's strength is used, at"
        f" {axis} = {plan_length(used.across_mm, units)} {units}"
        + (": ask a structural engineer." if beyond else ".")
    )


def _lean(answer: Answer) -> Iterator[str]:
    units, strength, either_way = answer.job.units, answer.strength, set_either_way(answer)
    leans = [
        (abs(mm), name, text)
        for name, one, settled in zip(
            unit_names(answer), strength.units, strength.settled.units, strict=True
        )
        for mm, text in _leans(one, settled, units, either_way=either_way)
        if math.isfinite(mm)
    ]
    if leans:
        _, name, text = max(leans)
        amount, which = text.split(" ", 1)
        yield f"'{name}' leans most: its top goes {amount} {units} {which}."


def _leans(
    one: Consequence, settled: Consequence, units: Units, *, either_way: bool
) -> Iterator[tuple[float, str]]:
    for mm, words in ((one.lean_along_mm, along_words), (one.lean_out_mm, out_words)):
        set_so = f"{small(abs(mm), units)} out of plumb at most, either way, as it is set"
        yield mm, set_so if either_way else words(mm, units)
    along, out = settled.lean_along_mm, settled.lean_out_mm
    yield along, f"{along_words(along, units)}, with settlement"
    yield out, f"{out_words(out, units)}, with lift and settlement"
    if math.isnan(out) and one.lifted_lean_mm != 0:
        out = math.copysign(one.lean_out_mm, one.lifted_lean_mm) if either_way else one.lean_out_mm
        lifted = out + one.lifted_lean_mm
        yield (
            lifted,
            f"{out_words(lifted, units)}, with the lift: what the floor or its joists give back is"
            " not known",
        )


def _to_the_wall(answer: Answer) -> Iterator[str]:
    named = list(
        zip(unit_names(answer), answer.layout.units, answer.strength.tippings, strict=True)
    )
    tall = easiest_first(
        [(name, tip) for name, placed, tip in named if placed.unit.height_mm >= TALL_MM]
    )
    if tall:
        names = listed([f"'{name}'" for name, _ in tall])
        said = f"Fix to the wall at the top before loading: {names}"
        yield f"{said}{_easiest(tall, answer.job.units)}."
    tipped = [f"'{name}'" for name, placed, tip in named if tipped_by_a_person(placed, tip)]
    if tipped:
        yield (
            f"A person of {PERSON_KG:.0f} kg on the front edge tips {listed(tipped)}: fix it to the"
            f" wall, or set the front {'bearer' if on_bearers(answer.ground) else 'row'} forward."
        )


def _easiest(tall: Sequence[tuple[str, Tipping]], units: Units) -> str:
    """Return what tips the first of these units, and what the fixing of any must take."""
    name, tip = tall[0]
    if not tip.mass_known:  # those without a mass come last: none has one
        return ""
    push = f"{number(tip.tips_empty_N, 0)} N, {plan_length(tip.push_height_mm, units)} {units} up"
    tips = f"at a push of {push}" if tip.tips_empty_N else "by itself"
    said = f"; unfixed, '{name}' empty tips {tips}"
    most = max((one for _, one in tall if one.mass_known), key=lambda one: one.fixing_N)
    if most.fixing_N > 0:
        said += (
            f"; with a child of {CHILD_KG:.0f} kg on its front or a push of {PUSH_N:g} N a unit's"
            f" fixing must take up to {fixing_words(most)} N"
        )
    return said
