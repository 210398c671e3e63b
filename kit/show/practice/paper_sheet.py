"""A sheet to be worked without a screen: what is given, what was looked at, room to reckon."""

from __future__ import annotations

from dataclasses import replace

from kit.ink.escape import html_text
from kit.ink.svg import Picture
from kit.practice.class_set import ClassSet, Exercise, Looked
from kit.practice.drill import Given
from kit.show.practice.blanks import blanks
from kit.show.practice.plan import plan_picture
from kit.show.practice.plan_words import thing_words
from kit.show.practice.printed import (
    head,
    listed,
    made_words,
    printed_page,
    steps,
    tables,
    which,
)
from kit.show.practice.room_frame import NARROWEST_PX
from kit.show.two_bases.drawing import image

#: A plan is no wider and no taller than this: 110 and 60 mm at 96 px to the inch [px]. It is
#: narrowed by such steps, and shows no more of the room than so far beyond what lies on it [mm].
WIDEST_PX, TALLEST_PX, _STEP_PX, _BEYOND_MM = 416.0, 226.0, 8.0, 300.0

_STYLE = (
    "section{break-inside:avoid;font-size:10pt}h3{font-size:10pt}"
    "section+section{border-top:.6mm solid #000;margin-top:3mm;padding-top:1mm}"
    ".ask{border:.4mm solid #000;padding:0 3mm 1mm;margin:2mm 0 0;break-inside:avoid}"
    ".ask h3{margin-top:1mm}.room{height:24mm}.seen{flex:1 1 62mm}.seen li{margin:.2mm 0}"
    ".seen h3{margin-top:1mm}.wide{flex-basis:100%}"
    ".short ol{columns:62mm;column-gap:8mm}.short li{break-inside:avoid}"
)

_HOW = (
    "These floors were looked at for you. Where and how was settled before anything was seen, so "
    "the places tell nothing, and some of it you may not need. Plans show no more of a room "
    "than is wanted."
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
    said = f"<p><small>{made_words(of_class)} {_HOW}{_left_out(of_class)}</small></p>"
    able = [one for one in of_class.exercises if one.looked]
    drills = (_exercise(number, one) for number, one in enumerate(able, start=1))
    title = f"Practice on paper: {which(of_class)}"
    return printed_page(title, _STYLE, (head(title), said, *drills, _cautions(able)))


def _left_out(of_class: ClassSet) -> str:
    if not of_class.left_out:
        return ""
    return html_text(f" Left out, because they want the screen: {'; '.join(of_class.left_out)}.")


def _exercise(number: int, one: Exercise) -> str:
    (looked,) = one.looked
    return (
        f"<section><h2>{number}. {html_text(one.title)}</h2>"
        f"<p>{html_text(one.aim)}</p>{listed(looked.given.sentences)}"
        f'<div class="beside">{tables(looked.given.tables)}{_drawn(looked)}{_seen(looked)}</div>'
        f'<div class="ask"><h3>Your answer</h3>{blanks(one.asked)}'
        '<p>Room to reckon:</p><div class="room"></div></div></section>'
    )


def _drawn(looked: Looked) -> str:
    """Return the plan where one is wanted; lines on it are told in words too."""
    if not looked.plan:
        return ""
    part = _part(looked.given)
    told = [f"{thing_words(thing)}." for thing in part.on_plan if thing.kind == "line"]
    words = f"<p><small>{html_text(' '.join(told))}</small></p>" if told else ""
    return f'<div class="keep">{image(_plan(part))}{words}</div>'


def _part(given: Given) -> Given:
    """Return what is given with no more of the room than what lies on its plan wants."""
    wide, deep = given.room_mm
    far = max((y for thing in given.on_plan for _, y in thing.places_mm), default=deep)
    return replace(given, room_mm=(wide, min(deep, far + _BEYOND_MM)))


def _plan(given: Given) -> Picture:
    """Draw a plan no larger than may be; its letters keep their size."""
    width = WIDEST_PX
    drawn = plan_picture(given, (), width)
    while drawn.height_px > TALLEST_PX and width - _STEP_PX >= NARROWEST_PX:
        width -= _STEP_PX
        drawn = plan_picture(given, (), width)
    return drawn


def _seen(looked: Looked) -> str:
    """Return tables as booked, or what was seen in words."""
    if not looked.steps[0].words:
        return tables(looked.steps[0].tables)
    look = "wide" if any(one.tables for one in looked.steps) else "short keep"
    return f'<div class="seen {look}"><h3>What was seen</h3>{steps(looked.steps)}</div>'


def _cautions(able: list[Exercise]) -> str:
    """Return what holds on every floor, once."""
    said = dict.fromkeys(one for exercise in able for one in exercise.looked[0].cautions)
    return f'<section class="keep"><h3>On every floor</h3>{listed(said)}</section>' if said else ""
