"""The one live chart of a panel: told only what changed, in one go."""

from __future__ import annotations

from typing import Any

import plotly.graph_objects as go

from kit.show.chart import CONFIG, Drawing, Trace


class LiveFigure:
    """A chart in a notebook that follows a drawing.

    Parameters
    ----------
    drawing : Drawing
        What it shows at first.
    """

    def __init__(self, drawing: Drawing) -> None:
        self.widget = go.FigureWidget(drawing.traces, drawing.layout)
        # A live chart follows its width by itself; a plain one is told by the notebook.
        self.widget._config = {**CONFIG, "responsive": True}
        self._shown = drawing

    def show(self, drawing: Drawing) -> None:
        """Show another drawing; nothing is sent that is shown already."""
        before, self._shown = self._shown, drawing
        alike = _kinds(before.traces) == _kinds(drawing.traces)
        with self.widget.batch_update():
            if alike:
                self._change_traces(before.traces, drawing.traces)
            for key, value in drawing.layout.items():
                if before.layout.get(key) != value:
                    self.widget.layout[key] = value
        if not alike:
            self._replace(drawing)

    def _change_traces(self, before: list[Trace], after: list[Trace]) -> None:
        for live, old, new in zip(self.widget.data, before, after, strict=True):
            for key in changed(old, new):
                live[key] = new.get(key)

    def _replace(self, drawing: Drawing) -> None:
        """Show other rows: traces cannot be added inside a batch."""
        self.widget.data = ()
        self.widget.add_traces(drawing.traces)
        self.widget.layout = drawing.layout


def _kinds(traces: list[Trace]) -> list[tuple[object, object]]:
    """Return what each trace shows and in which row, which tells whether it can be reused."""
    return [(trace["meta"], trace["xaxis"]) for trace in traces]


def changed(old: Trace, new: Trace) -> list[str]:
    """Return the keys whose values differ, those that are gone included."""
    return [key for key in (*new, *(k for k in old if k not in new)) if _differ(old, new, key)]


def _differ(old: Trace, new: Trace, key: str) -> bool:
    one: Any = old.get(key)
    other: Any = new.get(key)
    return bool(one != other)
