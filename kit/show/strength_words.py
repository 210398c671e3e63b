"""Words for what carries the base: signs told as words, lengths in the job's units."""

from __future__ import annotations

import math

from kit.answer import Answer
from kit.base.checks import CLOSED_MM
from kit.ink.lengths import NOTHING, Units, plan_length, small
from kit.parts import bearers_of
from kit.strength.bearer_checks import SAG_SHARE
from kit.strength.bearers import PieceAtRest, Rocking, Span
from kit.strength.joist_checks import SPAN_OVER
from kit.strength.joist_settlement import said_of
from kit.strength.joists import JoistSag, JoistWork, NoJoists
from kit.strength.section import bending_ratio
from kit.strength.timber import kmod
from kit.strength.unit_checks import subject_of

#: The end of every note on strength; `kit.base.cautions.NO_APPROVAL` in short.
NO_APPROVAL_IN_SHORT = "Nothing here approves a floor or a structure."

#: A gap less than this just touches [mm].
_TOUCHES_MM = 0.005


def with_unit(mm: float, units: Units) -> str:
    """Return a small length with its unit."""
    return f"{small(mm, units)} {units}" if math.isfinite(mm) else NOTHING


def way_words(mm: float, units: Units, plus: str, minus: str, none: str) -> str:
    """Return a small length without its sign, and in words which way it goes.

    Parameters
    ----------
    mm : float
        The length with its sign [mm].
    units : {"mm", "in"}
        What it is written in.
    plus, minus, none : str
        What a positive, a negative and a length that rounds to 0 mean.

    Examples
    --------
    >>> way_words(-0.281, "mm", "high", "low", "level")
    '0.28 low'
    """
    text = small(abs(mm), units)
    if text == NOTHING:
        return NOTHING
    if not text.strip("0."):
        return f"{text} {none}"
    return f"{text} {plus if mm > 0 else minus}"


def shim_words(gap_mm: float, units: Units) -> str:
    """Return what brings an idle stack to bear."""
    return "just touches" if gap_mm < _TOUCHES_MM else f"shim {with_unit(gap_mm, units)}"


def rocking_words(rocking: Rocking, units: Units) -> str:
    """Return what a piece rocks on, and how far its ends are in the air."""
    return (
        f"rocks on {rocking.support}: {with_unit(rocking.left_mm, units)} over {rocking.left} or"
        f" {with_unit(rocking.right_mm, units)} over {rocking.right}; shims as it lies: "
        + ", ".join(f"{with_unit(mm, units)} at {name}" for name, mm in rocking.shims)
    )


def piece_bending(answer: Answer, one: PieceAtRest) -> float:
    """Return how much of its bending strength a piece uses at most; 1 is all of it.

    Notes
    -----
    As `kit.strength.bearer_checks` finds it, which names the worst piece of a bearer only.
    """
    pieces, room = bearers_of(answer.ground), answer.job.room.service_class
    return max(
        bending_ratio(
            rest.line.greatest_moment_n_mm, pieces.section, pieces.timber, kmod(room, duration)
        )
        for duration, rest in one.design
    )


def worst_span(one: PieceAtRest) -> list[Span]:
    """Return the span that sags most for its length; empty where fewer than two stacks carry."""
    return sorted(one.spans, key=lambda span: -span.sag_mm / span.length_mm)[:1]


def sags_too_far(span: Span) -> bool:
    """Tell whether a span sags by more than its length/250."""
    return span.sag_mm > span.length_mm * SAG_SHARE + CLOSED_MM


def too_much(joist: JoistSag) -> list[str]:
    """Return what of a joist goes beyond its limit, in words; nan is beyond none."""
    sags = joist.span_sag_mm > joist.span_mm / SPAN_OVER + CLOSED_MM
    asked = {
        "bending": joist.bending.ratio > 1 + CLOSED_MM,
        "shear": joist.shear.ratio > 1 + CLOSED_MM,
        "sag": sags,
    }
    return [word for word, beyond in asked.items() if beyond]


def settlement_words(work: JoistWork | NoJoists, units: Units) -> str:
    """Return how far back and front row settle, run by run, and the front lift that answers it.

    Parameters
    ----------
    work : JoistWork or NoJoists
    units : {"mm", "in"}
        What lengths are written in: what a `JoistWork` says itself is in millimetres.
    """
    if isinstance(work, NoJoists):
        return f"{work.said[0].upper()}{work.said[1:]}."
    said = said_of(work.settlements, lambda mm: with_unit(mm, units))
    return f"{said[0].upper()}{said[1:]}."


def left_out_words(joist: JoistSag, units: Units) -> str:
    """Return why a joist is not computed: what stands where it cannot carry it.

    Parameters
    ----------
    joist : JoistSag
        One that is not computed.
    units : {"mm", "in"}
        What lengths are written in.
    """
    said = []
    if joist.beyond:
        stands = "stands" if len(joist.beyond) == 1 else "stand"
        said.append(f"{', '.join(joist.beyond)} {stands} beyond its outermost bearings")
    if joist.before:
        said.append(before_words(joist, units))
    return "; ".join(said)


def before_words(joist: JoistSag, units: Units) -> str:
    """Return which stacks stand too far before the first joist; empty for any other."""
    return ", ".join(
        f"{name} stands {plan_length(mm, units)} {units} before the first joist"
        for name, mm in joist.before
    )


def unit_names(answer: Answer) -> list[str]:
    """Return the units' names as the checks write them, the run in front where there are more."""
    several = len(answer.layout.frames) > 1
    return [subject_of(placed, several_runs=several) for placed in answer.layout.units]


def out_words(lean_mm: float, units: Units) -> str:
    """Return a lean across the run, and which way the top goes."""
    return way_words(lean_mm, units, "into the room", "back to the wall", "plumb")


def along_words(lean_mm: float, units: Units) -> str:
    """Return a lean along the run, and which way the top goes."""
    return way_words(lean_mm, units, "to the right", "to the left", "plumb")
