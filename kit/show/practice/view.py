"""The practice page as a widget: what was seen goes out, what the hand does comes in."""

from __future__ import annotations

from typing import Any

import anywidget
import traitlets

from kit.show.web_files import joined, web_file

_BOARD, _HERE = "kit.show.board", "kit.show.practice"


class PracticeView(anywidget.AnyWidget):
    """What a browser shows of an attempt: what was given, seen and marked, and nothing else.

    Each trait is one part of the page; one that has not changed is not sent again. ``answered``
    is the number of the last message that was worked off: the view sends the next one then.
    """

    _esm = joined(
        (_BOARD, "elements.js"),
        (_BOARD, "post.js"),
        (_HERE, "forms.js"),
        (_HERE, "ground.js"),
        (_HERE, "practice.js"),
    )
    _css = web_file(_BOARD, "board.css") + web_file(_HERE, "practice.css")

    setup = traitlets.Dict().tag(sync=True)
    task = traitlets.Dict().tag(sync=True)
    plan = traitlets.Unicode("").tag(sync=True)
    last = traitlets.Dict().tag(sync=True)
    log = traitlets.Unicode("").tag(sync=True)
    said = traitlets.Dict().tag(sync=True)
    marks = traitlets.Unicode("").tag(sync=True)
    answered = traitlets.Int(0).tag(sync=True)

    def show(self, state: dict[str, Any]) -> None:
        """Send what has changed, in one message."""
        with self.hold_sync():
            for name, value in state.items():
                setattr(self, name, value)
