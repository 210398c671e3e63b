"""What the forms share in which a person checks an instrument."""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

import ipywidgets as widgets

from kit.ink import paint
from kit.ink.escape import html_text
from kit.ink.table import Table
from kit.job import Refusal
from kit.readings.verdict import OwnErrorFound, Use, Verdict
from kit.show.controls import text
from kit.show.instrument_tables import Figure, own_error_table

#: Sign before each verdict's words.
SIGNS = {"use": "✓", "correct": "⚠", "service": "✗", "test again": "↻"}

Found = TypeVar("Found", bound=OwnErrorFound)

#: Room for a letter of a box's name: the widest names are shown whole [em].
_LETTER_EM = 0.55


@dataclass(frozen=True)
class Field:
    """A number box: its key, name, unit, first number and what an arrow key adds."""

    key: str
    name: str
    unit: str
    value: float
    step: float = 1.0


def use_fields(sd_mm: float, service_mm_per_m: float, what: str = "reading") -> tuple[Field, ...]:
    """Return the boxes that every form ends with."""
    return (
        Field("sd_mm", f"sd of one {what}", "mm", sd_mm, 0.1),
        Field("longest_m", "longest distance in use", "m", 4.0, 0.5),
        Field("allowed_mm", "allowed error over it", "mm", 0.5, 0.1),
        Field("service_mm_per_m", "limit for service", "mm/m", service_mm_per_m, 0.1),
    )


class InstrumentForm(ABC, Generic[Found]):
    """Number boxes, a line that ends in the verdict, a table and a picture.

    Nothing is clamped: what cannot be answered is refused in words, and the table and the picture
    go until it can.
    """

    title: str
    how: str
    fields: tuple[Field, ...]

    def __init__(self) -> None:
        self.found: Found | Refusal
        room = f"{max(len(f'{f.name} [{f.unit}]') for f in self.fields) * _LETTER_EM:.1f}em"
        self.boxes = {field.key: _box(field, room) for field in self.fields}
        self.line, self.table, self.picture = text(), text(), text()
        self.widget = self._arrange()
        for box in self.boxes.values():
            box.observe(lambda _: self.show(), names="value")
        self.show()

    def _repr_mimebundle_(self, **more: Any) -> Any:
        return self.widget._repr_mimebundle_(**more)

    @abstractmethod
    def check(self) -> Found:
        """Return the test of what stands in the boxes, or refuse it."""

    @abstractmethod
    def true_readings(self, found: Found) -> list[Figure]:
        """Return what would have been read without the error."""

    @abstractmethod
    def drawn(self, found: Found) -> str:
        """Return the picture."""

    def value(self, key: str) -> float:
        """Return what stands in a box."""
        return float(self.boxes[key].value)

    def pair(self, one: str, other: str) -> tuple[float, float]:
        """Return what stands in two boxes."""
        return self.value(one), self.value(other)

    def limits(self) -> dict[str, float]:
        """Return the last arguments of every test."""
        return {key: self.value(key) for key in ("sd_mm", "service_mm_per_m")}

    def use(self) -> Use:
        """Return what the instrument is wanted for."""
        return Use(*self.pair("longest_m", "allowed_mm"))

    def show(self) -> None:
        """Answer what stands in the boxes, or refuse it in words."""
        try:
            use, found = self.use(), self.check()
        except Refusal as refusal:
            self.found = refusal
            self.line.value = _refusal_line(refusal)
            self.table.value = self.picture.value = ""
            return
        self.found = found
        self.line.value = _verdict_line(found, found.verdict(use))
        self.table.value = self._numbers(found, use).html
        self.picture.value = self.drawn(found)

    def _numbers(self, found: Found, use: Use) -> Table:
        over = f"error over {use.longest_m:g} m"
        over_mm = found.over(use.longest_m)
        doubt_mm = found.doubt_mm_per_m * use.longest_m
        in_use: list[Figure] = [
            (over, "mm", over_mm, 2),
            (f"{over}, doubt 19 in 20", "mm", doubt_mm, 2),
        ]
        return own_error_table(self.title, found, [*in_use, *self.true_readings(found)])

    def _arrange(self) -> widgets.Box:
        heading = text(
            f'<div style="line-height:1.3;white-space:normal"><b>{html_text(self.title)}</b>'
            f"<br>{html_text(self.how)}</div>"
        )
        left = widgets.VBox(
            [heading, *self.boxes.values(), self.line],
            layout=widgets.Layout(flex="1 1 360px", min_width="0", padding="0 14px 0 4px"),
        )
        right = widgets.VBox(
            [self.picture, self.table], layout=widgets.Layout(flex="1 1 320px", min_width="0")
        )
        whole = widgets.HBox(
            [left, right], layout=widgets.Layout(flex_flow="row wrap", width="100%")
        )
        whole.add_class("ufk-form")
        return whole


def _box(field: Field, room: str) -> widgets.FloatText:
    return widgets.FloatText(
        value=field.value,
        step=field.step,
        description=f"{field.name} [{field.unit}]",
        style={"description_width": room},
        layout=widgets.Layout(width=f"calc({room} + 8em)", max_width="100%"),
        continuous_update=False,
    )


def _verdict_line(found: OwnErrorFound, verdict: Verdict) -> str:
    error = f"Own error {found.error_mm_per_m + 0.0:+.3f} ± {found.doubt_mm_per_m:.3f} mm/m"
    return (
        f'<div role="status" style="border-left:4px solid {paint.ACCENT};padding:.3em .7em;'
        f'line-height:1.35;white-space:normal">{html_text(error)} (19 in 20).<br>'
        f"<b>{SIGNS[verdict.action]} {html_text(verdict.sentence)}</b></div>"
    )


def _refusal_line(refusal: Refusal) -> str:
    problems = "".join(f"<li>{html_text(problem)}</li>" for problem in refusal.problems)
    return (
        f'<div role="alert" style="border-left:4px solid {paint.MARK};padding:.3em .7em;'
        'line-height:1.35;white-space:normal"><b>✗ This cannot be answered:</b>'
        f'<ul style="margin:.2em 0;padding-left:1.2em">{problems}</ul></div>'
    )
