"""How many zones, and steps of which height: a base parted anew, and what it then takes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets as widgets

from kit.answer import Survey, choose_base
from kit.ink.inch_words import in_units
from kit.ink.lengths import length
from kit.ink.table import page, sentences
from kit.job import Base, Job, Levels, Refusal, refuse
from kit.levels import Zones, part_into_zones
from kit.levels.menu import Choice
from kit.show.chart import Drawing, layout, title_text
from kit.show.controls import said, text
from kit.show.large_floor.menu_chart import menu_drawing
from kit.show.large_floor.progress import Progress
from kit.show.large_floor.zones_boxes import Steps, Wanted, ZonesBoxes
from kit.show.large_floor.zones_chart import zones_drawing
from kit.show.large_floor.zones_tables import menu_table, step_table, zone_table
from kit.show.live_figure import LiveFigure

#: A place for HTML grows with what it holds unless told otherwise: wide tables scroll in theirs.
_IN_ITS_WIDTH = "<style>.ufk-zones .widget-html-content{min-width:0}</style>"

Tell = Callable[[float], None]


class ZonesPanel:
    """Boxes for each run's number of zones and the height of steps, and the base that follows.

    Parting a large base takes seconds: it is begun by the button, and a bar shows how far it has
    come. What was worked out once is kept. Nothing of it is saved: the job file keeps what its
    ``levels`` say.

    Parameters
    ----------
    job, survey : Job, Survey
        What is asked, and the floor.
    base : str, optional
        Name of the base; the first of the job unless given.
    tell : callable, optional
        Told the share done of the first parting, before there is a panel to show it.

    Raises
    ------
    Refusal
        If the job has no such base. Where its zones cannot be, the panel says so and is empty.
    """

    def __init__(
        self, job: Job, survey: Survey, base: str | None = None, *, tell: Tell | None = None
    ) -> None:
        self.job, self.survey, self.base = job, survey, choose_base(job, base)
        self.levels = self.base.levels or Levels()
        #: The last base that could be parted; none before the first.
        self.shown: tuple[Zones, ...] = ()
        self._done: dict[Wanted, Zones] = {}
        #: With steps of which heights each number of zones of each run can be.
        self._menus: dict[Steps, tuple[Choice, ...]] = {}
        self.message, self.page = text(), text()
        self.progress = Progress("parting the base")
        self.progress.widget.layout.display = "none"
        self._make_boxes()
        self._figures: tuple[LiveFigure, ...] = ()
        self.part(tell)
        # A page that is opened later shows charts as they were made: they are made of the answer.
        self.menu, self.chart = (LiveFigure(one) for one in self._drawings())
        self._figures = self.menu, self.chart
        self._lay_out()
        self.run.observe(lambda _: self._draw(), names="value")
        self.button.on_click(lambda _: self.part())

    def _repr_mimebundle_(self, **more: Any) -> Any:
        return self.widget._repr_mimebundle_(**more)

    @property
    def parted(self) -> Zones:
        """The last base that could be parted.

        Raises
        ------
        Refusal
            Where none could be.
        """
        for zones in self.shown:
            return zones
        raise refuse("the base in zones", "none that can be", "one; the panel says why not")

    def part(self, tell: Tell | None = None) -> None:
        """Part the base as the boxes say; what cannot be is said, and the last answer stays."""
        try:
            asked = self._asked()
            if asked not in self._done:
                self._done[asked] = self._parted(asked, tell)
        except Refusal as refusal:
            self._refused(refusal)
            return
        self._show(self._done[asked], asked[1])

    # ---- what the boxes say -----------------------------------------------------------------

    def _make_boxes(self) -> None:
        self.boxes = ZonesBoxes(self.job, self.levels, self._turned)
        self.button = widgets.Button(description="Part the base", button_style="primary")
        names = [run.name for run in self.job.runs]
        self.run = widgets.Dropdown(
            options=names, value=names[0], description="run that is drawn",
            style={"description_width": "initial"}, layout=widgets.Layout(width="20em"),
        )  # fmt: skip

    def _asked(self) -> Wanted:
        """Return what the boxes say.

        Raises
        ------
        Refusal
            Where they ask for what is none, or for what is known not to be.
        """
        asked = self.boxes.asked()
        menu = self._menus.get(asked[1], ())
        self.boxes.mark(menu)
        self.boxes.refuse_impossible(menu)
        return asked

    def _refused(self, refusal: Refusal) -> None:
        words = in_units(f"✗ {refusal}", self.job.units)
        self.message.value = said(words, alert=True)

    def _parted(self, asked: Wanted, tell: Tell | None) -> Zones:
        numbers, steps = asked
        levels = self.levels.model_copy(update={"step_mm": steps})
        base = self.base.model_copy(update={"levels": levels})
        job = self.job.model_copy(update={"bases": _replaced(self.job.bases, base)})
        self.button.disabled = True
        self.progress.widget.layout.display = ""
        self.progress.tell(0.0)
        self.message.value = said("Parting the base; this takes a while.")
        try:
            named = zip(self.job.runs, numbers, strict=True)
            zones = {run.name: number for run, number in named if number}
            return part_into_zones(job, self.survey, base.name, zones, tell or self.progress.tell)
        finally:
            self.button.disabled = False
            self.progress.widget.layout.display = "none"

    # ---- what is shown ----------------------------------------------------------------------

    def _turned(self) -> None:
        """Show at once what was worked out before; otherwise say what to press."""
        try:
            known = self._asked() in self._done
        except Refusal as refusal:
            self._refused(refusal)
            return
        if known:
            self.part()
        else:
            words = f"Press “{self.button.description}” to work this out; below is the last answer."
            self.message.value = said(words)

    def _show(self, zones: Zones, steps: Steps) -> None:
        self.shown = (zones,)
        self._menus[steps] = zones.menu
        self.boxes.mark(zones.menu)
        self._draw()
        cautions = (f"⚠ {in_units(line, self.job.units)}" for line in zones.cautions)
        warned = sentences(cautions, "What this leaves open")
        tables = zone_table(zones), step_table(zones), menu_table(zones)
        self.page.value = _IN_ITS_WIDTH + page(*tables, warned).html
        self.message.value = said(self._verdict(zones))

    def _taken(self, zones: Zones) -> dict[str, int]:
        return {run.name: sum(z.run == run.name for z in zones.zones) for run in self.job.runs}

    def _verdict(self, zones: Zones) -> str:
        each = ", ".join(f"run {run} in {count}" for run, count in self._taken(zones).items())
        steps = [abs(step.step_mm) for step in zones.steps if step.step_mm]
        units = self.job.units
        highest = f"; highest step {length(max(steps), units)} {units}" if steps else "; no step"
        count = f"{len(zones.zones)} zone{'s' if len(zones.zones) > 1 else ''}"
        return (
            f"✓ {count} ({each}): {zones.packing_mm / 1000:.2f} m of packing,"
            f" {zones.pieces} packers{highest}."
        )

    def _drawings(self) -> tuple[Drawing, Drawing]:
        """Return menu and run as they are now."""
        for zones in self.shown:
            menu = menu_drawing(zones.menu, self._taken(zones), self.job.units)
            return menu, zones_drawing(zones, self.run.value)
        return _empty("How many zones"), _empty("Run in zones")

    def _draw(self) -> None:
        if self._figures:
            for figure, drawing in zip(self._figures, self._drawings(), strict=True):
                figure.show(drawing)

    def _lay_out(self) -> None:
        wrapped = widgets.Layout(flex_flow="wrap", align_items="center")
        asked = [*self.boxes.each, self.button]
        self.widget: widgets.Box = widgets.VBox(
            [
                widgets.HBox(asked, layout=wrapped),
                self.progress.widget,
                self.message,
                self.menu.widget,
                self.run,
                self.chart.widget,
                self.page,
            ],
            layout=widgets.Layout(width="100%"),
        )
        self.widget.add_class("ufk-zones")
        self.widget.add_class("ufk-charted")


def _replaced(bases: tuple[Base, ...], base: Base) -> tuple[Base, ...]:
    return tuple(base if one.name == base.name else one for one in bases)


def _empty(title: str) -> Drawing:
    return Drawing([], layout(title_text(title, ["Nothing to show yet."]), 120, 60))
