"""The part of the trainer's panel that writes a sheet for a class, and its answers apart."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import ipywidgets as widgets

from kit.ink.escape import html_text
from kit.job import refuse
from kit.practice.class_set import ClassSet, class_set
from kit.practice.command import refuse_taken, sheet_names, write_fresh
from kit.practice.drill import Drill
from kit.practice.floors import HIGHEST_SEED, LOWEST_SEED, check_seed
from kit.practice.grades import GRADES, Grade, grade_named
from kit.practice.on_paper import PLANS, drills_on_paper
from kit.show.controls import text
from kit.show.practice.answers import answers_page
from kit.show.practice.paper_sheet import paper_page
from kit.show.practice.sheet import sheet_page
from kit.show.practice.trainer_parts import NAME_ROOM, Message, box, button
from kit.show.practice.typed_folder import folder_named

#: What stands above the boxes.
_HOW = (
    "<p>One sheet for each apprentice, to book on what is done at the screen, and one with the"
    " answers, as two files to print. The same seed and grade give the same exercises everywhere."
    " All drills take some seconds.</p>"
)

#: The box of the folder, as messages call it.
_OUT = "folder to write to"


class SetPart:
    """Boxes for seed, grade, drills and folder, and a button that writes the two files.

    Parameters
    ----------
    drills : sequence of Drill
        To choose from, in the order of the work on site.
    out : str
        What stands in the folder's box at first.
    """

    def __init__(self, drills: Sequence[Drill], out: str = "") -> None:
        self.drills = tuple(drills)
        self.seed = box("seed", "1", "17em")
        self.grade = widgets.Dropdown(
            options=[(f"{grade.name}: {grade.words}", grade.name) for grade in GRADES],
            value=GRADES[1].name,
            description="grade of floors",
            style={"description_width": NAME_ROOM},
            layout=widgets.Layout(width="34em", max_width="98%"),
        )
        self.ticks = {drill.key: _tick(drill.title) for drill in self.drills}
        self.all = button("All drills", "Put every drill on the sheet.", "9em")
        self.none = button("No drill", "Take every drill off the sheet, to choose a few.", "9em")
        self.on_paper = _tick("to be worked without a screen", ticked=False)
        self.able = text("")
        self.folder = box(_OUT, out, "60em")
        self.button = button(
            "Write sheet and answers", "Write both files; none is replaced.", "16em"
        )
        self.message = Message()
        self._before: tuple[object, ...] = ()
        self.all.on_click(lambda _: self.choose([drill.key for drill in self.drills]))
        self.none.on_click(lambda _: self.choose([]))
        self.button.on_click(lambda _: self.write())
        self.on_paper.observe(lambda _: self._tell_able(), names="value")
        self.widget = self._arrange()

    def _arrange(self) -> widgets.VBox:
        wrapped = widgets.Layout(flex_flow="row wrap", width="100%")
        return widgets.VBox(
            [
                text(f"<h4>A sheet for the class</h4>{_HOW}"),
                self.seed,
                self.grade,
                text("<p><b>Drills on the sheet</b></p>"),
                widgets.HBox(list(self.ticks.values()), layout=wrapped),
                widgets.HBox([self.all, self.none], layout=wrapped),
                self.on_paper,
                self.able,
                self.folder,
                self.button,
                self.message.widget,
            ]
        )

    def choose(self, keys: Sequence[str]) -> None:
        """Tick the drills of these keys and no others."""
        for key, tick in self.ticks.items():
            tick.value = key in keys

    def _tell_able(self) -> None:
        """Say which drills a sheet to be worked without a screen leaves out."""
        others = "; ".join(drill.title for drill in self.drills if drill.key not in PLANS)
        said = f"<p>Left out, because they want the screen: {html_text(others)}.</p>"
        self.able.value = said if self.on_paper.value and others else ""

    def write(self) -> None:
        """Write the sheet and its answers, or say why not."""
        with self.message.trying(self.button, "Nothing was written."):
            seed, grade = whole_seed(self.seed.value), grade_named(self.grade.value)
            chosen = tuple(drill for drill in self.drills if self.ticks[drill.key].value)
            if not chosen:
                raise refuse("drills on the sheet", "none", "one or more ticked")
            on_paper = bool(self.on_paper.value)
            left_out: tuple[str, ...] = ()
            if on_paper:
                chosen, left_out = drills_on_paper(chosen)
            out = folder_named(_OUT, self.folder.value)
            names = sheet_names(seed, grade, on_paper=on_paper)
            wanted = (seed, grade, chosen, on_paper, out)
            paths = [out / name for name in names]
            if wanted == self._before and all(path.is_file() for path in paths):
                self._written(paths)  # the button was pressed twice
                return
            refuse_taken(names, out)  # before the seconds that the sheet takes
            of_class = replace(worked_set(chosen, seed, grade, self._tell), left_out=left_out)
            sheet = paper_page(of_class) if on_paper else sheet_page(of_class)
            texts = zip(names, (sheet, answers_page(of_class)), strict=True)
            self._written(write_fresh(dict(texts), out))
            self._before = wanted

    def _tell(self, number: int, title: str, count: int) -> None:
        self.message.say(f"Working: drill {number} of {count}, {title} …")

    def _written(self, paths: Sequence[Path]) -> None:
        sheet, answers = paths
        self.message.say(f"✓ Written: {sheet} for the class, and {answers} for yourself.")


def worked_set(
    drills: Sequence[Drill], seed: int, grade: Grade, tell: Callable[[int, str, int], None]
) -> ClassSet:
    """Make a class set drill by drill.

    Parameters
    ----------
    drills, seed, grade
        As of `kit.practice.class_set.class_set`, which gives the same.
    tell : callable
        Told before each drill: its number from 1, its title, how many there are.
    """
    sets = []
    for number, drill in enumerate(drills, start=1):
        tell(number, drill.title, len(drills))
        sets.append(class_set([drill], seed, grade))
    exercises = tuple(one for each in sets for one in each.exercises)
    return ClassSet(seed, grade, exercises, tuple(one for each in sets for one in each.solutions))


def whole_seed(typed: str) -> int:
    """Return a seed as it was typed.

    Raises
    ------
    Refusal
        Where it is none.
    """
    digits = typed.strip()
    if not (digits.isascii() and digits.isdigit() and len(digits) <= len(str(HIGHEST_SEED))):
        found = repr(digits) if digits else "nothing"
        raise refuse("seed", found, f"a whole number, {LOWEST_SEED} to {HIGHEST_SEED}")
    check_seed(int(digits))
    return int(digits)


def _tick(title: str, *, ticked: bool = True) -> widgets.Checkbox:
    return widgets.Checkbox(
        description=title,
        value=ticked,
        indent=False,
        layout=widgets.Layout(width="19em", max_width="98%"),
    )
