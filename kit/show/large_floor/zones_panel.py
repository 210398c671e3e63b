"""How many zones, and steps of which height: a base parted anew, and what it then takes."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import ipywidgets as widgets

from kit.answer import Survey, choose_base
from kit.ink.escape import cut_text
from kit.ink.lengths import length
from kit.ink.table import page, sentences
from kit.job import Base, Job, Levels, Refusal, parse_inches, refuse
from kit.job.units import inches_to_mm, mm_to_inches
from kit.levels import Zones, part_into_zones
from kit.levels.menu import Choice
from kit.show.chart import Drawing, layout, title_text
from kit.show.controls import said, text
from kit.show.large_floor.menu_chart import menu_drawing
from kit.show.large_floor.progress import Progress
from kit.show.large_floor.zones_chart import zones_drawing
from kit.show.large_floor.zones_tables import menu_table, step_table, zone_table
from kit.show.live_figure import LiveFigure

#: What the box for zones says first; the number 0 stands for it.
LEAST_PACKING = "as many as take the least packing"

#: So much of what was typed is shown in a message [letters].
_LETTERS = 40

Steps = tuple[float, float]
Tell = Callable[[float], None]
Asked = tuple[int, Steps]


class ZonesPanel:
    """Boxes for the number of zones and the height of steps, and the base that follows.

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
        self._done: dict[Asked, Zones] = {}
        self._menus: dict[Steps, dict[tuple[str, int], Choice]] = {}
        self.message, self.page = text(), text()
        self.progress = Progress("parting the base")
        self.progress.widget.layout.display = "none"
        self._make_boxes()
        self.menu = LiveFigure(_empty("How many zones"))
        self.chart = LiveFigure(_empty("Run in zones"))
        self._lay_out()
        self.part(tell)
        self.run.observe(lambda _: self._draw_run(), names="value")
        for box in (self.zones, self.least, self.greatest):
            box.observe(lambda _: self._turned(), names="value")
        self.button.on_click(lambda _: self.part())

    def _repr_mimebundle_(self, **more: Any) -> Any:
        return self.widget._repr_mimebundle_(**more)

    def part(self, tell: Tell | None = None) -> None:
        """Part the base as the boxes say; what cannot be is said, and the last answer stays."""
        try:
            asked = self._asked()
            if asked not in self._done:
                self._done[asked] = self._parted(asked, tell)
        except Refusal as refusal:
            self.message.value = said(f"✗ {refusal}", alert=True)
            return
        self._show(self._done[asked], asked[1])

    # ---- what the boxes say -----------------------------------------------------------------

    def _make_boxes(self) -> None:
        units, low_high = self.job.units, self.levels.step_mm
        numbers = [(str(n), n) for n in range(1, self.levels.most + 1)]
        wide = {"description_width": "initial"}
        self.zones = widgets.Dropdown(
            options=[(LEAST_PACKING, 0), *numbers], value=0, description="zones in each run",
            style=wide, layout=widgets.Layout(width="27em"),
        )  # fmt: skip
        shown = [_shown_length(mm, units) for mm in low_high]
        self.least = _box(f"least step [{units}]", shown[0])
        self.greatest = _box(f"greatest step [{units}]", shown[1])
        #: What the boxes say of steps that nobody has turned: inches are rounded there.
        self._given = dict(zip(shown, low_high, strict=True))
        self.button = widgets.Button(description="Part the base", button_style="primary")
        names = [run.name for run in self.job.runs]
        self.run = widgets.Dropdown(
            options=names, value=names[0], description="run", style=wide,
            layout=widgets.Layout(width="14em"),
        )  # fmt: skip

    def _asked(self) -> Asked:
        steps = self._step_mm(self.least), self._step_mm(self.greatest)
        if steps[0] > steps[1]:
            found = f"{self.least.value.strip()} and {self.greatest.value.strip()}"
            raise refuse("least and greatest step", found, "the least one not above the greatest")
        return int(self.zones.value), steps

    def _step_mm(self, box: widgets.Text) -> float:
        """Return a height that somebody typed.

        Raises
        ------
        Refusal
            Where it is none that a job file may hold.
        """
        written = box.value.strip()
        if written in self._given:
            return self._given[written]
        value = _typed_mm(written, inches=self.job.units == "in")
        try:
            # The job file's own bounds hold here too.
            Levels(step_mm=(value, value))
        except ValueError:
            kind = "inches" if self.job.units == "in" else "mm"
            shown = repr(cut_text(written, _LETTERS))
            raise refuse(box.description, shown, f"a height in {kind}, more than 0") from None
        return value

    def _parted(self, asked: Asked, tell: Tell | None) -> Zones:
        number, steps = asked
        levels = self.levels.model_copy(update={"step_mm": steps})
        base = self.base.model_copy(update={"levels": levels})
        job = self.job.model_copy(update={"bases": _replaced(self.job.bases, base)})
        self.button.disabled = True
        self.progress.widget.layout.display = ""
        self.progress.tell(0.0)
        self.message.value = said("Parting the base; this takes a while.")
        try:
            return part_into_zones(
                job, self.survey, base.name, number or None, tell or self.progress.tell
            )
        finally:
            self.button.disabled = False
            self.progress.widget.layout.display = "none"

    # ---- what is shown ----------------------------------------------------------------------

    def _turned(self) -> None:
        """Show at once what was worked out before; otherwise say what to press."""
        try:
            known = self._asked() in self._done
        except Refusal as refusal:
            self.message.value = said(f"✗ {refusal}", alert=True)
            return
        if known:
            self.part()
        else:
            words = f"Press “{self.button.description}” to work this out; below is the last answer."
            self.message.value = said(words)

    def _show(self, zones: Zones, steps: Steps) -> None:
        self.shown = (zones,)
        # A number that was set looks at no more zones than that: what is known of more is kept.
        known = self._menus.setdefault(steps, {})
        known.update({(choice.run, choice.zones): choice for choice in zones.menu})
        menu = [
            known[run.name, number]
            for run in self.job.runs
            for number in range(1, self.levels.most + 1)
            if (run.name, number) in known
        ]
        taken = {run.name: sum(z.run == run.name for z in zones.zones) for run in self.job.runs}
        self.menu.show(menu_drawing(menu, taken))
        self._draw_run()
        warned = sentences((f"⚠ {line}" for line in zones.cautions), "What this leaves open")
        tables = zone_table(zones), step_table(zones), menu_table(zones, menu)
        self.page.value = page(*tables, warned).html
        self.message.value = said(self._verdict(zones, taken))

    def _verdict(self, zones: Zones, taken: dict[str, int]) -> str:
        each = ", ".join(f"run {run} in {count}" for run, count in taken.items())
        steps = [abs(step.step_mm) for step in zones.steps if step.step_mm]
        units = self.job.units
        highest = f"; highest step {length(max(steps), units)} {units}" if steps else "; no step"
        count = f"{len(zones.zones)} zone{'s' if len(zones.zones) > 1 else ''}"
        return (
            f"✓ {count} ({each}): {zones.packing_mm / 1000:.2f} m of packing,"
            f" {zones.pieces} packers{highest}."
        )

    def _draw_run(self) -> None:
        for zones in self.shown:
            self.chart.show(zones_drawing(zones, self.run.value))

    def _lay_out(self) -> None:
        wrapped = widgets.Layout(flex_flow="wrap", align_items="center")
        asked = [self.zones, self.least, self.greatest, self.button]
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


def _shown_length(mm: float, units: str) -> str:
    return f"{mm if units == 'mm' else mm_to_inches(mm):.6g}"


def _typed_mm(written: str, *, inches: bool) -> float:
    """Return a length that somebody typed [mm]; nan where it is none."""
    try:
        if inches:
            return inches_to_mm(parse_inches(written))
        return math.nan if "_" in written else float(written)
    except (ValueError, Refusal):
        return math.nan


def _box(name: str, value: str) -> widgets.Text:
    return widgets.Text(
        value=value,
        description=name,
        continuous_update=False,
        style={"description_width": "9em"},
        layout=widgets.Layout(width="16em"),
    )
