"""The sheet that a class takes along: the drills are done at the screen and booked here."""

from __future__ import annotations

from kit.ink.escape import html_text
from kit.practice.class_set import ClassSet, Exercise
from kit.practice.marking import FULL, HINT_COST, MOST_FOR_PLACEMENTS, MOST_FOR_TIME
from kit.show.practice.blanks import blanks
from kit.show.practice.printed import head, made_words, printed_page, which

#: The marking rule in one line; the whole of it stands beside every mark on the screen.
SHORT_RULE = (
    f"{FULL} marks less each kind of mistake once, each hint {HINT_COST}, needless placements up "
    f"to {MOST_FOR_PLACEMENTS}, needless time up to {MOST_FOR_TIME}."
)

_STYLE = (
    ".drill{border:.4mm solid #000;margin:2mm 0;padding:1mm 2mm;display:grid;break-inside:avoid;"
    "grid-template-columns:1fr 34mm;gap:0 3mm;font-size:10pt}"
    ".drill h2{font-size:11pt;margin:0}.drill p{margin:.3mm 0 1mm}"
    ".made{align-self:start;border-collapse:collapse;margin:0;width:100%;font-size:9pt}"
    ".made th{font-weight:normal;border:0;width:19mm;padding:1.2mm 0}"
    ".made td{border:0;border-bottom:.3mm solid #000}"
    ".wrong{grid-column:1/3;display:flex;gap:2mm;align-items:flex-end;height:7.5mm;font-size:9pt}"
    ".wrong .gap{flex:1}"
)

_MADE = "".join(
    f'<tr><th scope="row">{name}</th><td></td></tr>' for name in ("placements", "minutes", "marks")
)


def sheet_page(of_class: ClassSet) -> str:
    """Return the sheet as one HTML page.

    Parameters
    ----------
    of_class : ClassSet
        From `kit.practice.class_set.class_set`; of its exercises only what they are called and
        what is asked, so nothing of what a floor is like.

    Returns
    -------
    str
        Self-contained, without a script; all drills on two sides of A4 in black and white.
    """
    title = f"Practice sheet: {which(of_class)}"
    said = f"<p><small>{made_words(of_class)} {html_text(SHORT_RULE)}</small></p>"
    drills = (_drill(number, one) for number, one in enumerate(of_class.exercises, start=1))
    return printed_page(title, _STYLE, (head(title), said, *drills))


def _drill(number: int, one: Exercise) -> str:
    return (
        f'<section class="drill"><div><h2>{number}. {html_text(one.title)}</h2>'
        f"<p>{html_text(one.aim)}</p>{blanks(one.asked)}</div>"
        f'<table class="made">{_MADE}</table>'
        '<p class="wrong">what I did wrong: <span class="gap"></span></p></section>'
    )
