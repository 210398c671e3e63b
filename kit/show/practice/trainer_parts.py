"""What the two parts of the trainer's panel share: boxes, buttons, and what is said of a try."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import ipywidgets as widgets

from kit.job import Refusal
from kit.show.controls import said, text

#: Room for the name of a box.
NAME_ROOM = "9em"


class Message:
    """The line below a button: what is being done, what came of it, or why nothing did."""

    def __init__(self) -> None:
        self.widget = text()

    def say(self, words: str, *, alert: bool = False) -> None:
        """Say something; an alert is read out at once."""
        self.widget.value = said(words, alert=alert)

    @contextmanager
    def trying(self, button: widgets.Button, nothing: str) -> Iterator[None]:
        """Keep a button from being pressed again meanwhile; say in words what goes wrong.

        Parameters
        ----------
        button : Button
            That was pressed.
        nothing : str
            What did not happen then, ``"Nothing was written."``.
        """
        button.disabled = True
        try:
            yield
        except Refusal as refusal:
            words = "; ".join(str(problem) for problem in refusal.problems)
            # What a command's option is called, is a box here.
            self.say(f"✗ {nothing} {words.replace('--out ', 'folder to write to, ')}", alert=True)
        except OSError as error:
            where = f" ({error.filename})" if error.filename else ""
            self.say(f"✗ {nothing} {error.strerror or error}{where}.", alert=True)
        except Exception as error:
            # Words in the panel: what a button raises is seen by nobody in a notebook.
            words = f"The kit has a defect here ({type(error).__name__}: {error})."
            self.say(f"✗ {nothing} {words} Tell who maintains it.", alert=True)
        finally:
            button.disabled = False


def box(name: str, value: str, width: str) -> widgets.Text:
    """Return a box for a line; its name stands before it and is read out with it."""
    return widgets.Text(
        description=name,
        value=value,
        continuous_update=False,
        style={"description_width": NAME_ROOM},
        layout=widgets.Layout(width=width, max_width="98%"),
    )


def button(words: str, tooltip: str, width: str) -> widgets.Button:
    """Return a button."""
    return widgets.Button(
        description=words, tooltip=tooltip, layout=widgets.Layout(width=width, max_width="98%")
    )
