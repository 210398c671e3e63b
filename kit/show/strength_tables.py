"""Tables of what carries the base: stacks, bearers, joists."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from types import MappingProxyType

import numpy as np

from kit.answer import Answer
from kit.base.checks import CLOSED_MM
from kit.ink.lengths import NOTHING, Units, number, plan_length, small
from kit.ink.table import Head, Table
from kit.ink.words import VERDICTS, on_bearers, set_either_way
from kit.job.ways import way_of
from kit.show.strength_words import (
    NO_APPROVAL_IN_SHORT,
    left_out_words,
    piece_bending,
    rocking_words,
    sags_too_far,
    settlement_words,
    shim_words,
    too_much,
    way_words,
    worst_span,
)
from kit.strength.beam import Loads
from kit.strength.bearer_checks import SAG_SHARE
from kit.strength.bearers import IDLE_MM, PieceAtRest
from kit.strength.joist_work import Carried
from kit.strength.joists import JoistSag, JoistWork, NoJoists
from kit.strength.line import held
from kit.strength.stack_loads import StackLoad

#: What round-off may leave of a force of 0 [N].
_NOTHING_N = 1e-6

_OK, _REFER, _NOT = (" ".join(VERDICTS[word]) for word in ("ok", "refer", "not_checked"))


#: Where nobody asked how sure it is.
_UNKNOWN: Mapping[str, float] = MappingProxyType({})


def stack_load_table(answer: Answer, idle_odds: Mapping[str, float] = _UNKNOWN) -> Table:
    """Return what each stack carries, and which of them carry nothing.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    idle_odds : mapping of str to float, optional
        From `kit.in_draws.idle_odds`; adds how sure it is that a stack is idle.
    """
    if not on_bearers(answer.ground):
        return _support_load_table(answer)
    units, stacks = answer.job.units, answer.strength.stacks
    heads = (
        Head("support"),
        Head(f"top off by [{units}]"),
        Head("bearer alone", "N"),
        Head("units empty", "N"),
        Head("units full", "N"),
        Head("gap over it", units),
        Head("it carries"),
        *((Head("idle on"),) if idle_odds else ()),
    )
    rows = tuple(
        (
            one.support,
            way_words(one.error_mm, units, "high", "low", "as wanted"),
            newtons(one.laid_n),
            newtons(one.empty_n),
            newtons(one.full_n),
            small(one.gap_mm, units) if one.idle else NOTHING,
            _carries(answer, one),
            *((f"{100 * idle_odds[one.support]:.0f} % of floors",) if idle_odds else ()),
        )
        for one in stacks
    )
    note = (
        "What the bearer by itself, the units empty and the units full press on each stack,"
        " before the bearer is screwed down. A shim of the gap brings an idle stack to bear."
    )
    if idle_odds:
        note += (
            " The last column: on how many of the random floors that fit the readings it is idle;"
            " between, only a hand on the bearer tells."
        )
    idle = frozenset(place for place, one in enumerate(stacks) if one.gap_mm > IDLE_MM)
    return Table("Stacks under load", heads, rows, f"{note} {NO_APPROVAL_IN_SHORT}", idle)


def _support_load_table(answer: Answer) -> Table:
    """Return what each support carries where no bearer shares it out."""
    units, stacks, way = answer.job.units, answer.strength.stacks, way_of(answer.base)
    own, hangs = any(one.laid_n for one in stacks), any(one.gap_mm > 0 for one in stacks)
    heads = (
        Head("support"),
        Head(f"top off by [{units}]"),
        *((Head(f"{way.wanted} alone", "N"),) if own else ()),
        Head("units empty", "N"),
        Head("units full", "N"),
        *((Head("gap under a stiff unit", units), Head("it carries")) if hangs else ()),
    )
    either = set_either_way(answer)
    rows = tuple(
        (
            one.support,
            f"{small(answer.worst_error_mm, units)} either way"
            if either
            else way_words(one.error_mm, units, "high", "low", "as wanted"),
            *((newtons(one.laid_n),) if own else ()),
            newtons(one.empty_n),
            newtons(one.full_n),
            *(_hanging(one, units) if hangs else ()),
        )
        for one in stacks
    )
    note = (
        f"Each side and division stands straight on {way.stands}: no bearer shares its load out"
        " to neighbours, and what stands over a no-go area comes down on the two beside it."
        f" These are the loads where every {way.support} bears."
        + " A stiff unit stands on three and hangs over the others, until a shim of the gap brings"
        " them to bear." * hangs
    )
    idle = frozenset(place for place, one in enumerate(stacks) if one.gap_mm > IDLE_MM)
    title = f"{way.supports[0].upper()}{way.supports[1:]} under load"
    return Table(title, heads, rows, f"{note} {NO_APPROVAL_IN_SHORT}", idle)


def _hanging(one: StackLoad, units: Units) -> tuple[str, str]:
    """Return the gap over a support under a stiff unit, and what brings it to bear."""
    if not one.gap_mm:
        return NOTHING, "✓ carries"
    shim = shim_words(one.gap_mm, units)
    idle = f"⚠ idle: {shim}" if one.gap_mm > IDLE_MM else f"idle, let pass: {shim}"
    return small(one.gap_mm, units), idle


def newtons(force_n: float) -> str:
    """Return a force as whole newtons; one that would round to 0 is not written as none."""
    return "under 1" if _NOTHING_N < force_n < 0.5 else number(force_n, 0)


def _carries(answer: Answer, one: StackLoad) -> str:
    if not one.idle:
        return "✓ carries"
    pieces = [
        laid.piece.number
        for laid in answer.strength.on(one.bearer)
        if one.support in laid.piece.supports
    ]
    # Under a joint one piece may bear on a stack and the other may not.
    under = ", ".join(str(number) for number in one.idle_pieces)
    which = f" under piece {under}" if len(pieces) > 1 else ""
    if one.gap_mm <= IDLE_MM:
        return f"idle{which}, let pass: {shim_words(one.gap_mm, answer.job.units)}"
    return f"⚠ idle{which}: {shim_words(one.gap_mm, answer.job.units)}"


def bearer_table(answer: Answer) -> Table:
    """Return how each piece of bearer bends, sags and rocks.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    units, laid = answer.job.units, answer.strength.laid
    if not on_bearers(answer.ground):
        stands = way_of(answer.base).stands
        note = f"No bearers: each side and division stands straight on {stands}."
        return Table("Bearers under load", (Head("bearer"),), (), note)
    heads = (
        Head("bearer"),
        Head("piece", right=True),
        Head("from", units),
        Head("to", units),
        Head("bending, of its strength", right=True),
        Head("sags most between"),
        Head("sag, final", units),
        Head("span/250", units),
        Head("rocks under a hand", wide=True),
        Head("verdict"),
    )
    rows = tuple(_bearer_row(answer, one) for one in laid)
    note = (
        "Places are along the run. Bending is design stress over design strength, 1 is all of it;"
        " the sag is against the straight line between two stacks that carry, all loads on it and"
        f" after creep. {NO_APPROVAL_IN_SHORT}"
    )
    bad = frozenset(place for place, row in enumerate(rows) if row[-1] == _REFER)
    return Table("Bearers under load", heads, rows, note, bad)


