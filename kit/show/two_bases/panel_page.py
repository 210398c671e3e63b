"""The page for the client: looked at in the panel, and saved where a person says."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import ipywidgets as widgets

from kit.job import Refusal, refuse
from kit.job.replace import write_new
from kit.show.controls import said, text
from kit.show.framed import framed

#: What the file is called unless a person says otherwise.
FILE = "comparison.html"


class PagePart:
    """A button that shows the page, and one that saves what is shown.

    Parameters
    ----------
    page : callable
        Draws the page as it would be now.
    folder : Path
        Of the job: relative folders count from it.
    """

    def __init__(self, page: Callable[[], str], folder: Path) -> None:
        self._page, self._home = page, folder.resolve()
        self.html = ""
        self.button = widgets.Button(
            description="Page for the client", layout=widgets.Layout(width="16em")
        )
        self.folder = _box("save into folder", str(self._home), "60em")
        self.file = _box("under the name", FILE, "24em")
        self.save_button = widgets.Button(
            description="Save the page", disabled=True, layout=widgets.Layout(width="16em")
        )
        self.message, self.frame = text(), text(width="100%")
        self.button.on_click(lambda _: self.show())
        self.save_button.on_click(lambda _: self.save())
        self.widget = widgets.VBox(
            [self.button, self.frame, self.folder, self.file, self.save_button, self.message]
        )
        self.widget.add_class("ufk-client-part")

    def show(self) -> None:
        """Show the page as it is now."""
        self.message.value = said("Working: drawing the page …")
        try:
            self.html = self._page()
        except Refusal as refusal:
            words = "; ".join(str(problem) for problem in refusal.problems)
            self.message.value = said(f"✗ There is no page. {words}", alert=True)
            return
        self.frame.value = framed(self.html).html
        self.save_button.disabled = False
        self.message.value = said("✓ The page as it would be saved.")

    def forget(self) -> None:
        """Take away a page that is no longer of what is in sight."""
        if self.html:
            self.html = self.frame.value = ""
            self.save_button.disabled = True
            self.message.value = said("The figures were changed since: draw the page again.")

    def save(self) -> None:
        """Write the page that is shown into the folder that is named; nothing is replaced."""
        try:
            path = self._path()
            write_new(path, self.html.encode("utf-8"))
            self.message.value = said(f"✓ Saved as {path}.")
        except Refusal as refusal:
            self.message.value = said(f"✗ Nothing was saved. {refusal}", alert=True)

    def _path(self) -> Path:
        name, typed = str(self.file.value).strip(), str(self.folder.value).strip()
        if Path(name).name != name or not name.lower().endswith(".html") or len(name) < 6:
            raise refuse("under the name", repr(name), "a name that ends in .html, no folder in it")
        if not typed or not typed.isprintable():
            raise refuse("save into folder", repr(typed), "a folder that is there")
        try:
            folder = self._home / Path(typed).expanduser()
            there = folder.is_dir()
        except (OSError, RuntimeError):
            there = False
        if not there:
            raise refuse("save into folder", repr(typed), "a folder that is there")
        return folder / name


def _box(name: str, value: str, width: str) -> widgets.Text:
    return widgets.Text(
        description=name,
        value=value,
        continuous_update=False,
        style={"description_width": "9em"},
        layout=widgets.Layout(width=width, max_width="98%"),
    )
