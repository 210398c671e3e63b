"""The panel's number boxes: named for everyone, in the job's units, never clamped."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import ipywidgets as widgets

from kit.job import parse_inches
from kit.job.units import MM_PER_INCH, fraction_of_inches, inches_to_mm
from kit.show.escape import html_text
from kit.show.lengths import Units

#: Room for a control's name.
_NAME = "12.5em"


class LengthBox:
    """A box for one length.

    A box that clamps would change a number that carries load without a word; this one hands on
    whatever was typed, and the solver answers or refuses it.

    Parameters
    ----------
    name : str
        Its name, read out by screen readers too.
    mm : float
        What it shows at first [mm].
    units : {"mm", "in"}
        Millimetres as a number, inches as text with fractions.
    step_mm : float
        What one press of an arrow key adds [mm].
    """

    def __init__(self, name: str, mm: float, units: Units, step_mm: float) -> None:
        self.units = units
        look = {
            "description": f"{name} [{units}]",
            "style": {"description_width": _NAME},
            "layout": widgets.Layout(width="20.5em", max_width="100%"),
            "continuous_update": False,
        }
        if units == "mm":
            self.widget = widgets.FloatText(value=_shown(mm), step=step_mm, **look)
        else:
            self.widget = widgets.Text(value=_fraction(mm), **look)
        self._exact = (self.widget.value, mm)

    @property
    def mm(self) -> float:
        """What stands in the box [mm].

        Raises
        ------
        Refusal
            Where it is no length in inches.
        """
        shown, exact = self._exact
        if self.widget.value == shown:  # what is shown is rounded, and nobody has touched it
            return exact
        if self.units == "mm":
            return float(self.widget.value)
        return inches_to_mm(parse_inches(self.widget.value))

    @mm.setter
    def mm(self, mm: float) -> None:
        shown = _shown(mm) if self.units == "mm" else _fraction(mm)
        self._exact = (shown, mm)
        self.widget.value = shown

    def on_change(self, act: Callable[[], None]) -> None:
        """Call a function whenever something else stands in the box."""
        self.widget.observe(lambda _: act(), names="value")


def _shown(mm: float) -> float:
    """Return a length as the box shows it: hundredths are finer than anybody sets."""
    return round(mm, 2)


def _fraction(mm: float) -> str:
    return fraction_of_inches(mm / MM_PER_INCH, 64)


def height_slider(low_mm: float, high_mm: float, mm: float, units: Units) -> widgets.FloatSlider:
    """Return the slider beside the height's box, which names it.

    Parameters
    ----------
    low_mm, high_mm : float
        Ends of the heights that can be made [mm].
    mm : float
        Where it stands at first [mm].
    units : {"mm", "in"}
        Its step: half a millimetre or a thirty-second of an inch; its value is millimetres.

    Returns
    -------
    FloatSlider
    """
    slider = widgets.FloatSlider(
        step=0.5 if units == "mm" else MM_PER_INCH / 32,
        readout=False,
        continuous_update=True,
        layout=widgets.Layout(width="100%"),
    )
    move_slider(slider, (low_mm, high_mm), mm)
    return slider


def move_slider(slider: widgets.FloatSlider, ends_mm: tuple[float, float], mm: float) -> None:
    """Put the slider on the step nearest to a height, between other ends.

    A height between two steps would come back from the browser as if the person had moved it.
    """
    step = slider.step
    low, high = math.ceil(ends_mm[0] / step), math.floor(ends_mm[1] / step)
    high = max(high, low + 1)
    at = min(max(round(mm / step), low), high)
    with slider.hold_trait_notifications():
        slider.min, slider.max, slider.value = low * step, high * step, at * step


def said(words: str, *, alert: bool = False) -> str:
    """Return a sentence that a panel says; screen readers read it out, an alert at once."""
    role = "alert" if alert else "status"
    return (
        f'<p role="{role}" style="white-space:normal;max-width:60em;line-height:1.35">'
        f"{html_text(words)}</p>"
    )


def text(html: str = "", **layout: Any) -> widgets.HTML:
    """Return a place for HTML in the panel."""
    return widgets.HTML(value=html, layout=widgets.Layout(**layout))
