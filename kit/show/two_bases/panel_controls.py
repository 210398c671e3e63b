"""Figures that are asked of both bases: each a box with a name and a slider beside it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import ipywidgets as widgets

from kit.ink.lengths import Units
from kit.job import Refusal, refuse
from kit.job.units import MM_PER_INCH
from kit.show.board.numbers import parse_length, parse_number, show_box, show_number
from kit.show.two_bases.panel_desk import (
    CONTENTS,
    FALL,
    HIGHEST,
    LOWEST,
    SPAN,
    TOLERANCE,
    TwoDesk,
    Wish,
)
from kit.side_by_side.position import TIMES

#: How far the sliders of lengths reach at least [mm]; the boxes take other figures too.
_REACH_MM = {SPAN: (200.0, 1200.0), TOLERANCE: (0.0, 3.0)}

#: How far beyond what the job allows the sliders of heights reach [mm].
_FURTHER_MM = 30.0


@dataclass(frozen=True)
class Kind:
    """One figure that can be asked of both bases.

    Parameters
    ----------
    wish : str
        What the desk calls it.
    name : str
        What stands beside its box.
    step : float
        A step of its slider, in mm or in times.
    length : bool
        Whether it is a length; otherwise it is so many times what it was.
    """

    wish: str
    name: str
    step: float
    length: bool = True

    def label(self, units: Units) -> str:
        """Return its name with its unit."""
        return f"{self.name} [{units if self.length else 'times'}]"

    def parse(self, typed: str, units: Units) -> float:
        """Return what was typed, in mm or in times.

        Raises
        ------
        Refusal
            Where it is no such figure.
        """
        if self.length:
            return parse_length(typed, units)
        allowed = "a number from 0, such as 1.5"
        times = parse_number(typed, allowed)
        most = TIMES if self.wish == FALL else math.inf
        if not 0 <= times <= most:
            limit = f" to {most:g}" if math.isfinite(most) else ""
            raise refuse(self.name, f"'{typed.strip()}'", f"a number from 0{limit}")
        return times

    def show(self, value: float, units: Units) -> str:
        """Return a figure as its box shows it."""
        return show_box(value, units) if self.length else show_number(round(value, 4))


KINDS = (
    Kind(CONTENTS, "contents of all units", 0.25, length=False),
    Kind(FALL, "fall of the floor", 0.25, length=False),
    Kind(SPAN, "longest span", 10.0),
    Kind(TOLERANCE, "tolerance", 0.1),
    Kind(LOWEST, "lowest base top", 1.0),
    Kind(HIGHEST, "highest base top", 1.0),
)


class Figure:
    """A box and a slider for one figure of both bases; the box empty means as the job says.

    Parameters
    ----------
    kind : Kind
    units : {"mm", "in"}
        What the box is in.
    ends : tuple of float
        Between which figures the slider goes [mm or times].
    own : tuple of float
        What the job says of it, of the one base and of the other [mm or times].
    changed : callable
        Called when a person has changed the figure.
    """

    def __init__(
        self,
        kind: Kind,
        units: Units,
        ends: tuple[float, float],
        own: tuple[float, ...],
        changed: Callable[[], None],
    ) -> None:
        self.kind, self.units = kind, units
        self._changed, self._following = changed, False
        self.error = ""
        self.box = widgets.Text(
            description=kind.label(units),
            continuous_update=False,
            style={"description_width": "15em"},
            layout=widgets.Layout(width="23em", max_width="100%"),
        )
        # Its handle has no name of its own: the box beside it says the same and has one.
        self.slider = widgets.FloatSlider(
            min=ends[0],
            max=ends[1],
            step=self._step,
            readout=False,
            continuous_update=False,
            layout=widgets.Layout(width="12em"),
        )
        self.widget = widgets.HBox(
            [self.box, self.slider],
            layout=widgets.Layout(flex_flow="row wrap", width="38em", max_width="100%"),
        )
        self.follow(own)
        self.box.observe(lambda _: self._typed(), names="value")
        self.slider.observe(lambda _: self._slid(), names="value")

    @property
    def _step(self) -> float:
        """A step of the slider [mm or times], a round one in the job's unit."""
        if self.units == "mm" or not self.kind.length:
            return self.kind.step
        return MM_PER_INCH / (64 if self.kind.step < 1 else 16)

    @property
    def given(self) -> tuple[float, ...]:
        """What is asked [mm or times]; nothing where the box is empty or not understood."""
        self.error = ""
        if not self.box.value.strip():
            return ()
        try:
            return (self.kind.parse(self.box.value, self.units),)
        except Refusal as refusal:
            found, allowed = refusal.problems[0].found, refusal.problems[0].allowed
            self.error = f"{self.kind.name}: found {found}; allowed: {allowed}"
            return ()

    def follow(self, own: tuple[float, ...]) -> None:
        """Say in the empty box what the job says, and let the slider stand at what holds.

        Parameters
        ----------
        own : tuple of float
            Of the one base and of the other [mm or times].
        """
        shown = [self.kind.show(value, self.units) for value in dict.fromkeys(own)]
        self.box.placeholder = " and ".join(shown)
        at = (*self.given, *own)[0]
        self._following = True
        try:
            # A slider cannot stand beyond its ends; the box says what holds.
            self.slider.value = min(max(at, self.slider.min), self.slider.max)
        finally:
            self._following = False

    def empty(self) -> None:
        """Leave the figure to the job again, without calling anybody."""
        self._write("")

    def _write(self, words: str) -> None:
        self._following = True
        try:
            self.box.value = words
        finally:
            self._following = False

    def _typed(self) -> None:
        if not self._following:
            self._changed()

    def _slid(self) -> None:
        if not self._following:
            self._write(self.kind.show(self.slider.value, self.units))
            self._changed()


