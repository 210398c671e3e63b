"""What a base in zones is asked by: a number of zones for each run, and the heights of steps."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import ipywidgets as widgets

from kit.ink.escape import cut_text
from kit.job import Job, Levels, Problem, Refusal, refuse
from kit.job.units import mm_to_inches
from kit.levels.choose import cannot_be, groups
from kit.levels.menu import Choice
from kit.levels.neighbours import meetings
from kit.show.controls import typed_mm

#: What the boxes for zones say first; the number 0 stands for it.
LEAST_PACKING = "as many as take the least packing"

#: So much of what was typed is shown in a message [letters].
_LETTERS = 40

Steps = tuple[float, float]
#: A number for each run in their order, 0 for the least packing, and the steps [mm].
Numbers = tuple[int, ...]
Wanted = tuple[Numbers, Steps]


class ZonesBoxes:
    """A box a run for its number of zones, and two for the least and the greatest step.

    Parameters
    ----------
    job : Job
        Whose runs are parted.
    levels : Levels
        How many zones there may be, and the steps at first.
    turned : callable
        Called when any of it was changed by hand.
    """

    def __init__(self, job: Job, levels: Levels, turned: Callable[[], None]) -> None:
        self.job, self.levels, self._told = job, levels, turned
        ties = meetings(job.runs)
        meeting = [job.runs[n].name for group in groups(job.runs, ties) if group[1:] for n in group]
        #: Runs that meet others: a number is the most that they have there.
        self.meeting = frozenset(meeting)
        self.zones = {run.name: self._number_box(run.name) for run in job.runs}
        shown = [_shown_length(mm, inches=self._inches) for mm in levels.step_mm]
        self.least = _step_box(f"least step [{job.units}]", shown[0])
        self.greatest = _step_box(f"greatest step [{job.units}]", shown[1])
        #: What the boxes say of steps that nobody has turned: inches are rounded there.
        self._given = dict(zip(shown, levels.step_mm, strict=True))
        self.each: tuple[widgets.Widget, ...] = (*self.zones.values(), self.least, self.greatest)
        self._marking = False
        for box in self.each:
            box.observe(lambda _: self._turned(), names="value")

    @property
    def _inches(self) -> bool:
        return self.job.units == "in"

    def asked(self) -> Wanted:
        """Return what the boxes say.

        Raises
        ------
        Refusal
            Where a step is none that a job file may hold, or the least is above the greatest.
        """
        steps = self._step_mm(self.least), self._step_mm(self.greatest)
        if steps[0] > steps[1]:
            found = f"{self.least.value.strip()} and {self.greatest.value.strip()}"
            raise refuse("least and greatest step", found, "the least one not above the greatest")
        return tuple(int(box.value) for box in self.zones.values()), steps

    def mark(self, menu: Sequence[Choice]) -> None:
        """Let the boxes say which numbers cannot be; none is known of where the menu is empty."""
        self._marking = True  # other words in a box are no turn of it
        try:
            for run, box in self.zones.items():
                options = self._options(run, menu)
                if tuple(box.options) != options:
                    value = box.value
                    box.options = options
                    box.value = value
        finally:
            self._marking = False

    def refuse_impossible(self, menu: Sequence[Choice]) -> None:
        """Refuse the numbers asked for that are known not to be, each with its reason.

        Raises
        ------
        Refusal
            Run by run.
        """
        problems = tuple(self._impossible(menu))
        if problems:
            raise Refusal(*problems)

    def _impossible(self, menu: Sequence[Choice]) -> Iterator[Problem]:
        for choice in menu:
            wanted = self.zones[choice.run].value
            if choice.zones == wanted and choice.why_not and choice.run not in self.meeting:
                yield cannot_be(choice, [one for one in menu if one.run == choice.run])

    def _turned(self) -> None:
        if not self._marking:
            self._told()

    def _number_box(self, run: str) -> widgets.Dropdown:
        return widgets.Dropdown(
            options=self._options(run, ()),
            value=0,
            description=f"zones in run {run}",
            style={"description_width": "initial"},
            layout=widgets.Layout(width="27em", max_width="98%"),
        )

    def _options(self, run: str, menu: Sequence[Choice]) -> tuple[tuple[str, int], ...]:
        # Of runs that meet, the menu tells what each could be alone.
        alone = run not in self.meeting
        never = {one.zones for one in menu if one.run == run and one.why_not and alone}
        return (
            (LEAST_PACKING, 0),
            *(
                (f"{'' if alone else 'at most '}{n}{' (cannot be)' if n in never else ''}", n)
                for n in range(1, self.levels.most + 1)
            ),
        )

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
        value = typed_mm(written, inches=self._inches)
        try:
            # The job file's own bounds hold here too.
            Levels(step_mm=(value, value))
        except ValueError:
            kind = "inches" if self._inches else "mm"
            shown = repr(cut_text(written, _LETTERS))
            raise refuse(box.description, shown, f"a height in {kind}, more than 0") from None
        return value


def _shown_length(mm: float, *, inches: bool) -> str:
    return f"{mm_to_inches(mm) if inches else mm:.6g}"


def _step_box(name: str, value: str) -> widgets.Text:
    return widgets.Text(
        value=value,
        description=name,
        continuous_update=False,
        style={"description_width": "initial"},
        layout=widgets.Layout(width="16em", max_width="98%"),
    )
