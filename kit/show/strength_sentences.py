"""What carries the base, in the few sentences that a fitter reads first."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from kit.answer import Answer
from kit.base.cautions import TALL_MM
from kit.base.checks import CLOSED_MM
from kit.show.lengths import Units, number, plan_length
from kit.show.strength_words import (
    along_words,
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
from kit.show.table import Page, sentences
from kit.strength.bearer_checks import SAG_SHARE
from kit.strength.bearers import HAND_N, Span
from kit.strength.furniture import Consequence
from kit.strength.joists import JoistSag, JoistWork, NoJoists
from kit.strength.standing import CHILD_KG


def strength_page(answer: Answer) -> Page:
    """Return the sentences of `strength_sentences`, to be read first."""
    return sentences(strength_sentences(answer), "What carries it, in short")


def strength_sentences(answer: Answer) -> list[str]:
    """Return what a fitter reads first of what carries the base.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.

    Returns
    -------
    list of str
        What is idle, what rocks, the bearers, the joists, their settlement, the worst lean, what
        to fix to the wall: up to eight plain sentences, each with its figure.
    """
    return [
        _idle(answer),
        _rocks(answer),
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
    return f"{said[0].upper()}{said[1:]}: shim the ends or lower the middle."


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
    left_out = [plan_length(one.across_mm, units) for one in loaded if not one.computed]
    if computed:
        yield _worst_joist(work, computed, units)
    if left_out:
        places = ", ".join(left_out)
        yield (
            f"Not worked out, with stacks beyond the outermost bearings: joists at"
            f" {work.grid.across} = {places} {units}."
        )
    yield settlement_words(work, units)


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
    units = answer.job.units
    leans = [
        (abs(mm), name, text)
        for name, one in zip(unit_names(answer), answer.strength.units, strict=True)
        for mm, text in _leans(one, units)
        if math.isfinite(mm)
    ]
    if leans:
        _, name, text = max(leans)
        amount, which = text.split(" ", 1)
        yield f"'{name}' leans most: its top goes {amount} {units} {which}."


def _leans(one: Consequence, units: Units) -> Iterator[tuple[float, str]]:
    yield one.lean_along_mm, along_words(one.lean_along_mm, units)
    yield one.lean_out_mm, out_words(one.lean_out_mm, units)
    settled = one.settled_lean_mm
    yield settled, f"{out_words(settled, units)}, with lift and settlement"


def _to_the_wall(answer: Answer) -> Iterator[str]:
    tall = [
        (name, tip)
        for name, placed, tip in zip(
            unit_names(answer), answer.layout.units, answer.strength.tippings, strict=True
        )
        if placed.unit.height_mm >= TALL_MM
    ]
    if not tall:
        return
    names = ", ".join(f"'{name}'" for name, _ in tall)
    said = f"Fix to the wall at the top before loading: {names}"
    known = [(tip.tips_empty_N, name, tip) for name, tip in tall if tip.mass_known]
    if known:
        push, name, tip = min(known, key=lambda one: one[0])
        units = answer.job.units
        height = f"{plan_length(tip.push_height_mm, units)} {units}"
        said += f"; unfixed, '{name}' empty tips " + (
            f"at a push of {number(push, 0)} N, {height} up" if push else "by itself"
        )
        pulls = max(tip.fixing_N for _, _, tip in known)
        if pulls:
            said += (
                f"; with a child of {CHILD_KG:.0f} kg on its front a unit's fixing must take up to"
                f" {number(pulls, 0)} N"
            )
    yield f"{said}."
