"""The board as a widget: its state goes out, what the hand does comes in."""

from __future__ import annotations

from typing import Any

import anywidget
import traitlets

from kit.show.web_files import joined, web_file

#: The view's parts.
_PARTS = (
    "elements.js",
    "post.js",
    "controls.js",
    "plan.js",
    "pictures.js",
    "head.js",
    "sheets.js",
    "board.js",
)


_HERE = "kit.show.board"


class BoardView(anywidget.AnyWidget):
    """What a browser shows of a board; it holds nothing that Python does not.

    Each trait is one part of the view; one that has not changed is not sent again. ``answered``
    is the number of the last message that was worked off: the view sends the next one then.
    """

    _esm = joined(*((_HERE, name) for name in _PARTS))
    _css = web_file(_HERE, "board.css")

    map = traitlets.Unicode("").tag(sync=True)
    plan = traitlets.Dict().tag(sync=True)
    supports = traitlets.Dict().tag(sync=True)
    elevation = traitlets.Dict().tag(sync=True)
    loads = traitlets.Dict().tag(sync=True)
    stack = traitlets.Dict().tag(sync=True)
    controls = traitlets.Dict().tag(sync=True)
    window = traitlets.Unicode("").tag(sync=True)
    said = traitlets.Dict().tag(sync=True)
    sheet = traitlets.Dict().tag(sync=True)
    head = traitlets.Dict().tag(sync=True)
    answered = traitlets.Int(0).tag(sync=True)

    def show(self, state: dict[str, Any]) -> None:
        """Send what has changed, in one message."""
        with self.hold_sync():
            for name, value in state.items():
                setattr(self, name, value)