def _bearer_row(answer: Answer, one: PieceAtRest) -> tuple[str, ...]:
    units, piece, ratio = answer.job.units, one.piece, piece_bending(answer, one)
    where, sag, limit, amiss = NOTHING, math.nan, math.nan, ratio > 1 + CLOSED_MM
    for span in worst_span(one):
        where, sag, limit = (
            f"{span.left} and {span.right}",
            span.sag_mm,
            span.length_mm * SAG_SHARE,
        )
        amiss = amiss or sags_too_far(span)
    return (
        piece.bearer,
        str(piece.number),
        plan_length(piece.beam.start_mm, units),
        plan_length(piece.beam.end_mm, units),
        number(ratio, 2),
        where,
        small(sag, units),
        small(limit, units),
        "; ".join(rocking_words(each, units) for each in one.rocking) or "no",
        _REFER if amiss or one.rocking else _OK,
    )


def joist_table(answer: Answer) -> Table:
    """Return what each joist carries and how it takes it; without joists the reason.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    units, work = answer.job.units, answer.strength.joists
    known = isinstance(work, JoistWork)
    across, along = (work.grid.across, work.grid.along) if isinstance(work, JoistWork) else ("", "")
    heads = (
        Head(f"joist at {across}".strip(), units),
        Head("carries", wide=True),
        Head("sag, final, at most", units),
        Head(f"at {along}".strip() if known else "where", units),
        Head("sag there at once", units),
        Head("bending, of its strength", right=True),
        Head("shear, of its strength", right=True),
        Head("verdict"),
    )
    end = f"{settlement_words(work, units)} {NO_APPROVAL_IN_SHORT}"
    if isinstance(work, NoJoists):
        return Table("Joists under load", heads, (), end)
    loaded = [joist for joist in work.joists if joist.carries]
    rows = tuple(_joist_row(work, joist, units) for joist in loaded)
    note = (
        "Sags are of what the furniture adds, full: the floor's own weight is in the readings."
        " Bending and shear count the floor's own weight and the room's use too; 1 is all of the"
        f" strength. {end}"
    )
    bad = frozenset(place for place, joist in enumerate(loaded) if too_much(joist))
    return Table("Joists under load", heads, rows, note, bad)


def _joist_row(work: JoistWork, joist: JoistSag, units: Units) -> tuple[str, ...]:
    return (
        plan_length(joist.across_mm, units),
        carried_words(joist.carries),
        small(joist.greatest_final_mm, units),
        plan_length(joist.greatest_at_mm, units),
        small(_at_once_mm(work, joist), units),
        number(joist.bending.ratio, 2),
        number(joist.shear.ratio, 2),
        _joist_verdict(joist, units),
    )


def carried_words(carries: Sequence[Carried]) -> str:
    """Return which stacks a joist carries, and its share of each in per cent."""
    by_share: dict[str, list[str]] = {}
    for one in carries:
        share = "all" if one.share == 1 else f"{one.share * 100:.0f} %"
        share = "under 1 %" if one.share < 0.005 else share
        by_share.setdefault(share, []).append(one.support)
    return "; ".join(f"{share} of {', '.join(names)}" for share, names in by_share.items())


def _at_once_mm(work: JoistWork, joist: JoistSag) -> float:
    """Return a joist's sag before creep at the place of its greatest final one [mm]."""
    if not joist.computed:
        return math.nan
    points = tuple((one.along_mm, one.force_n) for one in joist.carries)
    line = held(work.beam, Loads(points), np.zeros(len(work.beam.supports_mm)))
    return -float(line.height_mm(np.array([joist.greatest_at_mm]))[0])


def _joist_verdict(joist: JoistSag, units: Units) -> str:
    if not joist.computed:
        return f"{_NOT}: {left_out_words(joist, units)}"
    beyond = too_much(joist)
    return f"{_REFER}: {', '.join(beyond)}" if beyond else _OK
