"""The answers of a class set, for the trainer: apart from any sheet."""

from __future__ import annotations

import pandas as pd

from kit.ink.escape import html_text
from kit.practice.class_set import ClassSet, Solution
from kit.practice.marking import RULE
from kit.show.practice.plain_table import plain_table
from kit.show.practice.plan import plan_picture
from kit.show.practice.printed import (
    PAGE_PX,
    head,
    listed,
    made_words,
    printed_page,
    steps,
    tables,
    which,
)
from kit.show.two_bases.drawing import image

_STYLE = "section+section{break-before:page}"


def answers_page(of_class: ClassSet) -> str:
    """Return the answers as one HTML page, made like the sheet's.

    Parameters
    ----------
    of_class : ClassSet
        From `kit.practice.class_set.class_set`.
    """
    title = f"Answers for the trainer: {which(of_class)}"
    said = f"<p>{made_words(of_class)}</p><p><small>{html_text(RULE)}</small></p>"
    parts = (
        f"<section>{_solution(number, solution)}</section>"
        for number, solution in enumerate(of_class.solutions, start=1)
    )
    return printed_page(title, _STYLE, (head(title, who=False), said, *parts))


def _solution(number: int, one: Solution) -> str:
    answers = "".join(
        f"<li>{html_text(label)}: <b>{html_text(answer)}</b></li>" for label, answer in one.answers
    )
    worked = one.worked
    return (
        f"<h2>{number}. {html_text(one.title)}</h2><ul>{answers}</ul>"
        f"<h3>Why</h3>{listed(worked.sentences)}{tables(worked.tables)}{_truth(one)}"
        f"<h3>Good practice: {one.placements} placements, {one.seconds / 60:.0f} minutes</h3>"
        f"{steps(one.steps)}<h3>Typical mistakes</h3>{_kinds(one)}"
    )


def _truth(one: Solution) -> str:
    worked = one.worked
    if not one.given.room_mm[0] and not worked.floor:
        return ""
    drawn = plan_picture(one.given, worked.done, PAGE_PX, worked.on_plan, worked.floor)
    return f'<div class="keep">{image(drawn)}</div>'


def _kinds(one: Solution) -> str:
    rows = [(kind.title, kind.what, kind.cost) for kind in one.kinds]
    frame = pd.DataFrame(rows, columns=["mistake", "what somebody does who makes it", "costs"])
    return plain_table("What each takes of the marks, once", frame)
