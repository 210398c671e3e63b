"""A sheet to be worked without a screen: what is given, what was looked at, room to reckon."""

from __future__ import annotations

from kit.practice.class_set import ClassSet, Exercise, Looked
from kit.practice.drill import Given
from kit.show.board.svg import Picture
from kit.show.escape import html_text
from kit.show.practice.blanks import blanks
from kit.show.practice.plan import plan_picture
from kit.show.practice.plan_words import thing_words
from kit.show.practice.printed import (
    PAGE_PX,
    listed,
    made_words,
    printed_page,
    steps,
    tables,
    which,
    who,
)
from kit.show.practice.room_frame import NARROWEST_PX
from kit.show.two_bases.drawing import image

#: A plan is no taller than 60 mm at 96 px to the inch [px]; it is narrowed by such steps.
TALLEST_PX, _STEP_PX = 226.0, 10.0

_STYLE = (
    "section+section{border-top:.6mm solid #000;margin-top:4mm;padding-top:2mm}"
    ".ask{border:.4mm solid #000;padding:1mm 3mm 2mm;margin:3mm 0 0;break-inside:avoid}"
    ".ask h3{margin-top:1mm}.room{height:34mm}.seen>li{margin:.2mm 0}"
    ".short ol{columns:2;column-gap:8mm}.short li{break-inside:avoid}"
)

#: From so many moves on that showed no table, their words stand in two columns.
_COLUMNS_FROM = 4

_HOW = (
    "Floors were looked at for you, and wherever you work this sheet at the same places: nobody "
    "chose them by what lies there. Some of it you may not need."
)


def paper_page(of_class: ClassSet) -> str:
    """Return the sheet as one HTML page.

    Parameters
    ----------
    of_class : ClassSet
        Of drills that can be worked without a screen: see `kit.practice.on_paper`. Only its
        exercises are looked at, and which drills were left out.

    Returns
    -------
    str
        Self-contained, without a script; for A4 in black and white. Nothing of any answer.
    """
    head = f"{who()}<p><small>{made_words(of_class)} {_HOW}{_left_out(of_class)}</small></p>"
    able = [one for one in of_class.exercises if one.looked]
    drills = (_exercise(number, one) for number, one in enumerate(able, start=1))
    title = f"Practice without a screen: {which(of_class)}"
    return printed_page(title, _STYLE, (head, *drills, _cautions(able)))


def _left_out(of_class: ClassSet) -> str:
    if not of_class.left_out:
        return ""
    return html_text(f" Left out, because they want the screen: {'; '.join(of_class.left_out)}.")


def _exercise(number: int, one: Exercise) -> str:
    (looked,) = one.looked
    return (
        f'<section><div class="keep"><h2>{number}. {html_text(one.title)}</h2>'
        f"<p>{html_text(one.aim)}</p>{listed(looked.given.sentences)}</div>"
        f"{_places(looked)}{_seen(looked)}"
        f'<div class="ask"><h3>Your answer</h3>{blanks(one.asked)}'
        '<p>Room to reckon:</p><div class="room"></div></div></section>'
    )


def _places(looked: Looked) -> str:
    """Return the tables that are given, the plan beside them."""
    drawn = image(_plan(looked.given)) if looked.plan else ""
    told = looked.given.on_plan if looked.plan and not looked.given.tables else ()
    named = f"<p><small>{html_text('; '.join(map(thing_words, told)))}.</small></p>" if told else ""
    given = tables(looked.given.tables)
    return f'<div class="beside keep">{given}<div>{drawn}{named}</div></div>'


def _plan(given: Given) -> Picture:
    """Draw the room no taller than may be; its letters keep their size."""
    width = PAGE_PX
    drawn = plan_picture(given, (), width)
    while drawn.height_px > TALLEST_PX and width - _STEP_PX >= NARROWEST_PX:
        width -= _STEP_PX
        drawn = plan_picture(given, (), width)
    return drawn


def _seen(looked: Looked) -> str:
    if not looked.steps[0].words:
        return tables(looked.steps[0].tables)
    plain = not any(one.tables for one in looked.steps)
    short = " short" if plain and len(looked.steps) >= _COLUMNS_FROM else ""
    keep = " keep" if plain else ""
    return f'<div class="seen{short}{keep}"><h3>What was seen</h3>{steps(looked.steps)}</div>'


def _cautions(able: list[Exercise]) -> str:
    """Return what holds on every floor, once."""
    said = dict.fromkeys(one for exercise in able for one in exercise.looked[0].cautions)
    return f'<section class="keep"><h3>On every floor</h3>{listed(said)}</section>' if said else ""
