"""The board as a widget: its state goes out, what the hand does comes in."""

from __future__ import annotations

from functools import cache
from importlib import resources
from typing import Any

import anywidget
import traitlets

#: The view's parts, joined into one module: a notebook loads a widget as a single file.
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


@cache
def _file(name: str) -> str:
    return resources.files(__package__).joinpath("web", name).read_text(encoding="utf-8")


def _module() -> str:
    return "\n".join(_file(name) for name in _PARTS)


class BoardView(anywidget.AnyWidget):
    """What a browser shows of a board; it holds nothing that Python does not.

    Each trait is one part of the view; one that has not changed is not sent again. ``answered``
    is the number of the last message that was worked off: the view sends the next one then.
    """

    _esm = _module()
    _css = _file("board.css")

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
