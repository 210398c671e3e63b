"""One drawing of a run in plan: its frame, title, running dimensions, names, notes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kit.answer import Answer
from kit.ink.lengths import plan_length
from kit.job.ways import way_of
from kit.paper.dimensions import Running, Tick, figure_of, labels_tall_mm
from kit.paper.label_places import Box, Taken, lines_within
from kit.paper.marks import Drawing, Letters, Mark
from kit.paper.plan_names import Namer, key_lines, name_supports, put_names, support_boxes
from kit.paper.plan_scene import edge_marks, match_line, scene
from kit.paper.plan_view import View
from kit.paper.row_places import RowPlace, run_of, units_of, zones_of
from kit.paper.run_sheets import AROUND_MM, LEFT_MM, RIGHT_MM, Sheets, Window
from kit.paper.scales import scale_bar, scale_words

_TITLE_MM, _NOTE_MM, _BAND_TITLE_MM = 3.5, 2.5, 3.0
_NOTE_STEP_MM = 3.3

#: Behind a wall's line, so that it is seen whole [mm of paper].
_BEHIND_MM = 1.5


@dataclass(frozen=True)
class Line:
    """A row that is dimensioned: its words, its places, and the lines that lead over to it.

    Parameters
    ----------
    words : str
    places : tuple of RowPlace
    y_mm : float
        How far out from the wall it lies in its run's frame [mm].
    above : bool
        Whether its dimensions stand above the plan.
    """

    words: str
    places: tuple[RowPlace, ...]
    y_mm: float
    above: bool


@dataclass(frozen=True)
class RunPlan:
    """One drawing of a run in plan.

    Parameters
    ----------
    answer : Answer
    run : str
        Its name.
    sheets : Sheets
        Its scale and windows.
    window : Window
        Which of them this is.
    lines : tuple of Line
        The rows that are dimensioned here.
    width_mm : float
        Of the drawing [mm of paper].
    """

    answer: Answer
    run: str
    sheets: Sheets
    window: Window
    lines: tuple[Line, ...]
    width_mm: float

    @property
    def scale(self) -> float:
        """How many times smaller than the real thing."""
        return self.sheets.scale

    def running(self, line: Line) -> Running:
        """Return the running dimension of a row, as far as this drawing shows it."""
        units, view = self.answer.job.units, self.view(0.0)
        ticks = tuple(
            Tick(view.own(place.at_mm, 0.0)[0], place.name, *figure_of(place.at_mm, units))
            for place in line.places
            if self.window.holds(place.at_mm)
        )
        start = view.own(self.window.from_mm, 0.0)[0]
        begins = self.window.from_mm == 0.0
        return Running(ticks, 0.5, self.width_mm - 0.5, start, begins)

    @property
    def reads(self) -> bool:
        """Whether every figure finds room near its tick."""
        return all(self.running(line).reads for line in self.lines)

    def view(self, top_mm: float) -> View:
        """Return where the room lies, whose edge begins so far down the paper [mm]."""
        run = run_of(self.answer, self.run)
        wide = (self.window.to_mm - self.window.from_mm) / self.scale + 2 * AROUND_MM
        room = self.width_mm - LEFT_MM - RIGHT_MM
        left = LEFT_MM + max(0.0, (room - wide) / 2)
        deep = max(placed.unit.depth_mm for placed in units_of(self.answer.layout, self.run))
        deep = max([deep, *(zone.front_mm for zone in zones_of(self.answer, self.run))])
        tall = _BEHIND_MM + (run.skirting_mm + deep) / self.scale + AROUND_MM
        return View(
            self.answer.layout.frames[self.run],
            self.scale,
            (self.window.from_mm, -run.skirting_mm),
            (left + AROUND_MM, top_mm + _BEHIND_MM),
            Box(left, top_mm, left + wide, top_mm + tall),
        )

    def drawing(self) -> Drawing:
        """Draw it."""
        title, y = self._title()
        bands, top = self._above(y)
        view = self.view(top)
        body, key = self._body(view)
        below, y = self._below(view)
        notes, y = self._notes(y, key)
        marks = (*title, *edge_marks(view), *body, *bands, *below, *notes)
        return Drawing(self.width_mm, y, marks, self._words(), self.scale)

    def _title(self) -> tuple[list[Mark], float]:
        """Return the title and how far down it reaches."""
        text = f"{self.named}, {scale_words(self.scale, self.answer.job.units)}"
        lines = lines_within(text, _TITLE_MM, self.width_mm, bold=True)
        step = 1.25 * _TITLE_MM
        marks: list[Mark] = [
            Letters((0.0, 3.2 + n * step), line, _TITLE_MM, bold=True)
            for n, line in enumerate(lines)
        ]
        return marks, 3.2 + len(lines) * step - 1.5

    @property
    def named(self) -> str:
        """What the drawing is called."""
        window, units = self.window, self.answer.job.units
        of = f"Plan of run {self.run}" if len(self.answer.job.runs) > 1 else "Plan"
        if window.of > 1:
            ends = (plan_length(mm, units) for mm in (window.from_mm, window.to_mm))
            of += f" {window.number} of {window.of}: from {' to '.join(ends)} {units}"
        if len(self.lines) == 1:
            of += f"; {self.lines[0].words.split(':')[0]}"
        return of

    def _above(self, y: float) -> tuple[list[Mark], float]:
        """Return the dimensions above the plan, and where the plan's edge begins."""
        marks: list[Mark] = []
        match = 4.0 if self.window.matches_mm else 0.0
        for line in self.lines:
            if line.above:
                running = self.running(line)
                y += _BAND_TITLE_MM + 1.0
                marks.append(Letters((0.5, y), line.words, _BAND_TITLE_MM))
                y += 1.2 + labels_tall_mm(running.ticks)
                edge = y + 2.0 + match
                half = self.answer.layout.packer_size_mm[1] / 2
                reach = self.view(edge).own(0.0, line.y_mm - half)[1]
                marks += running.marks(y, up=True, reach_mm=[reach] * len(running.ticks))
                y += 2.0
        return marks, y + match

    def _below(self, view: View) -> tuple[list[Mark], float]:
        """Return the dimensions below the plan, and how far down they reach."""
        marks: list[Mark] = []
        y, first = view.edge.bottom, True
        for line in self.lines:
            if line.above:
                continue
            running = self.running(line)
            if not running.ticks:
                continue
            y += _BAND_TITLE_MM + 2.0
            half = self.answer.layout.packer_size_mm[1] / 2
            reach = [view.own(0.0, line.y_mm + half)[1]] * len(running.ticks) if first else []
            marks += running.marks(y + 2.0, up=False, reach_mm=reach)
            marks.append(Letters((0.5, y), line.words, _BAND_TITLE_MM, halo=True))
            y += 2.0 + labels_tall_mm(running.ticks)
            first = False
        return marks, y

    def _body(self, view: View) -> tuple[list[Mark], list[str]]:
        """Return the plan itself with its names, and the key of those without room."""
        namer = Namer(view, Taken(view.edge, support_boxes(self.answer, view)))
        put_names(self.answer, namer, self.run)
        name_supports(self.answer, namer, self.run)
        marks = [*scene(self.answer, view), *namer.marks]
        units = self.answer.job.units
        for at in self.window.matches_mm:
            marks += match_line(view, at, f"match line {plan_length(at, units)}")
        return marks, namer.key

    def _notes(self, y: float, key: Sequence[str]) -> tuple[list[Mark], float]:
        """Return the scale bar and the notes, and how far down they reach."""
        units = self.answer.job.units
        y += 8.0
        bar = list(scale_bar(self.scale, units, (LEFT_MM, y), min(80.0, self.width_mm / 2 - 12)))
        marks: list[Mark] = bar
        said = [*self._said(), *key_lines(key)]
        y += 4.2
        for text in said:
            for line in lines_within(text, _NOTE_MM, self.width_mm - 1.0):
                marks.append(Letters((0.5, y), line, _NOTE_MM))
                y += _NOTE_STEP_MM
        return marks, y

    def _said(self) -> Iterator[str]:
        """Yield the notes below the plan."""
        job, run = self.answer.job, run_of(self.answer, self.run)
        units = "mm" if job.units == "mm" else "inches"
        yield (
            f"0 is the left end of run {run.name}, as one looks at its wall (above); x runs to the"
            f" right. All figures count from there, in {units}."
            + (" In brackets: figure less true place, in inches." if job.units == "in" else "")
        )
        if run.direction_deg % 360 or any(run.origin_mm):
            x, y = (plan_length(mm, job.units) for mm in run.origin_mm)
            yield (
                f"In the room that end lies at x {x}, y {y} {job.units}, and the run goes"
                f" {run.direction_deg:g} degrees from the room's x towards its y."
            )
        signs = [f"Dark: {way_of(self.answer.base).supports}", "dots: readings"]
        if job.floor.joists is not None:
            each = plan_length(job.floor.joists.centres_mm, job.units)
            signs.append(f"fine dash-dot lines: middles of joists, {each} {job.units} apart")
        if job.movement_joints:
            signs.append("heavy dash-dot lines: movement joints, which nothing crosses")
        yield "; ".join(signs) + "."

    def _words(self) -> str:
        """Return what is to be seen, in sentences."""
        units = self.answer.job.units
        names = ", ".join(
            placed.unit.name
            for placed in units_of(self.answer.layout, self.run)
            if placed.right_mm > self.window.from_mm and placed.left_mm < self.window.to_mm
        )
        return (
            f"{self.named}, {scale_words(self.scale, units)}, seen from above with the wall at the"
            f" top: units {names}, what they stand on with names, and running dimensions of"
            f" {len(self.lines)} rows from the run's left end."
        )
