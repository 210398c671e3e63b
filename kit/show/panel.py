"""The panel: change the base, and see stacks, cuts and cautions follow."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets as widgets

from kit.answer import Answer, Ground, solve
from kit.job import Job, Refusal, save_job
from kit.show.controls import LengthBox, height_slider, move_slider, text
from kit.show.elevation import draw
from kit.show.escape import html_text
from kit.show.lengths import length_with_unit
from kit.show.live_figure import LiveFigure
from kit.show.panel_tables import TABS, figures_line
from kit.show.redesign import LABELS, base_index, with_base
from kit.show.scale import PANEL
from kit.show.section import Profile, profile, sections
from kit.show.window import Reach, reach
from kit.show.window_strip import window_strip

#: The figures beside the height that the panel changes, and a press of an arrow key [mm].
_BOXES = {"back_mm": 1.0, "front_mm": 1.0, "max_span_mm": 10.0, "tolerance_mm": 0.1}


class BasePanel:
    """Controls, one live drawing and the tables of a base.

    Python holds the truth: every change makes a new job, which is solved or refused; what cannot
    be is said in words, and the last good answer stays in sight, marked as that.

    Parameters
    ----------
    given : Job or Answer
        The job to begin with, or an answer of it, whose floor is not looked at again.
    base : str, optional
        Name of the base; the answer's, or the first one of the job.

    Raises
    ------
    Refusal
        Where the job as given cannot be answered: there is nothing good to show then.
    """

    def __init__(self, given: Job | Answer, base: str | None = None) -> None:
        self.answer = solve(given, base) if isinstance(given, Job) else given
        self.job = self.answer.job
        self.name = self.answer.base.name
        self.refusal: Refusal | None = None
        self._wish = self.answer.base.height_range_mm
        self._busy = False
        self._floors: tuple[Ground | None, str, dict[str, Profile]] = (None, "", {})
        self._make_controls()
        self.figure = LiveFigure(self._drawing())
        self.widget = self._arrange()
        self._observe()
        self._show_answer()

    def _repr_mimebundle_(self, **more: Any) -> Any:
        return self.widget._repr_mimebundle_(**more)

    @property
    def reach(self) -> Reach:
        """Every height that the packers can make under the present layout."""
        return self._reach

    def changes(self) -> dict[str, object]:
        """Return what the controls say, by field of the base.

        Raises
        ------
        Refusal
            Where a box holds no length.
        """
        said: dict[str, object] = {"height_mm": self._wished_height()}
        return said | {field: box.mm for field, box in self.boxes.items()}

    def _wished_height(self) -> object:
        if self.free.value:
            low, high = self._wish
            return low if low == high else (low, high)
        return self.height.mm

    # ---- controls -------------------------------------------------------------------------

    def _make_controls(self) -> None:
        base, units = self.answer.base, self.job.units
        self._reach = reach(self.answer, self._wish)
        now = self.answer.datum.base_height_mm
        self.slider = height_slider(self._reach.low_mm, self._reach.high_mm, now, units)
        self.height = LengthBox(LABELS["height_mm"], now, units, 0.5)
        self.boxes = {
            field: LengthBox(LABELS[field], getattr(base, field), units, step)
            for field, step in _BOXES.items()
        }
        low, high = (length_with_unit(mm, units) for mm in self._wish)
        wish = f"as in job.toml, {low}" if low == high else f"best height from {low} to {high}"
        self.free = widgets.Checkbox(
            value=True,
            description=wish,
            tooltip="Let the kit choose: fewest packers, then least error.",
            indent=False,
            layout=widgets.Layout(width="100%"),
        )
        runs = [run.name for run in self.job.runs]
        self.run = widgets.Dropdown(
            options=runs,
            description="run drawn",
            style={"description_width": "12.5em"},
            layout=widgets.Layout(width="20.5em", display="" if len(runs) > 1 else "none"),
        )
        self.save = widgets.Button(
            description="Save to job.toml",
            tooltip="Write these figures into the job's file; the file before stays beside it.",
        )
        self.strip, self.message, self.saved, self.line = text(), text(), text(), text()
        self.tabs = widgets.Tab([text() for _ in TABS], titles=list(TABS), selected_index=0)

    def _arrange(self) -> widgets.Box:
        heading = text(
            f'<div style="line-height:1.3;font-weight:600">{html_text(self.job.title)}:'
            f" {html_text(self.name)}</div>"
        )
        controls = widgets.VBox(
            [
                heading,
                self.strip,
                self.slider,
                self.height.widget,
                self.free,
                *(box.widget for box in self.boxes.values()),
                self.run,
                widgets.HBox([self.save]),
                self.saved,
                self.message,
                self.line,
            ],
            layout=widgets.Layout(flex="1 1 310px", max_width="390px", padding="0 14px 0 4px"),
        )
        drawing = widgets.VBox(
            [self.figure.widget], layout=widgets.Layout(flex="3 1 560px", min_width="0")
        )
        top = widgets.HBox(
            [controls, drawing], layout=widgets.Layout(flex_flow="row wrap", width="100%")
        )
        whole = widgets.VBox([top, self.tabs], layout=widgets.Layout(width="100%"))
        whole.add_class("ufk-panel")
        self.message.add_class("ufk-message")
        self.slider.add_class("ufk-height")
        return whole

    def _observe(self) -> None:
        self.slider.observe(lambda _: self._act(self._slider_moved), names="value")
        self.height.on_change(lambda: self._act(self._height_typed))
        self.free.observe(lambda _: self._act(self._solve), names="value")
        self.run.observe(lambda _: self._act(self._draw), names="value")
        for box in self.boxes.values():
            box.on_change(lambda: self._act(self._solve))
        self.tabs.observe(lambda _: self._show_tab(), names="selected_index")
        self.save.on_click(lambda _: self._act(self._save))

    def _act(self, action: Callable[[], None]) -> None:
        """Answer one touch of the person; what the panel sets itself does not come back here."""
        if self._busy:
            return
        self._busy = True
        try:
            action()
        finally:
            self._busy = False

    def _slider_moved(self) -> None:
        self.height.mm = self.slider.value
        self._height_typed()

    def _height_typed(self) -> None:
        self.free.value = False
        self._solve()

    # ---- answers --------------------------------------------------------------------------

    def _solve(self) -> None:
        self.saved.value = ""
        try:
            changed = with_base(self.job, self.name, self.changes())
            answer = solve(changed, self.name, before=self.answer)
            moved = answer.ground is not self.answer.ground or self._rules_differ(answer)
            found = reach(answer, self._wish) if moved else self._reach
        except Refusal as refusal:
            self.refusal = refusal
            self._show_refusal(refusal)
            return
        self.refusal, self.answer, self._reach = None, answer, found
        self._show_answer()

    def _rules_differ(self, answer: Answer) -> bool:
        return answer.base.tolerance_mm != self.answer.base.tolerance_mm

    def _show_answer(self) -> None:
        self._draw()
        self._show_height()
        self.message.value = ""
        self.line.value = figures_line(self.answer)
        self._show_tab()

    def _show_tab(self) -> None:
        """Write the tab that is open; the others when they are opened."""
        place = self.tabs.selected_index
        if place is not None:
            self.tabs.children[place].value = list(TABS.values())[place](self.answer)

    def _draw(self) -> None:
        self.figure.show(self._drawing())

    def _drawing(self) -> Any:
        run, ground = self.run.value, self.answer.ground
        if self._floors[0] is not ground or self._floors[1] != run:
            rows = [row for row in ground.layout.rows if row.run == run]
            self._floors = (ground, run, {row.name: profile(self.answer, row) for row in rows})
        return draw(
            self.answer, run, sections(self.answer, run, self._floors[2]), PANEL, self._wish[1]
        )

    def _show_height(self) -> None:
        """Put slider, box and strip where the answer is; none of them where it is not."""
        now, found = self.answer.datum.base_height_mm, self._reach
        if self.free.value:
            self.height.mm = now
        move_slider(self.slider, (found.low_mm, found.high_mm), now)
        self.strip.value = window_strip(found, now, self.job.units)

    def _show_refusal(self, refusal: Refusal) -> None:
        problems = "".join(f"<li>{html_text(problem)}</li>" for problem in refusal.problems)
        height = length_with_unit(self.answer.datum.base_height_mm, self.job.units)
        self.message.value = (
            '<div role="alert" style="border-left:4px solid #b45309;padding:.3em .7em;'
            'line-height:1.35;white-space:normal"><b>✗ This cannot be built:</b>'
            f'<ul style="margin:.2em 0;padding-left:1.2em">{problems}</ul>'
            f"<b>Drawing and tables still show the last good answer</b>: base height {height},"
            f" {html_text(self._last_good())}.</div>"
        )
        self.line.value = figures_line(self.answer, last_good=True)

    def _last_good(self) -> str:
        base, units = self.answer.base, self.job.units
        return ", ".join(
            f"{LABELS[field]} {length_with_unit(getattr(base, field), units)}" for field in _BOXES
        )

    def _save(self) -> None:
        place = base_index(self.job, self.name)
        old = self.job.bases[place]
        try:
            if self.refusal is not None:
                raise self.refusal
            changes = self.changes()
            differ = {
                f"base[{place}].{field}": list(value) if isinstance(value, tuple) else value
                for field, value in changes.items()
                if value != getattr(old, field)
            }
            if differ:
                save_job(self.job.folder, differ)
            self.job, said = self.answer.job, _saved_words(differ)
        except Refusal as refusal:
            said = f"✗ Nothing was saved. {refusal}"
        self.saved.value = f'<div role="status" style="white-space:normal">{html_text(said)}</div>'


def _saved_words(changes: dict[str, object]) -> str:
    if not changes:
        return "✓ job.toml says this already; nothing was written."
    fields = ", ".join(LABELS[path.rpartition(".")[2]] for path in changes)
    return f"✓ Saved to job.toml: {fields}. The file as it was is beside it."
