"""Another tolerance, another bag: the fewest changes of a finished base found anew."""

from __future__ import annotations

import math
from typing import Any

import ipywidgets as widgets

from kit.as_built import Checked, check_base
from kit.ink.as_built_words import said_of, verdict_words
from kit.ink.escape import cut_text
from kit.ink.lengths import printed_with_unit
from kit.ink.table import page, sentences
from kit.job import Refusal, refuse
from kit.job.model_as_built import AsBuilt, Left
from kit.job.units import mm_to_inches
from kit.show.controls import said, text, typed_mm
from kit.show.hand_over.before_after import before_after_drawing
from kit.show.hand_over.checked_page import change_tables
from kit.show.live_figure import LiveFigure

#: What stands in a box of a kind of which there are as many as wanted.
AS_WANTED = "as wanted"

#: Most of one kind that a bag is said to hold, and the largest tolerance [mm], as a job file has.
_MOST, _MOST_MM = 1_000_000, 50.0

#: So much of what was typed is shown in a message [letters].
_LETTERS = 40


class ChangesPanel:
    """Boxes for the tolerance and for what is left in the bag, and what then has to be changed.

    Nothing of it is saved: the job file keeps what its ``[as_built]`` says.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`. A base on no packers has no boxes for the bag.
    """

    def __init__(self, checked: Checked) -> None:
        self.checked = checked
        self.message, self.page = text(), text()
        units = checked.answer.job.units
        limit = checked.tolerance_mm
        shown = limit if units == "mm" else mm_to_inches(limit)
        self.tolerance = _box(f"tolerance [{units}]", f"{shown:.6g}")
        #: What the box says of a tolerance that nobody has turned: inches are rounded there.
        self._given = (self.tolerance.value, limit)
        self.left = [
            _box(f"{printed_with_unit(one['nominal_mm'], units)} left", _count(one["left_before"]))
            for one in checked.changes.bag.to_dict("records")
        ]
        self.figure = LiveFigure(before_after_drawing(checked))
        boxes = widgets.HBox([self.tolerance, *self.left], layout=widgets.Layout(flex_flow="wrap"))
        chart = widgets.VBox([self.figure.widget])
        self.widget: widgets.Box = widgets.VBox(
            [boxes, self.message, chart, self.page], layout=widgets.Layout(width="100%")
        )
        self.widget.add_class("ufk-as-built")
        self.widget.add_class("ufk-charted")
        for box in (self.tolerance, *self.left):
            box.observe(lambda _: self._turn(), names="value")
        self._show()

    def _repr_mimebundle_(self, **more: Any) -> Any:
        return self.widget._repr_mimebundle_(**more)

    def _turn(self) -> None:
        """Find the changes anew; what cannot be is said, and the last answer stays in sight."""
        try:
            answer = self.checked.answer
            job = answer.job.model_copy(update={"as_built": self._said()})
            self.checked = check_base(job, answer=answer)
        except Refusal as refusal:
            self.message.value = said(f"✗ {refusal}", alert=True)
            return
        self._show()

    def _said(self) -> AsBuilt:
        """Return what the boxes say."""
        kinds = [float(mm) for mm in self.checked.changes.bag["nominal_mm"]]
        left = tuple(
            Left(mm=mm, count=_left(box)) for box, mm in zip(self.left, kinds, strict=True)
        )
        turned = {"tolerance_mm": self._tolerance_mm(), "left": left}
        return self.checked.as_built.model_copy(update=turned)

    def _tolerance_mm(self) -> float:
        units = self.checked.answer.job.units
        written = self.tolerance.value.strip()
        if written == self._given[0]:
            return self._given[1]
        value = typed_mm(written, inches=units == "in")
        if not 0 < value <= _MOST_MM:
            kind = "inches" if units == "in" else "mm"
            allowed = f"a length in {kind}, more than 0, {_MOST_MM:g} mm at most"
            raise refuse("tolerance", _shown(written), allowed)
        return value

    def _show(self) -> None:
        checked, changes = self.checked, said_of(self.checked).changes
        self.figure.show(before_after_drawing(checked))
        base, _, change = verdict_words(checked)
        self.message.value = said(
            f"Base: {base.word} ({base.why}). To change: {change.word}; {change.why}."
        )
        self.page.value = page(sentences(changes, "Changes"), *change_tables(checked)).html


def _box(name: str, value: str) -> widgets.Text:
    return widgets.Text(
        value=value,
        description=name,
        continuous_update=False,
        style={"description_width": "8em"},
        layout=widgets.Layout(width="15em"),
    )


def _count(left: float) -> str:
    return AS_WANTED if math.isinf(left) else f"{left:.0f}"


def _left(box: widgets.Text) -> int | None:
    """Return how many of a kind are left; None for as many as wanted.

    Raises
    ------
    Refusal
        Where the box says neither.
    """
    written = box.value.strip()
    if written == AS_WANTED:
        return None
    plain = written.isascii() and written.isdigit() and len(written) <= len(str(_MOST))
    if not (plain and int(written) <= _MOST):
        allowed = f"a whole number from 0 to {_MOST}, or {AS_WANTED!r}"
        raise refuse(f"packers of {box.description}", _shown(written), allowed)
    return int(written)


def _shown(written: str) -> str:
    """Return what somebody typed as a message shows it."""
    return repr(cut_text(written, _LETTERS))
