"""Two printed pages for a class: the sheet to be worked with a pencil, and the answers apart."""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd

from kit.practice.class_set import ClassSet, Exercise, Solution, Step
from kit.practice.drill import Given
from kit.practice.fields import Field
from kit.practice.marking import RULE
from kit.practice.moves import Done
from kit.show.escape import html_text
from kit.show.practice.plain_table import plain_table
from kit.show.practice.plan import plan_picture
from kit.show.practice.plan_words import thing_words
from kit.show.two_bases.drawing import image

#: Width of a plan: of A4 less its margins, at 96 px to the inch [px].
_PLAN_PX = 640.0

#: Lines left free where the apprentice says what to do.
_FREE_LINES = 6

_STYLE = (
    "@page{size:A4;margin:15mm}"
    "body{font:11pt/1.4 sans-serif;color:#000;background:#fff;max-width:180mm;margin:8mm auto;"
    "padding:0 4mm}"
    "h1{font-size:16pt;margin:0 0 2mm}h2{font-size:13pt;margin:2mm 0 1mm}"
    "h3{font-size:11pt;margin:4mm 0 1mm}h1,h2,h3{break-after:avoid}"
    "section+section{break-before:page;margin-top:8mm}"
    "p,ul,ol{margin:1mm 0}li{margin:.6mm 0}"
    ".who{display:flex;gap:6mm;border-bottom:.3mm solid #000;padding:0 0 2mm;margin:0 0 3mm}"
    "table{border-collapse:collapse;font-size:9.5pt;margin:2mm 0;"
    "font-variant-numeric:tabular-nums}"
    "caption{text-align:left;font-weight:bold;padding:1mm 0}"
    "th,td{border-bottom:.3mm solid #888;padding:.8mm 2mm;text-align:left;vertical-align:top}"
    "thead th{border-bottom:.6mm solid #000;vertical-align:bottom}"
    ".n{text-align:right}tr,svg,.keep{break-inside:avoid}"
    "svg{max-width:100%;height:auto;display:block;filter:grayscale(1)}"
    ".ask{border:.4mm solid #000;padding:2mm 3mm;margin:3mm 0;break-inside:avoid}"
    ".ask p{margin:3mm 0}.gap{display:inline-block;min-width:28mm;border-bottom:.3mm solid #000;"
    "height:1.2em;vertical-align:bottom}.line{display:block;min-width:0;height:8mm}"
    "small{font-size:9pt}"
)

_GAP = '<span class="gap"></span>'


def sheet_page(of_class: ClassSet) -> str:
    """Return the sheet as one HTML page.

    Parameters
    ----------
    of_class : ClassSet
        From `kit.practice.class_set.class_set`; only its exercises are looked at.

    Returns
    -------
    str
        Self-contained, without a script; for A4 in black and white. Nothing of any answer.
    """
    who = f"<span>Nickname: {_GAP}</span><span>Date: {_GAP}</span>"
    parts = [
        f'<section><p class="who"><span>{_which(of_class)}</span>{who}</p>'
        f"{_exercise(number, exercise)}</section>"
        for number, exercise in enumerate(of_class.exercises, start=1)
    ]
    return _page(f"Practice sheet: {_which(of_class)}", of_class, parts)


def answers_page(of_class: ClassSet) -> str:
    """Return the answers for the trainer as one HTML page, made like the sheet's."""
    parts = [
        f"<section>{_solution(number, solution)}</section>"
        for number, solution in enumerate(of_class.solutions, start=1)
    ]
    return _page(f"Answers for the trainer: {_which(of_class)}", of_class, parts)


def _which(of_class: ClassSet) -> str:
    return html_text(f"seed {of_class.seed}, grade {of_class.grade.name}")


