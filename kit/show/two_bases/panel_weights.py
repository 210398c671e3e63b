"""The person's own weights: empty boxes at first, then the score and where the ranking turns."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

import ipywidgets as widgets

from kit.ink.lengths import NOTHING, number
from kit.ink.table import Head, Page, Table, page, sentences
from kit.job import Refusal, refuse
from kit.show.board.numbers import parse_number
from kit.show.controls import said, text
from kit.side_by_side import Comparison, Weighing, weigh

#: What can be weighed here, of all that `weigh` takes: what is paid, what is worked, what it does
#: to the furniture, what can be done later.
WEIGHABLE: Mapping[str, str] = {
    "cost": "material",
    "cost_and_labour": "material and labour",
    "hours": "working time",
    "days": "days until the units can stand",
    "things": "pieces to place",
    "level_error_mm": "worst error of level",
    "lean_mm": "greatest lean of a unit",
    "least_margin": "least margin of what carries",
    "floor_screws": "screws into the floor",
    "room_mm": "room under the base",
    "fixing_m": "timber to screw units down to",
    "up_mm": "later adjustment upwards",
}

#: What is said while no weight is given.
NO_WEIGHTS = "No weights: no ranking. Give a number from 0 to what counts for you."

#: How the score is made.
FORMULA = (
    "Score: the sum of weight times share. Share: by how much of the larger of the two figures (of"
    " margins, of the limit) the better base is the better; 0 where the difference is within its"
    " doubt; + where {one} is the better, - where {other} is."
)


class Weights:
    """A box for each measure that can be weighed, and what the weights make of two bases.

    Parameters
    ----------
    changed : callable
        Called when a person has changed a weight.

    Attributes
    ----------
    weighing : tuple of Weighing
        What the weights come to; nothing where none is given, or one is not understood.
    """

    def __init__(self, changed: Callable[[], None]) -> None:
        self.weighing: tuple[Weighing, ...] = ()
        self.boxes = {key: _box(name) for key, name in WEIGHABLE.items()}
        self.said = text()
        for box in self.boxes.values():
            box.observe(lambda _: changed(), names="value")
        grid = widgets.Box(
            list(self.boxes.values()), layout=widgets.Layout(flex_flow="row wrap", width="100%")
        )
        self.widget = widgets.VBox([grid, self.said])

    def given(self) -> dict[str, float]:
        """Return the weights that are given.

        Raises
        ------
        Refusal
            Where a box holds no number from 0.
        """
        return {
            key: _number(key, box.value) for key, box in self.boxes.items() if box.value.strip()
        }

    def show(self, comparison: Comparison) -> None:
        """Weigh two bases, and say what came of it."""
        self.weighing = ()
        try:
            weights = self.given()
            _refuse_missing(comparison, weights)
            if weights:
                self.weighing = (weigh(comparison, weights),)
        except Refusal as refusal:
            words = "; ".join(str(problem) for problem in refusal.problems)
            self.said.value = said(f"✗ Nothing was weighed. {words}", alert=True)
            return
        shown = [weighing_page(one).html for one in self.weighing]
        self.said.value = "".join(shown) or said(NO_WEIGHTS)


def weighing_page(weighing: Weighing) -> Page:
    """Return what a person's weights make of two bases: ranking, formula, where it turns.

    Parameters
    ----------
    weighing : Weighing
        From `kit.side_by_side.weigh`.

    Returns
    -------
    Page
    """
    one, other = weighing.names
    told = [
        ranking_sentence(weighing),
        FORMULA.format(one=one, other=other),
        *turning_weights(weighing),
    ]
    rows = tuple(
        (w.row.a.measure, number(w.weight, 2), _signed(w.share), _signed(w.part), _at(w.turns_at))
        for w in weighing.weighed
    )
    heads = (
        Head("measure", wide=True), Head("weight", right=True), Head("share", right=True),
        Head("weight times share", right=True), Head("ranking turns at weight", right=True),
    )  # fmt: skip
    return page(sentences(told, "By your weights"), Table("What each weight does", heads, rows))


def ranking_sentence(weighing: Weighing) -> str:
    """Say which base the weights put first, with the score."""
    left_out = weighing.left_out
    known = f" Left out, a figure is missing: {', '.join(left_out)}." if left_out else ""
    if not weighing.winner:
        return f"By these weights the two come out alike.{known}"
    second = next(name for name in weighing.names if name != weighing.winner)
    score = _signed(weighing.score)
    return f"First {weighing.winner}, second {second}: score {score}.{known}"


def turning_weights(weighing: Weighing) -> list[str]:
    """Say at which figure of each weight the ranking turns, the others as they are."""
    turns = [one for one in weighing.weighed if one.turns_at > 0]
    if not weighing.winner:
        return []
    if not turns:
        return ["No single weight turns the ranking, the others as they are."]
    return [
        f"The ranking turns where the weight of {one.row.a.measure} goes"
        f" {'above' if one.turns_at > one.weight else 'below'} {_at(one.turns_at)},"
        f" now {number(one.weight, 2)}."
        for one in turns
    ]


def _refuse_missing(comparison: Comparison, weights: Mapping[str, float]) -> None:
    has = {row.key for row in comparison.rows}
    for key in weights:
        if key not in has:
            why = "a weight, where these two have no such figure"
            hint = " (the job names no price of an hour)" if key == "cost_and_labour" else ""
            raise refuse(f"weight of {WEIGHABLE[key]}", why + hint, "nothing in this box")


def _number(key: str, typed: str) -> float:
    name, allowed = WEIGHABLE[key], "a number from 0, or nothing"
    try:
        weight = parse_number(typed, allowed)
    except Refusal as refusal:
        raise refuse(f"weight of {name}", refusal.problems[0].found, allowed) from None
    if weight < 0:
        raise refuse(f"weight of {name}", f"'{typed.strip()}'", allowed)
    return weight


def _signed(value: float) -> str:
    if math.isnan(value):
        return NOTHING
    return f"{value:+.3f}" if round(value, 3) else "0"


def _at(weight: float) -> str:
    """Return a weight at which the ranking turns: about three figures, however small.

    Without any weight the two come out alike: that turns nothing.
    """
    return f"{weight:.3g}" if weight > 0 else NOTHING


def _box(name: str) -> widgets.Text:
    return widgets.Text(
        description=f"weight of {name}",
        continuous_update=False,
        style={"description_width": "18em"},
        layout=widgets.Layout(width="24em", max_width="98%"),
    )
