"""How a notebook shows the parts of an answer, registered from here: the parts know no HTML."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from kit.answer import Answer, Ground, Survey
from kit.base.cautions import NO_APPROVAL
from kit.base.checks import check_table as check_frame
from kit.base.cuts import CutPlan
from kit.base.datum import Datum
from kit.floor import HighPoint, Plane, Surface
from kit.ink.base_tables import (
    caution_list,
    check_table,
    checks_shown,
    stack_table,
    support_table,
)
from kit.ink.lengths import length, number, plan_length, small
from kit.ink.table import Head, Page, Table, page, records, sentences
from kit.ink.words import datum_sentence, high_point_sentence, on_packers, stacks_sentence
from kit.job import Job, Refusal
from kit.readings import BookingSheet, Heights, ReversalTest, TwoPegTest, TwoWallTest
from kit.show.booking_page import booking_page
from kit.show.high_point_table import high_point_page
from kit.show.instrument_tables import reversal_table, two_peg_table, two_wall_table
from kit.show.survey_tables import (
    job_table,
    plane_table,
    points_table,
    surface_table,
)
from kit.show.suspect_tables import suspect_page
from kit.strength.carry import Strength


def answer_page(answer: Answer) -> Page:
    """Return an answer on one page: the figures first, then what is built, checks, cautions."""
    units = answer.job.units
    said = [
        datum_sentence(answer.datum, units),
        stacks_sentence(answer),
        high_point_sentence(answer.high_point, units),
    ]
    title = f"{answer.job.short_title}: {answer.base.name}"
    return page(
        sentences(said, title),
        stack_table(answer) if on_packers(answer) else support_table(answer),
        check_table(answer),
        caution_list(answer),
    )


def datum_page(datum: Datum) -> Page:
    """Return the level, the heights that can be made and what stops them [mm]."""
    heads = (Head("heights that can be made"), Head("from", "mm"), Head("to", "mm"))
    rows = tuple(
        (f"{place}", length(low, "mm"), length(high, "mm"))
        for place, (low, high) in enumerate(datum.feasible_heights_mm, start=1)
    )
    note = f"Lower end: {datum.binding_low}. Upper end: {datum.binding_high}."
    return page(sentences([datum_sentence(datum, "mm")]), Table("Height window", heads, rows, note))


def strength_part(strength: Strength) -> Page:
    """Return what carries a base: stacks, units and checks [mm, N]."""
    bearers = bool(strength.laid)
    gaps = bearers or any(one.gap_mm for one in strength.stacks)
    stacks = tuple(
        (
            one.support,
            small(one.error_mm, "mm"),
            number(one.full_n, 0),
            *((small(one.gap_mm, "mm"),) if gaps else ()),
        )
        for one in strength.stacks
    )
    heads = (
        Head("support"),
        Head("top too high by", "mm"),
        Head("carries, units full", "N"),
        *((Head("gap over it", "mm"),) if gaps else ()),
    )
    title = "Stacks under load" if bearers else "Supports under load"
    return page(
        sentences([*strength.cautions, NO_APPROVAL], "What carries it"),
        Table(title, heads, stacks, strength.joists.said),
        checks_shown(check_frame(strength.checks), "mm"),
    )


def cut_plan_table(plan: CutPlan) -> Table:
    """Return the pieces of a cutting plan [mm]."""
    heads = (
        Head("member"),
        Head("piece", "no."),
        Head("length", "mm"),
        Head("from", "mm"),
        Head("of stock", "mm"),
    )
    rows = tuple(
        (
            str(one["bearer"]),
            f"{int(one['piece'])}",
            length(one["length_mm"], "mm"),
            plan_length(one["from_x_mm"], "mm"),
            plan_length(one["stock_mm"], "mm"),
        )
        for one in records(plan.cuts)
    )
    return Table("Cutting list", heads, rows)


def heights_page(heights: Heights) -> Page:
    """Return adjusted points, agreement and suspects."""
    return page(suspect_page(heights), points_table(heights))


def survey_page(survey: Survey) -> Page:
    """Return heights and plane of a survey."""
    return page(points_table(survey.heights), plane_table(survey.plane, survey.robust_plane))


def refusal_page(refusal: Refusal) -> Page:
    """Return a refusal: one sentence a problem."""
    return sentences((str(problem) for problem in refusal.problems), "This cannot be answered")


#: What shows each kind of part.
SHOWN: dict[type, Callable[[Any], Page | Table]] = {
    Answer: answer_page,
    BookingSheet: booking_page,
    CutPlan: cut_plan_table,
    Datum: datum_page,
    Ground: high_point_page,
    Heights: heights_page,
    HighPoint: high_point_page,
    Job: job_table,
    Plane: plane_table,
    Refusal: refusal_page,
    ReversalTest: reversal_table,
    Surface: surface_table,
    Strength: strength_part,
    Survey: survey_page,
    TwoPegTest: two_peg_table,
    TwoWallTest: two_wall_table,
}


def html_of(part: object) -> str:
    """Return a part of an answer as HTML.

    Parameters
    ----------
    part : object
        A part that `SHOWN` knows.

    Returns
    -------
    str
    """
    return SHOWN[type(part)](part).html


def register(shell: Any) -> None:
    """Teach a running notebook how to show the parts of an answer.

    Parameters
    ----------
    shell : InteractiveShell
        From ``IPython.get_ipython()``; None where there is no notebook.
    """
    if shell is None:
        return
    formatter = shell.display_formatter.formatters["text/html"]
    for kind in SHOWN:
        formatter.for_type(kind, html_of)