class Figures:
    """All figures that can be asked of both bases.

    Parameters
    ----------
    desk : TwoDesk
        Whose job says what each figure is by itself.
    changed : callable
        Called when a person has changed one.
    """

    def __init__(self, desk: TwoDesk, changed: Callable[[], None]) -> None:
        self._desk, self._changed = desk, changed
        units = desk.job.units
        self.all = {
            kind.wish: Figure(kind, units, _ends(desk, kind), desk.own(kind.wish), changed)
            for kind in KINDS
        }
        self.back = widgets.Button(
            description="All as the job says",
            tooltip="Empty these boxes: both bases as they stand in the job.",
            layout=widgets.Layout(width="14em"),
        )
        self.back.on_click(lambda _: self.empty())
        figures = widgets.HBox(
            [one.widget for one in self.all.values()],
            layout=widgets.Layout(flex_flow="row wrap", width="100%"),
        )
        self.widget = widgets.VBox([figures, self.back])

    @property
    def wish(self) -> Wish:
        """What is asked of both bases."""
        found = {wish: figure.given for wish, figure in self.all.items()}
        return {wish: value for wish, values in found.items() for value in values}

    @property
    def errors(self) -> tuple[str, ...]:
        """What stands in a box and is not understood; as of the last look at ``wish``."""
        return tuple(one.error for one in self.all.values() if one.error)

    def follow(self) -> None:
        """Show what the bases that are asked for say by themselves."""
        for wish, figure in self.all.items():
            figure.follow(self._desk.own(wish))

    def empty(self) -> None:
        """Leave all to the job again."""
        for figure in self.all.values():
            figure.empty()
        self._changed()


def _ends(desk: TwoDesk, kind: Kind) -> tuple[float, float]:
    """Return how far a slider reaches: so that every base of the job has its own figure on it."""
    if not kind.length:
        return 0.0, TIMES
    if kind.wish in _REACH_MM:
        low, high = _REACH_MM[kind.wish]
        own = [float(getattr(base, kind.wish)) for base in desk.job.bases]
        return min(low, *own), max(high, *own)
    ranges = [base.height_range_mm for base in desk.job.bases]
    lowest = min(low for low, _ in ranges)
    return max(0.0, lowest - _FURTHER_MM), max(high for _, high in ranges) + _FURTHER_MM
