"""The trainer's panel: a class's records looked at, and a sheet for the class written."""

from __future__ import annotations

from typing import Any

import ipywidgets as widgets

from kit.practice.drills import DRILLS
from kit.practice.records import Records, read_records
from kit.practice.trainer_words import counted
from kit.show.controls import text
from kit.show.practice.trainer_page import class_page
from kit.show.practice.trainer_parts import Message, box, button
from kit.show.practice.trainer_set import SetPart
from kit.show.practice.typed_folder import folder_named
from kit.show.two_bases.drawing import PAGE_PX
from kit.show.two_bases.panel_room import Room

#: The box of the folder, as messages call it.
_RECORDS = "folder of records"

#: What stands above the box.
_HOW = (
    "<p>Put the files of your apprentices into one folder, each as it is or each person's folder"
    " as a whole. The files are only read.</p>"
)

#: Narrowest picture that can be read, and what the page's rim takes [px].
_LEAST_PX, _RIM_PX = 320, 20

#: The panel's own looks: names of boxes and ticks may take a second line.
_STYLE = (
    "<style>.ufk-trainer h4{margin:.9em 0 .3em;font-size:15px}"
    ".ufk-trainer p{margin:.3em 0;max-width:60em;white-space:normal;line-height:1.35}"
    ".ufk-trainer .widget-label{overflow:visible;white-space:normal;line-height:1.2;"
    "height:auto;align-self:center}"
    ".ufk-trainer .widget-checkbox label{display:flex;align-items:center;gap:.4em}"
    ".ufk-trainer .widget-checkbox input{margin:0}</style>"
)


class ClassPart:
    """A box for the folder of records, and a button that shows the class.

    Parameters
    ----------
    records : str
        What stands in the box at first; where something does, the class is shown at once.
    """

    def __init__(self, records: str = "") -> None:
        self.folder = box(_RECORDS, records, "60em")
        self.button = button("Show the class", "Read the files and show who did what.", "16em")
        self.message, self.page, self.room = Message(), text(width="100%"), Room()
        self._shown: tuple[Records, ...] = ()
        self.button.on_click(lambda _: self.show())
        self.room.observe(lambda _: self.draw(), names="wide_px")
        self.widget = widgets.VBox(
            [
                text(f"<h4>The class</h4>{_HOW}"),
                self.folder,
                self.button,
                self.message.widget,
                self.room,
                self.page,
            ]
        )
        if records.strip():
            self.show()

    def show(self) -> None:
        """Read the folder and show it, or say why not; what was shown before goes."""
        self._shown, self.page.value = (), ""
        with self.message.trying(self.button, "There is nothing to show."):
            folder = folder_named(_RECORDS, self.folder.value)
            self.message.say("Working: reading the files …")
            self._shown = (read_records(folder),)
            self.draw()
            self.message.say(self._found(f"{folder}"))

    def draw(self) -> None:
        """Draw what was read at the width there is now."""
        for of_class in self._shown:
            self.page.value = class_page(of_class, self._width_px()).html

    def _width_px(self) -> float:
        if not self.room.wide_px:
            return PAGE_PX
        return min(PAGE_PX, max(self.room.wide_px - _RIM_PX, _LEAST_PX))

    def _found(self, folder: str) -> str:
        (of_class,) = self._shown
        read = f"{counted(len(of_class.files), 'file')} of {folder} read"
        amiss = [
            f"{counted(len(files), 'file')} {what}"
            for files, what in (
                (of_class.damaged_files, "damaged in part"), (of_class.refused_files, "refused")
            )
            if files
        ]  # fmt: skip
        return f"⚠ {read}; {', '.join(amiss)}, and named below." if amiss else f"✓ {read}."


class Trainer:
    """A panel for a trainer: who did what, and a sheet for the next lesson.

    Nothing is kept but the two files of a sheet, where a person asks for them; no file is ever
    replaced. What cannot be done is said in words.

    Parameters
    ----------
    records : str
        Folder of the apprentices' records.
    out : str
        Folder to write sheets to.
    """

    def __init__(self, records: str = "", out: str = "") -> None:
        self.of_class, self.of_set = ClassPart(records), SetPart(DRILLS, out)
        self.widget = widgets.VBox(
            [text(_STYLE), self.of_class.widget, self.of_set.widget],
            layout=widgets.Layout(width="100%"),
        )
        self.widget.add_class("ufk-trainer")

    def _repr_mimebundle_(self, **more: Any) -> Any:
        return self.widget._repr_mimebundle_(**more)