def _page(title: str, of_class: ClassSet, parts: Iterable[str]) -> str:
    return (
        '<!DOCTYPE html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width,initial-scale=1">'
        f"<title>{title}</title><style>{_STYLE}</style></head><body><main><h1>{title}</h1>"
        f"<p>Made floors: {html_text(of_class.grade.words)}. The same seed and grade give the same"
        f" exercises everywhere.</p><p><small>{html_text(RULE)}</small></p>"
        f"{''.join(parts)}</main></body></html>\n"
    )


def _exercise(number: int, one: Exercise) -> str:
    seen = f"<h3>What a good worker did and saw</h3>{_steps(one.steps)}" if one.steps else ""
    return (
        f"<h2>{number}. {html_text(one.title)}</h2><p>{html_text(one.aim)}</p>"
        f"<h3>What is given</h3>{_given(one.given)}{_plan(one.given, one.looked)}"
        f'{seen}<div class="ask"><h3>Your answer</h3>{_left_to_do(one.left_to_do)}'
        f"{''.join(_blank(field) for field in one.asked)}</div>"
    )


def _given(given: Given) -> str:
    named = [thing_words(thing) for thing in given.on_plan]
    plan = f"<p>On the plan, x along the wall and y from it:</p>{_list(named)}" if named else ""
    return _list(given.sentences) + plan + _tables(given.tables)


def _plan(given: Given, looked: tuple[Done, ...]) -> str:
    if not given.room_mm[0]:
        return ""
    return f'<div class="keep">{image(plan_picture(given, looked, _PLAN_PX))}</div>'


def _steps(steps: Iterable[Step]) -> str:
    items = "".join(f"<li>{html_text(one.words)}{_tables(one.tables)}</li>" for one in steps)
    return f"<ol>{items}</ol>"


def _left_to_do(labels: tuple[str, ...]) -> str:
    if not labels:
        return ""
    lines = '<span class="gap line"></span>' * _FREE_LINES
    said = html_text("; ".join(labels))
    return (
        f"<p>From here on it is yours. Write down what you would do, and where ({said}):</p>{lines}"
    )


def _blank(field: Field) -> str:
    unit = f" {html_text(field.unit)}" if field.unit else ""
    blanks = {
        "number": f"{_GAP}{unit}",
        "choice": " &ensp; ".join(f"☐&nbsp;{html_text(one)}" for one in field.choices) + unit,
        "place": f"x {_GAP} y {_GAP}{unit}",
        "packers": f"{_GAP}{_GAP}{unit}, from the floor up",
    }
    return f"<p>{html_text(field.label)}: {blanks[field.kind]}</p>"


def _solution(number: int, one: Solution) -> str:
    answers = "".join(
        f"<li>{html_text(label)}: <b>{html_text(answer)}</b></li>" for label, answer in one.answers
    )
    worked = one.worked
    return (
        f"<h2>{number}. {html_text(one.title)}</h2><ul>{answers}</ul>"
        f"<h3>Why</h3>{_list(worked.sentences)}{_tables(worked.tables)}{_truth(one)}"
        f"<h3>Good practice: {one.placements} placements, {one.seconds / 60:.0f} minutes</h3>"
        f"{_steps(one.steps)}<h3>Typical mistakes</h3>{_kinds(one)}"
    )


def _truth(one: Solution) -> str:
    worked = one.worked
    if not one.given.room_mm[0] and not worked.floor:
        return ""
    drawn = plan_picture(one.given, worked.done, _PLAN_PX, worked.on_plan, worked.floor)
    return f'<div class="keep">{image(drawn)}</div>'


def _kinds(one: Solution) -> str:
    rows = [(kind.title, kind.what, kind.cost) for kind in one.kinds]
    frame = pd.DataFrame(rows, columns=["mistake", "what somebody does who makes it", "costs"])
    return plain_table("What each takes of the marks, once", frame)


def _tables(tables: Iterable[tuple[str, pd.DataFrame]]) -> str:
    return "".join(plain_table(title, frame) for title, frame in tables)


def _list(texts: Iterable[str]) -> str:
    return f"<ul>{''.join(f'<li>{html_text(text)}</li>' for text in texts)}</ul>"
