"""How far a long piece of work has come."""

from __future__ import annotations

from typing import Any

import ipywidgets as widgets

from kit.show.controls import text

#: Steps of the bar: more would only send more messages to the page.
STEPS = 100


class Progress:
    """A bar with a share beside it, which whoever works tells how far it is.

    Parameters
    ----------
    what : str
        What is being done.

    Examples
    --------
    >>> bar = Progress("reading the scan")
    >>> bar.tell(0.25)
    >>> bar.bar.value, bar.share.value
    (25, '25 %')
    """

    def __init__(self, what: str) -> None:
        self.bar = widgets.IntProgress(
            min=0, max=STEPS, description=what, style={"description_width": "initial"}
        )
        self.bar.layout.width = "32em"
        self.share = text("0 %")
        self.widget: widgets.Box = widgets.HBox([self.bar, self.share])

    def tell(self, share: float) -> None:
        """Show a share, 0 to 1."""
        step = round(STEPS * min(max(share, 0.0), 1.0))
        if step != self.bar.value:
            self.bar.value = step
            self.share.value = f"{step} %"

    def _repr_mimebundle_(self, **more: Any) -> Any:
        return self.widget._repr_mimebundle_(**more)
